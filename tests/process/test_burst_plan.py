"""Fewer bursts than the custom, no place above the limit, nothing stirred in twice."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from partline.errors import Impossible, InputError
from partline.process.burst_plan import oven_power, plan_bursts
from partline.process.bursts import Goal
from partline.process.going_cup import NEAR, TOLERANCE, time_above
from partline.process.heating import CupState
from partline.quantities.estimate import Estimate, Origin
from partline.services.heating import Part
from tests.process.heats import demo_bursts, demo_cups, demo_goal
from tests.process.shed import bench

POWER = oven_power(bench().oven)


@settings(deadline=None, max_examples=20)
@given(st.floats(285, 400), st.floats(150, 700), st.floats(0.1, 0.4), st.floats(2, 8))
def test_no_place_passes_the_limit_and_the_end_is_at_the_target(begins, power, doubt, off):
    cups = tuple(replace(each, state=CupState(melt=begins, glass=begins)) for each in demo_cups())
    known = Estimate.within(power, doubt, Origin.DEFAULT)
    goal = replace(demo_goal(), doubt=off)
    try:
        plan = plan_bursts(cups, known, goal)
    except Impossible:
        assume(False)
    for burst in plan.bursts:
        for cup in burst.cups:
            assert cup.hottest.high <= goal.limit + 0.5  # colder cups may differ by a hair
            assert cup.expected.low <= cup.expected.value <= cup.expected.high
    ends = max(cup.expected.value for cup in plan.bursts[-1].cups)
    assert goal.target - NEAR - 0.01 <= ends <= goal.target + TOLERANCE


def test_cups_of_eight_baits_end_a_little_under_the_target_instead_of_being_heated_for_ever():
    small = [
        replace(each, cup=replace(each.cup, plastic=0.056), ingredients=()) for each in demo_cups()
    ]
    plan = plan_bursts(small, POWER, demo_goal())
    assert 4 <= len(plan.bursts) <= 10
    assert TOLERANCE < plan.short_by <= NEAR
    rises = np.diff([max(cup.expected.value for cup in burst.cups) for burst in plan.bursts])
    assert rises.min() > 0.5  # no burst for nothing


def test_the_custom_is_beaten_and_would_pass_the_limit():
    plan = demo_bursts()
    assert len(plan.bursts) < len(plan.habit.bursts)
    assert set(plan.habit.bursts) <= {60.0, 30.0, 15.0}
    assert plan.habit.hottest.high > plan.goal.limit


def test_the_first_reading_narrows_what_is_known_of_the_oven():
    widths = [
        (cup.expected.high - cup.expected.low) / burst.seconds
        for burst in demo_bursts().bursts[:2]
        for cup in burst.cups[:1]
    ]
    assert widths[1] < widths[0] / 2


def test_a_steadier_thermometer_and_an_oven_that_is_known_take_no_more_bursts():
    steady = plan_bursts(demo_cups(), Estimate.exact(POWER.value), replace(demo_goal(), doubt=2.0))
    assert len(steady.bursts) <= len(demo_bursts().bursts)


def test_a_target_at_the_limit_is_impossible_and_says_why():
    with pytest.raises(Impossible, match="thermometer"):
        plan_bursts(demo_cups(), POWER, replace(demo_goal(), doubt=12.0))
    with pytest.raises(Impossible, match="ceiling of 185"):
        plan_bursts(demo_cups(), POWER, Goal(target=456.0, ceiling=458.15))


def test_everything_of_a_melt_goes_in_once():
    for part in (Part(), Part(heats=3)):
        plan = demo_bursts(part)
        for cup in demo_cups(part):
            into = [each.supply for each in plan.before[cup.name]]
            into += [
                each.supply
                for burst in plan.bursts
                for after in burst.cups
                if after.name == cup.name
                for each in after.adds
            ]
            into += [held.ingredient.supply for held in plan.held_back[cup.name]]
            assert sorted(into) == sorted(each.supply for each in cup.ingredients)


def test_metal_and_tender_colour_wait_for_the_last_stir_of_the_last_heat():
    now, later = demo_bursts(Part()), demo_bursts(Part(heats=2))
    assert [each.supply for each in now.bursts[-1].cups[0].adds] == ["Penny"]
    assert [each.supply for each in now.bursts[-1].cups[1].adds] == ["Rind"]
    for burst in now.bursts[:-1]:
        assert not {"Penny", "Rind"} & {one.supply for cup in burst.cups for one in cup.adds}
    assert not {"Penny", "Rind"} & {
        one.supply for burst in later.bursts for cup in burst.cups for one in cup.adds
    }
    assert {held.ingredient.supply for each in later.held_back.values() for held in each} == {
        "Penny", "Rind",
    }  # fmt: skip
    last = demo_bursts(Part(heat=2, heats=2, shots_done=4))
    assert last.bursts[-1].cups[0].adds[-1].supply == "Penny"


def test_a_top_up_is_short_and_ends_above_the_start():
    plan = demo_bursts(Part(heat=2, heats=3, shots_done=2))
    assert plan.oven_seconds < demo_bursts().oven_seconds / 2
    assert not any(plan.before.values())
    assert plan.bursts[-1].cups[0].expected.value > 436.15


def test_exposure_counts_the_fall_to_the_start():
    plain = plan_bursts(demo_cups(), POWER, demo_goal())
    told = plan_bursts(demo_cups(), POWER, demo_goal(), start=436.15)
    assert told.exposed[0].above > plain.exposed[0].above > 0
    assert told.exposed[0].dose > plain.exposed[0].dose > 0
    assert told.cool_s > 0 == plain.cool_s


def test_cups_that_are_hot_enough_need_no_burst():
    hot = tuple(replace(each, state=CupState(melt=447.0, glass=430.0)) for each in demo_cups())
    assert plan_bursts(hot, POWER, demo_goal(), heat=2, heats=2).bursts == ()


def test_a_bench_without_an_oven_is_asked_for_one():
    with pytest.raises(InputError, match="no microwave oven"):
        oven_power(None)
    assert POWER.value == pytest.approx(360.0)
    assert POWER.low == pytest.approx(270.0, abs=0.01)


@given(st.lists(st.floats(0, 10), min_size=2, max_size=12), st.floats(0.5, 9.5))
def test_time_above_a_level_is_that_of_the_line(values, level):
    times = np.arange(len(values), dtype=float)
    fine = np.linspace(0, times[-1], 4000 * len(values))
    sampled = np.mean(np.interp(fine, times, values) > level) * times[-1]
    found = time_above(times, np.array(values), level)
    assert found == pytest.approx(sampled, abs=0.01 * len(values))
