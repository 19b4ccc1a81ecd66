"""A plan in the maker's units: what a scale shows, and sums that a person can check."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Invalid
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind, to_si
from partline.services.plan import plan_as_json, plan_pour, scale_reading
from tests.process.pours import pours
from tests.process.shed import bench, demo, drops, grams, mould, shelf, two_colours


def as_text(pour_answer):
    """Through JSON, as every reader gets it; not a number is refused by JSON's own rules."""
    return json.loads(json.dumps(plan_as_json(pour_answer), allow_nan=False))


@given(mass=st.floats(0, 20), digits=st.integers(0, 3))
def test_a_scale_reading_is_off_by_at_most_half_a_step(mass, digits):
    step = 10.0**-digits
    # Half a step, and the twelve digits that a sum is trusted to.
    assert abs(scale_reading(mass, digits) - mass * 1e3) <= step / 2 + mass * 1e3 * 1e-11


@pytest.mark.parametrize(
    ("mass", "digits", "shown"),
    [
        (0.16205, 1, 162.1),
        (0.162049, 1, 162.0),
        (0.00125, 2, 1.25),
        (0.000125, 2, 0.13),
        (0.0, 1, 0.0),
        (0.1 + 0.2, 1, 300.0),  # the float sum is a little above
    ],
)
def test_a_half_is_rounded_up_whatever_the_float(mass, digits, shown):
    assert scale_reading(mass, digits) == shown


@settings(deadline=None, max_examples=25)
@given(pour=pours)
def test_what_the_card_says_adds_up_on_paper(pour):
    plan = as_text(plan_pour(pour.recipe, pour.mould, pour.bench, shelf(), good=pour.good))
    for cup in ("a", "b"):
        parts = [melt[f"cup_{cup}_g"] for melt in plan["melt_plan"]]
        if plan[f"cup_{cup}_g"] is None:
            assert set(parts) == {None}
            continue
        assert sum(parts) == pytest.approx(plan[f"cup_{cup}_g"], abs=1e-6)  # tenths of a gram
    for melt in plan["melt_plan"]:
        for cup in ("A", "B"):
            lines = [each for each in melt["ingredients"] if each["cup"] == cup]
            if not lines:
                continue
            # Half a step a line and half for the cup; the scale shows tenths or hundredths.
            loss = 0.05 * (len(lines) + 1) + 1e-6
            total = melt[f"cup_{cup.lower()}_g"]
            assert sum(each["grams"] for each in lines) == pytest.approx(total, abs=loss)
    whole = sum(grams for key, grams in plan["budget_g"].items() if key != "total")
    assert whole == pytest.approx(plan["budget_g"]["total"], abs=6 * 0.05)  # six readings
    assert len(plan["ingredients"]) == sum(len(melt["ingredients"]) for melt in plan["melt_plan"])


def test_a_plan_has_the_keys_that_the_issue_promises():
    plan = as_text(plan_pour(demo(3), mould(), bench(), shelf(), good=40))
    assert {"shots", "melts", "cup_a_g", "cup_b_g", "ingredients", "melt_plan"} <= set(plan)
    first = plan["ingredients"][0]
    assert {"cup", "supply", "kind", "grams", "drops", "teaspoons", "when", "melt"} <= set(first)
    for each in plan["origins"]:
        assert each["origin"] in {
            "measured", "entered", "label", "published", "computed", "practice", "memory",
            "default",
        }  # fmt: skip
        assert each["low"] <= each["value"] <= each["high"]


def test_drops_grams_and_spoons_stand_side_by_side():
    plan = as_text(plan_pour(demo(3), mould(), bench(), shelf(), good=40))
    peat = next(each for each in plan["melt_plan"][0]["ingredients"] if each["supply"] == "Peat")
    # 162.1 g at 9 drops in 100 g: 14.6 drops of 30 mg, 0.44 g.
    assert (peat["drops"], peat["drops_exact"], peat["grams"]) == (15, 14.59, 0.44)
    penny = next(each for each in plan["melt_plan"][0]["ingredients"] if each["supply"] == "Penny")
    assert penny["drops"] is None
    assert penny["grams"] == pytest.approx(0.41, abs=0.006)  # 1.621 × 0.25 g, to 0.01 g
    assert "microwave" in penny["caution"]


def test_an_unknown_supply_is_refused_with_its_field_before_anything_is_planned():
    with pytest.raises(Invalid) as refusal:
        plan_pour(two_colours((drops("Peet", 3),), ()), mould(), bench(), shelf(), good=40)
    assert [each.field for each in refusal.value.problems] == ["back.load[0].supply"]


def test_cautions_go_with_every_plan_and_local_codes_come_first():
    plan = as_text(plan_pour(demo(3), mould(), bench(), shelf(), good=40))
    assert "local codes" in plan["cautions"][0]
    assert any("Water" in each for each in plan["cautions"])
    assert any("Fumes" in each for each in plan["cautions"])


@pytest.mark.parametrize(
    ("reads_fahrenheit", "sheds", "start"),
    [
        (False, "Sheds above 170 °C.", "The start of 149 °C is below the labels' working band"),
        (True, "Sheds above 338 °F.", "The start of 300 °F is below the labels' working band"),
    ],
)
def test_cautions_and_notes_follow_the_benchs_thermometer(reads_fahrenheit, sheds, start):
    desk = replace(bench(), reads_fahrenheit=reads_fahrenheit)
    recipe = two_colours((grams("Moss", 0.5),), ())
    cold = replace(recipe.handling, start=to_si("300 °F", Kind.TEMPERATURE))
    plan = as_text(plan_pour(replace(recipe, handling=cold), mould(), desk, shelf(), good=40))
    (moss,) = {each["caution"] for each in plan["ingredients"] if each["supply"] == "Moss"}
    assert moss == sheds
    (note,) = (each for each in plan["notes"] if "working band" in each)
    assert note.startswith(start)
    other = "°C" if reads_fahrenheit else "°F"
    assert other not in " ".join([*plan["notes"], moss])


def test_a_plan_names_no_oz_and_no_bleed():
    text = json.dumps(plan_as_json(plan_pour(demo(2), mould(), bench(), shelf(), good=40)))
    assert "bleed" not in text.lower()
    assert " oz" not in text.replace("oz (weight)", "").replace("fl oz", "")


def test_a_cup_of_the_maker_is_taken_at_its_own_limit():
    half = replace(bench(), vessel=replace(bench().vessel, fill_limit=0.3))
    plan = as_text(plan_pour(demo(3), mould(), half, shelf(), good=40))
    assert plan["fit"]["cup_limit_ml"] == pytest.approx(150, abs=1e-9)
    assert plan["melts"] > 2


@pytest.mark.parametrize(
    ("part", "weighing"),
    [
        ("film", "weighing an emptied cup against the clean one"),
        ("block", "weighing what stays in the joining block after a shot"),
    ],
)
def test_what_is_known_worst_is_what_would_narrow_a_cup(part, weighing):
    known, shed = Estimate(value=2e-3, low=0.0, high=20e-3, origin=Origin.DEFAULT), bench()
    unsure = (
        replace(shed, vessel=replace(shed.vessel, film=known))
        if part == "film"
        else replace(shed, block_loss=known)
    )
    plan = as_text(plan_pour(demo(3), mould(), unsure, shelf(), good=40))
    assert plan["cup_narrows"] == weighing
