"""A number is told with the digits that its range deserves."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from partline.quantities.rounding import as_deserved, deserved_decimals, with_decimals


@pytest.mark.parametrize(
    ("value", "low", "high", "told"),
    [
        (15.1, 12.9, 17.6, "15 (13–18)"),
        (88.8, 61.3, 140.2, "90 (60–140)"),
        (26.3, 18.2, 38.1, "26 (18–38)"),
        (0.4442, 0.37, 0.53, "0.44 (0.37–0.53)"),
        (9.0, 9.0, 9.0, "9.00"),
        (0.0, 0.0, 0.0, "0"),
    ],
)
def test_a_needed_loading_is_told_without_false_digits(value, low, high, told):
    assert as_deserved(value, low, high) == told


sizes = st.floats(1e-3, 1e4)


@given(value=sizes, below=st.floats(0.01, 0.9), above=st.floats(0.01, 3.0))
def test_what_rounding_moves_is_little_against_the_range(value, below, above):
    low, high = value * (1 - below), value * (1 + above)
    decimals = deserved_decimals(value, low, high)
    for each in (low, value, high):
        told = float(with_decimals(each, decimals))
        # Half a step, and a step is at most a quarter of the range.
        assert abs(told - each) <= (high - low) / 8 + 1e-6


@given(value=sizes, share=st.floats(0.02, 2.0))
def test_no_digit_is_told_that_the_range_drowns(value, share):
    low, high = value / (1 + share), value * (1 + share)
    decimals = deserved_decimals(value, low, high)
    assume(decimals < 6)
    # A step ten times as wide would be more than a quarter of the range, or hide its low end.
    assert 10.0 ** (1 - decimals) > (high - low) / 4 or round(low, decimals - 1) <= 0


@given(value=sizes, low=st.floats(1e-3, 1.0), high=st.floats(1.0, 1e3))
def test_something_is_never_told_as_nothing(value, low, high):
    ends = value * low, value * high
    assume(ends[0] > 1e-5)
    assert float(with_decimals(ends[0], deserved_decimals(value, *ends))) > 0
