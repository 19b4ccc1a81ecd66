"""Slow flow along straight channels."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import OutOfRange
from partline.physics.channel_flow import elliptic_flow, reynolds_number, slit_flow, tube_flow

LENGTHS = st.floats(1e-4, 5e-2)
THICK = st.floats(1e-3, 1e3)
FALLS = st.floats(-1e7, 1e7)


@given(bore=LENGTHS, viscosity=THICK, fall=FALLS)
def test_a_round_ellipse_is_a_tube(bore, viscosity, fall):
    assert elliptic_flow(bore, bore, viscosity, fall) == pytest.approx(
        tube_flow(bore, viscosity, fall), rel=1e-12, abs=1e-300
    )


@given(clearance=LENGTHS, width=LENGTHS, viscosity=THICK, fall=FALLS)
def test_an_ellipse_may_be_turned(clearance, width, viscosity, fall):
    assert elliptic_flow(clearance, width, viscosity, fall) == pytest.approx(
        elliptic_flow(width, clearance, viscosity, fall), rel=1e-12, abs=1e-300
    )


@given(clearance=LENGTHS, width=LENGTHS)
def test_of_all_ellipses_of_one_area_the_round_one_passes_most(clearance, width):
    as_round = tube_flow(np.sqrt(clearance * width), 1.0, 1e5)
    assert elliptic_flow(clearance, width, 1.0, 1e5) <= as_round * (1 + 1e-12)


@given(clearance=LENGTHS, width=LENGTHS)
def test_an_ellipse_passes_less_than_the_slit_around_it(clearance, width):
    assert elliptic_flow(clearance, width, 1.0, 1e5) < slit_flow(clearance, width, 1.0, 1e5)


@given(size=LENGTHS, viscosity=THICK, fall=st.floats(1.0, 1e7), more=st.floats(1.0, 10.0))
@pytest.mark.parametrize("duct", ["tube", "slit", "ellipse"])
def test_thicker_is_slower_and_harder_pushed_is_faster(duct, size, viscosity, fall, more):
    def flow(thick, push):
        if duct == "tube":
            return tube_flow(size, thick, push)
        law = slit_flow if duct == "slit" else elliptic_flow
        return law(size, 2 * size, thick, push)

    usual = flow(viscosity, fall)
    assert flow(viscosity * more, fall) == pytest.approx(usual / more, rel=1e-12)
    assert flow(viscosity, fall * more) == pytest.approx(usual * more, rel=1e-12)
    assert flow(viscosity, -fall) == -usual


def test_a_melt_that_has_set_does_not_flow():
    assert tube_flow(4e-3, np.inf, 1e6) == 0
    assert slit_flow(4e-3, 1e-2, np.inf, 1e6) == 0
    assert elliptic_flow(4e-3, 1e-2, np.inf, 1e6) == 0
    assert reynolds_number(940.0, 1.0, 4e-3, np.inf) == 0


@given(speed=st.floats(-10, 10), diameter=LENGTHS, viscosity=THICK)
def test_a_reynolds_number_does_not_mind_the_direction(speed, diameter, viscosity):
    there = reynolds_number(940.0, speed, diameter, viscosity)
    assert there == reynolds_number(940.0, -speed, diameter, viscosity) >= 0


def test_arrays_broadcast():
    bore, viscosity = np.full((3, 1), 4e-3), np.array([0.5, 1.0])
    assert tube_flow(bore, viscosity, 1e6).shape == (3, 2)
    assert slit_flow(bore, 1e-2, viscosity, 1e6).shape == (3, 2)
    assert elliptic_flow(bore, 1e-2, viscosity, 1e6).shape == (3, 2)
    assert reynolds_number(940.0, 1.0, bore, viscosity).shape == (3, 2)


@pytest.mark.parametrize("size", [0.0, -1e-3, float("nan"), [4e-3, 0.0]])
def test_a_channel_without_a_section_is_refused(size):
    for refused in (
        lambda: tube_flow(size, 1.0, 1e6),
        lambda: slit_flow(size, 1e-2, 1.0, 1e6),
        lambda: elliptic_flow(4e-3, size, 1.0, 1e6),
        lambda: reynolds_number(940.0, 1.0, size, 1.0),
    ):
        with pytest.raises(OutOfRange, match="sizes of a channel"):
            refused()


@pytest.mark.parametrize("viscosity", [0.0, -1.0, float("nan")])
def test_a_liquid_without_friction_is_refused(viscosity):
    for refused in (
        lambda: tube_flow(4e-3, viscosity, 1e6),
        lambda: slit_flow(4e-3, 1e-2, viscosity, 1e6),
        lambda: elliptic_flow(4e-3, 1e-2, viscosity, 1e6),
        lambda: reynolds_number(940.0, 1.0, 4e-3, viscosity),
    ):
        with pytest.raises(OutOfRange, match="viscosity must be above 0"):
            refused()


def test_a_liquid_without_mass_is_refused():
    with pytest.raises(OutOfRange, match="density"):
        reynolds_number(0.0, 1.0, 4e-3, 1.0)
