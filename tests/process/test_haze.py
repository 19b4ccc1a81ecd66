"""Salt, bubbles and heat in a plastic."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.materials.shelf import Shelf
from partline.physics.grain import Haze
from partline.process.appearance import media_of, solver_for
from partline.process.composition import compose
from partline.process.haze import (
    BUBBLE_SHARE,
    BUBBLE_SIZE,
    SALT_DOUBT,
    bubble_haze,
    one_cosine,
    salt_haze,
)
from partline.process.optics import HEAT, Condition, side_optics
from partline.process.recipe import GradeShare, Half, Side
from partline.process.supply_doubt import log_spread
from partline.process.yellow import YELLOWING, yellowed
from partline.quantities.estimate import Estimate
from tests.process.shed import grams, shelf

DINP, CITRATE = 1.494, 1.458


def salted(grain: float, index: float) -> Shelf:
    """The demo shelf with another grain and another plastic."""
    stock = shelf()
    return replace(
        stock,
        additives=tuple(replace(each, grain=grain) for each in stock.additives),
        grades=tuple(replace(g, refractive_index=Estimate.exact(index)) for g in stock.grades),
    )


def side(stock, grams_of_salt=10, *, dose=0.0):
    blend = (GradeShare(grade="soft", share=1.0),)
    loadings = (grams("fine salt", grams_of_salt),) if grams_of_salt else ()
    return side_optics(
        compose(Side(half=Half.WHOLE, blend=blend, loadings=loadings), stock), Condition(dose=dose)
    )


def test_coarse_salt_is_as_hazy_as_its_shadow():
    haze = salt_haze(0.1, 200e-6, DINP)
    # A spread of sizes adds exp(σ²/2) to the mean of 1/d: 6 %.
    assert haze.scattering == pytest.approx(1.063 * 2 * 1.5 * 0.1 / 200e-6, rel=0.02)


def test_the_further_the_plastic_from_salts_own_index_the_more_it_turns_light_away():
    turned = [
        (haze.scattering * (1 - haze.anisotropy)).mean()
        for haze in (salt_haze(0.1, 50e-6, index) for index in (1.53, DINP, CITRATE))
    ]
    assert turned[0] < turned[1] < turned[2]
    assert turned[2] > 1.5 * turned[1]


def test_a_side_turns_away_what_its_salt_turns_away():
    optics = side(salted(50e-6, CITRATE))
    place = optics.names.index("fine salt")
    salt = compose(
        Side(half=Half.WHOLE, blend=(GradeShare(grade="soft", share=1.0),),
             loadings=(grams("fine salt", 10),)), salted(50e-6, CITRATE)
    )  # fmt: skip
    volume = 0.1 * salt.density.value / 2165.0
    haze = salt_haze(volume, 50e-6, CITRATE)
    kept = optics.scattering[place] * (1 - optics.anisotropy[place])
    assert kept == pytest.approx(haze.scattering * (1 - haze.anisotropy), rel=1e-9)
    assert optics.spread[place] == pytest.approx(log_spread(SALT_DOUBT))


def test_salt_turns_clear_plastic_whiter_and_more_so_in_a_citrate():
    def white(index, amount):
        one = side(salted(50e-6, index), amount)
        solver = solver_for([one], 8)
        media = media_of(solver, [one], [np.ones((1, len(one.names)))])
        return solver.reflectance(media, np.zeros((1, 1), int), np.full((1, 1), 6e-3), 0.0).normal

    plain, ordinary, citrate = white(DINP, 0), white(DINP, 10), white(CITRATE, 10)
    assert np.all(plain < ordinary)
    assert np.all(ordinary < citrate)


def test_bubbles_turn_far_more_light_away_than_salt():
    salt, air = salt_haze(0.01, 100e-6, DINP), bubble_haze(0.01, 100e-6, DINP)
    ratio = (air.scattering * (1 - air.anisotropy)) / (salt.scattering * (1 - salt.anisotropy))
    assert np.all(ratio > 10)


def test_what_is_said_of_bubbles_is_a_guess_with_a_range():
    for each in (BUBBLE_SHARE, BUBBLE_SIZE, YELLOWING, SALT_DOUBT):
        assert each.origin.is_guess
        assert each.low < each.value < each.high
        assert each.narrows
    hazes = [bubble_haze(share, BUBBLE_SIZE.value, DINP).scattering.mean()
             for share in (BUBBLE_SHARE.low, BUBBLE_SHARE.high)]  # fmt: skip
    assert hazes[0] < hazes[1]


@settings(deadline=None, max_examples=20)
@given(g=st.floats(0, 0.99), tilt=st.floats(0, 0.009))
def test_one_mean_cosine_turns_away_as_much_as_many_did(g, tilt):
    haze = Haze(np.linspace(1000, 1200, 31), g + np.linspace(0, tilt, 31))
    scattering, mean = one_cosine(haze)
    kept = haze.scattering * (1 - haze.anisotropy)
    assert scattering * (1 - mean) == pytest.approx(kept, rel=1e-9)
    assert haze.anisotropy.min() - 1e-12 <= mean <= haze.anisotropy.max() + 1e-12


def test_no_salt_at_all_has_no_haze():
    scattering, mean = one_cosine(salt_haze(0.0, 50e-6, DINP))
    assert not scattering.any()
    assert mean == 0.0


@pytest.mark.parametrize("grain", [1e-6, 2e-3])
def test_the_finest_and_coarsest_salt_a_shelf_takes_can_be_looked_at(grain):
    assert np.all(np.isfinite(side(salted(grain, DINP)).scattering))


@pytest.mark.parametrize(("share", "size"), [(-0.1, 1e-4), (2.0, 1e-4), (0.01, 0.0)])
def test_bubbles_that_cannot_be_are_refused(share, size):
    with pytest.raises(OutOfRange):
        bubble_haze(share, size, DINP)


def test_heat_yellows_the_plastisol_of_a_side_and_leaves_its_scattering():
    fresh, old = side(shelf(), 0), side(shelf(), 0, dose=1200.0)
    assert old.names == (*fresh.names, HEAT)
    assert old.absorption[-1] == pytest.approx(yellowed(1200.0))
    assert np.all(np.diff(old.absorption[-1]) < 0)
    assert not old.scattering[-1].any()
    # Nobody has measured it, and the range says so.
    assert old.spread[-1] == pytest.approx(log_spread(YELLOWING))
    assert old.spread[-1] > 1.0


@settings(deadline=None, max_examples=10)
@given(dose=st.floats(0, 1e4), more=st.floats(1, 1e4))
def test_more_heat_never_lets_more_light_through_a_slab(dose, more):
    sides = [side(shelf(), 0, dose=each) for each in (dose, dose + more)]
    solver = solver_for(sides, 4)
    media = media_of(solver, sides, [np.ones((1, len(each.names))) for each in sides])
    passed = solver.slab(media, np.full(2, 6e-3)).diffuse_transmittance
    assert np.all(passed[1] <= passed[0] + 1e-9)  # the solver's last digits


def test_heat_that_cannot_be_is_refused():
    with pytest.raises(OutOfRange, match="cannot be below 0"):
        side(shelf(), 0, dose=-1.0)
