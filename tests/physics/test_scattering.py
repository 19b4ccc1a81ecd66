"""Phase-function moments, their mixing, and flake."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.physics.scattering import (
    delta_scaled,
    flake_coefficients,
    henyey_greenstein_moments,
    mixed_moments,
)


def test_henyey_greenstein_moments_are_powers_of_the_mean_cosine():
    moments = henyey_greenstein_moments([0.5, -0.3, 0.0], 4)
    assert moments == pytest.approx(
        np.array([[1, 1, 1], [0.5, -0.3, 0], [0.25, 0.09, 0], [0.125, -0.027, 0]])
    )


def test_henyey_greenstein_moments_are_the_integrals_of_the_function():
    cosine, weight = np.polynomial.legendre.leggauss(200)
    g = 0.62
    phase = (1 - g**2) / (2 * (1 + g**2 - 2 * g * cosine) ** 1.5)
    expected = [
        np.sum(weight * phase * np.polynomial.legendre.Legendre.basis(k)(cosine)) for k in range(6)
    ]
    assert henyey_greenstein_moments(g, 6)[:, 0] == pytest.approx(expected, abs=1e-12)


def test_an_impossible_mean_cosine_is_refused():
    with pytest.raises(OutOfRange):
        henyey_greenstein_moments([0.5, 1.01], 3)


def test_in_a_mixture_each_part_counts_by_what_it_scatters():
    moments = np.array([henyey_greenstein_moments([g, g], 5) for g in (0.85, 0.62)])
    mixed = mixed_moments([[1.0, 0.0], [3.0, 0.0]], moments)
    assert mixed[:, 0] == pytest.approx((moments[0, :, 0] + 3 * moments[1, :, 0]) / 4)
    assert mixed[:, 1].tolist() == [1, 0, 0, 0, 0]  # nothing scatters: isotropic by name


def test_parts_must_be_told_for_both():
    with pytest.raises(InputError, match="2 parts"):
        mixed_moments(np.ones((2, 3)), np.ones((1, 5, 3)))


@given(st.floats(0, 1e4), st.floats(1e-3, 1e4), st.floats(-0.9, 0.99))
def test_cutting_the_peak_keeps_absorption_and_reduced_scattering(absorption, scattering, g):
    moments = henyey_greenstein_moments(g, 5)
    extinction, albedo, scaled = delta_scaled(
        np.array([absorption]), np.array([scattering]), moments
    )
    assert extinction * (1 - albedo) == pytest.approx(absorption, abs=1e-9 * extinction.item())
    reduced = extinction * albedo * (1 - scaled[1])
    assert reduced == pytest.approx(scattering * (1 - g), rel=1e-9)


def test_flake_shades_by_half_its_area_whatever_its_outline():
    # 1 % by volume of 25 µm film: κ = 0.01 / 50 µm = 200 1/m.
    absorption, scattering = flake_coefficients(0.01, 25e-6, 0.4)
    assert scattering == pytest.approx(80.0)
    assert absorption == pytest.approx(120.0)


def test_flake_shading_is_the_mean_shadow_of_thin_plates():
    # A plate of area A whose normal makes the angle θ with the light shades A |cos θ|.
    cosine = np.random.default_rng(2).uniform(-1, 1, 200_000)
    plates = 0.01 / (1e-6 * 25e-6)  # plates of 1 mm² a cubic metre
    shadow = plates * 1e-6 * np.abs(cosine).mean()
    assert sum(flake_coefficients(0.01, 25e-6, 0.4)) == pytest.approx(shadow, rel=5e-3)  # 4 sigma


@pytest.mark.parametrize("values", [(-0.1, 1e-5, 0.5), (0.1, 0.0, 0.5), (0.1, 1e-5, 1.5)])
def test_impossible_flake_is_refused(values):
    with pytest.raises(OutOfRange):
        flake_coefficients(*values)
