"""What heat has done to a cup: between its readings, and long after the last of them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from partline.process.run.state import CupState, Reading
from partline.services.runs.heating import exposure

BEGUN = datetime(2026, 3, 1, 19, 30, tzinfo=UTC)


def cup(*warm: tuple[float, float]) -> CupState:
    """A cup read so warm, in kelvin, so many seconds after the beginning."""
    readings = tuple(
        Reading(
            id=str(after), at=BEGUN + timedelta(seconds=after), temperature=kelvin, is_stirred=True
        )
        for after, kelvin in warm
    )
    return CupState(letter="A", mass=0.16, readings=readings)


def test_a_cup_left_for_months_was_no_longer_hot_than_one_left_for_an_hour():
    told = cup((0.0, 440.0), (60.0, 438.0))
    hour, months = (
        exposure(told, BEGUN + timedelta(seconds=60) + later, 295.0)
        for later in (timedelta(hours=1), timedelta(days=270))
    )
    assert months == hour
    assert hour.above < 400  # 5 K of a fall of 143 K in an hour, by a straight line, and a minute


def test_between_readings_the_time_above_is_that_of_straight_lines():
    told = cup((0.0, 443.15), (100.0, 423.15))  # 160 °C lies half way
    assert exposure(told, BEGUN, None).above == pytest.approx(50.0)
