"""A cold barrel takes its share of a draw, a warm one hardly any."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.process.barrel import (
    drawn,
    meeting_temperature,
    preheat_cost,
    preheat_gains,
)
from tests.process.shed import bench

SYRINGES = bench().syringes
HOT = 436.15


@settings(deadline=None)
@given(st.floats(0.005, 0.09), st.floats(290, 430), st.floats(0, 60))
def test_a_draw_ends_between_what_it_was_and_the_worst_case(mass, barrel, seconds):
    found = drawn(SYRINGES, mass, HOT, barrel=barrel, seconds=seconds)
    assert found.worst - 1e-6 <= found.mean.value <= HOT + 1e-6
    assert found.skin <= found.mean.value + 1e-6
    assert found.mean.low <= found.mean.value <= found.mean.high


def test_after_a_long_time_plastic_and_the_joining_metal_share_everything():
    full = SYRINGES.capacity * 970.0
    found = drawn(SYRINGES, full, HOT, barrel=295.15, seconds=1e5)
    # A full barrel joins whole.
    assert found.mean.value == pytest.approx(found.worst, abs=1e-3)


def test_every_second_in_a_cold_barrel_costs_and_every_degree_of_preheat_gains():
    waited = [drawn(SYRINGES, 0.027, HOT, barrel=295.15, seconds=t).lost for t in (0, 5, 10, 30)]
    assert waited[0] == pytest.approx(0.0, abs=1e-9)
    assert waited == sorted(waited)
    gained = preheat_gains(
        SYRINGES, 0.027, HOT, barrels=(295.15, 373.15, 403.15, HOT), seconds=10.0
    )
    means = [each.mean.value for each in gained]
    assert means == sorted(means)
    assert gained[-1].lost == pytest.approx(0.0, abs=1e-6)


def test_preheating_takes_what_the_metal_holds():
    assert preheat_cost(0.300, 295.15, 403.15) == pytest.approx(0.300 * 896 * 108, rel=1e-12)


def test_a_barrel_that_nobody_weighed_is_asked_for():
    with pytest.raises(InputError, match="not known"):
        drawn(replace(SYRINGES, barrel_mass=None), 0.02, HOT, barrel=295.15, seconds=5)
    with pytest.raises(OutOfRange, match="holds up to"):
        drawn(SYRINGES, 0.5, HOT, barrel=295.15, seconds=5)


@given(st.floats(0.01, 1), st.floats(300, 500), st.floats(0.01, 1), st.floats(250, 500))
def test_the_meeting_point_lies_between_the_two(mass, temperature, barrel_mass, barrel):
    meeting = meeting_temperature(mass, temperature, barrel_mass, barrel)
    assert min(temperature, barrel) - 1e-9 <= meeting <= max(temperature, barrel) + 1e-9
