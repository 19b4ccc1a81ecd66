"""A number with its range: how ranges are carried, added up, and which one widens them most."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.quantities.estimate import (
    HALF_RANGE,
    Estimate,
    Origin,
    moving_together,
    propagate,
)


def known(value: float, below: float, above: float, narrows: str = "") -> Estimate:
    return Estimate(
        value=value, low=value - below, high=value + above, origin=Origin.MEASURED, narrows=narrows
    )


def total(*parts: float) -> float:
    return sum(parts)


def test_independent_doubts_add_up_in_quadrature_on_each_side_by_itself():
    found = propagate(total, [known(10, 3, 6), known(20, 4, 8)])
    # 3-4-5 and its double, to a float's last digits.
    assert (found.low, found.value, found.high) == pytest.approx((25.0, 30.0, 40.0), rel=1e-14)


def test_a_law_that_falls_turns_low_into_high():
    found = propagate(lambda part: -part, [known(10, 1, 2)])
    assert (found.low, found.value, found.high) == (-12.0, -10.0, -9.0)


def test_one_measurement_twice_adds_its_doubt_and_not_its_square():
    found = moving_together([known(10, 3, 3), known(20, 4, 4)])
    assert (found.low, found.value, found.high) == (23.0, 30.0, 37.0)
    assert found.origin is Origin.COMPUTED


def test_what_widens_most_is_what_to_measure_first():
    parts = [known(10, 1, 1, "weigh it"), known(20, 4, 4, "time it"), known(5, 2, 2, "look")]
    assert propagate(total, parts).narrows == "time it"


def test_a_range_carried_through_a_law_is_that_of_many_draws():
    # Log-normal within a factor 1.2 and normal ± 1: first order is good to a few percent here.
    rng = np.random.default_rng(1)
    factor = np.exp(np.log(1.2) / HALF_RANGE * rng.standard_normal(200_000))
    mass = 10.0 + rng.standard_normal(200_000) / HALF_RANGE
    low, high = np.percentile(factor * mass, [10, 90])
    found = propagate(
        lambda a, b: a * b, [Estimate.within(1.0, 0.2, Origin.DEFAULT), known(10, 1, 1)]
    )
    assert found.low == pytest.approx(low, rel=0.02)
    assert found.high == pytest.approx(high, rel=0.02)


@given(
    parts=st.lists(
        st.tuples(st.floats(0.1, 1e3), st.floats(0, 0.5), st.floats(0, 0.5)),
        min_size=1,
        max_size=6,
    )
)
def test_a_sum_is_known_no_better_than_its_worst_part_and_no_worse_than_all_together(parts):
    ranges = [known(value, value * below, value * above) for value, below, above in parts]
    apart, together = propagate(total, ranges), moving_together(ranges)
    last_digits = 1e-9 * together.value
    assert apart.low >= together.low - last_digits
    assert apart.high <= together.high + last_digits
    assert apart.high - apart.value >= max(r.high - r.value for r in ranges) - last_digits
    assert apart.value - apart.low >= max(r.value - r.low for r in ranges) - last_digits


def test_a_value_outside_its_range_cannot_be_made():
    with pytest.raises(OutOfRange, match="outside its own range"):
        Estimate(value=1.0, low=2.0, high=3.0, origin=Origin.ENTERED)


def test_within_is_a_factor_and_not_a_sum():
    found = Estimate.within(10.0, 0.25, Origin.PRACTICE)
    assert (found.low, found.value, found.high) == (8.0, 10.0, 12.5)
