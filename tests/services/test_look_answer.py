"""A look in the maker's units: the promised keys, ranges about values, each side's own cup."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from partline.errors import Invalid, OutOfRange
from partline.process.recipe import Half
from partline.process.rendering import Quality
from partline.quantities.estimate import Estimate
from partline.services.look import look_as_json, preview_look
from partline.services.plan import plan_as_json, plan_pour
from partline.services.why import why_as_dicts
from tests.process.shed import (
    LESSON_NAMES,
    bench,
    demo,
    drops,
    grams,
    lesson,
    mould,
    one_colour,
    shelf,
    two_colours,
)


def looked(recipe, stock: str = "vessary-shed", body: str = "reed-130", **more):
    answer = preview_look(recipe, mould(body), shelf(stock), draws=16)
    return json.loads(json.dumps(look_as_json(answer, **more), allow_nan=False))


def test_a_look_has_the_keys_that_the_issue_promises():
    look = looked(demo(1))
    for key in ("back_belly", "side"):
        difference = look["distinctness"][key]
        assert difference["low"] <= difference["value"] <= difference["high"]
        assert difference["verdict"] in {"same", "barely", "close", "clear", "strong"}
    for station in look["stations"]:
        assert {"name", "half_thickness_mm", "back_hiding", "belly_hiding"} <= set(station)
        assert station["see_through"] >= 0
    assert look["picture"]["provisional"] is True
    assert look["advice"]
    assert look["origins"]


@pytest.mark.parametrize("body", ["reed-130", "fry-75"])
@pytest.mark.parametrize("name", LESSON_NAMES)
def test_every_lesson_is_answered_in_both_moulds(name, body):
    look = looked(lesson(name), "lessons", body)
    for station in look["stations"]:
        for half in ("back", "belly", "whole"):
            if (ends := station.get(f"{half}_hiding_range")) is None:
                continue
            assert 0 <= ends[0] <= station[f"{half}_hiding"] <= ends[1] <= 1


def test_the_stations_are_told_in_millimetres():
    belly = looked(demo(1))["stations"][1]
    assert (belly["name"], belly["half_thickness_mm"], belly["width_mm"]) == ("belly", 6.0, 12.0)


def test_every_number_says_where_it_comes_from():
    look = looked(demo(1))
    names = {each["name"] for each in look["origins"]}
    assert {"Peat: drop mass", "Peat: strength", "wanted hiding"} <= names
    for each in look["origins"]:
        assert each["origin"]
        assert each["low"] <= each["value"] <= each["high"]
    assert set(look["why"]) >= {"hiding", "see_through", "back_belly", "side", "needed"}


@pytest.mark.parametrize("key", ["see_through", "back_belly", "side"])
def test_why_tells_of_the_light_that_the_figures_rest_on(key):
    by_slabs, by_sections = (
        str(why_as_dicts(quality)[key]["formula"]) for quality in (Quality.SLAB, Quality.SECTIONS)
    )
    assert "flat layers" in by_slabs
    assert "flat layers" not in by_sections
    told = looked(demo(1))
    assert told["picture"]["quality"] == Quality.SECTIONS
    assert told["why"][key]["formula"] == by_sections
    assert "flat layers" in told["why"]["hiding"]["formula"]  # the card's reading, always


def test_inputs_are_told_without_the_dust_of_a_change_of_unit():
    plan = plan_as_json(plan_pour(demo(1), mould(), bench(), shelf(), good=40))
    for each in plan["origins"]:  # type: ignore[attr-defined]
        for end in ("low", "value", "high"):
            assert len(f"{each[end]!r}") < 16  # 10.2, not 10.200000000000001


def test_figures_of_advice_are_rounded_for_reading():
    for advice in looked(demo(1))["advice"]:
        for key in ("from", "to", "factor", "expected_hiding"):
            assert advice[key] is None or advice[key] == round(advice[key], 3)


def test_a_default_wish_is_not_passed_off_as_the_makers():
    silent = looked(two_colours((drops("Peat", 3),), ()))
    stated = looked(demo(1))
    origin = {
        name: next(each["origin"] for each in look["origins"] if each["name"] == "wanted hiding")
        for name, look in (("silent", silent), ("stated", stated))
    }
    # A recipe by hand says 0.9 itself but leaves `is_default` as it is when nobody said so.
    assert origin == {"silent": "default", "stated": "entered"}


def test_what_is_needed_is_told_in_drops_for_the_actual_cup():
    plan = plan_pour(demo(1), mould(), bench(), shelf(), good=40)
    masses = {cup.half: cup.mass for cup in plan.amounts.melts[0].cups}
    needed = looked(demo(1), cup_masses=masses)["needed"][0]
    assert needed["supply"] == "Peat"
    assert needed["limiting_station"] == "tail"
    belly = next(each for each in needed["stations"] if each["station"] == "belly")
    # 162.1 g in the cup: 1.621 times what 100 g need; both are rounded.
    assert belly["in_cup"] == pytest.approx(belly["per_100_g"] * 1.621, abs=0.06)
    assert needed["now_in_cup"] == pytest.approx(3 * 1.621, abs=0.06)


def test_each_side_is_told_for_its_own_cup():
    salted = two_colours((drops("Peat", 3), grams("fine salt", 20)), (drops("Peat", 3),))
    by_volume = replace(mould(), bait_mass=None, bait_volume=Estimate.exact(10e-6))
    plan = plan_pour(salted, by_volume, bench(), shelf(), good=40)
    masses = {cup.half: cup.mass for cup in plan.amounts.melts[0].cups}
    assert masses[Half.BACK] > 1.05 * masses[Half.BELLY]
    back, belly = looked(salted, cup_masses=masses)["needed"]
    # Three drops in 100 g on both sides, to 0.1 drop.
    assert back["now_in_cup"] == pytest.approx(30 * masses[Half.BACK], abs=0.05)
    assert belly["now_in_cup"] == pytest.approx(30 * masses[Half.BELLY], abs=0.05)


def test_without_a_bench_nothing_is_said_of_a_cup():
    needed = looked(demo(1))["needed"][0]
    assert needed["now_in_cup"] is None
    assert all(each["in_cup"] is None for each in needed["stations"])


def test_a_one_colour_bait_has_no_line_to_be_seen():
    look = looked(one_colour(drops("Chalk", 5)))
    assert look["distinctness"] == {"back_belly": None, "side": None}
    assert all(each["see_through"] is None for each in look["stations"])
    assert look["stations"][0]["back_hiding"] == look["stations"][0]["whole_hiding"]


def test_everything_that_is_not_on_the_shelf_is_named_at_once():
    with pytest.raises(Invalid) as refusal:
        preview_look(two_colours((drops("Peet", 3),), (drops("Penny", 1),)), mould(), shelf())
    fields = [each.field for each in refusal.value.problems]
    assert fields == ["back.load[0].supply", "belly.load[0].per_100_g"]


def test_what_glows_or_shifts_is_said_not_to_be_predicted():
    notes = looked(demo(1))["notes"]
    assert any("Rind glows" in each for each in notes)
    assert any("Penny is in the figures as its mean colour" in each for each in notes)


def test_an_estimate_outside_its_range_cannot_be_made():
    with pytest.raises(OutOfRange):
        replace(Estimate.exact(1.0), low=2.0)
