"""A cup in the band: how it falls between draws while every draw empties it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp

from partline.process.cup import Cup
from partline.quantities.estimate import Estimate

#: Longest stretch over which the cup's loss is taken from its middle. [s]
STRETCH = 30.0
#: A band that lasts longer than this is not the plan's limit. [s]
LONGEST_BAND = 3600.0


#: Between these a cup's rate of loss is a straight line to a thousandth. [K]
TABLED = (400.0, 450.0)


@lru_cache(maxsize=4096)
def _rates(cup: Cup, mass: float, room: float) -> tuple[float, float]:
    """Return one over the time constant at both ends of the table. [1/s]"""
    cold, hot = cup.time_constant(mass, TABLED, room)
    return 1 / float(cold), 1 / float(hot)


@dataclass(frozen=True, slots=True, kw_only=True)
class CupInBand:
    """One side's cup at the start of a heat's shooting.

    Parameters
    ----------
    cup : Cup
        The vessel.
    draw : float
        What one shot takes: its push and its part of the heel. [kg]
    film : float
        What stays in the cup at the end. [kg]
    room : float
        [K]
    """

    cup: Cup
    draw: float
    film: float
    room: float

    def mass(self, shots_left: int) -> float:
        """Return the plastic in the cup with so many shots to come. [kg]"""
        return self.draw * shots_left + self.film

    def exposed(self, share: float) -> CupInBand:
        """Return the same cup where it loses this share [-] of what is thought."""
        return replace(self, cup=replace(self.cup, exposure=Estimate.exact(share)))

    def fall(self, mass: float, temperature: float, seconds: float) -> float:
        """Return the temperature [K] of `mass` [kg] of plastic after standing so long [s]."""
        left = seconds
        while left > 0:
            step = min(left, STRETCH)
            middle = self._fall(mass, temperature, temperature, step / 2)
            temperature = self._fall(mass, temperature, middle, step)
            left -= step
        return temperature

    def _fall(self, mass: float, temperature: float, at: float, seconds: float) -> float:
        cold, hot = _rates(self.cup, mass, self.room)
        rate = cold + (hot - cold) * (at - TABLED[0]) / (TABLED[1] - TABLED[0])
        return self.room + (temperature - self.room) * exp(-seconds * rate)

    def band_time(self, shots_left: int, start: float, stop: float) -> float:
        """Return how long a cup that nobody draws from stays in the band. [s]"""
        mass, step, passed, temperature = self.mass(shots_left), 5.0, 0.0, start
        while temperature > stop and passed < LONGEST_BAND:
            colder = self.fall(mass, temperature, step)
            if colder <= stop:
                return passed + step * (temperature - stop) / (temperature - colder)
            temperature, passed = colder, passed + step
        return passed


def fallen(cups: Sequence[CupInBand], shots_left: int, warm: float, seconds: float) -> float:
    """Return the temperature [K] of the coldest of cups that were all `warm` [K]."""
    return min(cup.fall(cup.mass(shots_left), warm, seconds) for cup in cups)
