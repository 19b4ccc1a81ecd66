"""Two cups that must be poured together: when both are in the band, and which one waits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.studies.countdown.posterior import TENTHS, Posterior

Floats = NDArray[np.floating]

#: Cups that are nearer than this count as matched, common practice, no source. [K]
MATCHED = 2.0
#: Pairs of points that the two cups are looked at in.
PAIRS = 1024
#: Steps of three even sequences that stay out of each other's way: powers of 1/1.2207…, the root
#: of x⁴ = x + 1.
STEPS = (0.8191725133961645, 0.6710436067037893, 0.5497004779019702)
#: How far ahead a difference is looked for to close by itself, and in what steps. [s]
AHEAD, RASTER = 900.0, 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The working band of one cup, as its thermometer reads it.

    Parameters
    ----------
    start, stop : float
        Upper and lower end. [K]
    """

    start: float
    stop: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """The time in which both cups lie in their bands.

    Parameters
    ----------
    opens, closes : Estimate
        When the later cup starts; when the earlier one stops. [s]
    chance : float
        That there is such a time at all. [-]
    """

    opens: Estimate
    closes: Estimate
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """How far apart the cups are, and what to do about it.

    Parameters
    ----------
    difference : Estimate
        Cup A less cup B, now. [K]
    waits : str
        ``A`` or ``B``: the warmer one, or empty where they are matched.
    seconds : Estimate
        How long the warmer one stands until it is within 2 K of where the other is now, which is
        kept warm that long. [s]
    closes_at : float or None
        When the difference is within 2 K by itself, both standing; None where it is not in
        15 minutes. [s]
    """

    difference: Estimate
    waits: str
    seconds: Estimate
    closes_at: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Cup A and cup B, each with what is known of it.

    Parameters
    ----------
    back, belly : Posterior
        Cup A and cup B.
    between : float
        How far the readings of two cups may be apart by the thermometer's fault, 80 %: two
        colours shine differently. No number of readings tells it. [K]
    """

    back: Posterior
    belly: Posterior
    between: float

    def slot(self, back: Band, belly: Band) -> Slot:
        """Return when both are in their bands.

        Each cup is held against its own band by its own readings, so that the thermometer's
        offset between cups does not enter.
        """
        first, second, _ = self._pairs(min(self.back.last, self.belly.last))
        opens = np.maximum(
            self.back.moments(back.start)[first], self.belly.moments(belly.start)[second]
        )
        closes = np.minimum(
            self.back.moments(back.stop)[first], self.belly.moments(belly.stop)[second]
        )
        return Slot(
            opens=self._estimate(opens),
            closes=self._estimate(closes),
            chance=float(np.mean(closes > opens)),
        )

    def match(self, now: float, within: float = MATCHED) -> Match:
        """Return how the cups stand to each other.

        Parameters
        ----------
        now : float
            [s]
        within : float
            [K]
        """
        first, second, offset = self._pairs(now)
        warm, other = self._at(now, first, second, offset)
        difference = self._estimate(warm - other)
        if abs(difference.value) <= within:
            none = Estimate.exact(0.0, Origin.COMPUTED, "the cups are matched")
            return Match(difference=difference, waits="", seconds=none, closes_at=now)
        is_back = difference.value > 0
        hot = self.back if is_back else self.belly
        points = first if is_back else second
        # On the warmer cup's own scale, whose readings tell when it gets there.
        goal = (other if is_back else warm + offset) + within
        seconds = np.maximum(_fall(hot, points, goal) - now, 0.0)
        return Match(
            difference=difference,
            waits="A" if is_back else "B",
            seconds=self._estimate(seconds),
            closes_at=self._closes(now, within),
        )

    def _at(
        self,
        now: float,
        first: NDArray[np.intp],
        second: NDArray[np.intp],
        offset: Floats,
    ) -> tuple[Floats, Floats]:
        """Return both temperatures on the back's scale. [K]"""
        warm = self.back.temperatures(now)[0][first]
        other = self.belly.temperatures(now)[0][second] - offset
        return warm, other

    def _closes(self, now: float, within: float) -> float | None:
        times = now + np.arange(0.0, AHEAD + 1, RASTER)
        middle = self.back.temperature_at(times)[1] - self.belly.temperature_at(times)[1]
        near = np.flatnonzero(np.abs(middle) <= within)
        return float(times[near[0]]) if near.size else None

    def _pairs(self, time: float) -> tuple[NDArray[np.intp], NDArray[np.intp], Floats]:
        """Return equally likely pairs of points, and an offset between the cups [K] for each."""
        count = np.arange(1, PAIRS + 1)
        shares = [np.mod(0.5 + count * step, 1.0) for step in STEPS]
        offset = self.between / HALF_RANGE * ndtri(np.clip(shares[2], 1e-4, 1 - 1e-4))
        return (
            self.back.sample(shares[0], time),
            self.belly.sample(shares[1], time),
            np.asarray(offset),
        )

    def _estimate(self, values: Floats) -> Estimate:
        low, middle, high = np.quantile(values, TENTHS)
        return Estimate(
            value=float(middle),
            low=float(low),
            high=float(high),
            origin=Origin.COMPUTED,
            source="the readings of both cups",
            narrows="a reading of each cup, just stirred",
            count=self.back.count + self.belly.count,
        )


def _fall(posterior: Posterior, points: NDArray[np.intp], goals: Floats) -> Floats:
    """Return when each chosen point falls to its own goal [K]. [s]"""
    lead = posterior.lead[points]
    left = np.maximum(goals - posterior.room, 1e-9)
    slowness, pace = posterior.slowness[points], posterior.pace[points]
    return posterior.course.when(np.log(lead / left), slowness, lead, posterior.last, pace)
