"""A heat in the maker's words: bursts, band, stirring, what waits, what is learned."""

from dataclasses import replace

import pytest

from partline.errors import InputError, OutOfRange
from partline.process.recipe import Loading, Measure
from partline.quantities.estimate import Estimate
from partline.services.heating import (
    Part,
    band_for,
    cups_to_heat,
    goal_of,
    heat_cups,
    heat_pour,
    part_of,
    stirs_for,
)
from partline.services.heating_answer import heating_as_json
from partline.services.plan import plan_pour
from tests.process.shooting import demo_plan


@pytest.fixture(scope="module")
def found():
    return heating_as_json(heat_pour(demo_plan(), moulds=4))


def test_the_demos_melt_ends_at_its_target_with_fewer_bursts_than_the_custom(found):
    last = found["bursts"][-1]["cups"]
    assert all(172 <= cup["expected"]["celsius"]["value"] <= 178 for cup in last)
    assert len(found["bursts"]) < len(found["habit"]["bursts_s"])
    assert not found["habit"]["stays_under_limit"]


def test_no_reading_that_is_planned_comes_near_the_ceiling(found):
    assert found["ceiling"]["celsius"] == 185.0
    assert found["limit"]["celsius"] == 180.0
    for burst in found["bursts"]:
        for cup in burst["cups"]:
            assert cup["hottest"]["celsius"]["high"] <= 180.5
            assert cup["expected"]["celsius"]["high"] < 180.0


def test_moulds_decide_how_many_heats_a_melt_takes():
    plan = demo_plan()
    assert part_of(plan, melt=1, heat=1, moulds=1).heats == 6
    assert part_of(plan, melt=2, heat=5, moulds=1).shots_done == 4
    with pytest.raises(OutOfRange, match="melt 3"):
        part_of(plan, melt=3, heat=1, moulds=1)
    with pytest.raises(OutOfRange, match="heat 9"):
        part_of(plan, melt=1, heat=9, moulds=1)


def test_what_waits_for_the_last_heat_is_said(found):
    assert {(each["cup"], each["supply"]) for each in found["held_back"]} == {
        ("A", "Penny"), ("B", "Rind"),
    }  # fmt: skip
    assert any("must wait for the last" in note for note in found["notes"])
    assert any("never in the microwave" in caution for caution in found["cautions"])


def test_what_waited_is_for_what_is_left_of_the_cup():
    plan = demo_plan()
    last = heating_as_json(heat_pour(plan, heat=2, moulds=4))
    adds = last["bursts"][-1]["cups"][0]["adds"]
    assert [each["supply"] for each in adds] == ["Penny"]
    left = last["cups"][0]["grams"]
    assert adds[0]["grams"] == pytest.approx(0.0025 * left, abs=0.006)  # hundredths of a gram
    assert left < plan.amounts.melts[0].cups[0].mass * 1e3 / 2


def test_a_bench_that_reads_fahrenheit_is_told_fahrenheit():
    plan = demo_plan()
    there = replace(plan, bench=replace(plan.bench, reads_fahrenheit=True))
    told = heating_as_json(heat_pour(there))
    assert told["temperatures"] == "°F"
    assert told["target"]["shown"] == "347 °F"
    assert told["bursts"][0]["cups"][0]["expected"]["shown"].count("°F") == 1


def test_a_heat_goes_on_from_readings_and_from_learned_power():
    plan, part = demo_plan(), Part()
    on = heat_cups(plan, part, temperatures={"A": 430.0, "B": 428.0})
    assert on.oven_seconds < heat_cups(plan, part).oven_seconds / 2
    weak = heat_cups(plan, part, power=Estimate.exact(250.0))
    assert weak.oven_seconds > heat_cups(plan, part).oven_seconds
    alone = heat_cups(plan, part, only="B")
    assert {cup.name for burst in alone.bursts for cup in burst.cups} == {"B"}
    with pytest.raises(InputError, match="no cup C"):
        heat_cups(plan, part, only="C")


def test_a_small_cup_is_topped_up_without_the_margin():
    plan = demo_plan()
    part = part_of(plan, melt=1, heat=6, moulds=1)
    assert goal_of(plan, part).target == pytest.approx(442.15)
    tops = heat_cups(plan, part)
    assert tops.goal.target <= 442.15
    assert tops.bursts[-1].cups[0].expected.value >= 436.1


def test_the_band_and_the_stirring_are_those_of_the_plan(found):
    assert found["band"]["start_binds"] == found["band"]["stop_binds"] == "label"
    assert band_for(demo_plan()).stop.temperature.value == pytest.approx(423.15)
    assert [each["supply"] for each in found["stir"]] == ["Penny", None]
    fuller, emptier = (stirs_for(demo_plan(), {"A": mass})["A"].interval for mass in (0.16, 0.05))
    assert fuller is not None
    assert emptier is not None
    assert emptier.value < fuller.value


def test_cups_begin_at_the_room_or_at_the_stop():
    fresh, top_up = (cups_to_heat(demo_plan(), Part(heat=heat, heats=2)) for heat in (1, 2))
    assert fresh[0].state.melt == pytest.approx(295.15)
    assert top_up[0].state.melt == pytest.approx(423.15)
    assert top_up[0].state.glass < top_up[0].state.melt


def test_a_flake_that_sheds_waits_for_a_cooler_reading():
    plan = demo_plan()
    moss = Loading(supply="Moss", amount=0.3, measure=Measure.GRAMS)
    back = replace(plan.recipe.sides[0], loadings=(*plan.recipe.sides[0].loadings, moss))
    recipe = replace(plan.recipe, sides=(back, plan.recipe.sides[1]))
    mossy = plan_pour(recipe, plan.mould, plan.bench, plan.shelf, good=8)
    told = heating_as_json(heat_pour(mossy, moulds=4))
    adds = {each["supply"]: each for each in told["bursts"][-1]["cups"][0]["adds"]}
    assert adds["Moss"]["not_above_celsius"] == 165.0  # sheds above 170, read to 5 K
    assert adds["Penny"]["not_above"] is None
    held = heating_as_json(heat_pour(mossy, moulds=1))["held_back"]
    assert "Moss" in {each["supply"] for each in held}
