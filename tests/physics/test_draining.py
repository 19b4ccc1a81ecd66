"""A cup that drains through a tube: thicker is slower, and the head is a mean of the fall."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from partline.errors import OutOfRange
from partline.physics.draining import drained_viscosity
from partline.quantities.constants import STANDARD_GRAVITY

SIZES = {"volume": 50e-6, "bore": 6e-3, "tube_length": 40e-3, "head_before": 0.1,
         "head_after": 0.07, "density": 950.0}  # fmt: skip


@given(viscosity=st.floats(0.3, 30.0), fall=st.floats(0.005, 0.05))
def test_a_drain_followed_in_time_gives_its_viscosity_back(viscosity, fall):
    """Poiseuille's flow under a falling head, integrated step by step."""
    before, after = 0.1, 0.1 - fall
    area = SIZES["volume"] / fall
    rate = np.pi * SIZES["bore"] ** 4 * SIZES["density"] * STANDARD_GRAVITY
    rate /= 128 * viscosity * SIZES["tube_length"] * area

    def lower(_, head):
        return -rate * head

    def there(_, head):
        return head[0] - after

    there.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(lower, (0, 10 / rate), [before], events=there, rtol=1e-10, atol=1e-12)
    sizes = SIZES | {"head_before": before, "head_after": after}
    found = drained_viscosity(run.t[-1], **sizes)
    speeding = 1.1 * SIZES["density"] * SIZES["volume"]
    speeding /= 8 * np.pi * SIZES["tube_length"] * run.t[-1]
    assert found + speeding == pytest.approx(viscosity, rel=1e-6)


def test_what_runs_out_at_once_tells_nothing():
    with pytest.raises(OutOfRange, match="into speed"):
        drained_viscosity(0.3, **SIZES)
    with pytest.raises(OutOfRange, match="must fall"):
        drained_viscosity(30.0, **SIZES | {"head_after": 0.1})
    with pytest.raises(OutOfRange):
        drained_viscosity(-1.0, **SIZES)
