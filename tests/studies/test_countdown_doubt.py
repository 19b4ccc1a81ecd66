"""Readings that do not go with the others are asked about, and only those."""

import pytest

from partline.quantities.estimate import Estimate, Origin
from partline.studies.countdown import CupHistory, Reading, doubt

ZERO = 273.15


def history(*pairs, **more):
    readings = tuple(Reading(at=at, temperature=t + ZERO) for at, t in pairs)
    return CupHistory(room=22 + ZERO, readings=readings, **more)


#: 162 g in a 500 mL vessel, as a cup is known before its second reading. [s]
WEIGHED = history(
    (0.0, 174.0),
    time_constant=Estimate(value=1030.0, low=750.0, high=1390.0, origin=Origin.DEFAULT),
)


def about(celsius, at=40.0, since_stir=0.0, known=None):
    reading = Reading(at=at, temperature=celsius + ZERO, since_stir=since_stir)
    return doubt(history((0.0, 174.0)) if known is None else known, reading)


@pytest.mark.parametrize("celsius", [164.0, 168.6, 171.5])
def test_what_a_cup_does_is_not_questioned(celsius):
    found = about(celsius)
    assert not found.is_questioned
    assert found.probability > 0.01


@pytest.mark.parametrize("celsius", [176.0, 190.0, 120.0, 350.0, 79.0])
def test_what_no_cup_does_is_questioned(celsius):
    found = about(celsius)
    assert found.is_questioned
    assert found.is_above == (celsius > 168)
    assert found.low < found.expected < found.high


def test_the_other_unit_and_exchanged_digits_are_offered():
    (fahrenheit,) = about(335.0).meant
    assert fahrenheit.how == "in °F"
    assert fahrenheit.temperature == pytest.approx((335 - 32) / 1.8 + ZERO)
    (celsius,) = about((168 - 32) / 1.8).meant  # 168 put into a °F box
    assert celsius.how == "in °C"
    assert celsius.temperature == pytest.approx(168 + ZERO)
    assert any(
        each.temperature == pytest.approx(168 + ZERO) and "digits" in each.how
        for each in about(186.0).meant
    )


def test_350_is_asked_about_with_350_fahrenheit_even_as_the_first_reading():
    found = about(350.0, at=0.0, known=history())
    assert found.is_questioned
    assert found.meant[0].temperature == pytest.approx(449.82, abs=0.01)  # 350 °F = 177 °C


def test_a_first_reading_that_a_melt_can_have_is_not_questioned():
    assert about(174.0, at=0.0, known=history()) is None


def test_a_weighed_cup_is_questioned_where_any_cup_may_be_so():
    assert not about(155.0).is_questioned  # a small or draughty cup might
    assert about(155.0, known=WEIGHED).is_questioned


def test_an_unstirred_reading_may_be_colder_but_not_warmer():
    assert about(155.0, known=WEIGHED).is_questioned
    assert not about(155.0, since_stir=None, known=WEIGHED).is_questioned
    assert about(177.0, since_stir=None, known=WEIGHED).is_questioned


def test_after_another_heat_a_warmer_reading_is_no_surprise():
    heated = history((0.0, 174.0), (40.0, 168.6), heats=(100.0,))
    assert about(175.0, at=110.0, known=heated) is None
    assert about(175.0, at=110.0, known=history((0.0, 174.0), (40.0, 168.6))).is_questioned


def test_the_reading_itself_and_later_ones_do_not_speak_for_it():
    both = history((0.0, 174.0), (40.0, 190.0), (80.0, 185.0))
    found = doubt(both, both.readings[1])
    assert found is not None
    assert found.is_questioned
