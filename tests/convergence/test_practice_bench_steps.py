"""The practice bench's steps: fourth order in time, and an exact solution in the limit."""

from dataclasses import replace

import numpy as np
import pytest

from partline.process.practice_bench import advanced, drawn, filled

HOT = 450.0


def test_the_step_is_of_the_fourth_order():
    hidden = drawn(np.random.default_rng(1), 2)
    melt = filled(hidden, 0.40, HOT)  # thick layers, so that accuracy and not stability binds

    def after(step):
        later = advanced(hidden, melt, 24.0, power=300.0, longest=step)
        return np.append(later.layers.ravel(), later.wet)

    finest = after(1 / 32)
    errors = [np.abs(after(step) - finest).max() for step in (1.0, 0.5, 0.25)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders == pytest.approx(np.full(2, 4.0), abs=0.1)


def test_a_well_mixed_melt_that_loses_by_its_top_alone_follows_the_exact_solution():
    # dθ/dt = −a θ^1.25 gives θ^−1/4 = θ0^−1/4 + a t/4. No radiation, no hold on the glass.
    hidden = drawn(np.random.default_rng(2), 2)
    nothing = np.zeros(2)
    hidden = replace(
        hidden, grip=nothing + 1e-9, emissivity=nothing, bench=nothing, churn=nothing + 20.0
    )
    melt = filled(hidden, 0.30, HOT)
    later = advanced(hidden, melt, 120.0)
    top = np.pi / 4 * hidden.bore**2
    pace = hidden.breeze * top / (melt.mass * hidden.plastic_heat)
    lead = HOT - hidden.room
    exact = (lead**-0.25 + pace * 120.0 / 4) ** -4
    fall = (later.bulk - hidden.room - lead) / (exact - lead)
    # The surface is colder than the bulk by Bi/3 = h d/(3k) = 9·0.06/60, about 1 %.
    assert fall == pytest.approx(np.ones(2), abs=0.02)
