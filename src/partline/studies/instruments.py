"""What readings say of a thermometer, a scale and an oven: offset, error and watts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, sqrt

import numpy as np
from scipy.stats import t as student

from partline.errors import InputError, OutOfRange
from partline.physics.boiling import SEA, air_pressure, boiling_temperature
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin, propagate

#: How far readings of a hand thermometer scatter before any was taken, and what that thought
#: counts for beside readings: spread [K], and readings' worth. Common practice, no source.
SCATTER, WORTH = 1.0, 2
#: How much an offset may grow for every kelvin between where it was checked and the working
#: band. Common practice, no source. [-]
DRIFT = 0.01
#: Ice in well stirred water may be off by, and rolling water besides its pressure; weather moves
#: the pressure by. 80 % half ranges, common practice, no source. [K], [K], [-]
ICE, ROLLING, WEATHER = 0.3, 0.3, 0.012
#: Where the working band lies, for what a check elsewhere says there. [K]
BAND = 433.15
MOST_OFFSET = 25.0


def ice() -> Estimate:
    """Return the temperature of ice in stirred water. [K]"""
    return Estimate(value=ZERO_CELSIUS, low=ZERO_CELSIUS - 0.05, high=ZERO_CELSIUS + ICE,
                    origin=Origin.PUBLISHED, source="melting ice, stirred")  # fmt: skip


def boiling(height: float | None = None, pressure: Estimate | None = None) -> Estimate:
    """Return the temperature of rolling water. [K]

    Parameters
    ----------
    height : float, optional
        Above the sea; used where no pressure is known. [m]
    pressure : Estimate, optional
        Of the air, as a weather station tells it for that very place. [Pa]

    Raises
    ------
    OutOfRange
        If water does not boil there in the open.
    """
    if pressure is None:
        middle = SEA if height is None else float(air_pressure(height))
        pressure = Estimate(
            value=middle, low=middle * (1 - WEATHER), high=middle * (1 + WEATHER),
            origin=Origin.COMPUTED,
            narrows="the pressure that a weather station tells, not reduced to the sea",
        )  # fmt: skip
        where = "at the sea" if height is None else f"{height:.0f} m above the sea"
    else:
        where = f"at {pressure.value / 100:.0f} hPa"
    at = propagate(lambda p: float(boiling_temperature(p)), [pressure])
    off = hypot(at.high - at.value, ROLLING)
    return Estimate(value=at.value, low=at.value - off, high=at.value + off,
                    origin=Origin.COMPUTED, source=f"rolling water {where} (IAPWS-IF97)",
                    narrows=pressure.narrows)  # fmt: skip


def thermometer_offset(
    readings: Sequence[float], references: Sequence[Estimate], name: str = "the reference"
) -> Estimate:
    """Return what is to be added to a thermometer's readings. [K]

    Parameters
    ----------
    readings : sequence of float
        At least one. [K]
    references : sequence of Estimate
        What was true at each, or one for all. [K]
    name : str
        What was true, in words.

    Raises
    ------
    InputError
        If the readings and what was true are not paired.
    OutOfRange
        If it would be so far off that something else was read.

    Notes
    -----
    The mean of the differences, with Student's range for their scatter; one kelvin, as if two
    readings had shown it, stands in until readings tell their own. What is true is off by the
    same for all readings, and is added in quadrature; so is a hundredth of the way to the
    working band, for a check made at ice or at boiling water says less there.
    """
    if not readings or len(references) not in (1, len(readings)):
        raise InputError(
            f"{len(readings)} readings and {len(references)} of what was true do not pair.",
            field="against",
            remedy="Give one reading of the other thermometer for each, or one for all.",
        )
    true = np.array([each.value for each in references])
    off = true - np.asarray(readings, dtype=float)
    count, mean = len(readings), float(off.mean())
    if abs(mean) > MOST_OFFSET:
        raise OutOfRange(
            f"The thermometer would be {abs(mean):.0f} K off; that is no error of a thermometer.",
            low=-MOST_OFFSET, high=MOST_OFFSET, unit="K", field="readings",
            remedy="Check °C and °F, and that both looked at the same water.",
        )  # fmt: skip
    degrees = count - 1 + WORTH
    square = (float(((off - mean) ** 2).sum()) + WORTH * SCATTER**2) / degrees
    scatter = float(student.ppf(0.9, degrees)) * sqrt(square / count)
    shared = max(max(each.high - each.value, each.value - each.low) for each in references)
    far = HALF_RANGE * DRIFT * abs(BAND - float(true.mean()))
    half = sqrt(scatter**2 + shared**2 + far**2)
    return Estimate(
        value=mean, low=mean - half, high=mean + half, origin=Origin.MEASURED,
        source=f"against {name}", count=count, narrows=_narrows(scatter, shared, far),
    )  # fmt: skip


def _narrows(scatter: float, shared: float, far: float) -> str:
    worst = max(scatter, shared, far)
    if worst == far:
        return "a check near the working band, against a probe in hot oil or in the melt itself"
    return "more readings" if worst == scatter else "a reference that is better known"


class Verdict(StrEnum):
    """What a known weight says of a scale."""

    GOOD = "within its steps"
    OFF = "off"
    WEAK = "cannot be told"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleCheck:
    """A known weight on a scale.

    Parameters
    ----------
    factor : Estimate
        What a reading is to be multiplied by. [-]
    verdict : Verdict
        In a word.
    tells : float
        Smallest error that this weight could have shown. [-]
    """

    factor: Estimate
    verdict: Verdict
    tells: float


def check_scale(readings: Sequence[float], known: Estimate, step: float) -> ScaleCheck:
    """Check a scale with a weight that is known.

    Parameters
    ----------
    readings : sequence of float
        At least one, each put on anew. [kg]
    known : Estimate
        The weight. [kg]
    step : float
        Smallest that the scale shows. [kg]

    Raises
    ------
    OutOfRange
        If the readings are no readings of this weight.
    """
    mean = float(np.mean(readings))
    if not 0.5 <= mean / known.value <= 2.0:
        raise OutOfRange(
            f"The scale shows {mean * 1e3:.4g} g for {known.value * 1e3:.4g} g: that is no error "
            "of a scale.",
            low=known.value * 0.5, high=known.value * 2, unit="kg", field="readings",
            remedy="Check the unit, and that the scale stood at zero.",
        )  # fmt: skip
    # Even from half a step: four readings in five lie within 0.4 of a step.
    spread = float(np.std(readings, ddof=1)) if len(readings) > 1 else 0.0
    half = hypot(0.4 * step, HALF_RANGE * spread) / sqrt(len(readings))
    read = Estimate(value=mean, low=mean - half, high=mean + half, origin=Origin.MEASURED)
    factor = propagate(lambda true, shown: true / shown, [known, read])
    factor = Estimate(
        value=factor.value, low=factor.low, high=factor.high, origin=Origin.MEASURED,
        source=f"a weight of {known.value * 1e3:.5g} g", count=len(readings),
        narrows="a heavier or better known weight",
    )  # fmt: skip
    tells = (factor.high - factor.low) / 2
    if factor.low <= 1 <= factor.high:
        verdict = Verdict.GOOD if tells <= WEAK_ABOVE else Verdict.WEAK
    else:
        verdict = Verdict.OFF
    return ScaleCheck(factor=factor, verdict=verdict, tells=tells)


#: A check that would not have shown an error of this is too weak to call a scale good. [-]
WEAK_ABOVE = 0.02

#: Specific heat of water near 15 °C, and of a glass vessel. [J/(kg·K)]
WATER_HEAT, GLASS_HEAT = 4187.0, 550.0


def oven_watts(
    water: Estimate,
    vessel: Estimate,
    before: Estimate,
    after: Estimate,
    seconds: Estimate,
    room: float,
) -> Estimate:
    """Return an oven's power into a load of water. [W]

    Parameters
    ----------
    water, vessel : Estimate
        Mass of the water, and of its glass vessel. [kg]
    before, after : Estimate
        Temperature of the stirred water. [K]
    seconds : Estimate
        At full power. [s]
    room : float
        Temperature of the vessel before. [K]

    Raises
    ------
    OutOfRange
        If the water warmed too little to tell, or boiled.

    References
    ----------
    .. [1] IEC 60705, "Household microwave ovens – Methods for measuring performance," power
       output: 1000 g of water from about 10 to 20 °C, P = [4.187 m_w (T₂ − T₁) + 0.55 m_c
       (T₂ − T₀)]/t (from memory).
    """
    rise = after.value - before.value
    if not LEAST_RISE <= rise <= MOST_RISE:
        raise OutOfRange(
            f"The water warmed by {rise:.1f} K; {LEAST_RISE:g} to {MOST_RISE:g} K tell a power.",
            low=LEAST_RISE, high=MOST_RISE, unit="K", field="after",
            remedy="Begin with a litre near 10 °C, and heat it to about 20 °C.",
        )  # fmt: skip

    def power(m: float, glass: float, first: float, last: float, t: float) -> float:
        return (WATER_HEAT * m * (last - first) + GLASS_HEAT * glass * (last - room)) / t

    found = propagate(power, [water, vessel, before, after, seconds])
    return Estimate(
        value=found.value, low=found.low, high=found.high, origin=Origin.MEASURED, count=1,
        source=f"{water.value * 1e3:.0f} g of water warmed by {rise:.1f} K in "
        f"{seconds.value:.0f} s, as IEC 60705 does",
        narrows=found.narrows or "a second litre, or a finer thermometer",
    )  # fmt: skip


LEAST_RISE, MOST_RISE = 3.0, 40.0
