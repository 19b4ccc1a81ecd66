"""More directions, smaller errors: how fast, and how well few directions do."""

import numpy as np
import pytest

from partline.physics.layered_media import Scene, slab_solver

FINEST = 48


def _views(nodes, anisotropy, scene):
    """Normal views of dye over white, white over dye and a thin veil, on a grey card."""
    solver = slab_solver(Scene(nodes=nodes, **scene))
    media = solver.media(
        [[200.0], [2.0], [0.0]], [[50.0], [4000.0], [300.0]], anisotropy=anisotropy
    )
    order, depth = [[0, 1], [1, 0], [2, 0]], [[2e-3, 3e-3], [1e-3, 2e-3], [5e-4, 5e-4]]
    found = solver.reflectance(media, order, depth, 0.4)
    return np.stack([found.normal, found.diffuse_without_gloss])


def _errors(nodes, anisotropy, scene):
    finest = _views(FINEST, anisotropy, scene)
    return np.array([np.abs(_views(n, anisotropy, scene) - finest).max() for n in nodes])


@pytest.mark.parametrize("scene", [{}, {"outside": 1.333, "below": 1.333}], ids=["air", "water"])
def test_the_error_falls_faster_than_any_power_of_the_directions(scene):
    # Isotropic scattering: the rule itself is tested, not the cutting of the peak. A spectral
    # rule gains more from 8 to 16 than from 4 to 8; order four would gain 16 and 16.
    first, second, third = _errors([4, 8, 16], 0.0, scene)
    assert first / second > 16
    assert second / third > 16
    assert third < 1e-5


@pytest.mark.parametrize("anisotropy", [0.62, 0.85])
def test_forward_scattering_converges_as_well(anisotropy):
    errors = _errors([4, 8, 16, 32], anisotropy, {})
    assert np.all(errors[1:] < errors[:-1] / 3)
    assert errors[2] < 2e-4


def test_a_skin_and_a_card_with_two_critical_angles_converge():
    errors = _errors([4, 8, 16], 0.62, {"below": 1.333})
    assert np.all(np.diff(errors) < 0)
    assert errors[-1] < 1e-4  # the weaker surface's kink is split plainly: slower than one alone
