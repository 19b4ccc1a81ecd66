"""Shells against the exact series: the error falls with the square of their thickness."""

import numpy as np
import pytest

from partline.numerics.finite_volume import Network, modes, shells, value_at_core
from partline.physics.heat_conduction import (
    CYLINDER,
    SLAB,
    SPHERE,
    mean_temperature_share,
    temperature_share,
)

FOURIER = 0.3
COUNTS = (10, 20, 40, 80)


def cooled(bend: float, biot: float, cells: int) -> tuple[float, float]:
    """Core and mean of a body of size 1 that was 1 warm."""
    cut = shells(bend, cells)
    link = np.zeros((cells, cells))
    inner = np.arange(cells - 1)
    link[inner, inner + 1] = link[inner + 1, inner] = cut.link
    leak = np.zeros(cells)
    leak[-1] = 1 / (1 / (biot * cut.area) + 1 / cut.skin)
    network = Network(capacity=cut.volume, conductance=link, leak=leak)
    after = modes(network).after(np.ones(cells), FOURIER)
    return float(value_at_core(after[0], after[1])), float(after @ cut.volume)


@pytest.mark.parametrize("shape", [SLAB, CYLINDER, SPHERE], ids=["slab", "cylinder", "sphere"])
@pytest.mark.parametrize("biot", [1.0, 20.0, np.inf], ids=lambda biot: f"Bi {biot:g}")
def test_core_and_mean_converge_with_order_two(shape, biot):
    exact = (
        float(temperature_share(shape, FOURIER, biot)),
        float(mean_temperature_share(shape, FOURIER, biot)),
    )
    errors = np.array([np.subtract(cooled(shape.bend, biot, cells), exact) for cells in COUNTS])
    order = np.log2(errors[:-1] / errors[1:])
    assert order[1:] == pytest.approx(2.0, abs=0.1)
    assert np.abs(errors[2]).max() < 2e-4
