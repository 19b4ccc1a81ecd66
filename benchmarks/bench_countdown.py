"""Countdown of a cup: answers a second on one core, and how far from a brute posterior they are.

The reference weighs a million random draws from the prior by a likelihood of its own, written out
here with scipy's distributions, and falls to the start by its own closed form. Both run in this
process, one after the other.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from partline.studies.countdown import CupHistory, Reading, countdown
from partline.studies.countdown.course import REFERENCE_LEAD
from partline.studies.countdown.fitting import PACE_DOUBT
from partline.studies.countdown.history import BEND
from partline.studies.countdown.likelihood import SLIP, SLIP_SIZE, mean_skin, reading_noise

Floats = NDArray[np.floating]

ZERO, DRAWS = 273.15, 1_000_000
ROOM, START = 22 + ZERO, 163 + ZERO
#: Time, °C, seconds since the stir (None: nobody knows).
CASES: dict[str, tuple[tuple[float, float, float | None], ...]] = {
    "one reading": ((0, 174.0, 0),),
    "the worked cup": ((0, 174.0, 0), (40, 168.6, 0)),
    "three readings": ((0, 174.0, 0), (40, 168.6, 0), (70, 164.6, 0)),
    "one unstirred": ((0, 174.0, 0), (40, 168.6, 0), (70, 158.0, None)),
    "one slip": ((0, 174.0, 0), (30, 150.0, 0), (40, 168.6, 0), (70, 164.6, 0)),
}


def history_of(readings: tuple[tuple[float, float, float | None], ...]) -> CupHistory:
    """Return a case as the countdown takes it."""
    return CupHistory(
        room=ROOM,
        readings=tuple(
            Reading(at=at, temperature=celsius + ZERO, since_stir=age)
            for at, celsius, age in readings
        ),
    )


def brute(history: CupHistory) -> Floats:
    """Weigh random draws; return low, middle and high of the start [s]."""
    rng = np.random.default_rng(7)
    prior = history.time_constant
    spread = np.log(prior.high / prior.low) / 2 / stats.norm.ppf(0.9)
    tau = prior.value * np.exp(spread * rng.standard_normal(DRAWS))
    first = history.readings[0]
    warm = first.temperature + rng.uniform(-8, 60 if first.since_stir is None else 8, DRAWS)
    lead = warm - ROOM
    pace = np.exp(PACE_DOUBT * rng.standard_normal(DRAWS))
    strength = BEND * (lead / REFERENCE_LEAD) ** BEND / tau
    noise = reading_noise(history.between)
    weight = np.ones(DRAWS)
    for reading in history.readings:
        melt = ROOM + lead * (1 + strength * (reading.at - first.at)) ** (-1 / BEND)
        skin = mean_skin(reading.since_stir)
        off = melt - reading.temperature  # colder by a skin: to the right
        honest = (
            stats.exponnorm.pdf(off, skin / noise, scale=noise)
            if skin
            else stats.norm.pdf(off, scale=noise)
        )
        weight *= (1 - SLIP) * honest + SLIP * stats.norm.pdf(off, scale=SLIP_SIZE)
    when = ((lead / (START - ROOM)) ** BEND - 1) / strength + first.at
    last = history.readings[-1].at
    when = np.where(when > last, last + (when - last) / pace, when)
    order = np.argsort(when)
    return np.interp([0.1, 0.5, 0.9], np.cumsum(weight[order]) / weight.sum(), when[order])


def timed(work: Callable[[], object], repeats: int) -> float:
    """Time the fastest of several runs, in seconds of this thread."""
    times = []
    for _ in range(repeats):
        start = time.thread_time()
        work()
        times.append(time.thread_time() - start)
    return min(times)


def main() -> None:
    """Print the table."""
    print(f"{'case':<16}{'ours [s]':>22}{'brute [s]':>22}{'off [s]':>9}{'ms':>7}{'ratio':>8}")
    for name, readings in CASES.items():
        history = history_of(readings)

        def ours(known: CupHistory = history) -> Floats:
            fresh = CupHistory(room=known.room, readings=known.readings)
            start = countdown(fresh, 70.0).crossing(START)
            return np.array([start.low, start.value, start.high])

        def reference(known: CupHistory = history) -> Floats:
            return brute(known)

        found, exact = ours(), reference()
        fast, slow = timed(ours, 9), timed(reference, 2)
        shown = ["  ".join(f"{each:6.1f}" for each in row) for row in (found, exact)]
        print(
            f"{name:<16}{shown[0]:>22}{shown[1]:>22}{np.abs(found - exact).max():>9.2f}"
            f"{fast * 1e3:>7.1f}{slow / fast:>8.0f}"
        )


if __name__ == "__main__":
    main()
