"""Light inside stacks: it is the solver's own, it obeys the equation of transfer, none is lost."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.physics.layered_media import Scene, SlabSolver, internal_field, slab_solver

WITHIN = np.linspace(0.0, 1.0, 9) ** 2


def random_media(solver: SlabSolver, seed: int, wavelengths: int = 5):
    """Media from clear to dense, the last one without absorption."""
    rng = np.random.default_rng(seed)
    absorption = 10 ** rng.uniform(0, 3, (3, wavelengths))
    absorption[2] = 0.0
    scattering = 10 ** rng.uniform(0, 3.8, (3, wavelengths))
    return solver.media(absorption, scattering, anisotropy=rng.uniform(-0.3, 0.85, (3, 1)))


@settings(deadline=None, max_examples=30)
@given(
    seed=st.integers(0, 1000),
    nodes=st.sampled_from([4, 8]),
    thick=st.tuples(st.floats(0, 8e-3), st.floats(0, 8e-3)),
    card=st.floats(0, 1),
    order=st.sampled_from([[0, 1], [1, 0], [2, 1], [1, 1], [0, 2]]),
)
def test_what_leaves_the_skin_is_the_solvers_reflectance(seed, nodes, thick, card, order):
    solver = slab_solver(Scene(nodes=nodes))
    media = random_media(solver, seed)
    field = internal_field(solver, media, [order], [thick], card, fractions=WITHIN)
    leaving = (1 - solver.above.reflectance[-1]) * field.up[:, 0, 0, -1]
    expected = solver.reflectance(media, [order], [thick], card).normal
    np.testing.assert_allclose(leaving, expected, rtol=1e-9)  # rounding in 8 × 8 systems
    if sum(thick) > 1e-5:
        assert np.all(field.up > 0)
        assert np.all(field.down > 0)


def test_light_passes_unbroken_from_layer_to_layer():
    solver = slab_solver(Scene(nodes=8))
    media = random_media(solver, 3)
    field = internal_field(solver, media, [[0, 1]], [[2e-3, 3e-3]], 0.4, fractions=WITHIN)
    for light in (field.up, field.down, field.mean):
        np.testing.assert_allclose(light[:, 0, -1], light[:, 1, 0], rtol=1e-9)


def test_without_absorption_the_net_flux_is_the_same_at_every_depth():
    solver = slab_solver(Scene(nodes=8))
    field = internal_field(
        solver, random_media(solver, 4), [[2, 2]], [[1e-3, 4e-3]], 0.3, fractions=WITHIN
    )
    share = solver.directions.cosine * solver.directions.weight
    flux = np.einsum("n,slznw->slzw", share, field.down - field.up)
    assert np.all(flux > 0)
    assert np.ptp(flux, axis=(1, 2)).max() < 1e-12


def test_light_along_the_normal_obeys_the_equation_of_transfer():
    """dI/dz = μt I − μs φ for isotropic scattering, by differences over a two-thousandth."""
    solver = slab_solver(Scene(nodes=8))
    absorption, scattering = np.array([[5.0, 300.0]]), np.array([[40.0, 900.0]])
    media = solver.media(absorption, scattering)
    depth = np.linspace(0.0, 1.0, 2001)
    field = internal_field(solver, media, [[0]], [[1e-3]], 0.4, fractions=depth)
    up = field.up[0, 0, :, -1]
    slope = np.gradient(up, depth * 1e-3, axis=0, edge_order=2)
    source = scattering * field.mean[0, 0]
    # Second differences of e^(μt z) leave (μt h)²/3 = 1e-7 of the slope, at the ends some more.
    np.testing.assert_allclose(slope, (absorption + scattering) * up - source, rtol=1e-4)


def test_clear_plastic_over_black_holds_the_light_that_came_in():
    """Where nothing is lost or scattered, a direction's light is the sky's less the skin's."""
    solver = slab_solver(Scene(nodes=8, below=1.494))
    media = solver.media([[1e-9]], [[0.0]])
    field = internal_field(solver, media, [[0]], [[5e-3]], 0.0, fractions=[0.0, 0.5, 1.0])
    through = 1 - solver.above.reflectance
    np.testing.assert_allclose(field.down[0, 0, :, :, 0], np.tile(through, (3, 1)), atol=1e-8)
    np.testing.assert_allclose(field.up, 0.0, atol=1e-8)


def test_places_that_are_not_in_the_layer_are_refused():
    solver = slab_solver(Scene(nodes=4))
    media = random_media(solver, 1)
    with pytest.raises(OutOfRange, match="0 to 1"):
        internal_field(solver, media, [[0]], [[1e-3]], fractions=[0.0, 1.2])
    with pytest.raises(InputError, match="made for"):
        internal_field(slab_solver(Scene(nodes=8)), media, [[0]], [[1e-3]], fractions=[0.0, 1.0])


def test_light_from_below_is_light_from_above_of_the_stack_turned_over():
    """Two ways to a stack of one medium lit alike from both sides: it looks alike from both."""
    solver = slab_solver(Scene(nodes=8))
    media = random_media(solver, 5)
    order, thick = np.array([[0, 1]]), np.array([[1e-3, 3e-3]])
    depths = np.array([0.0, 0.2, 0.7, 1.0])
    above = internal_field(solver, media, order, thick, fractions=depths)
    turned = internal_field(
        solver, media, order[:, ::-1], thick[:, ::-1], fractions=1 - depths[::-1]
    ).turned()
    both = above.plus(turned, 1.0)
    np.testing.assert_allclose(both.thickness, thick)
    # Nothing but the sky lies above and below: what comes down at the top is the sky's share of
    # each direction and what the skin turns back, and likewise at the bottom.
    skin = solver.above.reflectance[:, None]
    np.testing.assert_allclose(both.down[0, 0, 0], 1 - skin + skin * both.up[0, 0, 0], atol=1e-9)
    np.testing.assert_allclose(both.up[0, 1, -1], 1 - skin + skin * both.down[0, 1, -1], atol=1e-9)
    # Without absorption everything inside is as bright as the sky.
    white = internal_field(solver, media, [[2, 2]], thick, fractions=depths)
    mirror = internal_field(solver, media, [[2, 2]], thick[:, ::-1], fractions=1 - depths[::-1])
    full = white.plus(mirror.turned(), 1.0)
    np.testing.assert_allclose(full.mean, 1.0, atol=1e-9)
    with pytest.raises(InputError, match="same layers"):
        above.plus(white, 1.0)
