"""Ducts against exact friction factors and worked examples."""

import numpy as np
import pytest
from scipy.special import ellipe

from partline.physics.channel_flow import elliptic_flow, reynolds_number, slit_flow, tube_flow

FACTS = "worked by hand in the project's collection of facts"
SHAH_LONDON = (
    "Shah and London, Laminar Flow Forced Convection in Ducts, Academic Press 1978 (from memory; "
    "values recomputed in the project's collection of facts)"
)


def friction(flow, area, edge):
    """Fanning friction factor times Reynolds number, at gradient 1 and viscosity 1. [-]"""
    hydraulic_diameter = 4 * area / edge
    return hydraulic_diameter**2 * area / (2 * float(flow))


@pytest.mark.published(law="Flow in a tube", source=SHAH_LONDON, where="circle, f·Re = 16")
def test_a_tube_rubs_as_printed(deviation):
    found = friction(tube_flow(1.0, 1.0, 1.0), np.pi / 4, np.pi)
    deviation(abs(found - 16))
    assert found == pytest.approx(16.0, rel=1e-12)  # exact


@pytest.mark.published(law="Flow in a slit", source=SHAH_LONDON, where="plates, f·Re = 24")
def test_plates_rub_as_printed(deviation):
    found = friction(slit_flow(1.0, 1.0, 1.0, 1.0), 1.0, 2.0)
    deviation(abs(found - 24))
    assert found == pytest.approx(24.0, rel=1e-12)  # exact


@pytest.mark.published(
    law="Flow in an elliptic duct",
    source=SHAH_LONDON,
    where="axes 0.9, 0.8, 0.5, 0.25, 0.1: f·Re = 16.0221, 16.0979, 16.8233, 18.24, 19.3139",
)
@pytest.mark.parametrize(
    ("aspect", "printed"),
    [(0.9, 16.0221), (0.8, 16.0979), (0.5, 16.8233), (0.25, 18.24), (0.1, 19.3139)],
)
def test_an_ellipse_rubs_as_printed(aspect, printed, deviation):
    edge = 2 * float(ellipe(1 - aspect**2))  # of an ellipse whose longer axis is 1
    found = friction(elliptic_flow(aspect, 1.0, 1.0, 1.0), np.pi * aspect / 4, edge)
    deviation(abs(found - printed))
    assert found == pytest.approx(printed, abs=6e-4)  # printed to 0.0001, one to 0.01 at 18.24


@pytest.mark.published(
    law="Flow in a tube", source=FACTS, where="section 8, 1 Pa·s, 4 mm, 50 mm, 5 mL/s: 39.8 kPa"
)
def test_a_gate_needs_the_pressure_that_was_worked_out(deviation):
    needed = 5e-6 / float(tube_flow(4e-3, 1.0, 1.0)) * 50e-3
    deviation(abs(needed - 39.8e3))
    assert needed == pytest.approx(39.8e3, abs=50)  # printed to 0.1 kPa


@pytest.mark.published(
    law="Flow in a tube", source=FACTS, where="section 8, Q μL/ΔP of a circle: 0.024544 D⁴"
)
def test_a_tube_passes_what_was_worked_out(deviation):
    found = float(tube_flow(1.0, 1.0, 1.0))
    deviation(abs(found - 0.024544))
    assert found == pytest.approx(0.024544, abs=6e-7)  # printed digits


@pytest.mark.published(
    law="Flow in a slit",
    source="lubrication limit, exact: h³/12η integrated across a thin section",
    where="a flat ellipse, h(x) = h √(1 − 4x²/b²)",
)
def test_a_flat_ellipse_is_a_row_of_slits(deviation):
    across = (np.arange(4000) + 0.5) / 4000 - 0.5
    heights = 1e-3 * np.sqrt(1 - 4 * across**2)
    row = float(slit_flow(heights, 1 / 4000, 1.0, 1.0).sum())
    found = float(elliptic_flow(1e-3, 1.0, 1.0, 1.0))
    deviation(abs(found / row - 1))
    assert found == pytest.approx(row, rel=2e-6)  # (h/b)² = 1e-6, and the sum's own error


@pytest.mark.published(
    law="Reynolds number", source=FACTS, where="section 8, 3 m/s, 4 mm, 1 Pa·s: about 11"
)
def test_a_fast_shot_is_not_creeping_at_the_gate(deviation):
    found = float(reynolds_number(940.0, 3.0, 4e-3, 1.0))
    deviation(abs(found - 11))
    assert found == pytest.approx(11, abs=0.5)  # printed to 1
