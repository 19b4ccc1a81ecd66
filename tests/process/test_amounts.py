"""Grams in each cup: nothing is lost, nothing is more than its vessel holds."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import Impossible, OutOfRange
from partline.materials.mould import SectionShape
from partline.process.amounts import Amounts, baits_to_mould, plan_amounts, share_out
from partline.process.bench import Bench
from partline.process.recipe import Half, Recipe
from partline.quantities.estimate import Estimate, Origin
from tests.process.pours import Pour, pours
from tests.process.shed import (
    bench,
    demo,
    drops,
    grams,
    mould,
    mould_of,
    one_colour,
    shelf,
    station,
    two_colours,
)

#: Sums of a few hundred floats keep twelve digits.
ROUNDING = 1e-12


def planned(pour: Pour) -> Amounts:
    return plan_amounts(pour.recipe, pour.mould, pour.bench, shelf(), good=pour.good)


def planned_demo(
    recipe: Recipe | None = None, at: Bench | None = None, good: int = 40, **changes: object
) -> Amounts:
    body = replace(mould(), **changes)  # type: ignore[arg-type]
    return plan_amounts(recipe or demo(3), body, at or bench(), shelf(), good=good)


@settings(deadline=None, max_examples=30)
@given(pour=pours)
def test_no_gram_is_lost_between_cups_ingredients_and_budget(pour):
    plan = planned(pour)
    cups = [cup for melt in plan.melts for cup in melt.cups]
    total = sum(cup.mass for cup in cups)
    assert plan.budget.total.value == pytest.approx(total, rel=ROUNDING)
    for cup in cups:
        parts = sum(each.mass for each in cup.ingredients)
        assert parts == pytest.approx(cup.mass, rel=ROUNDING)
        assert all(each.mass >= 0 for each in cup.ingredients)
    by_side = sum(plan.mass(side.half) for side in pour.recipe.sides)
    assert by_side == pytest.approx(total, rel=ROUNDING)


@settings(deadline=None, max_examples=30)
@given(pour=pours)
def test_the_baits_in_the_budget_are_the_baits_that_are_moulded(pour):
    plan = planned(pour)
    # Each side fills half of the cavity's volume, so the mean of their densities stands for it.
    assert plan.budget.baits.value == pytest.approx(plan.moulded * plan.bait_mass.value, rel=1e-9)


@settings(deadline=None, max_examples=30)
@given(pour=pours)
def test_there_are_enough_shots_and_none_too_many(pour):
    plan = planned(pour)
    assert plan.shots * pour.mould.cavities >= plan.to_mould
    assert (plan.shots - 1) * pour.mould.cavities < plan.to_mould
    assert plan.moulded == plan.shots * pour.mould.cavities
    assert sum(melt.shots for melt in plan.melts) == plan.shots
    # On the average enough of them are good.
    assert plan.to_mould * (1 - pour.bench.reject_share) >= plan.good - 1e-6


@settings(deadline=None, max_examples=30)
@given(pour=pours)
def test_no_cup_and_no_syringe_is_filled_past_its_limit(pour):
    plan = planned(pour)
    limit = pour.bench.vessel.limit
    fullest = max(cup.hot_volume for melt in plan.melts for cup in melt.cups)
    assert fullest <= limit * (1 + ROUNDING)
    assert plan.vessel.used == pytest.approx(fullest, rel=ROUNDING)
    assert plan.vessel.limit == pytest.approx(limit, rel=ROUNDING)
    assert plan.syringe.used <= plan.syringe.limit * (1 + ROUNDING)


@settings(deadline=None, max_examples=30)
@given(pour=pours)
def test_there_are_as_few_melts_as_the_cup_allows(pour):
    plan = planned(pour)
    if len(plan.melts) == 1:
        assert plan.single_melt == pytest.approx(plan.vessel.used, rel=ROUNDING)
        return
    assert plan.single_melt > pour.bench.vessel.limit
    # One melt fewer, and the fullest would take this many shots: more than a cup may hold.
    crowded = ceil(plan.shots / (len(plan.melts) - 1))
    endless = replace(
        pour.bench, reject_share=0.0, vessel=replace(pour.bench.vessel, capacity=10.0)
    )
    once = replace(pour, bench=endless, good=crowded * pour.mould.cavities)
    assert planned(once).vessel.used > pour.bench.vessel.limit


@settings(deadline=None, max_examples=30)
@given(pour=pours)
def test_cold_volume_in_is_hot_volume_shrunk(pour):
    plan = planned(pour)
    rise = plan.working_temperature - 296.15
    for cup in plan.melts[0].cups:
        cold = sum(each.mass / shelf().find(each.supply).density.value for each in cup.ingredients)
        # Volumes add up when cold; heat makes all of it grow by at most 7.5e-4 /K, the widest
        # expansion on the shelf, and never shrink.
        assert cold * (1 - ROUNDING) <= cup.hot_volume <= cold * (1 + 7.5e-4 * rise)


@settings(deadline=None, max_examples=30)
@given(pour=pours)
def test_every_cup_is_known_to_a_range_about_its_mass(pour):
    for melt in planned(pour).melts:
        for cup in melt.cups:
            assert cup.known.low <= cup.mass <= cup.known.high
            assert cup.known.value == pytest.approx(cup.mass, rel=ROUNDING)


@settings(max_examples=60)
@given(good=st.integers(1, 10_000), reject=st.integers(0, 90))
def test_whole_baits_are_rounded_up_and_never_by_a_rounding_error(good, reject):
    exact = -(-good * 100 // (100 - reject))  # in whole numbers, apart from the code's floats
    assert baits_to_mould(good, reject / 100) == exact


@settings(max_examples=40)
@given(shots=st.integers(1, 2000), melts=st.integers(1, 40))
def test_shots_are_shared_out_evenly_and_none_is_lost(shots, melts):
    parts = share_out(shots, melts)
    assert sum(parts) == shots
    assert len(parts) == melts
    assert max(parts) - min(parts) <= 1
    assert list(parts) == sorted(parts, reverse=True)
    assert parts[0] == ceil(shots / melts)


def test_equal_syringes_push_equal_halves_of_every_shot():
    plan = planned_demo()
    assert plan.mass(Half.BACK) == pytest.approx(plan.mass(Half.BELLY), rel=ROUNDING)


def test_a_heavier_plastic_fills_the_same_cavity_with_more_grams():
    salted = two_colours((grams("fine salt", 20),), ())
    volume = Estimate.exact(10e-6)
    plan = planned_demo(salted, bait_mass=None, bait_volume=volume, cavities=1)
    assert plan.mass(Half.BACK) > plan.mass(Half.BELLY)
    assert plan.bait_density.value > 1016.0


def test_a_bait_weighed_in_another_plastic_is_scaled_by_density():
    plain = planned_demo(one_colour())
    scaled = planned_demo(one_colour(), weighed_density=2 * 1016.0)
    assert scaled.bait_mass.value == pytest.approx(plain.bait_mass.value / 2, rel=1e-9)
    assert scaled.budget.sprue.value == pytest.approx(plain.budget.sprue.value / 2, rel=1e-9)


def test_a_heavy_loading_in_a_mould_of_unknown_density_is_pointed_out():
    notes = [note.text for note in planned_demo(one_colour(grams("fine salt", 20))).notes]
    assert any("weigh more than plain plastic" in text for text in notes)


def test_a_start_outside_the_label_band_is_pointed_out():
    assert any("171 °C is above" in note.text for note in planned_demo(demo(2)).notes)
    assert not any("start" in note.about for note in planned_demo(demo(3)).notes)


def test_a_one_colour_pour_fills_cup_a_alone_with_everything():
    one, two = planned_demo(one_colour()), planned_demo(two_colours((), ()))
    assert [cup.half.cup for cup in one.melts[0].cups] == ["A"]
    assert one.budget.baits.value == pytest.approx(two.budget.baits.value, rel=ROUNDING)
    assert one.budget.block.value == pytest.approx(two.budget.block.value, rel=ROUNDING)


def test_more_shots_a_draw_leave_fewer_heels():
    wide = replace(bench(), syringes=replace(bench().syringes, capacity=400e-6, shots_per_draw=3))
    each = replace(wide, syringes=replace(wide.syringes, shots_per_draw=1))
    few, many = planned_demo(at=wide), planned_demo(at=each)
    assert few.melts[0].draws < many.melts[0].draws
    assert few.budget.heels.value < many.budget.heels.value
    assert few.budget.baits.value == pytest.approx(many.budget.baits.value, rel=ROUNDING)


def test_a_wider_weighing_makes_a_cup_wider_known():
    loose = Estimate.within(10.2e-3, 0.1, Origin.ENTERED)
    exact = Estimate.exact(10.2e-3)
    cups = [planned_demo(bait_mass=mass).melts[0].cups[0].known for mass in (loose, exact)]
    assert cups[0].high - cups[0].low > cups[1].high - cups[1].low
    # 6 shots × half of 4 baits × 10.2 g, known to a factor 1.1 upwards.
    assert cups[0].high - cups[0].value >= 6 * 2 * 10.2e-3 * 0.1


def test_a_cup_of_exact_weighings_is_exact():
    pour = mould_of(station(12, 6, 6))
    exact = replace(
        bench(),
        block_loss=Estimate.exact(1.5e-3),
        vessel=replace(bench().vessel, film=Estimate.exact(4e-3)),
        syringes=replace(bench().syringes, heel=Estimate.exact(0.7e-3)),
    )
    plan = plan_amounts(two_colours((), ()), pour, exact, shelf(), good=10)
    assert all(cup.known.is_exact for melt in plan.melts for cup in melt.cups)


@pytest.mark.parametrize("good", [0, -1, 10_001])
def test_a_nonsense_number_of_baits_is_refused(good):
    with pytest.raises(OutOfRange, match="1 to 10 000") as refusal:
        planned_demo(good=good)
    assert (refusal.value.low, refusal.value.high, refusal.value.field) == (1, 10_000, "count")


def test_a_cup_too_small_for_one_shot_is_impossible_and_the_size_that_would_do_is_named():
    small = replace(bench(), vessel=replace(bench().vessel, capacity=30e-6))
    with pytest.raises(Impossible, match="One shot alone") as refusal:
        planned_demo(at=small)
    needed = float(refusal.value.nearest.split(" mL")[0].split()[-1])
    enough = replace(bench(), vessel=replace(bench().vessel, capacity=(needed + 1) * 1e-6))
    assert planned_demo(at=enough).shots == 11  # printed to 1 mL; a millilitre more must do


def test_a_syringe_holds_the_shot_and_the_heel_that_stays_in_it():
    plan = planned_demo()
    back = plan.melts[0].cups[0]
    # A shot's half, (4 × 10.2 + 9.0 + 1.5) / 2 g, and 0.7 g of heel, in the fuller cup's plastic.
    grams_a_draw = (4 * 10.2 + 9.0 + 1.5) / 2 + 0.7
    fuller = max(cup.hot_volume / cup.mass for cup in plan.melts[0].cups)
    assert plan.syringe.used == pytest.approx(grams_a_draw * 1e-3 * fuller, rel=ROUNDING)
    assert back.hot_volume / back.mass <= fuller


def test_a_syringe_too_small_for_a_draw_is_impossible():
    small = replace(bench(), syringes=replace(bench().syringes, capacity=20e-6))
    with pytest.raises(Impossible, match="can be drawn into each"):
        planned_demo(at=small)


def test_a_mould_whose_line_is_off_the_middle_is_pointed_out():
    crooked = mould_of(station(12, 3, 9, SectionShape.ELLIPTIC))
    plan = plan_amounts(two_colours((), ()), crooked, bench(), shelf(), good=10)
    assert any("25 % of the section" in note.text for note in plan.notes)


def test_drops_that_cannot_be_counted_whole_are_pointed_out():
    plan = planned_demo(two_colours((drops("Soot", 0.3),), ()), good=4)
    assert any(note.about == "Soot" for note in plan.notes)
