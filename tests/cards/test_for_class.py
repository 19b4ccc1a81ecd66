"""Paper for a class: a card for each group, one page of rules, baits and their answers."""

from __future__ import annotations

from datetime import date
from io import BytesIO

import pytest
from pypdf import PdfReader

from partline.interfaces.cards import Paper
from partline.interfaces.cards.for_class import cards_of_class, exercise_sheet, wall_rules
from partline.interfaces.figures.spoiled import belly_cut, outside, sprue_cut
from partline.services.classes import class_cards
from partline.services.workshop import load_demo, open_at
from partline.studies.diagnosis import Cause
from partline.studies.exercise import spoiled_baits
from tests.services.test_classes import begun

PRINTED = date(2026, 3, 14)


def words(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf)).pages]


def test_every_group_has_a_page_with_its_number_and_its_own_code(tmp_path):
    with open_at(tmp_path / "shed") as workshop:
        load_demo(workshop)
        cards = class_cards(workshop, begun(workshop, groups=3, good=8))
    pdf = cards_of_class(cards, link=lambda code: f"here/{code}", paper=Paper.A4, printed=PRINTED)
    pages = words(pdf)
    assert len(pages) == 3
    for card, page in zip(cards, pages, strict=True):
        assert f"group {card.group} of 3" in page
        assert card.plan.code in page


@pytest.mark.parametrize("paper", list(Paper))
def test_the_rules_fill_one_page_and_carry_the_ceiling(paper, tmp_path):
    from dataclasses import replace

    with open_at(tmp_path / "shed") as workshop:
        load_demo(workshop)
        bench = workshop.benches.named("Vessary Shed").content
    pages = words(wall_rules(replace(bench, ceiling=448.15), paper=paper, printed=PRINTED))
    assert len(pages) == 1
    assert "175 °C" in pages[0]
    assert "supplier's safety sheet come before anything written here" in pages[0]
    assert "running water" in pages[0]


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("number", [1, 2, 3, 4, 5, 6])
def test_baits_stand_on_the_first_page_and_their_answers_on_the_second(number, paper):
    pages = words(exercise_sheet(number, paper=paper, printed=PRINTED))
    assert len(pages) == 2
    for bait in spoiled_baits(number):
        assert f": {bait.cause.value}." in pages[1]
    assert "Answers" not in pages[0]
    assert "Bait 3" in pages[0]


def test_a_drawing_says_in_words_what_it_shows_and_never_the_cause():
    for number in range(30):
        for bait in spoiled_baits(number, 7):
            for drawn in (
                outside(bait),
                sprue_cut(bait),
                belly_cut(bait),
                belly_cut(bait, grey=True),
            ):
                assert drawn.words
                assert drawn.svg.startswith("<svg ")
                assert not any(cause.value in drawn.words for cause in Cause)


def test_what_is_drawn_follows_what_is_seen():
    for number in range(30):
        for bait in spoiled_baits(number, 7):
            shows = "changes where the card behind it" in outside(bait).words
            assert shows == bait.seen["changes"]
            assert ("runs all round" in belly_cut(bait).words) == bait.seen["ring"]
            grey = belly_cut(bait, grey=True).words
            assert ("one shade" in grey) == bait.seen["no_step"]
