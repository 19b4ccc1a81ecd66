"""What figures off photos say: sides of a limit, changes, how seldom nothing is called a move."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from partline.errors import InputError
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.studies.photo_card import MM
from partline.studies.photo_evidence import (
    CERTAIN,
    CRISP,
    chance_below,
    change,
    colours_got_worse,
    has_moved,
    is_below,
    line_got_worse,
    pooled,
)


def read(low: float, value: float, high: float) -> Estimate:
    return Estimate(value=value, low=low, high=high, origin=Origin.MEASURED)


def line(low: float, value: float, high: float) -> Estimate:
    """Of a line. [mm]"""
    return read(low * MM, value * MM, high * MM)


@st.composite
def figures(draw: st.DrawFn) -> Estimate:
    value = draw(st.floats(-50, 50))
    below, above = draw(st.floats(0.01, 10)), draw(st.floats(0.01, 10))
    return read(value - below, value, value + above)


def test_the_ranges_ends_are_those_of_a_normal_distribution():
    """Reference: scipy's normal distribution."""
    assert pytest.approx(norm.ppf(0.9), abs=5e-5) == HALF_RANGE  # its printed digits
    assert pytest.approx(norm.ppf(0.975) / norm.ppf(0.9), abs=1e-4) == CERTAIN


@given(figures(), st.floats(-80, 80))
def test_a_chance_is_that_of_the_normal_whose_end_faces_the_limit(figure, limit):
    """Reference: scipy's normal distribution."""
    half = figure.high - figure.value if limit > figure.value else figure.value - figure.low
    expected = norm.cdf(limit, figure.value, half / HALF_RANGE)
    assert chance_below(figure, limit) == pytest.approx(expected, abs=1e-9)


@given(figures(), st.floats(-80, 80))
def test_a_side_is_told_only_where_nine_of_ten_readings_would_lie_there(figure, limit):
    side, chance = is_below(figure, limit), chance_below(figure, limit)
    if side is None:
        assert 0.09 < chance < 0.91
    else:
        assert (chance > 0.899) is side or abs(chance - 0.9) < 1e-3
        assert (chance < 0.101) is not side or abs(chance - 0.1) < 1e-3


def test_the_demos_lines_lie_clear_of_the_limit():
    assert is_below(line(0.4, 0.5, 0.6), CRISP.value) is True
    assert is_below(line(2.2, 2.4, 2.6), CRISP.value) is False
    assert is_below(line(0.8, 0.95, 1.1), CRISP.value) is None


@given(figures(), figures())
def test_a_change_back_is_the_same_change_the_other_way(first, second):
    there, back = change(first, second), change(second, first)
    assert there.value == pytest.approx(-back.value)
    assert (there.low, there.high) == pytest.approx((-back.high, -back.low))


@given(figures())
def test_a_thing_read_twice_alike_has_not_moved(figure):
    assert not has_moved(change(figure, figure))


def test_of_a_hundred_pairs_with_no_change_five_are_called_a_move():
    """Reference: 95 % of two normal readings' difference; 20,000 seeded pairs."""
    rng = np.random.default_rng(11)
    half, spread = 0.2, 0.2 / HALF_RANGE
    pairs = rng.normal(2.4, spread, (20_000, 2))
    moved = [
        has_moved(change(read(a - half, a, a + half), read(b - half, b, b + half)))
        for a, b in pairs
    ]
    assert np.mean(moved) == pytest.approx(0.05, abs=0.005)  # three standard errors


def test_the_mean_of_slices_that_lie_apart_is_less_sure_than_of_such_that_agree():
    alike = pooled([read(0.9, 1.0, 1.1)] * 4)
    apart = pooled([read(v - 0.1, v, v + 0.1) for v in (0.4, 0.8, 1.2, 1.6)])
    assert alike.value == apart.value == pytest.approx(1.0)
    assert alike.high - alike.low == pytest.approx(0.1)  # a half of one, four read alike
    assert apart.high - apart.low > 3 * (alike.high - alike.low)
    assert pooled([read(0.9, 1.0, 1.1)]) == read(0.9, 1.0, 1.1)
    with pytest.raises(InputError):
        pooled([])


@pytest.mark.parametrize(
    ("first", "last", "worse"),
    [
        ((0.4, 0.5, 0.6), (2.2, 2.4, 2.6), True),
        ((0.4, 0.5, 0.6), (0.4, 0.55, 0.7), False),
        ((0.4, 0.5, 0.6), (0.3, 0.8, 1.3), None),  # read too roughly
        ((2.2, 2.4, 2.6), (3.4, 3.6, 3.8), False),  # was not fine on the day
        ((0.7, 0.95, 1.2), (2.2, 2.4, 2.6), None),  # nor is it known whether it was
    ],
)  # fmt: skip
def test_a_line_crept_where_it_was_crisp_and_is_wider_beyond_doubt(first, last, worse):
    assert line_got_worse(line(*first), line(*last)) is worse


@pytest.mark.parametrize(
    ("first", "last", "worse"),
    [
        ((38, 40, 42), (28, 30, 32), True),
        ((38, 40, 42), (39.4, 39.9, 40.4), None),  # a range of ±2 hides a loss of 1.8
        ((39.5, 40, 40.5), (39.4, 39.9, 40.4), False),
        ((38, 40, 42), (44, 46, 48), False),
        ((0.5, 1.0, 1.5), (0.0, 0.2, 0.4), False),  # they never read as two
    ],
)  # fmt: skip
def test_colours_crept_where_they_read_as_two_and_came_nearer_beyond_doubt(first, last, worse):
    assert colours_got_worse(read(*first), read(*last)) is worse
