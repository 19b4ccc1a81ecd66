"""The eigen form against plain doubling, which shares nothing but the directions."""

import numpy as np
import pytest
from scipy.special import eval_legendre

from partline.physics.layered_media import Scene, slab_solver
from partline.physics.scattering import delta_scaled, henyey_greenstein_moments


def _thin_layer(directions, depth, albedo, moments):
    """Reflection and transmission of radiance by so thin a layer that light is scattered once."""
    mu, weight = directions.cosine, directions.weight
    orders = np.arange(len(moments))[:, None]
    functions = eval_legendre(orders, mu)
    functions[2::2] -= (functions[2::2] @ weight)[:, None]
    strength = ((2 * orders + 1) * moments[:, None] * functions).T
    forward, backward = strength @ functions, strength @ ((-1.0) ** orders * functions)
    step = depth / mu[:, None]
    return (
        step * albedo / 2 * backward * weight,
        np.eye(len(mu)) - step * (np.eye(len(mu)) - albedo / 2 * forward * weight),
    )


def _under(reflection, transmission, below):
    """Reflection of a layer over a body, by radiance."""
    many = np.linalg.inv(np.eye(len(below)) - reflection @ below)
    return reflection + transmission @ below @ many @ transmission


def _layer(directions, absorption, scattering, g, thickness, doublings=30):
    n = len(directions.cosine)
    moments = henyey_greenstein_moments(g, n + 1)
    extinction, albedo, scaled = delta_scaled(
        np.array([absorption]), np.array([scattering]), moments
    )
    depth = extinction.item() * thickness / 2**doublings
    reflection, transmission = _thin_layer(directions, depth, albedo.item(), scaled[:, 0])
    for _ in range(doublings):
        many = np.linalg.inv(np.eye(n) - reflection @ reflection)
        reflection, transmission = (
            reflection + transmission @ reflection @ many @ transmission,
            transmission @ many @ transmission,
        )
    return reflection, transmission


def _normal_view(solver, stack, backing):
    d, above, under = solver.directions, solver.above, solver.under
    through = 1 - under.reflectance
    # A Lambertian card under the lowest surface: power out by direction, shared out evenly.
    n2 = (solver.scene.index / solver.scene.below) ** 2
    caught = np.sum(under.reflectance * under.share)
    power = 2 * d.cosine * d.weight * through
    body = np.diag(under.reflectance) + np.outer(
        through, power * n2 * backing / (1 - backing * caught)
    )
    for absorption, scattering, g, thickness in reversed(stack):
        reflection, transmission = _layer(d, absorption, scattering, g, thickness)
        body = _under(reflection, transmission, body)
    inside = (1 - above.reflectance) * (solver.scene.index / solver.scene.outside) ** 2
    down = np.linalg.solve(
        np.eye(len(body)) - np.diag(above.reflectance) @ body, inside * (above.share > 0)
    )
    leaving = (1 - above.reflectance[-1]) / (solver.scene.index / solver.scene.outside) ** 2
    return leaving * (body @ down)[-1]


@pytest.mark.parametrize(
    "scene",
    [Scene(nodes=4), Scene(nodes=7, below=1.494), Scene(nodes=8, outside=1.333, below=1.333)],
    ids=str,
)
@pytest.mark.parametrize("backing", [0.0, 0.4, 1.0])
def test_stacks_agree_with_plain_doubling(scene, backing):
    stack = [(30.0, 400.0, 0.7, 2e-3), (2.0, 3000.0, 0.6, 1e-3), (200.0, 50.0, 0.0, 4e-4)]
    solver = slab_solver(scene)
    absorption, scattering, anisotropy, thickness = (np.array(c) for c in zip(*stack, strict=True))
    media = solver.media(absorption[:, None], scattering[:, None], anisotropy=anisotropy[:, None])
    found = solver.reflectance(media, [[0, 1, 2]], [thickness], backing).normal.item()
    # A start 2⁻³⁰ thick errs by about as much relatively, and 30 doublings of rounding follow.
    assert found == pytest.approx(_normal_view(solver, stack, backing), rel=2e-6)
