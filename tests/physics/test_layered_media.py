"""What must hold for every stack of layers, whatever its numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partline.physics.layered_media import Scene, slab_solver

AIR = Scene(nodes=8)
SCENES = [
    Scene(nodes=4),
    AIR,
    Scene(nodes=8, outside=1.333, below=1.333),
    Scene(nodes=9, below=1.4),
]

coefficients = st.one_of(st.just(0.0), st.floats(1e-3, 1e4))
anisotropies = st.floats(-0.5, 0.98)
thicknesses = st.one_of(st.just(0.0), st.floats(1e-6, 0.05))
shares = st.floats(0.0, 1.0)
layers = st.lists(
    st.tuples(coefficients, coefficients, anisotropies, thicknesses), min_size=1, max_size=4
)
# Rounding of a few hundred operations, times how often light goes to and fro in a clear layer.
ROUNDING = 1e-10


def _stack(given_layers, backing, scene=AIR):
    absorption, scattering, anisotropy, thickness = (
        np.array(column) for column in zip(*given_layers, strict=True)
    )
    solver = slab_solver(scene)
    media = solver.media(absorption[:, None], scattering[:, None], anisotropy=anisotropy[:, None])
    return solver.reflectance(media, [range(len(given_layers))], [thickness], backing)


@settings(deadline=None, max_examples=150)
@given(layers, shares, st.sampled_from(SCENES))
def test_nothing_sends_back_more_than_it_gets(stack, backing, scene):
    found = _stack(stack, backing, scene)
    for part in (found.diffuse, found.diffuse_without_gloss):
        assert -ROUNDING <= part.item() <= 1 + ROUNDING
    # A radiance factor is not a share of energy: under diffuse light it stays below 1 as well.
    assert -ROUNDING <= found.normal.item() <= 1 + ROUNDING


@settings(deadline=None, max_examples=100)
@given(layers, shares, st.integers(0, 3), st.floats(0.1, 1e3))
def test_more_dye_never_sends_more_light_back(stack, backing, where, more):
    where %= len(stack)
    absorption, *rest = stack[where]
    darker = [*stack[:where], (absorption + more, *rest), *stack[where + 1 :]]
    before, after = _stack(stack, backing), _stack(darker, backing)
    assert after.normal.item() <= before.normal.item() + ROUNDING
    assert after.diffuse.item() <= before.diffuse.item() + ROUNDING


@settings(deadline=None, max_examples=100)
@given(coefficients, coefficients, anisotropies, thicknesses, st.floats(0.1, 1e3))
def test_more_dye_never_lets_more_light_through(absorption, scattering, g, thickness, more):
    solver = slab_solver(AIR)
    media = solver.media([[absorption], [absorption + more]], [[scattering]] * 2, anisotropy=g)
    found = solver.slab(media, thickness)
    for passed in (found.normal_transmittance, found.diffuse_transmittance):
        assert passed[1, 0] <= passed[0, 0] + ROUNDING


@settings(deadline=None, max_examples=100)
@given(layers, shares, st.integers(0, 3), st.floats(0.0, 1.0))
def test_cutting_a_layer_in_two_changes_nothing(stack, backing, where, cut):
    where %= len(stack)
    *rest, thickness = stack[where]
    halves = [(*rest, thickness * cut), (*rest, thickness * (1 - cut))]
    whole, parted = (
        _stack(stack, backing),
        _stack([*stack[:where], *halves, *stack[where + 1 :]], backing),
    )
    assert parted.normal.item() == pytest.approx(whole.normal.item(), abs=ROUNDING)
    assert parted.diffuse.item() == pytest.approx(whole.diffuse.item(), abs=ROUNDING)


@settings(deadline=None, max_examples=100)
@given(layers, shares, st.floats(0.1, 10.0))
def test_only_coefficient_times_thickness_counts(stack, backing, scale):
    scaled = [(a * scale, s * scale, g, x / scale) for a, s, g, x in stack]
    assert _stack(scaled, backing).normal.item() == pytest.approx(
        _stack(stack, backing).normal.item(), abs=ROUNDING
    )


@settings(deadline=None, max_examples=60)
@given(coefficients, anisotropies, thicknesses, st.sampled_from(SCENES))
def test_without_dye_all_light_comes_out_again(scattering, g, thickness, scene):
    solver = slab_solver(scene)
    found = solver.slab(solver.media([[0.0]], [[scattering]], anisotropy=g), thickness)
    normal = found.normal_reflectance + found.normal_transmittance
    diffuse = found.diffuse_reflectance + found.diffuse_transmittance
    assert normal.item() == pytest.approx(1.0, abs=1e-10)
    assert diffuse.item() == pytest.approx(1.0, abs=1e-10)


@settings(deadline=None, max_examples=60)
@given(coefficients, coefficients, anisotropies, thicknesses, st.sampled_from(SCENES))
def test_light_takes_the_same_way_backwards(absorption, scattering, g, thickness, scene):
    # A beam in and every direction out, against every direction in and the normal out.
    solver = slab_solver(scene)
    media = solver.media([[absorption]], [[scattering]], anisotropy=g)
    beam = solver.slab(media, thickness).normal_reflectance - solver.above.reflectance[-1]
    view = solver.reflectance(media, [[0]], [[thickness]]).normal
    assert view.item() == pytest.approx(beam.item(), abs=1e-12)


@settings(deadline=None, max_examples=40)
@given(st.integers(1, 70))
def test_a_wavelength_does_not_know_its_neighbours(wavelengths):
    rng = np.random.default_rng(wavelengths)
    absorption, scattering = rng.uniform(0, 500, (2, 2, wavelengths))
    card = rng.uniform(0, 1, (1, wavelengths))
    solver = slab_solver(AIR)
    media = solver.media(absorption, scattering, anisotropy=0.6)
    together = solver.reflectance(media, [[0, 1]], [[1e-3, 2e-3]], card).normal[0]
    pick = wavelengths // 2
    alone = solver.media(
        absorption[:, pick : pick + 1], scattering[:, pick : pick + 1], anisotropy=0.6
    )
    single = solver.reflectance(alone, [[0, 1]], [[1e-3, 2e-3]], card[0, pick]).normal.item()
    # Jacobi sweeps end when every lane of a block has settled, so lanes may differ by rounding.
    assert together[pick] == pytest.approx(single, abs=1e-12)


def test_the_order_of_layers_matters():
    dye, white = (500.0, 20.0, 0.85, 3e-3), (2.0, 5500.0, 0.62, 3e-3)
    assert _stack([white, dye], 0.0).normal.item() > 0.5
    assert _stack([dye, white], 0.0).normal.item() < 0.1


def test_a_clear_layer_shows_its_backing():
    # Nothing inside: card, one surface to leave through and light caught between card and skin.
    found = _stack([(0.0, 0.0, 0.0, 5e-3)], 0.5, Scene(nodes=16, index=1.5, below=1.5))
    k1, k2 = 0.04, 1 - (1 - slab_solver(Scene(nodes=16, index=1.5)).above.gloss) / 1.5**2
    # Saunderson's relation for a diffuse body seen along the normal; the normal's own share of
    # light through the surface is (1 − k1)/n².
    expected = (1 - slab_solver(Scene(nodes=16, index=1.5)).above.gloss) * 0.5 / (1 - k2 * 0.5)
    assert found.normal.item() == pytest.approx(expected * (1 - k1) / 1.5**2, rel=1e-6)


def test_great_thickness_and_no_thickness_are_ordinary_numbers():
    solver = slab_solver(AIR)
    absorption = [[0.0], [0.0], [1e6], [1e-9]]
    scattering = [[0.0], [1e6], [0.0], [1e-9]]
    media = solver.media(absorption, scattering, anisotropy=0.5)
    for thickness in (0.0, 1e-12, 1.0, 1e6):
        stacks = [[i, j] for i in range(4) for j in range(4)]
        for backing in (0.0, 1.0):
            found = solver.reflectance(media, stacks, np.full((16, 2), thickness), backing)
            assert np.all(np.isfinite(found.normal))
            assert np.all((found.diffuse > -1e-9) & (found.diffuse < 1 + 1e-6))


def test_many_stacks_are_the_same_as_one_at_a_time():
    rng = np.random.default_rng(11)
    solver = slab_solver(Scene(nodes=4))
    media = solver.media(
        rng.uniform(0, 500, (5, 31)), rng.uniform(0, 2000, (5, 31)), anisotropy=0.7
    )
    order, depth = rng.integers(0, 5, (20, 3)), rng.uniform(0, 4e-3, (20, 3))
    card = rng.uniform(0, 1, 20)
    together = solver.reflectance(media, order, depth, card)
    for i in range(20):
        alone = solver.reflectance(media, order[i : i + 1], depth[i : i + 1], card[i])
        assert np.array_equal(alone.normal[0], together.normal[i])
