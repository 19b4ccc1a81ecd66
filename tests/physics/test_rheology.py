"""How thick a hot plastisol is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.physics.gelation import gel_temperature, setting_temperature
from partline.physics.rheology import (
    DEHP,
    DINP,
    filler_factor,
    gel_viscosity,
    melt_scale_from,
    plasticiser_viscosity,
)

SHARES = st.floats(0.05, 0.35)
KELVIN = st.floats(400.0, 475.0)
LATE = st.floats(0.0, 40.0)
FILLED = st.floats(0.0, 1.0)
PACKING = st.floats(0.2, 0.8)


def melt(resin, temperature, undercooling=15.0):
    """Viscosity of a melt of DINP whose scale is 40,000. [Pa·s]"""
    return gel_viscosity(resin, temperature, plasticiser_viscosity(temperature), 4e4, undercooling)


@given(resin=SHARES, temperature=KELVIN, warmer=st.floats(0.0, 30.0), late=LATE)
def test_a_hotter_melt_is_never_thicker(resin, temperature, warmer, late):
    assert melt(resin, temperature + warmer, late) <= melt(resin, temperature, late)


@given(resin=SHARES, more=st.floats(0.0, 0.2), temperature=KELVIN, late=LATE)
def test_more_resin_never_makes_a_thinner_melt(resin, more, temperature, late):
    assert melt(resin + more, temperature, late) >= melt(resin, temperature, late)


@given(resin=SHARES, temperature=KELVIN, late=LATE)
def test_a_melt_that_sets_later_is_never_thicker(resin, temperature, late):
    assert melt(resin, temperature, late) <= melt(resin, temperature, 0.0)


@given(resin=SHARES, temperature=KELVIN, late=LATE)
def test_a_melt_is_above_nothing_and_infinite_only_once_it_has_set(resin, temperature, late):
    viscosity = float(melt(resin, temperature, late))
    assert viscosity > 0
    assert not np.isnan(viscosity)
    above_setting = temperature - float(setting_temperature(resin, late))
    if abs(above_setting) > 1e-6:  # at the line itself rounding decides
        assert np.isinf(viscosity) == (above_setting < 0)


@pytest.mark.parametrize("resin", [0.1, 0.15, 0.2, 0.25])
@pytest.mark.parametrize("below", [1e-6, 1.0, 100.0])
def test_a_gel_at_or_below_its_line_does_not_flow(resin, below):
    temperature = float(gel_temperature(resin)) - below
    assert gel_viscosity(resin, temperature, 2e-3, 4e4, 0.0) == np.inf


def test_towards_its_line_a_melt_thickens_without_end():
    line = float(gel_temperature(0.2))
    near = gel_viscosity(0.2, line + np.array([10.0, 1.0, 0.1, 0.01]), 2e-3, 4e4, 0.0)
    # With a power of −1.5, ten times nearer is 31.6 times thicker; w⁴ and ηs held.
    assert near[2:] / near[1:-1] == pytest.approx([31.6, 31.6], rel=0.02)


@given(
    resin=SHARES,
    above=st.floats(1.0, 60.0),
    late=LATE,
    viscosity=st.floats(1e-3, 1e3),
    solvent=st.floats(1e-4, 1e-1),
)
def test_a_scale_from_a_flow_gives_that_flow_back(resin, above, late, viscosity, solvent):
    temperature = float(setting_temperature(resin, late)) + above
    scale = melt_scale_from(viscosity, resin, temperature, solvent, late)
    again = gel_viscosity(resin, temperature, solvent, scale, late)
    assert again == pytest.approx(viscosity, rel=1e-9)


def test_a_flow_that_could_not_have_been_is_questioned():
    with pytest.raises(InputError, match="had set") as refusal:
        melt_scale_from(1.0, 0.2, 400.0, 2e-3, 0.0)
    assert "Measure hotter" in refusal.value.remedy


@given(temperature=st.floats(200.0, 480.0), warmer=st.floats(0.0, 50.0))
@pytest.mark.parametrize("liquid", [DINP, DEHP])
def test_a_hotter_plasticiser_is_never_thicker(liquid, temperature, warmer):
    assert plasticiser_viscosity(temperature + warmer, liquid) <= plasticiser_viscosity(
        temperature, liquid
    )


@pytest.mark.parametrize("temperature", [196.4321, 100.0, -1.0, float("nan"), float("inf")])
def test_a_frozen_plasticiser_is_refused(temperature):
    with pytest.raises(OutOfRange, match=r"is a liquid above 196\.4 K"):
        plasticiser_viscosity(temperature)


def test_just_above_its_pole_a_plasticiser_is_infinite_without_a_warning():
    assert plasticiser_viscosity(DINP.pole + 1e-3) == np.inf


@given(filled=FILLED, more=FILLED, packing=PACKING, intrinsic=st.floats(1.0, 10.0))
def test_more_filler_never_thins(filled, more, packing, intrinsic):
    low, high = sorted((filled, more))
    thin = filler_factor(low, packing, intrinsic)
    thick = filler_factor(high, packing, intrinsic)
    assert 1.0 <= thin <= thick


@given(filled=FILLED, packing=PACKING)
def test_jammed_grains_do_not_flow(filled, packing):
    assert np.isinf(filler_factor(filled, packing)) == (filled >= packing)


def test_no_grains_change_nothing():
    assert filler_factor(0.0) == 1.0


@given(intrinsic=st.floats(1.0, 10.0), packing=PACKING)
def test_the_first_grains_thicken_by_their_intrinsic_viscosity(intrinsic, packing):
    few = 1e-6
    slope = (filler_factor(few, packing, intrinsic) - 1) / few
    assert slope == pytest.approx(intrinsic, rel=1e-4)  # the next term is of the order φ/φm


def test_arrays_broadcast():
    assert filler_factor(np.zeros((3, 1)), [0.5, 0.6]).shape == (3, 2)
    assert plasticiser_viscosity(np.full((2, 2), 440.0)).shape == (2, 2)
    resin, temperature = np.array([[0.1], [0.2]]), np.array([440.0, 450.0, 460.0])
    assert gel_viscosity(resin, temperature, 2e-3, 4e4).shape == (2, 3)


@pytest.mark.parametrize("filled", [-0.01, 1.01, float("nan")])
def test_a_share_of_grains_that_cannot_be_is_refused(filled):
    with pytest.raises(OutOfRange, match="volume share of grains"):
        filler_factor(filled)


@pytest.mark.parametrize(("packing", "intrinsic"), [(0.0, 2.5), (1.1, 2.5), (0.6, 0.0)])
def test_grains_that_cannot_be_are_refused(packing, intrinsic):
    with pytest.raises(OutOfRange, match="jam at"):
        filler_factor(0.1, packing, intrinsic)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"resin": 0.0}, "share of resin"),
        ({"resin": 20.0}, "share of resin"),
        ({"temperature": 0.0}, "above 0 K"),
        ({"undercooling": -1.0}, "undercooling"),
        ({"solvent_viscosity": 0.0}, "above 0"),
        ({"melt_scale": -1.0}, "above 0"),
    ],
)
def test_a_melt_that_cannot_be_is_refused(changed, words):
    possible = {
        "resin": 0.2,
        "temperature": 448.0,
        "solvent_viscosity": 2e-3,
        "melt_scale": 4e4,
        "undercooling": 15.0,
    }
    with pytest.raises(OutOfRange, match=words):
        gel_viscosity(**(possible | changed))


@pytest.mark.parametrize(("viscosity", "solvent"), [(0.0, 2e-3), (np.inf, 2e-3), (1.0, 0.0)])
def test_a_measured_viscosity_that_cannot_be_is_refused(viscosity, solvent):
    with pytest.raises(OutOfRange, match="viscosity must be"):
        melt_scale_from(viscosity, 0.2, 448.0, solvent)
