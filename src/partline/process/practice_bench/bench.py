"""A practice bench as one holds it: let time pass, heat, stir, read, add, draw."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partline.errors import OutOfRange
from partline.process.practice_bench.handling import poured, stirred
from partline.process.practice_bench.hidden import Hidden, drawn
from partline.process.practice_bench.melt import Melt, advanced, filled
from partline.process.practice_bench.thermometer import plain_reading, shown
from partline.quantities.constants import ZERO_CELSIUS

Floats = NDArray[np.floating]

#: The cups, in their order: A is the back, B the belly.
CUPS = "AB"
#: From the stir to the reading, in a quick hand. [s]
TO_READ = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeBench:
    """One or two cups and what happens to them; every act gives a new bench.

    Parameters
    ----------
    hidden : Hidden
        What the learner is not told.
    melt : Melt
        How warm everything is.
    clock : float
        Since the bench was set up. [s]
    seed : int
        Of all chance; the same acts then give the same readings.
    acts : int
        Readings so far, so that each has a chance of its own.
    before : float
        When the last stretch of time began. [s]
    surface_before : ndarray or None, shape (cups,)
        What was seen then, since a reading comes late; None after a stir. [K]
    """

    hidden: Hidden
    melt: Melt
    seed: int
    clock: float = 0.0
    acts: int = 0
    before: float = 0.0
    surface_before: Floats | None = None

    def advance(self, seconds: float) -> PracticeBench:
        """Let time [s] pass with both cups on the bench."""
        return self._passed(seconds, np.zeros(self.melt.mass.shape))

    def burst(self, cup: str | None, seconds: float) -> PracticeBench:
        """Heat cup A, cup B or, with None, both in the oven together, for a time [s].

        Two cups share what the oven gives by their plastic.
        """
        share = np.zeros(self.melt.mass.shape)
        if cup is None:
            share[:] = self.melt.mass / self.melt.mass.sum()
        else:
            share = self._which(cup).astype(float)
        return self._passed(seconds, share * self.hidden.oven)

    def stir(self, cup: str | None) -> PracticeBench:
        """Stir one cup, or both."""
        mixed = stirred(self.hidden, self.melt, self._which(cup))
        # What the thermometer saw before the stir is no surface any more.
        return replace(self, melt=mixed, surface_before=None)

    def read(self, cup: str) -> tuple[float, PracticeBench]:
        """Return what the display shows of a cup [°C], and the bench after it."""
        self._which(cup)  # refuses a cup that is not there
        rng = np.random.default_rng([self.seed, self.acts])
        clean = plain_reading(self.hidden, self._late_surface(), self.clock)
        kelvin = float(shown(self.hidden, clean, rng)[CUPS.index(cup)])
        return round(kelvin - ZERO_CELSIUS, 1), replace(self, acts=self.acts + 1)

    def add(self, cup: str, grams: float) -> PracticeBench:
        """Put something as warm as the room into a cup."""
        if grams < 0:
            raise OutOfRange("Less than nothing cannot be added.", low=0.0, unit="g")
        change = np.where(self._which(cup), grams * 1e-3, 0.0)
        return replace(self, melt=poured(self.hidden, self.melt, change))

    def draw(self, cup: str | None, mass: float) -> PracticeBench:
        """Draw plastic [kg] out of one cup, or out of each."""
        if mass < 0:
            raise OutOfRange("Less than nothing cannot be drawn.", low=0.0, unit="kg")
        change = np.where(self._which(cup), -mass, 0.0)
        return replace(self, melt=poured(self.hidden, self.melt, change))

    def true_bulk(self) -> Floats:
        """Return how warm the plastic of each cup is throughout. [K], shape (cups,)."""
        return self.melt.bulk

    def true_reading(self) -> Floats:
        """Return what a noise-free reading, just stirred and at once, would be. [K]"""
        return plain_reading(self.hidden, self.melt.bulk, self.clock)

    def stirred_reading(self) -> Floats:
        """Return what a noise-free reading is by which a band is told: a few s after a stir. [K]

        In those few seconds the surface has cooled ahead of the melt, as far as a late
        thermometer shows it.
        """
        stirred_now = self.stir(None).advance(TO_READ)
        skin = stirred_now.melt.bulk - stirred_now._late_surface()  # its own class
        return plain_reading(self.hidden, self.melt.bulk - skin, self.clock)

    def _which(self, cup: str | None) -> NDArray[np.bool_]:
        every = list(CUPS[: self.melt.mass.size])
        if cup is not None and cup not in every:
            raise OutOfRange(f"There is no cup {cup} on this bench.", remedy=f"It has {every}.")
        return np.array([cup in (None, each) for each in every])

    def _late_surface(self) -> Floats:
        """Return the surface as it was a delay ago, as far as it was not stirred since."""
        now = self.melt.surface
        if self.surface_before is None or self.clock <= self.before:
            return now
        back = np.minimum(self.hidden.delay / (self.clock - self.before), 1.0)
        return np.asarray(now + back * (self.surface_before - now))

    def _passed(self, seconds: float, power: Floats) -> PracticeBench:
        later = advanced(self.hidden, self.melt, seconds, power=power)
        return replace(
            self,
            melt=later,
            clock=self.clock + seconds,
            before=self.clock,
            surface_before=self.melt.surface,
        )


def new_bench(
    seed: int,
    masses: tuple[float, ...] = (0.1621, 0.1621),
    *,
    temperature: float | None = None,
    hidden: Hidden | None = None,
) -> PracticeBench:
    """Return a bench with cup A and, for two masses, cup B.

    Parameters
    ----------
    seed : int
        Of what it hides and of its readings.
    masses : tuple of float
        Of plastic in each cup. [kg]
    temperature : float, optional
        Of the plastic; the room's when left out. [K]
    hidden : Hidden, optional
        Drawn from the seed when left out.
    """
    rng = np.random.default_rng(seed)
    true = drawn(rng, len(masses)) if hidden is None else hidden
    warm = true.room if temperature is None else np.full(true.room.shape, temperature)
    return PracticeBench(hidden=true, melt=filled(true, np.array(masses), warm), seed=seed)
