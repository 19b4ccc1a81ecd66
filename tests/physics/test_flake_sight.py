"""Lines of sight by their first flake: their mean is the solve, whatever lies in the way."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.physics.flake_sight import (
    FlakeSight,
    first_flake_light,
    flake_sight,
    gathered,
)
from partline.physics.layered_media import InternalField, Scene, internal_field, slab_solver
from partline.physics.scattering import henyey_greenstein_moments, mixed_moments

FACE = np.array([[0.75, 0.5, 0.6], [0.1, 0.9, 0.4]])


def loaded_field(
    extinction, *, absorption=(5.0, 300.0, 50.0), scattering=(50.0, 2000.0, 300.0),
    thickness=(2e-3, 3e-3), within=None, nodes=8,
) -> InternalField:  # fmt: skip
    """Two layers of one plastic whose flakes (layers, kinds) are even scatterers."""
    kappa = np.asarray(extinction, dtype=float)
    solver = slab_solver(Scene(nodes=nodes))
    plastic = np.tile(scattering, (2, 1)).astype(float)
    flakes = kappa @ FACE
    parts = np.stack([plastic, flakes])
    g = np.stack([np.full_like(plastic, 0.7), np.zeros_like(plastic)])
    moments = mixed_moments(parts, henyey_greenstein_moments(g, nodes + 1))
    lost = np.asarray(absorption) + kappa @ (1 - FACE)
    media = solver.media(lost, parts.sum(axis=0), moments=moments)
    depths = np.linspace(0.0, 1.0, 2001) if within is None else within
    return internal_field(solver, media, [[0, 1]], [thickness], 0.4, fractions=depths)


def expectation(sight: FlakeSight, kappa: np.ndarray) -> np.ndarray:
    """Mean of what is seen over the depth and kind of the first flake, by Simpson's rule."""
    met, missed = first_flake_light(sight, kappa[None], FACE)
    total, above = np.zeros_like(missed), 0.0
    for layer, thick in enumerate(sight.thickness[0]):
        depth = sight.fractions * thick
        chance = kappa[layer][None] * np.exp(-above - kappa[layer].sum() * depth)[:, None]
        seen = np.einsum("zk,zkw->zw", chance, met[0, layer])
        h = depth[1]
        total += h / 3 * (seen[0] + seen[-1] + 4 * seen[1:-1:2].sum(0) + 2 * seen[2:-1:2].sum(0))
        above += kappa[layer].sum() * thick
    return np.asarray(total + np.exp(-above) * missed)


@settings(deadline=None, max_examples=20)
@given(
    kappa=st.lists(st.floats(0, 800), min_size=4, max_size=4),
    scattering=st.lists(st.floats(0, 3000), min_size=3, max_size=3),
    absorption=st.lists(st.floats(0, 800), min_size=3, max_size=3),
)
def test_the_mean_over_the_first_flake_is_the_solve(kappa, scattering, absorption):
    load = np.reshape(kappa, (2, 2))
    field = loaded_field(load, absorption=absorption, scattering=scattering)
    sight = flake_sight(field, load.sum(axis=1)[None])
    # Trapezoids of the dimmest layer, (4000/m × 1.5 µm)²/12.
    np.testing.assert_allclose(expectation(sight, load), sight.mean, rtol=2e-5)


@given(st.integers(0, 10_000))
def test_the_mean_is_kept_even_by_a_law_that_is_nonsense(seed):
    """The chances of the depths alone do it, so that a tabled law keeps the mean too."""
    rng = np.random.default_rng(seed)
    wave = np.sin(np.linspace(0, 9, 2001))[:, None] * rng.uniform(0.1, 1, (1, 2, 1, 3))
    sight = FlakeSight(
        mean=rng.uniform(0.1, 1, (1, 3)),
        behind=1 + wave,
        mirrored=np.repeat((2 - wave)[:, :, :, None], 4, axis=3),
        edges=np.linspace(1, -1, 5),
        fractions=np.linspace(0, 1, 2001),
        thickness=np.array([[2e-3, 1e-3]]),
    )
    kappa = rng.uniform(0, 500, (2, 2))
    np.testing.assert_allclose(expectation(sight, kappa), sight.mean, rtol=1e-5)


def test_a_flake_on_the_skin_shows_its_face_in_the_light_there():
    load = np.array([[30.0, 10.0], [20.0, 0.0]])
    field = loaded_field(load)
    met, _ = first_flake_light(flake_sight(field, load.sum(axis=1)[None]), load[None], FACE)
    np.testing.assert_allclose(met[0, 0, 0], FACE * field.mean[0, 0, 0], rtol=1e-12)


def test_through_a_dye_that_scatters_nothing_one_sees_only_what_lies_behind():
    """A line of sight that meets no flake brings the backing, dimmed by the dye alone (Beer)."""
    load = np.array([[60.0, 0.0], [200.0, 90.0]])
    field = loaded_field(load, scattering=(0.0, 0.0, 0.0))
    met, missed = first_flake_light(flake_sight(field, load.sum(axis=1)[None]), load[None], FACE)
    dye = np.array([5.0, 300.0, 50.0])
    behind = np.exp(-dye * 5e-3) * field.up[0, 1, -1, -1]
    np.testing.assert_allclose(missed[0], behind, rtol=1e-6)
    flake = np.exp(-dye * 2e-3) * FACE * field.mean[0, 0, -1]
    np.testing.assert_allclose(met[0, 0, -1], flake, rtol=1e-5)


@given(st.floats(1, 900), st.sampled_from([0.0, 20.0, 2000.0]))
def test_no_line_of_sight_is_darker_than_the_flake_that_it_ends_on(kappa, scattering):
    load = np.array([[kappa, 0.0], [0.0, kappa]])
    field = loaded_field(load, scattering=(scattering,) * 3, within=np.linspace(0, 1, 400) ** 2)
    sight = flake_sight(field, load.sum(axis=1)[None])
    met, _ = first_flake_light(sight, load[None], FACE)
    face = FACE * sight.lit[..., None, :]
    assert np.all(met >= face - 1e-4)  # trapezoids


def test_what_a_mirror_may_show_is_the_mean_light_in_the_mean():
    load = np.array([[60.0, 0.0], [20.0, 90.0]])
    field = loaded_field(load, within=np.linspace(0, 1, 5))
    sight = flake_sight(field, load.sum(axis=1)[None])
    dimmed = sight.lit[0, 0, 0]  # at the skin nothing is dimmed yet
    np.testing.assert_allclose(dimmed, field.mean[0, 0, 0], rtol=1e-12)
    # Straight ahead is the sky, less the skin; from the flanks and from behind comes less.
    assert np.all(sight.mirrored[0, 0, 0, 0] > sight.mirrored[0, 0, 0, -1])


def test_an_integral_of_straight_lines_is_exact():
    where = np.array([0.0, 0.1, 0.5, 1.0])
    line = (2.0 + 3.0 * where)[:, None]
    np.testing.assert_allclose(gathered(line, where)[:, 0], 2 * where + 1.5 * where**2)


def test_flakes_that_are_not_in_the_plastic_are_refused():
    load = np.array([[60.0, 0.0], [20.0, 90.0]])
    field = loaded_field(load, within=np.linspace(0, 1, 5))
    with pytest.raises(OutOfRange, match="part of it"):
        flake_sight(field, [[5000.0, 0.0]])
    with pytest.raises(OutOfRange, match="part of it"):
        flake_sight(field, [[-1.0, 0.0]])
    with pytest.raises(InputError, match="from 0 to 1"):
        flake_sight(loaded_field(load, within=np.array([0.2, 1.0])), [[1.0, 1.0]])
