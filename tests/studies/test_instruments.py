"""Readings against what is true: a thermometer's offset, a scale's factor, an oven's watts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partline.errors import InputError, OutOfRange
from partline.quantities.estimate import Estimate, Origin
from partline.studies.instruments import (
    Verdict,
    boiling,
    check_scale,
    ice,
    oven_watts,
    thermometer_offset,
)


def within(value: float, off: float) -> Estimate:
    return Estimate(value=value, low=value - off, high=value + off, origin=Origin.MEASURED)


def test_readings_four_kelvin_low_are_told_as_four():
    found = thermometer_offset([369.0, 369.2, 369.1, 369.3, 368.9], [within(373.1, 0.3)])
    assert found.value == pytest.approx(4.0)
    assert (found.origin, found.count) == (Origin.MEASURED, 5)
    assert 0 < found.low < 4.0 < found.high < 6.0


def test_more_readings_narrow_an_offset():
    rng = np.random.default_rng(1)
    widths = []
    for count in (1, 3, 12):
        readings = 370.0 + 0.7 * rng.standard_normal(count)
        found = thermometer_offset(readings.tolist(), [within(373.1, 0.1)])
        widths.append(found.high - found.low)
    assert widths[2] < widths[1] < widths[0]


def test_an_offset_holds_the_truth_as_often_as_it_says():
    rng, held = np.random.default_rng(4), []
    for _ in range(600):
        off, true = rng.uniform(-6, 6), 430.0  # near the band: nothing is added for the way there
        scatter = 0.5 if rng.random() < 0.5 else 1.5
        known = true + 0.4 / 1.2816 * rng.standard_normal()
        readings = true - off + scatter * rng.standard_normal(5)
        found = thermometer_offset(readings.tolist(), [within(known, 0.4)])
        held.append(found.low <= off <= found.high)
    assert np.mean(held) == pytest.approx(0.80, abs=0.06)  # two kinds of scatter, one prior


def test_a_check_far_from_the_band_says_less():
    near, far = (thermometer_offset([at - 2.0] * 4, [within(at, 0.3)]) for at in (430.0, 273.15))
    assert far.high - far.low > 1.5 * (near.high - near.low)
    assert "near the working band" in far.narrows


def test_readings_pair_with_those_of_another_thermometer_one_by_one():
    paired = thermometer_offset([400.0, 410.0], [within(403.0, 1.0), within(413.0, 1.0)])
    assert paired.value == pytest.approx(3.0)
    with pytest.raises(InputError, match="do not pair"):
        thermometer_offset([400.0, 410.0, 420.0], [within(403.0, 1.0)] * 2)


def test_what_is_no_error_of_a_thermometer_is_asked_about():
    with pytest.raises(OutOfRange, match="Check °C and °F"):
        thermometer_offset([311.0], [within(373.15, 0.3)])


def test_water_boils_cooler_higher_up_and_ice_melts_at_nought():
    sea, hill = boiling(0.0), boiling(1500.0)
    assert sea.value == pytest.approx(373.12, abs=0.02)
    assert hill.value == pytest.approx(368.2, abs=0.2)  # handbooks: 95 °C at 1500 m
    assert boiling(pressure=within(84_556.0, 200.0)).value == pytest.approx(hill.value, abs=0.02)
    assert ice().value == 273.15


def test_a_scale_is_good_off_or_not_to_be_told():
    known = within(0.1, 2e-5)
    assert check_scale([0.1, 0.1], known, 1e-4).verdict is Verdict.GOOD
    off = check_scale([0.0990, 0.0991], known, 1e-4)
    assert off.verdict is Verdict.OFF
    assert off.factor.low <= 0.1 / 0.09905 <= off.factor.high
    weak = check_scale([0.0990], within(0.1, 3e-3), 1e-4)
    assert weak.verdict is Verdict.WEAK
    with pytest.raises(OutOfRange, match="no error of a scale"):
        check_scale([0.003], known, 1e-4)


@given(mass=st.floats(0.2, 3.0), power=st.floats(200.0, 1500.0), rise=st.floats(4.0, 35.0))
def test_an_ovens_energy_is_kept(mass, power, rise):
    """All that the oven gave stands in water and glass."""
    seconds = (4187.0 * mass * rise + 550.0 * 0.4 * (283.0 + rise - 295.0)) / power
    found = oven_watts(
        within(mass, 1e-3), within(0.4, 5e-3), within(283.0, 0.3), within(283.0 + rise, 0.3),
        within(seconds, 0.5), 295.0,
    )  # fmt: skip
    assert found.value == pytest.approx(power, rel=1e-9)
    assert found.low < power < found.high


def test_water_that_hardly_warmed_tells_no_power():
    def power(after: float, off: float, seconds: float):
        return oven_watts(within(1.0, 1e-3), within(0.4, 5e-3), within(283.0, 0.3),
                          within(after, off), within(seconds, 0.5), 295.0)  # fmt: skip

    with pytest.raises(OutOfRange, match="near 10 °C"):
        power(284.0, 0.3, 5.0)
    finer, rougher = power(293.0, 0.1, 50.0), power(293.0, 0.5, 50.0)
    assert finer.high - finer.low < rougher.high - rougher.low
