"""The cup's steps in time against the exact exponential of two nodes: order four."""

import numpy as np
import pytest
from scipy.linalg import expm

from partline.process.heating import runge_kutta

#: Melt and glass of a 160 g cup, heat held against flows at 160 °C, and a power into the melt.
CAPACITY = np.array([340.0, 70.0])
EXCHANGE, TOP, GLASS, POWER, ROOM = 1.4, 0.09, 0.22, 180.0, 295.0
SECONDS = 240.0


def rates(warm):
    over = EXCHANGE * (warm[0] - warm[1])
    flow = [POWER - over - TOP * (warm[0] - ROOM), over - GLASS * (warm[1] - ROOM)]
    return np.array(flow) / CAPACITY


def exact():
    """Augmented with the constant terms, the balance is linear: one matrix exponential."""
    matrix = np.array(
        [
            [-(EXCHANGE + TOP), EXCHANGE, POWER + TOP * ROOM],
            [EXCHANGE, -(EXCHANGE + GLASS), GLASS * ROOM],
            [0.0, 0.0, 0.0],
        ]
    )
    matrix[:2] /= CAPACITY[:, None]
    return (expm(matrix * SECONDS) @ np.array([ROOM, ROOM, 1.0]))[:2]


def test_two_nodes_converge_with_order_four():
    counts = (32, 64, 128, 256)
    found = [runge_kutta(rates, np.array([ROOM, ROOM]), SECONDS, count)[-1] for count in counts]
    errors = np.array([np.abs(each - exact()).max() for each in found])
    assert np.log2(errors[:-1] / errors[1:])[1:] == pytest.approx(4.0, abs=0.1)
    assert errors[-1] < 1e-6


def test_the_programs_own_step_is_good_to_a_hundredth_of_a_degree():
    found = runge_kutta(rates, np.array([ROOM, ROOM]), SECONDS, int(SECONDS / 5))[-1]
    assert found == pytest.approx(exact(), abs=0.01)
