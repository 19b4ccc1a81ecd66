"""Drops for a wanted look: hidden recipes come back, limits hold, what cannot be had is said."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isclose

import numpy as np
import pytest

from partline.errors import Impossible, InputError, OutOfRange
from partline.physics.colour_difference import ciede2000
from partline.process.composition import compose
from partline.process.optics import side_optics
from partline.process.recipe import Half
from partline.process.rendering import PictureError
from partline.process.traced import transport
from partline.studies.colour_matching import (
    Bait,
    Limits,
    Models,
    WantedLook,
    look_like,
    match_look,
)
from partline.studies.colour_matching.problem import problem_of
from tests.process.bottles import bottle
from tests.process.shed import demo, grams, mould, one_colour, shelf, two_colours
from tests.process.shed import drops as drops_of
from tests.studies.twelve_bottles import (
    CUPS,
    HALVES,
    bait,
    hidden_look,
    matched,
    problem,
    twelve,
    wanted,
)

#: A vivid red that no bottle of the demo's shelf comes near.
RED = WantedLook(lab=(40.0, 55.0, 30.0))


@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5, 6])
def test_the_look_of_a_hidden_recipe_comes_back(seed):
    found = matched(hidden_look(seed))
    assert found.matches[0].worse <= 0.8  # the benchmark holds the median of fifty to 0.5
    assert found.reach.is_within


def test_the_predicted_look_is_that_of_the_recipe_as_it_would_be_poured():
    found = matched(hidden_look(7)).matches[0]
    model = bait().light().figures
    sides = [side_optics(compose(side, twelve())) for side in found.recipe.sides]
    seen = model.lab(*transport(sides))[0]
    for side, lab in zip(found.sides, seen, strict=True):
        assert side.lab == pytest.approx(tuple(lab), abs=1e-9)
        goal = matched(hidden_look(7)).wanted[side.half].lab
        assert side.difference.value == pytest.approx(float(ciede2000(lab, goal)))


def test_drops_are_whole_in_the_actual_cup_and_the_recipe_says_the_same_per_100_g():
    for found in matched(hidden_look(8)).matches:
        for side in found.sides:
            assert side.cup == CUPS[side.half]
            poured = next(each for each in found.recipe.sides if each.half is side.half)
            told = {each.supply: each.amount for each in poured.loadings}
            for dose in side.doses:
                assert dose.drops >= 1
                in_cup = told[dose.bottle.name] * side.cup / 0.1
                assert isclose(in_cup, dose.drops, abs_tol=1e-3)


def test_several_recipes_differ_in_their_bottles():
    found = matched(hidden_look(2)).matches
    sets = [
        tuple(frozenset(dose.bottle.name for dose in side.doses) for side in each.sides)
        for each in found
    ]
    assert len(found) > 1
    assert len(set(sets)) == len(sets)
    for reason in ("is_closest", "is_fewest", "is_lightest", "is_cheapest"):
        assert sum(getattr(each, reason) for each in found) == 1


@pytest.mark.parametrize("most", [1, 2, 3])
def test_no_side_holds_more_bottles_than_allowed(most):
    for found in matched(hidden_look(3), Limits(most_colourants=most)).matches:
        assert all(len(side.doses) <= most for side in found.sides)


@pytest.mark.parametrize(
    "limits", [Limits(most_drops=6.0), Limits(most_share=0.004), Limits(most_drops=0.7)]
)
def test_no_side_holds_more_colour_than_allowed(limits):
    for found in matched(hidden_look(3), limits).matches:
        for side in found.sides:
            share = sum(dose.mass for dose in side.doses) / side.cup
            per_100_g = sum(dose.drops for dose in side.doses) * 0.1 / side.cup
            assert share <= limits.most_share * (1 + 1e-9)
            assert per_100_g <= (limits.most_drops or np.inf) * (1 + 1e-9)


@pytest.mark.parametrize("seed", [3, 9])
def test_more_drops_allowed_never_gives_a_worse_best(seed):
    lab = hidden_look(seed)
    best = [
        matched(lab, Limits(most_drops=most)).matches[0].worse for most in (2.0, 5.0, 12.0, 40.0)
    ]
    # Where two limits both allow a look nobody could tell apart, either may be the nearer one.
    allowed = [max(before, 0.4) for before in best[:-1]]
    assert all(after <= before + 1e-9 for before, after in zip(allowed, best[1:], strict=True))
    assert best[0] > best[-1]


def test_only_the_allowed_bottles_are_used():
    limits = Limits(only=("clear brown", "Opaque White", "black"), without=("black",))
    names = {b.name for found in matched(hidden_look(4), limits).matches for b in found.bottles}
    assert names <= {"clear brown", "opaque white"}


def test_a_lighter_bottle_of_the_same_look_is_cheaper_and_a_missing_price_is_no_price():
    found = matched(hidden_look(5)).matches
    for each in found:
        by_hand = sum(
            dose.drops * 30e-6 * dose.bottle.stock.price.paid / 0.060
            for side in each.sides for dose in side.doses
            if dose.bottle.stock.price
        )  # fmt: skip
        assert each.cost == pytest.approx(by_hand)
    unpriced = match_look(Bait(recipe=demo(3), mould=mould(), shelf=shelf()),
                          {Half.BACK: WantedLook(lab=(22.0, 18.0, 35.0))}, Limits())  # fmt: skip
    assert unpriced.matches[0].cost is None
    assert unpriced.matches[0].unpriced


def test_a_side_that_nothing_is_asked_of_stays_as_it_is():
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf())
    found = match_look(asked, {Half.BELLY: WantedLook(lab=(80.0, -5.0, 30.0))}, Limits())
    for each in found.matches:
        assert [side.half for side in each.sides] == [Half.BELLY]
        assert each.recipe.sides[0] == demo(3).sides[0]


def test_flake_and_salt_stay_in_the_cup():
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf())
    found = match_look(asked, {Half.BACK: WantedLook(lab=(25.0, 15.0, 25.0))}, Limits())
    for each in found.matches:
        names = [loading.supply for loading in each.recipe.sides[0].loadings]
        assert names[-1] == "Penny"
        assert not {"Penny"} & {b.name for b in each.bottles}


def test_a_one_colour_bait_is_matched_through_and_through():
    asked = bait(one_colour(grams("opaque white", 0.1)), {Half.WHOLE: 0.2})
    found = match_look(asked, {Half.WHOLE: WantedLook(lab=(60.0, 20.0, 40.0))}, Limits())
    assert found.matches[0].sides[0].half is Half.WHOLE
    assert found.matches[0].worse < 1.0


# -- out of reach ------------------------------------------------------------------------------


def test_out_of_reach_is_said_with_the_way_it_misses_and_the_bottle_that_would_help():
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf())
    found = match_look(asked, {Half.BACK: RED}, Limits())
    best = found.matches[0].sides[0]
    assert not found.reach.is_within
    assert best.difference.value > 10
    assert best.misses
    assert found.reach.help is not None
    assert "red" in found.reach.help.bottle
    assert max(found.reach.help.difference) < best.difference.value / 2


def test_a_shelf_without_white_is_told_that_white_would_help():
    limits = Limits(without=("opaque white", "opaque yellow", "pearl", "opaque red"))
    white = np.array([[92.0, 0.0, 3.0], [92.0, 0.0, 3.0]])
    found = matched(white, limits)
    assert not found.reach.is_within
    assert found.reach.help is not None
    assert "white" in found.reach.help.bottle


def test_a_limit_that_holds_the_nearest_recipe_back_is_said():
    found = matched(np.array([[10.0, 2.0, 3.0], [90.0, 0.0, 4.0]]), Limits(most_drops=1.0))
    assert not found.reach.is_within
    assert found.reach.is_held


@pytest.mark.parametrize("limits", [Limits(), Limits(most_drops=8.0)])
def test_a_large_cup_comes_as_near_as_a_small_one_at_the_edge_of_what_is_allowed(limits):
    vivid = wanted(np.array([[40.0, 60.0, 40.0], [70.0, -40.0, -40.0]]))
    small, large = (
        match_look(bait(cups=dict.fromkeys(HALVES, cup)), vivid, limits, draws=2).matches[0].worse
        for cup in (0.16, 2.0)
    )
    assert large <= small + 0.1


def test_what_is_within_reach_needs_no_help():
    assert matched(hidden_look(1)).reach.help is None


# -- another bait's look -----------------------------------------------------------------------


def test_a_recipe_matches_its_own_look_and_its_own_doubts_then_cancel():
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf(), cups={Half.BACK: 0.1})
    looks = {
        half: look_like(demo(3), shelf(), half, asked.light().figures, "itself") for half in HALVES
    }
    found = match_look(asked, looks, Limits())
    exact = [each for each in found.matches if each.worse < 0.01]
    assert exact, [each.worse for each in found.matches]
    for side in exact[0].sides:
        assert side.difference.high < 0.05
    plain = {half: WantedLook(lab=look.lab) for half, look in looks.items()}
    alone = match_look(asked, plain, Limits()).matches[0]
    assert min(side.difference.high for side in alone.sides) > 1.0


def test_a_substitute_leaves_the_missing_bottle_alone():
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf())
    look = look_like(demo(3), shelf(), Half.BACK, asked.light().figures, "itself")
    found = match_look(asked, {Half.BACK: look}, Limits(without=("Peat",)))
    assert all("Peat" not in [b.name for b in each.bottles] for each in found.matches)
    assert found.matches[0].sides[0].difference.low > 1.0  # no other brown stands there


def test_a_stronger_new_lot_of_the_same_bottle_takes_fewer_drops():
    old = shelf()
    peat = next(each for each in old.colourants if each.name == "Peat")
    twice = replace(peat, strength=peat.strength.map(lambda value: 2 * value))
    new = replace(old, colourants=(twice, *(b for b in old.colourants if b.name != "Peat")))
    recipe = two_colours(tuple(demo(3).sides[0].loadings[:1]), demo(3).sides[1].loadings)
    asked = Bait(recipe=recipe, mould=mould(), shelf=new, cups={Half.BACK: 0.2})
    look = look_like(recipe, old, Half.BACK, asked.light().figures, "the old lot")
    found = match_look(asked, {Half.BACK: look}, Limits(only=("Peat",)))
    before = recipe.sides[0].loadings[0].amount * 2
    assert found.matches[0].sides[0].doses[0].drops == pytest.approx(before / 2, abs=1)
    assert found.matches[0].worse < 0.5


# -- refusals ----------------------------------------------------------------------------------


def test_a_shelf_without_bottles_is_a_sentence():
    bare = Bait(recipe=one_colour(), mould=mould(), shelf=replace(shelf(), colourants=()))
    with pytest.raises(Impossible, match="no bottle of colour on the shelf"):
        match_look(bare, {Half.WHOLE: RED}, Limits())


def test_ruling_every_bottle_out_is_a_sentence():
    names = tuple(each.name for each in shelf().colourants)
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf())
    with pytest.raises(Impossible, match="every one was ruled out"):
        match_look(asked, {Half.BACK: RED}, Limits(without=names))


@pytest.mark.parametrize("name", ["Penny", "soft", "nothing of that name"])
def test_what_is_no_bottle_is_refused_by_name(name):
    asked = Bait(recipe=demo(3), mould=mould(), shelf=shelf())
    with pytest.raises(InputError, match=name):
        match_look(asked, {Half.BACK: RED}, Limits(only=(name,)))


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        ({"most_colourants": 0}, "0 colourants"),
        ({"most_colourants": 40}, "takes 1 to 6"),
        ({"most_drops": 0.0}, "above 0"),
        ({"most_drops": 1e6}, "500 at most"),
        ({"most_drops": float("nan")}, "above 0"),
        ({"most_share": 0.9}, "nothing sets"),
    ],
)
def test_absurd_limits_are_a_sentence(limits, says):
    with pytest.raises(OutOfRange, match=says):
        Limits(**limits)


@pytest.mark.parametrize("mass", [0.0, -1.0, 0.001, 50.0, float("nan")])
def test_a_cup_that_no_cup_is_is_refused(mass):
    asked = bait(cups={Half.BACK: mass})
    with pytest.raises(OutOfRange, match="The cup of the back would hold"):
        match_look(asked, {Half.BACK: RED}, Limits())


@pytest.mark.parametrize("lab", [(-1.0, 0.0, 0.0), (101.0, 0.0, 0.0), (50.0, 900.0, 0.0),
                                 (float("nan"), 0.0, 0.0)])  # fmt: skip
def test_a_colour_that_no_surface_has_is_refused(lab):
    with pytest.raises(OutOfRange, match="wanted colour"):
        WantedLook(lab=lab)


def test_a_bottle_that_nobody_measured_says_which_chip_to_make_and_widens_the_range():
    guessed = bottle(name="Mud")
    known = replace(shelf(), colourants=(*shelf().colourants, guessed))
    asked = Bait(recipe=one_colour(), mould=mould(), shelf=known, cups={Half.WHOLE: 0.1})
    found = match_look(asked, {Half.WHOLE: WantedLook(lab=(45.0, 5.0, 20.0))},
                       Limits(only=("Mud",)))  # fmt: skip
    best = found.matches[0]
    assert best.chips == ("a hiding reading of Mud on the printed card",)
    assert any("never measured" in note.text for note in best.notes)
    side = best.sides[0]
    assert side.difference.high - side.difference.low > 5
    assert "Mud" in side.difference.narrows


# -- any model of light ------------------------------------------------------------------------


@dataclass(frozen=True)
class Plain:
    """A model made up for this test: lightness by scattering, hue by absorption, half by half."""

    is_provisional: bool = False

    @property
    def error(self):
        return PictureError(median=0.1, high=0.2, source="made up")

    def lab(self, absorption, reduced):
        red, blue = absorption[:, 25:].mean(axis=1), absorption[:, :6].mean(axis=1)
        light = reduced.mean(axis=1)
        bright = 100 * light / (light + red + blue + 50)
        return np.stack([bright, 40 * (blue - red) / (blue + red), 0 * red], axis=-1)


def test_nothing_hangs_on_the_slab_any_model_of_light_will_do():
    models = Models(search=Plain(), polish=Plain(), figures=Plain())
    asked = replace(bait(), models=models)
    start = replace(problem(np.full((2, 3), 50.0)), models=models)
    drops = np.zeros((1, 2, 12))
    drops[0, 0, [0, 6]], drops[0, 1, [2, 7]] = (9, 4), (5, 1)
    found = match_look(asked, wanted(start.lab(drops, Plain())[0]), Limits())
    assert found.matches[0].worse < 0.3
    assert not found.is_provisional
    assert found.picture_error.source == "made up"


def test_the_searchs_coefficients_are_those_of_the_composed_plastic():
    kept = (grams("Penny", 0.5), grams("fine salt", 8.0))
    recipe = two_colours((*kept, drops_of("Peat", 3)), (drops_of("Chalk", 4),))
    asked = Bait(recipe=recipe, mould=mould(), shelf=shelf(), cups={Half.BACK: 0.2})
    start = problem_of(
        recipe, shelf(), shelf().colourants, wanted={Half.BACK: RED}, cups=asked.cups,
        limits=Limits(), models=asked.light(),
    )  # fmt: skip
    names = [each.name for each in start.bottles]
    counted = np.zeros((1, 1, len(names)))
    counted[0, 0, names.index("Peat")], counted[0, 0, names.index("Rind")] = 14, 9
    colour = (drops_of("Peat", 7), drops_of("Rind", 4.5))
    poured = two_colours((*colour, *kept), recipe.sides[1].loadings)
    exact = transport([side_optics(compose(side, shelf())) for side in poured.sides])
    for mine, theirs in zip(start.coefficients(counted), exact, strict=True):
        # What flake and salt do goes by volume; the colour moves the density by a few in 10 000.
        np.testing.assert_allclose(mine, theirs, rtol=5e-4, atol=1e-9)


def test_the_cheap_model_is_near_the_good_one():
    start = problem(np.full((2, 3), 50.0))
    rng = np.random.default_rng(3)
    drops = np.round(rng.uniform(0, 12, (200, 2, 12)) * (rng.random((200, 2, 12)) < 0.2))
    good = start.lab(drops, start.models.figures)
    cheap = ciede2000(start.lab(drops, start.models.search), good)
    polish = ciede2000(start.lab(drops, start.models.polish), good)
    assert np.median(cheap) < 1.0
    assert polish.max() < 0.1


def test_candidates_together_look_as_each_alone():
    start = problem(np.full((2, 3), 50.0))
    drops = np.round(np.random.default_rng(4).uniform(0, 6, (5, 2, 12)))
    for model in (start.models.search, start.models.figures):
        together = start.lab(drops, model)
        alone = np.concatenate([start.lab(each[None], model) for each in drops])
        np.testing.assert_allclose(together, alone, atol=1e-9)
