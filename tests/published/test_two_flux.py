"""Kubelka–Munk and Saunderson: their own figures, and where the solver must become them."""

import numpy as np
import pytest

from partline.physics.fresnel import (
    diffuse_reflectance_inside,
    diffuse_reflectance_outside,
    fresnel_reflectance,
)
from partline.physics.layered_media import Scene, slab_solver
from partline.physics.two_flux import kubelka_munk, saunderson, stacked


@pytest.mark.published(
    law="Kubelka–Munk",
    source="Kubelka, J. Opt. Soc. Am. 38 (1948) 448 (forms from memory)",
    where="K 0.1, S 1, X 1: figures computed from two equal forms",
)
def test_a_two_flux_layer_has_its_known_figures(deviation):
    layer = kubelka_munk(0.1, 1.0, 1.0)
    card = stacked(layer, kubelka_munk(1e-9, 1.0, 1e9))  # almost a perfect reflector
    half = layer.reflectance + layer.transmittance**2 * 0.5 / (1 - 0.5 * layer.reflectance)
    endless = kubelka_munk(0.1, 1.0, 100.0).reflectance
    found = np.array([layer.reflectance, layer.transmittance, half, endless])
    worst = np.abs(found - [0.461034, 0.445284, 0.589872, 0.641742]).max()
    deviation(worst)
    assert worst < 5e-7  # six decimals
    assert card.reflectance > half


@pytest.mark.published(
    law="Saunderson's k₁ and k₂",
    source="Saunderson, J. Opt. Soc. Am. 32 (1942) 727 (form from memory)",
    where="normal k₁ and diffuse k₂ for n 1.49, 1.50, 1.52 to air, computed figures",
)
@pytest.mark.parametrize(
    ("index", "outer", "inner"),
    [(1.49, 0.0387, 0.590), (1.50, 0.0400, 0.596), (1.52, 0.0426, 0.608)],
)
def test_surface_constants_follow_from_fresnel(index, outer, inner, deviation):
    found = fresnel_reflectance(1.0, index).item(), diffuse_reflectance_inside(index)
    deviation(max(abs(found[0] - outer), abs(found[1] - inner)))
    assert found[0] == pytest.approx(outer, abs=5e-5)  # printed digits
    assert found[1] == pytest.approx(inner, abs=5.5e-4)  # printed digits, 1.50 on the edge


@pytest.mark.published(
    law="Saunderson's k₁ and k₂ under water",
    source="Saunderson, J. Opt. Soc. Am. 32 (1942) 727 (form from memory)",
    where="n 1.49, 1.50, 1.52 to water of 1.333, computed figures",
)
@pytest.mark.parametrize(
    ("index", "outer", "inner"),
    [(1.49, 0.0031, 0.223), (1.50, 0.0035, 0.234), (1.52, 0.0043, 0.257)],
)
def test_water_takes_most_of_the_surface_away(index, outer, inner, deviation):
    relative = index / 1.333
    found = fresnel_reflectance(1.0, relative).item(), diffuse_reflectance_inside(relative)
    deviation(max(abs(found[0] - outer), abs(found[1] - inner)))
    assert found[0] == pytest.approx(outer, abs=5.5e-5)
    assert found[1] == pytest.approx(inner, abs=1e-3)  # water's index was rounded for the figures


@pytest.mark.published(
    law="Diffuse reflectance of a bare surface",
    source="Duntley, J. Opt. Soc. Am. 32 (1942) 61 (closed form and figure from memory)",
    where="n = 1.5: 0.0919 to 0.0920",
)
def test_the_gloss_of_a_bare_surface_is_the_textbook_one(deviation):
    found = diffuse_reflectance_outside(1.5)
    deviation(abs(found - 0.0918))
    assert found == pytest.approx(0.0918, abs=2e-4)


@pytest.mark.published(
    law="Layered media with one direction",
    source="Kubelka, J. Opt. Soc. Am. 44 (1954) 330 (form from memory)",
    where="two layers over black: with one direction K = μa and S = μs/2 exactly",
)
def test_with_one_direction_the_solver_is_two_flux(deviation):
    absorption, scattering = np.array([[1.0, 30.0], [200.0, 5.0]]), np.array([[40.0, 900.0]] * 2)
    solver = slab_solver(Scene(nodes=1, index=1.0))
    media = solver.media(absorption, scattering)
    found = solver.reflectance(media, [[0, 1], [1, 0]], [[2e-3, 5e-3]] * 2).diffuse
    layers = [
        [kubelka_munk(absorption[i], scattering[i] / 2, x) for x in (2e-3, 5e-3)] for i in (0, 1)
    ]
    closed = [
        stacked(layers[0][0], layers[1][1]).reflectance,
        stacked(layers[1][0], layers[0][1]).reflectance,
    ]
    worst = np.abs(found - closed).max()
    deviation(worst)
    assert worst < 1e-13  # the same equations: rounding only


@pytest.mark.published(
    law="Layered media in the diffusion limit",
    source="Kubelka–Munk with K = 2 μa, S = ¾ μs(1 − g), from diffusion theory (from memory)",
    where="half spaces of albedo towards 1, no surface, diffuse light",
)
@pytest.mark.parametrize("anisotropy", [0.0, 0.7])
def test_two_flux_holds_where_light_is_scattered_many_times(anisotropy, deviation):
    # 1 − R∞ = 4 √(ε/3) + O(ε) in both, with ε = μa/μs': the gap must shrink with ε, not √ε.
    reduced = np.array([1e-2, 1e-3, 1e-4])
    scattering = np.full(3, 1000.0)
    absorption = reduced * scattering * (1 - anisotropy)
    solver = slab_solver(Scene(nodes=16, index=1.0))
    media = solver.media(absorption[None], scattering[None], anisotropy=anisotropy)
    found = solver.slab(media, 1e3).diffuse_reflectance[0]
    two_flux = kubelka_munk(2 * absorption, 0.75 * (1 - anisotropy) * scattering, 1.0).reflectance
    gap = np.abs(found - two_flux)
    deviation(gap[-1])
    orders = np.log10(gap[:-1] / gap[1:])
    assert orders[-1] > orders[0] > 0.85  # towards first order; √ε would show as 0.5
    assert gap[-1] < 1e-3


@pytest.mark.published(
    law="Saunderson's correction",
    source="Saunderson, J. Opt. Soc. Am. 32 (1942) 727 (form from memory)",
    where="limits: a black body shows its gloss, a perfect one everything",
)
def test_saunderson_keeps_its_limits(deviation):
    worst = max(
        abs(saunderson(0.0, 0.04, 0.596).item() - 0.04),
        abs(saunderson(1.0, 0.04, 0.596).item() - 1),
    )
    deviation(worst)
    assert worst < 1e-15
