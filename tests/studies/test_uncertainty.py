"""Ranges: the same draws every time, wider doubt wider range, one bottle one doubt."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from partline.materials.chip import Chip
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant
from partline.process.appearance import sightings
from partline.process.optics import side_optics
from partline.process.supply_doubt import FILM_DOUBT, PLAIN_DOUBT, PLAIN_READ, Cause, log_spread
from partline.quantities.estimate import Estimate, Origin
from partline.studies.look import predict_look
from partline.studies.uncertainty import (
    Doubt,
    central_range,
    doubts,
    draw_doubts,
    most_to_blame,
    ranged,
)
from tests.process.bottles import entered
from tests.process.shed import demo, drops, grams, mould, optics_of, plastic_of, shelf, two_colours

BROWN_OVER_PALE = two_colours((drops("Peat", 9), drops("Chalk", 1)), (drops("Chalk", 5),))


@pytest.fixture
def sure_plastic(monkeypatch) -> None:
    """Plain plastic and flake known exactly, to see what bottles and thickness do alone."""
    for name in ("PLAIN_DOUBT", "FILM_DOUBT"):
        monkeypatch.setattr(f"partline.process.supply_doubt.{name}", EXACT)


def with_strength(strength: Estimate, drop: Estimate | None = None) -> Shelf:
    """The demo's shelf with every bottle known this well; `drop` in shares of its drop mass."""

    def known(bottle: Colourant) -> Colourant:
        mass = bottle.drop_mass.value
        weighed = drop.map(lambda share: share * mass) if drop else bottle.drop_mass
        return replace(bottle, strength=strength, drop_mass=weighed)

    return replace(shelf(), colourants=tuple(map(known, shelf().colourants)))


EXACT = Estimate.exact(1.0)
#: Evenly spread over 0 to 1, each in the middle of its share.
EVEN = (np.arange(1000) + 0.5) / 1000


def widths(stock: Shelf, recipe=None) -> np.ndarray:
    look = predict_look(recipe or demo(1), mould(), stock)
    return np.array(
        [half.hiding.high - half.hiding.low for seen in look.stations for half in seen.halves]
    )


def test_the_same_question_gets_the_same_range():
    first, second = (predict_look(demo(1), mould(), shelf()) for _ in range(2))
    assert first.at_widest.back_belly == second.at_widest.back_belly
    assert [seen.halves for seen in first.stations] == [seen.halves for seen in second.stations]


def test_another_seed_draws_other_numbers_of_the_same_spread():
    sides = optics_of(BROWN_OVER_PALE)
    one = draw_doubts(sides, draws=1024, seed=1).factors
    two = draw_doubts(sides, draws=1024, seed=2).factors
    assert not np.allclose(one[0], two[0])
    # 1024 even draws place a tenth percentile within about 2 % of a 20 % spread.
    ends = [np.percentile(each[0][:, 1], [10, 90]) for each in (one, two)]
    np.testing.assert_allclose(ends[0], ends[1], rtol=0.01)


def test_draws_have_the_range_that_the_bottle_is_known_to():
    factors = draw_doubts(optics_of(BROWN_OVER_PALE), draws=4096).factors
    low, high = np.percentile(factors[0][:, 1], [10, 90])
    # Strength within a factor 1.2 and drop mass within 1.0477, both 80 %, added in quadrature.
    wanted = np.exp(np.hypot(np.log(1.2), np.log(31.4 / 28.6) / 2))
    assert high == pytest.approx(wanted, rel=0.005)  # 4096 even draws
    assert low == pytest.approx(1 / wanted, rel=0.005)
    assert np.median(factors[0][:, 1]) == pytest.approx(1.0, rel=0.005)


def test_the_range_of_a_few_even_draws_holds_four_of_five():
    spread = 0.2
    even = draw_doubts(optics_of(two_colours((drops("Peat", 4),), (drops("Peat", 4),))))
    low, high = central_range(spread * even.standard[:, 0])
    # One doubt, 32 draws: 80 % of a normal law lie within; the ends of the order would give 77 %.
    assert float(ndtr(high / spread) - ndtr(low / spread)) == pytest.approx(0.8, abs=0.015)


def test_one_bottle_in_both_cups_is_drawn_once():
    drawn = draw_doubts(optics_of(BROWN_OVER_PALE), draws=64)
    in_back, in_belly = drawn.factors[0][:, 2], drawn.factors[1][:, 1]
    np.testing.assert_allclose(in_back, in_belly, rtol=1e-12)
    # Peat, Chalk, and haze and colour of the plastic that both are in: none of them twice.
    assert drawn.standard.shape == (64, 4)
    np.testing.assert_array_equal(drawn.factors[0][:, [0, 3]], drawn.factors[1][:, [0, 2]])


def test_two_bottles_are_drawn_apart():
    standard = draw_doubts(optics_of(BROWN_OVER_PALE), draws=256).standard
    # 256 even draws of two independent numbers: their correlation stays within a few percent.
    assert abs(np.mean(standard[:, 0] * standard[:, 1])) < 0.1


def test_a_doubt_that_both_halves_share_partly_cancels_in_their_difference():
    same_bottle = two_colours((drops("Peat", 4),), (drops("Peat", 5),))
    twin = replace(shelf().colourants[0], name="Peat of another lot")
    stock = replace(shelf(), colourants=(*shelf().colourants, twin))
    other_bottle = two_colours((drops("Peat", 4),), (drops("Peat of another lot", 5),))
    one, two = (optics_of(recipe, stock) for recipe in (same_bottle, other_bottle))
    spread = []
    for sides in (one, two):
        factors = draw_doubts(sides, draws=256).factors
        spread.append(np.std(np.log(factors[0][:, 1] / factors[1][:, 1])))
    assert spread[0] == pytest.approx(0.0, abs=1e-12)
    assert spread[1] > 0.1


def test_plain_plastic_and_flake_are_drawn_as_what_is_not_known_of_them():
    sides = [side_optics(plastic_of(drops("Peat", 3), grams("Penny", 0.25)))]
    assert doubts(sides) == (
        Doubt(cause=Cause.AMOUNT, name="Peat"),
        Doubt(cause=Cause.FILM, name="Penny"),
        Doubt(cause=Cause.HAZE, name="soft"),
        Doubt(cause=Cause.TINT, name="soft"),
    )
    factors = draw_doubts(sides, draws=4096).factors[0]
    haze, film, tint = factors[:, 0], factors[:, 2], factors[:, 3]
    for drawn, known in ((haze, PLAIN_DOUBT), (tint, PLAIN_DOUBT), (film, FILM_DOUBT)):
        ends = np.percentile(drawn, [10, 90])
        np.testing.assert_allclose(ends, [known.low, known.high], rtol=0.01)  # 4096 even draws
    assert abs(np.corrcoef(np.log(haze), np.log(tint))[0, 1]) < 0.02


def test_haze_is_what_a_grade_scatters_and_tint_what_it_absorbs():
    side = side_optics(plastic_of(drops("Peat", 3)))
    assert [side.cause(part) for part in range(3)] == [Cause.HAZE, Cause.AMOUNT, Cause.TINT]
    assert not side.absorption[0].any()
    assert not side.scattering[2].any()
    assert side.scattering[0].all()
    assert side.absorption[2].all()


def test_a_bottle_known_less_well_gives_a_wider_range():
    spreads = [0.02, 0.1, 0.3, 0.6]
    found = [
        widths(with_strength(Estimate.within(1.0, share, Origin.DEFAULT))) for share in spreads
    ]
    for narrow, wide in pairwise(found):
        assert np.all(wide > narrow)


@pytest.mark.usefixtures("sure_plastic")
def test_what_is_known_exactly_leaves_no_range_on_what_a_half_hides():
    # The value is solved in 8 directions and the draws in 4; the range must not show that.
    np.testing.assert_allclose(widths(with_strength(EXACT, EXACT)), 0.0, atol=1e-12)


def test_exact_bottles_leave_what_is_not_known_of_plain_plastic_and_flake():
    found = widths(with_strength(EXACT, EXACT))
    assert np.all(found > 0.01)
    assert np.all(found < widths(shelf()))


ANYTHING = st.sampled_from([
    (), (grams("Penny", 0.25),), (grams("Penny", 1.0),), (drops("Chalk", 1),),
    (drops("Peat", 2), grams("Penny", 0.1)), (grams("fine salt", 2.0),),
])  # fmt: skip


@settings(deadline=None, max_examples=12)
@given(back=ANYTHING, belly=ANYTHING, body=st.sampled_from(["reed-130", "fry-75"]))
def test_no_range_is_of_zero_width_where_a_guess_is_in_it(back, belly, body):
    look = predict_look(two_colours(back, belly), mould(body), with_strength(EXACT, EXACT),
                        draws=16)  # fmt: skip
    for seen in look.stations:
        for half in seen.halves:
            told = half.hiding
            # Two decimals are shown: a clear half of 0.16 must not read “0.16 (0.16–0.16)”.
            assert told.high - told.low > 0.01
            assert told.low < told.value < told.high
            assert "plain plastic" in told.source
            assert told.narrows


def test_four_of_five_plastics_that_may_be_lie_within_the_range_of_a_clear_half():
    recipe, place = two_colours((), (grams("Penny", 0.25),)), [mould().stations[1]]
    sides = optics_of(recipe)
    told = predict_look(recipe, mould(), shelf()).stations[1].halves
    rng = np.random.default_rng(3)
    plastics = np.exp(log_spread(PLAIN_DOUBT) * rng.standard_normal((1000, 2)))
    film = np.exp(log_spread(FILM_DOUBT) * rng.standard_normal(1000))
    factors = [
        np.stack([plastics[:, 0], plastics[:, 1]], axis=1),
        np.stack([plastics[:, 0], film, plastics[:, 1]], axis=1),
    ]
    seen = sightings(sides, place, factors, nodes=4)
    for half, hiding in zip(told, (seen.back_hiding, seen.belly_hiding), strict=True):
        within = (half.hiding.low <= hiding[:, 0]) & (hiding[:, 0] <= half.hiding.high)
        # 1000 draws: ±0.025 (two standard deviations), and 32 draws' own ends.
        assert np.mean(within) == pytest.approx(0.8, abs=0.06)


def test_a_chip_of_the_plain_plastic_and_a_stack_of_flakes_narrow_the_range():
    stock = shelf()
    read = replace(
        stock,
        grades=tuple(replace(each, optics_origin=Origin.MEASURED) for each in stock.grades),
        flakes=tuple(replace(each, thickness_origin=Origin.MEASURED) for each in stock.flakes),
    )
    recipe = two_colours((), (grams("Penny", 1.0),))
    guessed, known = widths(stock, recipe), widths(read, recipe)
    assert np.all(known < guessed / 2)
    assert np.all(known > 1e-3)
    clear, flake = predict_look(recipe, mould(), stock).at_widest.halves
    assert clear.hiding.narrows == "a chip of soft without colour on the printed card"
    assert flake.hiding.narrows == "ten flakes of Penny stacked, under a micrometer"
    assert log_spread(PLAIN_READ) < log_spread(PLAIN_DOUBT)


@pytest.mark.usefixtures("sure_plastic")
def test_colours_keep_the_pictures_own_error_even_when_bottles_are_exact():
    look = predict_look(demo(1), mould(), with_strength(EXACT, EXACT))
    seen = look.at_widest.back_belly
    assert seen is not None
    error = look.picture_error.eighty_percent
    assert seen.value.high - seen.value.value == pytest.approx(error, rel=1e-9)
    assert seen.value.value - seen.value.low == pytest.approx(error, rel=1e-9)


def test_a_figure_lies_within_its_own_range_and_ranges_within_what_is_possible():
    for recipe in (demo(1), demo(2), BROWN_OVER_PALE):
        for seen in predict_look(recipe, mould("fry-75"), shelf(), draws=16).stations:
            for half in seen.halves:
                assert 0 <= half.hiding.low <= half.hiding.value <= half.hiding.high <= 1
                assert half.see_through is not None
                assert half.see_through.low >= 0


def test_a_live_range_of_few_draws_is_near_the_steady_one():
    live = predict_look(demo(1), mould(), shelf(), draws=16)
    steady = predict_look(demo(1), mould(), shelf(), draws=256)
    for quick, slow in zip(live.stations, steady.stations, strict=True):
        for ours, theirs in zip(quick.halves, slow.halves, strict=True):
            assert ours.hiding.value == theirs.hiding.value
            # 16 draws: the ends of the range within a quarter of its width, about 0.06.
            assert ours.hiding.low == pytest.approx(theirs.hiding.low, abs=0.015)
            assert ours.hiding.high == pytest.approx(theirs.hiding.high, abs=0.015)


def test_the_middle_eighty_percent_are_kept():
    found = ranged(0.5, EVEN, source="")
    assert (found.low, found.high) == pytest.approx((0.1, 0.9), abs=1e-12)
    assert found.origin is Origin.COMPUTED


def test_the_pictures_error_is_added_in_quadrature():
    found = ranged(5.0, 2.0 + 6.0 * EVEN, picture_error=1.8, source="")
    assert found.high - 5.0 == pytest.approx(np.hypot(2.4, 1.8), rel=1e-9)


def test_no_difference_is_shown_below_none():
    assert ranged(0.3, np.full(8, 0.3), picture_error=4.0, source="").low == 0.0


def test_a_value_outside_its_own_samples_still_has_a_range():
    found = ranged(2.0, np.full(8, 1.0), source="")
    assert (found.low, found.value, found.high) == (1.0, 2.0, 2.0)


def test_the_bottle_that_moves_the_figure_most_is_named():
    rng = np.random.default_rng(1)
    standard = rng.standard_normal((64, 3))
    samples = standard @ [0.1, -2.0, 0.4]
    assert most_to_blame(samples, standard, ("a", "b", "c")) == "b"
    assert most_to_blame(np.ones(64), standard, ("a", "b", "c")) is None
    assert most_to_blame(np.ones(64), np.zeros((64, 0)), ()) is None


def test_the_range_says_which_bottle_to_measure():
    look = predict_look(demo(1), mould(), shelf())
    assert look.at_widest.halves[0].hiding.narrows == "a chip of Peat on the printed card"
    counted = Estimate.within(1.0, 0.5, Origin.DEFAULT)
    unweighed = with_strength(Estimate.within(1.0, 0.05, Origin.MEASURED), counted)
    loose = predict_look(demo(1), mould(), unweighed)
    assert loose.at_widest.halves[0].hiding.narrows == "weigh 50 drops of Peat"


@pytest.mark.usefixtures("sure_plastic")
def test_grams_of_a_bottle_are_surer_than_drops_of_it():
    unweighed = with_strength(Estimate.exact(1.0), Estimate.within(1.0, 0.4, Origin.DEFAULT))
    dropped = widths(unweighed, two_colours((drops("Peat", 3),), ()))
    weighed = widths(unweighed, two_colours((grams("Peat", 0.09),), ()))
    assert np.all(weighed <= dropped)
    assert weighed.max() < 1e-9 < dropped.max()


def test_every_bottle_on_the_demo_shelf_has_a_strength_that_waits_for_a_measurement():
    assert all(isinstance(each, Colourant) for each in shelf().colourants)
    assert all(each.strength.origin.is_guess for each in shelf().colourants)


# --- the mould's thickness, and bottles that nobody has measured ---------------------------------


def doubtful(share: float, *only: int) -> Mould:
    """The demo's mould, its stations (or only some) known to a factor 1 ± share."""
    body = mould()
    return replace(
        body,
        stations=tuple(
            replace(each, doubt=share, origin=Origin.DEFAULT) if not only or i in only else each
            for i, each in enumerate(body.stations)
        ),
    )


def test_doubtful_stations_grow_and_shrink_together_by_their_own_share():
    stations = (replace(mould().stations[0], doubt=0.25), replace(mould().stations[1], doubt=0.1),
                mould().stations[2])  # fmt: skip
    drawn = draw_doubts(optics_of(BROWN_OVER_PALE), stations, draws=4096)
    assert drawn.doubts[-1] == Doubt(cause=Cause.THICKNESS)
    low, high = np.percentile(drawn.thicker[:, 0], [10, 90])
    assert high == pytest.approx(1.25, rel=0.005)  # 4096 even draws
    assert low == pytest.approx(1 / 1.25, rel=0.005)
    logs = np.log(drawn.thicker)
    # One factor: what is in the second is in the first, by the ratio of their shares.
    np.testing.assert_allclose(logs[:, 1] / logs[:, 0], np.log(1.1) / np.log(1.25), rtol=1e-9)
    np.testing.assert_array_equal(drawn.thicker[:, 2], 1.0)


def test_a_mould_that_was_guessed_gives_wider_ranges_and_says_what_to_measure():
    stock = with_strength(Estimate.within(1.0, 0.02, Origin.MEASURED))
    sure = predict_look(demo(1), mould(), stock)
    loose = predict_look(demo(1), doubtful(0.25), stock)
    for known, guessed in zip(sure.stations, loose.stations, strict=True):
        for ours, theirs in zip(known.halves, guessed.halves, strict=True):
            assert theirs.hiding.value == ours.hiding.value
            assert theirs.hiding.high - theirs.hiding.low > ours.hiding.high - ours.hiding.low
    back = loose.at_widest.halves[0].hiding
    assert back.narrows == "measure the mould's stations"
    assert "the mould's thickness" in back.source
    assert "thickness" not in sure.at_widest.halves[0].hiding.source.partition(";")[2]


@pytest.mark.usefixtures("sure_plastic")
def test_only_the_stations_in_doubt_get_wider():
    stock = with_strength(EXACT, EXACT)
    look = predict_look(demo(1), doubtful(0.25, 1), stock)
    for place, seen in enumerate(look.stations):
        for half in seen.halves:
            width = half.hiding.high - half.hiding.low
            assert width > 1e-3 if place == 1 else width < 1e-9


def test_a_thicker_bait_hides_more_in_every_draw():
    sides = optics_of(demo(1))
    place = [mould().stations[1]]
    ones = [np.ones((3, len(side.names))) for side in sides]
    thicker = np.array([[0.8], [1.0], [1.25]])
    hiding = sightings(sides, place, ones, thicker=thicker, nodes=4).back_hiding[:, 0]
    assert np.all(np.diff(hiding) > 0)
    grown = replace(
        place[0], width=place[0].width * 1.25,
        back_half=place[0].back_half * 1.25, belly_half=place[0].belly_half * 1.25,
    )  # fmt: skip
    drawn = sightings(sides, place, ones, thicker=thicker, nodes=4)
    built = sightings(sides, [grown], nodes=4)
    np.testing.assert_allclose(drawn.side[2], built.side[0], atol=1e-9)
    np.testing.assert_allclose(drawn.back[2], built.back[0], atol=1e-12)


def unmeasured(name: str = "Peat", *, patch: bool = True, hiding: bool = True) -> Shelf:
    """The demo's shelf, one bottle of it entered by what a chip of it looks like."""
    stock, chip = with_strength(EXACT), Chip(drops=3.0, thickness=2e-3)
    return replace(
        stock,
        colourants=tuple(
            entered(each, chip, patch=patch, hiding=hiding) if each.name == name else each
            for each in stock.colourants
        ),
    )


@pytest.mark.usefixtures("sure_plastic")
def test_ranges_narrow_with_each_reading_and_with_a_measurement():
    answers = [
        predict_look(demo(1), mould(), stock).at_widest
        for stock in (
            unmeasured(patch=False, hiding=False),
            unmeasured(hiding=False),
            unmeasured(),
            with_strength(EXACT),
        )
    ]
    hidden = [seen.halves[0].hiding for seen in answers]
    nothing, patch, both, known = (each.high - each.low for each in hidden)
    # A dye's colour over white tells its hiding all but wholly; the card adds little.
    assert nothing > 3 * max(patch, both)
    assert min(patch, both) > known
    assert all(each.low <= hidden[-1].value <= each.high for each in hidden)
    assert hidden[0].narrows == hidden[1].narrows == "a hiding reading of Peat on the printed card"
    assert hidden[2].narrows == "measured spectra of Peat"
    assert "unmeasured bottles" in hidden[2].source
    assert "unmeasured" not in hidden[3].source


def test_a_hiding_reading_narrows_an_opaque_bottle_whose_colour_says_little_of_it():
    widths = []
    for stock in (unmeasured("Chalk", hiding=False), unmeasured("Chalk")):
        tail = predict_look(demo(1), mould(), stock).stations[-1].halves[1].hiding
        widths.append(tail.high - tail.low)
    assert widths[1] < widths[0] / 2


def test_a_guessed_bottle_in_both_halves_is_the_same_bottle_in_every_draw():
    both = two_colours((drops("Peat", 4),), (drops("Peat", 8), drops("Chalk", 2)))
    sides = optics_of(both, unmeasured())
    drawn = draw_doubts(sides, draws=32)
    np.testing.assert_array_equal(drawn.members[0][:, 1], drawn.members[1][:, 1])
    # 32 even draws over 32 bottles: each stands once.
    assert sorted(drawn.members[0][:, 1]) == list(range(1, 33))
    assert np.all(drawn.members[1][:, 2] == 0)


def test_a_recipe_as_written_is_one_more_draw():
    drawn = draw_doubts(optics_of(demo(1), unmeasured()), mould().stations, draws=8)
    every = drawn.and_as_written()
    assert every.standard is drawn.standard
    for factors, members in zip(every.factors, every.members, strict=True):
        assert factors.shape == members.shape
        assert np.all(factors[-1] == 1)
        assert np.all(members[-1] == 0)
    assert np.all(every.thicker[-1] == 1)


def test_a_loading_needed_is_less_sure_where_the_bottle_or_the_mould_is():
    def spread(stock: Shelf, body: Mould) -> float:
        needed = predict_look(demo(1), body, stock).needs[0]
        assert needed is not None
        return needed.spread

    known = spread(with_strength(EXACT), mould())
    assert spread(unmeasured(), mould()) > known + 0.05
    wide = spread(with_strength(EXACT), doubtful(0.25))
    # In quadrature with what was there: a quarter is 0.174 as a standard deviation of the log.
    assert wide == pytest.approx(np.hypot(known, np.log(1.25) / 1.2816), rel=1e-4)


def test_a_loading_needed_is_less_sure_where_the_rest_of_the_half_is():
    def spread(stock: Shelf) -> float:
        needed = predict_look(demo(1), mould(), stock).needs[1]
        assert needed is not None
        return needed.spread

    guessed = with_strength(EXACT, EXACT)
    read = replace(
        guessed,
        grades=tuple(replace(each, optics_origin=Origin.MEASURED) for each in guessed.grades),
    )
    # Chalk itself is exact here: what is left is plain plastic, to a factor of three or of 1.2.
    assert spread(guessed) > 3 * spread(read) > 0
