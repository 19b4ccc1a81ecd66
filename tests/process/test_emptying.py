"""A cup that is drawn from falls faster the emptier it is."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests.process.shooting import demo_shooting

CUP = demo_shooting().cups[0]


@settings(deadline=None)
@given(st.floats(0.03, 0.25), st.floats(400, 450), st.floats(1, 100))
def test_an_emptier_cup_cools_faster(mass, warm, seconds):
    assert CUP.fall(mass, warm, seconds) < CUP.fall(1.2 * mass, warm, seconds)


def test_a_fall_is_that_of_the_cups_own_balance():
    # The reference integrates the same loss and store with a step-controlled solver.
    def rate(_, warm):
        return -(warm - CUP.room) / CUP.cup.time_constant(0.11, warm, CUP.room)

    exact = solve_ivp(rate, (0, 120), [440.0], rtol=1e-10, atol=1e-9).y[0, -1]
    assert CUP.fall(0.11, 440.0, 120.0) == pytest.approx(exact, abs=0.01)


def test_the_band_is_as_long_as_the_fall_through_it():
    time = CUP.band_time(6, 436.15, 423.15)
    assert CUP.fall(CUP.mass(6), 436.15, time) == pytest.approx(423.15, abs=0.02)


def test_a_draught_shortens_the_band():
    draughty = CUP.exposed(1.5)
    assert draughty.band_time(6, 436.15, 423.15) < 0.75 * CUP.band_time(6, 436.15, 423.15)
