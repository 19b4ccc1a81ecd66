"""A reading that does not go with the others: how surprising, and what may have been meant."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from partline.errors import InputError
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import HALF_RANGE
from partline.studies.countdown.events import Reading
from partline.studies.countdown.fitting import fit
from partline.studies.countdown.history import CupHistory
from partline.studies.countdown.likelihood import SLIP, mean_skin, reading_noise
from partline.studies.countdown.posterior import Posterior

Floats = NDArray[np.floating]

#: A reading less likely than this, both ends counted, is asked about: one honest reading in 500.
SURPRISING = 0.002
#: What may have been meant is offered when it is at least this likely.
LIKELY = 0.02
#: Coldest and warmest that a melt off the heat is read at all. [K]
COLDEST, WARMEST = 60.0 + ZERO_CELSIUS, 230.0 + ZERO_CELSIUS
#: With fewer readings nobody can tell which of two that differ is the slip: then both are asked
#: about, and the history is taken at its word.
ENOUGH, NO_SLIP = 3, 1e-12
#: Middles of equal shares of an exponential law of mean 1: skins that may be there. [-]
SKINS = -np.log1p(-(np.arange(8) + 0.5) / 8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """Another way that an entry can be read.

    Parameters
    ----------
    temperature : float
        [K]
    how : str
        In words.
    """

    temperature: float
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """What there is to ask about a reading.

    Parameters
    ----------
    probability : float
        Of a reading at least so far off, were all well. [-]
    expected, low, high : float
        What was expected, and its 80 % range. [K]
    is_above : bool
        Whether the reading is warmer than expected.
    meant : tuple of Meant
        Likely readings near at hand, likeliest first.
    """

    probability: float
    expected: float
    low: float
    high: float
    is_above: bool
    meant: tuple[Meant, ...]

    @property
    def is_questioned(self) -> bool:
        """Whether to ask before the reading is used."""
        return self.probability < SURPRISING


def doubt(history: CupHistory, reading: Reading) -> Doubt | None:
    """Return how far a reading is from what the history foretells.

    Parameters
    ----------
    history : CupHistory
        With or without the reading itself; later readings are left out.
    reading : Reading
        That is looked at.

    Returns
    -------
    doubt : Doubt or None
        None where nothing is known of the cup at that time, and the reading is one that a melt
        can have.

    Notes
    -----
    A reading that was not stirred may be colder by a skin, and is not surprising for that.
    """
    before = replace(
        history,
        readings=tuple(each for each in history.readings if each.at < reading.at),
        heats=tuple(each for each in history.heats if each <= reading.at),
        expected=history.expected if all(h <= reading.at for h in history.heats) else None,
    )
    try:
        is_told = len(before.coolings[-1].readings) >= ENOUGH
        posterior = fit(before, SLIP if is_told else NO_SLIP)
    except InputError:
        return None if COLDEST <= reading.temperature <= WARMEST else _never(reading)
    return _doubt(posterior, reading, history.between)


def _doubt(posterior: Posterior, reading: Reading, between: float) -> Doubt:
    melt = posterior.temperatures(reading.at)[0]
    noise = reading_noise(between)
    below, above = _tails(posterior, melt, reading.temperature, noise, reading.since_stir)
    low, middle, high = posterior.quantiles(melt)
    spread = HALF_RANGE * noise
    asked = []
    for other in other_ways(reading.temperature):
        tails = _tails(posterior, melt, other.temperature, noise, reading.since_stir)
        is_absurd = not COLDEST <= reading.temperature <= WARMEST
        if (likely := 2 * min(*tails)) >= LIKELY or is_absurd:
            asked.append((likely, other))
    asked.sort(key=lambda each: -each[0])
    return Doubt(
        probability=min(2 * min(below, above), 1.0),
        expected=float(middle),
        low=float(middle - np.hypot(middle - low, spread)),
        high=float(middle + np.hypot(high - middle, spread)),
        is_above=above < below,
        meant=tuple(each for _, each in asked),
    )


def _never(reading: Reading) -> Doubt:
    """Return the doubt about a first reading that no melt has."""
    return Doubt(
        probability=0.0,
        expected=(COLDEST + WARMEST) / 2,
        low=COLDEST,
        high=WARMEST,
        is_above=reading.temperature > WARMEST,
        meant=other_ways(reading.temperature),
    )


def _tails(
    posterior: Posterior, melt: Floats, value: float, noise: float, since_stir: float | None
) -> tuple[float, float]:
    """Return the chances of a reading at most, and at least, so warm."""
    skins = mean_skin(since_stir) * SKINS
    share = ndtr((value - melt[:, None] + skins) / noise).mean(axis=1)
    below = float(posterior.weight @ share)
    return max(below, 0.0), max(1.0 - below, 0.0)


def other_ways(temperature: float) -> tuple[Meant, ...]:
    """Return what a temperature [K] may have been: the other unit, or two digits exchanged."""
    celsius = temperature - ZERO_CELSIUS
    found = [
        Meant(temperature=(celsius - 32) / 1.8 + ZERO_CELSIUS, how="in °F"),
        Meant(temperature=celsius * 1.8 + 32 + ZERO_CELSIUS, how="in °C"),
    ]
    digits = f"{celsius:.1f}".replace("-", "").zfill(5)
    for place in (0, 1):
        if digits[place] != digits[place + 1]:
            turned = digits[:place] + digits[place + 1] + digits[place] + digits[place + 2 :]
            found.append(
                Meant(temperature=float(turned) + ZERO_CELSIUS, how="two digits exchanged")
            )
    return tuple(each for each in found if COLDEST <= each.temperature <= WARMEST)
