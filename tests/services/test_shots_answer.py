"""Heats for one to four moulds: the demo's numbers, and what is counted once."""

from dataclasses import replace

import pytest

from partline.errors import InputError
from partline.quantities.estimate import Estimate
from partline.services.shots import (
    band_of,
    draw_of,
    largest_melt,
    plan_shots,
    shooting_of,
    shots_as_json,
)
from tests.process.shooting import demo_plan


@pytest.fixture(scope="module")
def found():
    return shots_as_json(plan_shots(demo_plan(), moulds=4))


@pytest.mark.parametrize(("moulds", "heats"), [(1, 11), (2, 6), (4, 3)])
def test_the_demos_moulds_take_the_heats_that_were_worked(found, moulds, heats):
    row = next(each for each in found["by_moulds"] if each["moulds"] == moulds)
    assert row["heats"] == heats
    assert sum(row["melts"]) == 11


def test_four_moulds_give_three_to_four_shots_a_heat(found):
    assert found["heats"] == 3
    assert found["shots_per_heat"]["value"] == 4
    assert {heat["shots"] for heat in found["heat_plan"]} == {3, 4}


def test_melts_that_differ_from_the_plans_are_said(found):
    assert found["planned_melts"] == [6, 5]
    assert found["heats_with_planned_melts"] == 4
    assert any("melts of 7 and 4" in note for note in found["notes"])


def test_no_melt_is_larger_than_a_cup(found):
    assert largest_melt(demo_plan()) == 10  # 318 mL for eleven, 300 mL fit
    assert max(max(row["melts"]) for row in found["by_moulds"]) <= 10


def test_the_timeline_lengthens_and_stays_in_the_band(found):
    assert len(found["timeline"]) == 11
    for shot in found["timeline"]:
        assert 150.0 <= shot["cup"]["celsius"] <= 163.0
        assert shot["opens_at_s"] > shot["at_s"] + 150
    alone = plan_shots(demo_plan(), moulds=1).by_moulds[1].best.shots
    closed = [shot.opens_at - shot.at for shot in alone[:6]]
    assert closed == sorted(closed)


def test_what_the_barrel_takes_is_the_shots_and_not_the_cups(found):
    plan = demo_plan()
    cold = replace(plan.bench, syringes=replace(plan.bench.syringes, preheat=None))
    chilled, warm = shooting_of(replace(plan, bench=cold)), shooting_of(plan)
    assert chilled.barrel_loss > warm.barrel_loss > 0
    assert [cup.fall(0.1, 436.0, 60.0) for cup in chilled.cups] == [
        cup.fall(0.1, 436.0, 60.0) for cup in warm.cups
    ]
    assert found["barrel"]["plastic_celsius"]["value"] < 163.0


def test_preheating_is_weighed_against_what_it_costs(found):
    table = found["barrel"]["preheats"]
    assert [each["barrel"]["celsius"] for each in table] == [22.0, 100.0, 130.0]
    for key in ("plastic", "skin"):
        assert [each[key]["celsius"] for each in table] == sorted(
            each[key]["celsius"] for each in table
        )
    assert table[0]["heat_kj"] == 0.0
    assert table[-1]["heat_kj"] == pytest.approx(0.3 * 0.896 * 108, abs=0.06)  # kJ, to a tenth


def test_a_barrel_so_cold_that_the_plastic_sets_on_it_is_warned_of():
    plan = demo_plan()
    syringes = replace(plan.bench.syringes, preheat=None)
    cold = replace(plan, bench=replace(plan.bench, syringes=syringes))
    said = shots_as_json(plan_shots(cold, moulds=1))["notes"]
    assert any("sets there" in note for note in said)
    warm = shots_as_json(plan_shots(plan, moulds=1))["notes"]
    assert not any("sets there" in note for note in warm)


def test_a_barrel_that_nobody_weighed_is_left_out_and_said():
    plan = demo_plan()
    unknown = replace(plan.bench, syringes=replace(plan.bench.syringes, barrel_mass=None))
    there = replace(plan, bench=unknown)
    assert draw_of(there, 436.15) is None
    answer = shots_as_json(plan_shots(there, moulds=1))
    assert answer["barrel"] is None
    assert any("not known" in note for note in answer["notes"])


def test_a_start_below_the_band_is_refused():
    plan = demo_plan()
    cold = replace(plan.recipe, handling=replace(plan.recipe.handling, start=420.0))
    with pytest.raises(InputError, match="band"):
        band_of(replace(plan, recipe=cold))


def test_heavier_moulds_stay_cooler():
    light, heavy = (
        plan_shots(demo_plan(), moulds=1, mould_mass=Estimate.exact(mass)).by_moulds[1].best
        for mass in (0.8, 4.0)
    )
    assert heavy.lasts < light.lasts
