"""A side's plastic as shares that add up, and the density that follows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from partline.errors import Imbalance, InputError
from partline.materials.shelf import Shelf
from partline.process.composition import compose
from partline.process.ingredients import Step, weigh_out
from partline.process.recipe import GradeShare, Half, Side
from partline.quantities.estimate import Estimate
from tests.process.pours import sides
from tests.process.shed import drops, grams, plastic_of, shelf, side_of


@settings(deadline=None, max_examples=40)
@given(side=sides(Half.WHOLE))
def test_the_shares_of_a_cup_add_up_to_one(side):
    shares = [part.share for part in compose(side, shelf()).parts]
    assert sum(shares) == pytest.approx(1.0, rel=1e-12)
    assert min(shares) >= 0


@settings(deadline=None, max_examples=40)
@given(side=sides(Half.WHOLE))
def test_a_cup_is_no_denser_than_its_densest_part_and_no_lighter_than_its_lightest(side):
    plastic = compose(side, shelf())
    each = [part.supply.density.value for part in plastic.parts if part.share > 0]
    assert min(each) * (1 - 1e-12) <= plastic.density.value <= max(each) * (1 + 1e-12)
    assert plastic.density.low <= plastic.density.value <= plastic.density.high


@settings(deadline=None, max_examples=40)
@given(side=sides(Half.WHOLE))
def test_heat_makes_every_cup_lighter_for_its_volume(side):
    plastic = compose(side, shelf())
    assert plastic.hot_density(plastic.hottest_working) < plastic.density.value


def test_nine_drops_of_thirty_milligrams_are_two_hundred_and_seventy_milligrams():
    peat = plastic_of(drops("Peat", 9)).loadings[0]
    assert peat.share == pytest.approx(9 * 30e-6 / 0.100, rel=1e-12)
    assert peat.drops == 9


def test_a_loading_is_of_the_filled_cup_and_plastisol_is_the_rest():
    plastic = plastic_of(grams("Penny", 0.25), grams("fine salt", 10))
    assert plastic.plastisol_share == pytest.approx(1 - 0.0025 - 0.10, rel=1e-12)


def test_a_blend_keeps_its_proportion_whatever_is_loaded():
    blend = (GradeShare(grade="soft", share=0.7), GradeShare(grade="medium", share=0.3))
    plastic = compose(
        Side(half=Half.WHOLE, blend=blend, loadings=(grams("fine salt", 20),)), shelf()
    )
    soft, medium = (share for _, share in plastic.grades)
    assert soft / medium == pytest.approx(7 / 3, rel=1e-12)
    assert plastic.band == (155 + 273.15, 165 + 273.15)  # what both labels allow


def test_a_cup_that_is_mostly_loading_is_refused_with_its_grams():
    with pytest.raises(Imbalance, match=r"55 g in every 100 g") as refusal:
        plastic_of(grams("fine salt", 55))
    assert refusal.value.field == "back"


def test_flake_has_no_drops():
    with pytest.raises(InputError, match="no drop of it has been weighed"):
        plastic_of(drops("Penny", 3))


def test_a_supply_is_found_whatever_its_capitals():
    assert plastic_of(drops("PEAT", 3)).loadings[0].supply.name == "Peat"


def test_an_empty_shelf_says_that_it_is_empty():
    with pytest.raises(InputError, match="The shelf is empty"):
        compose(side_of(Half.BACK), Shelf())


def test_ingredients_come_in_the_order_they_go_in():
    plastic = plastic_of(
        grams("Penny", 0.25), drops("Rind", 3), drops("Chalk", 5), grams("fine salt", 8)
    )
    steps = [each.step for each in weigh_out(plastic, Estimate.exact(0.150))]
    assert steps == sorted(steps)
    assert steps == [Step.COLD, Step.SALT, Step.COLOUR, Step.TENDER, Step.FLAKE]


@settings(deadline=None, max_examples=40)
@given(side=sides(Half.WHOLE))
def test_whole_drops_are_the_nearest_to_the_exact_figure(side):
    for each in weigh_out(compose(side, shelf()), Estimate.exact(0.1621)):
        if each.drops is None or each.drops_exact is None:
            assert each.kind != "colourant"
            continue
        assert abs(each.drops - each.drops_exact) <= 0.5
        drop = shelf().find(each.supply).drop_mass.value  # type: ignore[attr-defined]
        assert each.drops_exact * drop == pytest.approx(each.mass, rel=1e-12, abs=1e-18)


def test_what_is_weighed_for_drops_is_known_as_well_as_the_drop():
    # 30 mg (28.6 to 31.4): 4.7 % either way; grams asked for are grams, whatever a drop weighs.
    for loading, drop in ((drops("Peat", 9), 0.047), (grams("Peat", 0.27), 0.0)):
        peat = weigh_out(plastic_of(loading), Estimate.exact(0.1))[-1].known
        assert peat.high / peat.value - 1 == pytest.approx(drop, abs=5e-4)
        assert 1 - peat.low / peat.value == pytest.approx(drop, abs=5e-4)


def test_metal_flake_is_kept_out_of_the_microwave_oven():
    penny = weigh_out(plastic_of(grams("Penny", 0.25)), Estimate.exact(0.15))[-1]
    assert "never in the microwave" in penny.caution


def test_a_pinch_too_small_to_level_is_not_told_in_spoons():
    pinch = weigh_out(plastic_of(grams("fine salt", 0.1)), Estimate.exact(0.10))[1]
    assert pinch.teaspoons is None


def test_a_spoon_of_salt_is_its_mass_by_its_loose_density():
    salt = weigh_out(plastic_of(grams("fine salt", 10)), Estimate.exact(0.150))[1]
    loose = shelf().find("fine salt").bulk_density  # type: ignore[attr-defined]
    assert salt.teaspoons is not None
    # NIST Handbook 44, Appendix C: a US teaspoon is 4.928 92 mL, printed to six digits.
    assert salt.teaspoons.value == pytest.approx(0.015 / loose.value / 4.92892e-6, rel=1e-6)
    # Loosely heaped salt fills more spoons, tightly packed salt fewer.
    assert salt.teaspoons.low == pytest.approx(0.015 / loose.high / 4.92892e-6, rel=1e-6)
    assert salt.teaspoons.high == pytest.approx(0.015 / loose.low / 4.92892e-6, rel=1e-6)


def test_expansion_counts_the_plastisol_alone():
    plain, salted = plastic_of(), plastic_of(grams("fine salt", 40))
    ratio = salted.expansion.value / plain.expansion.value
    assert ratio == pytest.approx(salted.plastisol_share, rel=1e-12)


def test_a_supply_of_unknown_density_is_never_in_a_plan_with_an_exact_one():
    wide = replace(
        shelf().grades[0],
        density=replace(shelf().grades[0].density, low=900.0, high=1100.0),
    )
    stock = replace(shelf(), grades=(wide, *shelf().grades[1:]))
    loose = compose(side_of(Half.BACK, drops("Peat", 3)), stock).density
    tight = plastic_of(drops("Peat", 3)).density
    assert np.subtract(loose.high, loose.low) > np.subtract(tight.high, tight.low)
