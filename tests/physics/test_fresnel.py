"""Reflection at a smooth surface."""

import numpy as np
import pytest

from partline.physics.fresnel import (
    critical_cosine,
    diffuse_reflectance_inside,
    diffuse_reflectance_outside,
    fresnel_reflectance,
)


def test_light_beyond_the_critical_angle_stays_inside():
    edge = critical_cosine(1.494)
    assert fresnel_reflectance([0.0, edge / 2, edge * 0.999], 1.494).tolist() == [1.0, 1.0, 1.0]
    assert np.all(fresnel_reflectance([edge * 1.001, 0.9, 1.0], 1.494) < 1)


def test_along_the_normal_the_short_formula_holds():
    assert fresnel_reflectance(1.0, 1.5).item() == pytest.approx(0.04, abs=1e-15)


def test_at_brewsters_angle_half_of_the_crossed_part_is_all_there_is():
    # Inside, tan θ = 1/n: the part along the plane vanishes and the other is ((n²−1)/(n²+1))².
    n = 1.5
    cosine = np.cos(np.arctan(1 / n))
    assert fresnel_reflectance(cosine, n).item() == pytest.approx(
        ((n**2 - 1) / (n**2 + 1)) ** 2 / 2
    )


def test_without_a_step_in_index_there_is_no_surface():
    assert critical_cosine(1.0) == 0.0
    assert fresnel_reflectance([0.1, 0.5, 1.0], 1.0) == pytest.approx(np.zeros(3), abs=1e-15)
    assert diffuse_reflectance_outside(1.0) == pytest.approx(0.0, abs=1e-15)
    assert diffuse_reflectance_inside(1.0) == pytest.approx(0.0, abs=1e-15)


def test_diffuse_reflectance_inside_is_the_mean_over_all_directions():
    # Fine sum over μ, independent of the reciprocity that the law uses.
    edges = np.linspace(0, 1, 400_001)
    mu = (edges[1:] + edges[:-1]) / 2
    mean = np.sum(2 * mu * fresnel_reflectance(mu, 1.494)) / len(mu)
    assert diffuse_reflectance_inside(1.494) == pytest.approx(mean, abs=1e-6)
