"""Quadrature rules are exact to the degree that they promise, and no further."""

import numpy as np
import pytest

from partline.numerics.quadrature import flux_radau, gauss, gauss_radau

ROUNDING = 1e-13


def _error(nodes, weights, degree, low=0.0, high=1.0, flux=0):
    power = degree + flux
    exact = (high ** (power + 1) - low ** (power + 1)) / (power + 1)
    return abs(float(weights @ nodes**degree) - exact)


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8, 16])
def test_gauss_is_exact_to_its_degree(count):
    nodes, weights = gauss(count, 0.2, 0.9)
    errors = [_error(nodes, weights, k, 0.2, 0.9) for k in range(2 * count)]
    assert max(errors) < ROUNDING
    if count < 5:  # above, the next term drowns in rounding
        assert _error(nodes, weights, 2 * count, 0.2, 0.9) > ROUNDING


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8, 16])
@pytest.mark.parametrize(("rule", "flux"), [(gauss_radau, 0), (flux_radau, 1)])
def test_radau_rules_end_at_the_normal_and_are_exact_to_their_degree(rule, flux, count):
    nodes, weights = rule(count)
    assert nodes[-1] == 1.0
    assert np.all(np.diff(nodes) > 0)
    assert np.all(weights > 0)
    assert max(_error(nodes, weights, k, flux=flux) for k in range(2 * count - 1)) < ROUNDING
    if count < 5:
        assert _error(nodes, weights, 2 * count - 1, flux=flux) > ROUNDING


def test_a_radau_rule_fits_any_interval():
    nodes, weights = gauss_radau(4, 0.5, 0.8)
    assert nodes[-1] == pytest.approx(0.8, abs=1e-15)
    assert max(_error(nodes, weights, k, 0.5, 0.8) for k in range(7)) < ROUNDING
