"""The gel line and its inverse."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.physics.gelation import (
    DINP_LINE,
    UNDERCOOLING,
    gel_share,
    gel_temperature,
    line_through,
    setting_temperature,
)

SHARES = st.floats(0.01, 1.0)
KELVIN = st.floats(300.0, 500.0)


@given(first=SHARES, second=SHARES)
def test_a_firmer_gel_melts_hotter(first, second):
    soft, firm = sorted((first, second))
    assert gel_temperature(soft) <= gel_temperature(firm)


@given(temperature=KELVIN, warmer=st.floats(0.0, 50.0))
def test_a_hotter_plastisol_needs_more_resin_to_be_a_gel(temperature, warmer):
    assert gel_share(temperature) <= gel_share(temperature + warmer)


@given(resin=SHARES)
def test_share_and_temperature_are_each_others_inverse(resin):
    assert gel_share(gel_temperature(resin)) == pytest.approx(resin, rel=1e-9)


@given(
    low=st.floats(0.05, 0.4),
    more=st.floats(0.05, 0.5),
    cold=st.floats(380.0, 440.0),
    warmer=st.floats(5.0, 60.0),
)
def test_a_line_passes_through_both_of_its_points(low, more, cold, warmer):
    line = line_through([low, low + more], [cold, cold + warmer])
    assert gel_temperature([low, low + more], line) == pytest.approx(
        [cold, cold + warmer], rel=1e-9
    )
    assert line.measured == (low, low + more)


@given(resin=SHARES, undercooling=st.floats(0.0, 40.0))
def test_a_cooling_melt_sets_at_or_below_its_gel_line(resin, undercooling):
    lower = gel_temperature(resin) - setting_temperature(resin, undercooling)
    assert lower == pytest.approx(undercooling, abs=1e-9)


def test_the_usual_undercooling_is_within_what_is_remembered():
    assert gel_temperature(0.2) - setting_temperature(0.2) == pytest.approx(UNDERCOOLING)
    assert 10.0 <= UNDERCOOLING <= 40.0


def test_many_shares_keep_their_shape():
    assert gel_temperature(np.full((2, 3), 0.2)).shape == (2, 3)
    assert gel_share(np.full((4,), 430.0)).shape == (4,)
    assert setting_temperature(np.full((3, 1), 0.2), [10.0, 20.0]).shape == (3, 2)


@pytest.mark.parametrize("resin", [0.0, -0.1, 1.01, float("nan"), [0.2, 20.0]])
def test_a_share_that_cannot_be_is_refused(resin):
    with pytest.raises(OutOfRange, match="share of resin") as refusal:
        gel_temperature(resin)
    assert (refusal.value.low, refusal.value.high) == (0.0, 1.0)


@pytest.mark.parametrize("temperature", [0.0, -1.0, float("nan"), float("inf")])
def test_a_temperature_that_cannot_be_is_refused(temperature):
    with pytest.raises(OutOfRange, match="above 0 K"):
        gel_share(temperature)


@pytest.mark.parametrize("undercooling", [-0.1, 500.0, float("nan")])
def test_an_undercooling_that_cannot_be_is_refused(undercooling):
    with pytest.raises(OutOfRange, match="undercooling"):
        setting_temperature(0.2, undercooling)


@pytest.mark.parametrize(
    ("resin", "temperature"),
    [
        ([0.7, 0.4], [463.0, 483.0]),
        ([0.4, 0.7], [483.0, 463.0]),
        ([0.4, 0.5, 0.7], [463.0, 470.0, 483.0]),
        (0.4, 463.0),
    ],
)
def test_a_line_needs_two_rising_points(resin, temperature):
    with pytest.raises(InputError, match="both rising"):
        line_through(resin, temperature)


def test_the_line_says_where_it_was_measured():
    assert DINP_LINE.measured == (0.455, 0.704)
