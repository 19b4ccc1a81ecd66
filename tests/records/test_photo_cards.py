"""Printed cards: the line of each number that was measured last holds, and none is lost."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import update

from partline.errors import InputError, OutOfRange
from partline.records.models import PhotoCardRow


def test_the_line_measured_last_holds_for_its_number_and_no_other(workshop, now):
    cards = workshop.photo_cards
    assert cards.newest(3) is None
    cards.add(3, entered="99.2 mm", line=0.0992, now=now)
    cards.add(4, entered="100 mm", line=0.1, now=now)
    later = cards.add(3, entered="9.94 cm", line=0.0994, now=now + timedelta(days=2))
    assert cards.newest(3) == later
    assert [(each.number, each.entered) for each in cards.listed()] == [
        (3, "9.94 cm"),
        (4, "100 mm"),
    ]


@pytest.mark.parametrize(("number", "line"), [(0, 0.1), (3, 0.0), (3, -0.1), (3, float("nan"))])
def test_no_card_has_such_a_number_or_line(workshop, now, number, line):
    with pytest.raises(OutOfRange):
        workshop.photo_cards.add(number, entered="", line=line, now=now)


def test_a_length_is_not_a_letter(workshop, now):
    with pytest.raises(InputError, match="at most 40"):
        workshop.photo_cards.add(3, entered="m" * 41, line=0.1, now=now)


def test_a_measuring_is_never_changed(workshop, now):
    workshop.photo_cards.add(3, entered="99.2 mm", line=0.0992, now=now)
    with (
        pytest.raises(TypeError, match="photo_card is never changed"),
        workshop.database.writing() as session,
    ):
        session.execute(update(PhotoCardRow).values(line_m=0.1))
