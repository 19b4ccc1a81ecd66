"""Five hundred cups of a practice bench, read by a maker: what the countdown is held against."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.process.practice_bench import Hidden, advanced, drawn, filled, stirred
from partline.process.practice_bench.thermometer import plain_reading, shown

Floats = NDArray[np.floating]

#: The maker stirs so often, and reads 2 to 4 s after a stir. [s]
STIR, READ_AFTER = 25.0, (2, 3, 4)
LONGEST = 800.0
#: Ends of the bursts' share of what is missing, and their length. [-], [s]
BURSTS = ((0.65, 40.0), (1.0, 20.0))


@dataclass(frozen=True, kw_only=True)
class Poured:
    """Cups after their last burst.

    `times` and `readings` have shape (cups, 3); `clean` what a reading without noise, 3 s after
    a stir, would have shown at each of `clock`, shape (moments, cups).
    """

    hidden: Hidden
    mass: Floats
    times: Floats
    readings: Floats
    clock: Floats
    clean: Floats

    def true_start(self, start: float) -> Floats:
        """When each cup would read the start [K], by the same thermometer without noise. [s]"""
        each = [np.interp(-start, -row, self.clock) for row in self.clean.T]
        return np.array(each)


def simulate(seed: int, cups: int = 500) -> Poured:
    """Heat, stir and read cups of 100 to 200 g, each with a bench of its own."""
    rng = np.random.default_rng(seed)
    hidden = drawn(rng, cups, is_one_bench=False)
    mass = rng.uniform(0.1, 0.2, cups)
    melt = filled(hidden, mass, rng.uniform(405.0, 420.0, cups))
    melt = stirred(hidden, advanced(hidden, melt, 30.0))
    wanted = rng.uniform(450.0, 464.0, cups)
    for share, seconds in BURSTS:
        missing = share * (wanted - melt.bulk) * mass * hidden.plastic_heat * 1.12
        melt = advanced(hidden, melt, seconds, power=missing / seconds)
        melt = stirred(hidden, advanced(hidden, melt, 8.0))
    melt = stirred(hidden, advanced(hidden, melt, float(rng.integers(4, 16))))
    gaps = 5.0 * rng.integers(6, 13, (cups, 2))  # 30 to 60 s from reading to reading
    times = np.column_stack([np.zeros(cups), gaps[:, 0], gaps.sum(axis=1)])
    readings, clock, clean = np.full((cups, 3), np.nan), [], []
    for now in np.arange(0.0, LONGEST, 5.0):
        is_due = times == now
        is_round = now % STIR == 0
        melt = stirred(hidden, melt, is_due.any(axis=1) | is_round)
        surface = []
        for wait in np.diff((0, *READ_AFTER)):
            melt = advanced(hidden, melt, float(wait))
            surface.append(melt.surface)
        if is_round:
            clock.append(now)
            clean.append(plain_reading(hidden, surface[1], now))
        if is_due.any():
            which = rng.integers(0, len(READ_AFTER), cups)
            seen = np.array(surface)[which, np.arange(cups)]
            read = shown(hidden, plain_reading(hidden, seen, now), rng)
            readings = np.where(is_due, read[:, None], readings)
        melt = advanced(hidden, melt, 5.0 - READ_AFTER[-1])
    return Poured(
        hidden=hidden, mass=mass, times=times, readings=readings, clock=np.array(clock),
        clean=np.array(clean),
    )  # fmt: skip
