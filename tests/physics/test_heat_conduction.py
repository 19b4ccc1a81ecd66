"""Heat on its way through slab, cylinder, sphere, and a solid without an end."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.numerics.quadrature import gauss
from partline.physics.heat_conduction import (
    CYLINDER,
    SLAB,
    SPHERE,
    amplitudes,
    biot_number,
    contact_temperature,
    cooling_fourier,
    eigenvalues,
    fourier_number,
    lumped_share,
    lumped_time_constant,
    mean_temperature_share,
    semi_infinite_share,
    temperature_share,
    thermal_effusivity,
)

shapes = st.sampled_from([SLAB, CYLINDER, SPHERE])
biots = st.one_of(st.floats(1e-6, 1e6), st.just(np.inf))
fouriers = st.floats(1e-4, 3.0)


@settings(deadline=None)
@given(shape=shapes, biot=st.floats(1e-6, 1e6))
def test_every_root_balances_what_flows_inside_and_out(shape, biot):
    roots = eigenvalues(shape, biot, 40)
    # A root is exact to about 1e-14 of its size; the slope of the balance is at most Bi + ζ + 1.
    error = 1e-13 * (biot + roots) * (1 + roots)
    assert np.all(np.abs(roots * shape.odd(roots) - biot * shape.even(roots)) <= error)
    assert np.all(np.diff(roots) > 0)


def test_a_slab_has_its_own_short_formula_of_amplitudes():
    roots = eigenvalues(SLAB, [0.2, 3.0], 6)
    short = 4 * np.sin(roots) / (2 * roots + np.sin(2 * roots))
    assert amplitudes(SLAB, roots) == pytest.approx(short, rel=1e-12)


def test_a_sphere_has_its_own_short_formula_of_amplitudes():
    roots = eigenvalues(SPHERE, [0.2, 3.0], 6)
    short = 4 * (np.sin(roots) - roots * np.cos(roots)) / (2 * roots - np.sin(2 * roots))
    assert amplitudes(SPHERE, roots) == pytest.approx(short, rel=1e-12)


@settings(deadline=None)
@given(shape=shapes, biot=biots, fourier=fouriers, later=st.floats(0, 1))
def test_everything_cools_all_the_time_and_the_middle_last(shape, biot, fourier, later):
    share = temperature_share(shape, [[fourier], [fourier + later]], biot, np.linspace(0, 1, 9))
    assert np.all(np.diff(share, axis=0) <= 1e-9)  # rounding of some hundred terms
    assert np.all(np.diff(share, axis=1) <= 1e-9)
    assert np.all((share > -1e-9) & (share < 1 + 1e-9))


@settings(deadline=None)
@given(shape=shapes, biot=biots, fourier=st.floats(1e-3, 3.0))
def test_the_mean_is_the_mean_over_the_volume(shape, biot, fourier):
    place, weight = gauss(60)
    volume = (shape.bend + 1) * place**shape.bend * weight
    share = temperature_share(shape, fourier, biot, place)
    # 60 nodes resolve the 60 half waves that are left at Fo = 1e-3 to 1e-6 and better.
    assert mean_temperature_share(shape, fourier, biot) == pytest.approx(
        float(np.sum(volume * share)), abs=1e-6
    )


@settings(deadline=None)
@given(shape=shapes, biot=st.floats(1e-3, 1e3), fourier=st.floats(0.01, 2.0))
def test_the_heat_that_is_lost_has_passed_the_surface(shape, biot, fourier):
    # d(mean)/dFo = −(m + 1) Bi θ(surface): what leaves is what the surface's warmth drives out.
    step = 1e-4 * fourier
    before, after = mean_temperature_share(shape, [fourier - step, fourier + step], biot)
    driven = (shape.bend + 1) * biot * temperature_share(shape, fourier, biot, 1.0)
    # A central difference is good to step²/Fo² of 1e-8 and to rounding of 1e-14 over the step.
    assert (before - after) / (2 * step) == pytest.approx(float(driven), rel=1e-5, abs=1e-9)


@settings(deadline=None)
@given(shape=shapes, biot=st.floats(1e-6, 1e-3), share=st.floats(0.05, 0.95))
def test_a_body_that_loses_little_is_lumped(shape, biot, share):
    # τ = V/(A) ρc/h: Fo/(L/(m+1))/Bi; the middle lags by about Bi/2.
    fourier = -np.log(share) / ((shape.bend + 1) * biot)
    assert temperature_share(shape, fourier, biot) == pytest.approx(share, abs=biot)


@settings(deadline=None)
@given(depth=st.floats(0.0, 0.3), biot=st.floats(1e-3, 1e3))
def test_at_first_a_slab_has_no_end(depth, biot):
    # At Fo = 0.01 the middle has felt erfc(5) = 1.5e-12 of the surface, and the far half less.
    end = semi_infinite_share(depth, 0.01, 1.0, 1.0, biot)
    assert temperature_share(SLAB, 0.01, biot, 1 - depth) == pytest.approx(float(end), abs=1e-9)


@settings(deadline=None)
@given(shape=shapes, biot=biots, share=st.floats(0.01, 0.99))
def test_a_cooling_time_leads_back_to_its_share(shape, biot, share):
    fourier = cooling_fourier(shape, share, biot)
    assert temperature_share(shape, fourier, biot) == pytest.approx(share, rel=1e-9)


@settings(deadline=None)
@given(depth=st.floats(0.0, 1.0), time=st.floats(0.0, 1e6), conductance=st.floats(0.0, 1e9))
def test_a_freer_surface_lets_more_heat_out(depth, time, conductance):
    share = semi_infinite_share(depth, time, 1e-7, 0.14, [conductance, 2 * conductance, np.inf])
    assert np.all(np.diff(share) <= 1e-12)
    assert np.all((share >= 0) & (share <= 1 + 1e-12))


def test_a_closed_surface_lets_no_heat_out_and_a_held_one_is_cold_at_once():
    assert semi_infinite_share([0.0, 0.01], 1e5, 1e-7, 0.14, 0.0) == pytest.approx([1.0, 1.0])
    assert semi_infinite_share([0.0, 1e-3], 0.0, 1e-7).tolist() == [0.0, 1.0]


def test_a_body_is_as_warm_as_it_was_before_anything_happened():
    assert temperature_share(SPHERE, 0.0, 5.0, [0.0, 0.5, 1.0]).tolist() == [1.0, 1.0, 1.0]
    assert mean_temperature_share(CYLINDER, 0.0, 5.0) == 1.0


def test_a_time_constant_is_heat_over_loss():
    constant = lumped_time_constant(0.1, 1900.0, 17.0, 0.012)
    assert constant == pytest.approx(931.4, abs=0.05)  # by hand: 190/0.204
    assert lumped_share(constant, constant) == pytest.approx(np.exp(-1))


@settings(deadline=None)
@given(
    own=st.floats(250, 500), other=st.floats(250, 500),
    strong=st.floats(10, 1e5), weak=st.floats(10, 1e5),
)  # fmt: skip
def test_two_faces_meet_between_their_temperatures(own, other, strong, weak):
    met = contact_temperature(own, strong, other, weak)
    assert min(own, other) - 1e-9 <= met <= max(own, other) + 1e-9
    assert met == pytest.approx(float(contact_temperature(other, weak, own, strong)))


def test_two_touching_solids_give_what_they_take():
    # Each side is a solid without an end, held at the contact temperature: flux = e ΔT/√(πt).
    met = contact_temperature(443.15, 493.0, 298.15, 20100.0)
    assert 493 * (443.15 - met) == pytest.approx(20100 * (met - 298.15))


def test_numbers_without_a_unit_are_made_of_numbers_with_one():
    assert fourier_number(7.5e-8, 100.0, 5e-3) == pytest.approx(0.3)
    assert biot_number(17.0, 0.03, 0.14) == pytest.approx(3.642857, abs=1e-6)
    assert thermal_effusivity(0.14, 980.0, 1900.0) == pytest.approx(510.57, abs=0.01)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: fourier_number(0.0, 1.0, 1.0),
        lambda: biot_number(1.0, 1.0, 0.0),
        lambda: eigenvalues(SLAB, 0.0, 3),
        lambda: eigenvalues(SLAB, 1.0, 0),
        lambda: temperature_share(SLAB, 0.1, 1.0, 1.1),
        lambda: temperature_share(SLAB, 1e-7, 1.0),
        lambda: mean_temperature_share(SLAB, -1.0, 1.0),
        lambda: cooling_fourier(SLAB, 1.0, 1.0),
        lambda: cooling_fourier(SLAB, 0.5, np.inf, 1.0),
        lambda: lumped_time_constant(0.0, 1.0, 1.0, 1.0),
        lambda: lumped_share(-1.0, 1.0),
        lambda: semi_infinite_share(-1.0, 1.0, 1.0),
        lambda: semi_infinite_share(1.0, 1.0, 0.0),
        lambda: thermal_effusivity(1.0, 0.0, 1.0),
        lambda: contact_temperature(0.0, 1.0, 300.0, 1.0),
    ],
)
def test_what_cannot_be_is_refused(asked):
    with pytest.raises(OutOfRange):
        asked()
