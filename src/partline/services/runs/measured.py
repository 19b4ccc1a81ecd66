"""What one run tells: what the oven gave, how each cup cooled, how far readings strayed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import exp, hypot, log

import numpy as np

from partline.errors import InputError
from partline.process.run import CupState, Event, RunPlan, RunState, as_it_stands, run_state
from partline.process.run.questions import questions
from partline.process.run.replay import JUST_STIRRED
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.services.runs.forecast import cup_history, melt_zero
from partline.services.runs.heating import Kit, power_measured
from partline.services.runs.weighed import drop_masses, shot_mass
from partline.studies.bench_learning import Measured
from partline.studies.countdown import Countdown, CupHistory, countdown

#: Doubt of a run's mean that no number of readings takes away: cup and turntable stand otherwise
#: each time. A guess. [-]
FLOOR = 0.03
#: A cooling that tells its time constant no better than this tells nothing of the bench. [-]
VAGUE = 0.5
#: Readings since the oven that a cooling needs.
LEAST = 2
#: Ends of a time constant before anything is known: a hundredfold, so that readings alone speak.
WIDE = 10.0
#: What a cooling's own start and pace take of its readings: only those beyond tell of scatter.
FITTED = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMeasured:
    """What one run tells; without what it tells nothing of.

    Parameters
    ----------
    power : Measured or None
        Into the melt. [W]
    losses : dict of str to Measured
        Loss of each cup over that of a still room, by its letter. [-]
    scatter : Measured or None
        Standard deviation of a reading about its cup's own cooling. [K]
    shot : Measured or None
        Plastic that a shot took, all sides together. [kg]
    drops : dict of str to Measured
        Mass of one drop, by the bottle's name. [kg]
    """

    power: Measured | None = None
    losses: Mapping[str, Measured] = field(default_factory=dict)
    scatter: Measured | None = None
    shot: Measured | None = None
    drops: Mapping[str, Measured] = field(default_factory=dict)


def run_measured(code: str, plan: RunPlan, kit: Kit, events: Sequence[Event]) -> RunMeasured:
    """Return what a run tells of its bench.

    Parameters
    ----------
    code : str
        Of the run.
    plan : RunPlan
        That it followed.
    kit : Kit
        Its cups in terms of heat, nothing learned.
    events : sequence of Event
        All that was told. Those off a card tell nothing: times between are not known.
    """
    powers: list[tuple[float, float]] = []
    losses: dict[str, list[tuple[float, float]]] = {}
    strays: list[float] = []
    free = 0
    for state in _ends_of_melts(plan, events):
        for cup in state.cups.values():
            powers += power_measured(kit, cup)
            cooled = _cooled(cup, state, kit)
            if cooled is None:
                continue
            losses.setdefault(cup.letter, []).extend(_exposure(cup, kit, cooled))
            found = _strays(cooled)
            strays += found
            free += max(len(found) - FITTED, 0)
    means = {letter: _mean(code, each) for letter, each in losses.items()}
    return RunMeasured(
        power=_mean(code, powers),
        losses={letter: each for letter, each in means.items() if each is not None},
        scatter=_scatter(code, strays, free),
        shot=shot_mass(code, plan, events),
        drops=drop_masses(code, events),
    )


def _ends_of_melts(plan: RunPlan, events: Sequence[Event]) -> list[RunState]:
    """Return the state at the end of each melt and before each further heat's first burst."""
    doubted = frozenset(each.about for each in questions(events, plan))
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    told = [event for event in told if event.data.get("from_card") is not True]
    last: dict[tuple[int, int], RunState] = {}
    for place in range(len(told)):
        state = run_state(told[: place + 1], plan, doubted=doubted)
        last[state.melt, state.heat] = state
    # Readings of earlier heats stand in the later states too: the last of each melt has them all.
    melts = {melt: state for (melt, _), state in sorted(last.items())}
    return list(melts.values())


_Cooled = tuple[CupHistory, Countdown, Estimate]


def _cooled(cup: CupState, state: RunState, kit: Kit) -> _Cooled | None:
    """Return a cup's newest cooling as its readings alone tell it, with what was thought of it."""
    zero = melt_zero(state)
    if zero is None or len(cup.readings) < LEAST:
        return None
    history = cup_history(cup, kit, zero, None)
    thought = history.time_constant
    wide = Estimate(
        value=thought.value, low=thought.value / WIDE, high=thought.value * WIDE,
        origin=Origin.DEFAULT,
    )  # fmt: skip
    try:
        return history, countdown(replace(history, time_constant=wide), 0.0), thought
    except InputError:  # no reading since the last heat
        return None


def _exposure(cup: CupState, kit: Kit, cooled: _Cooled) -> list[tuple[float, float]]:
    """Return the loss that a cup's cooling tells, over a still room's, and its doubt. [-]"""
    _, known, thought = cooled
    found = known.time_constant()
    doubt = log(found.high / found.low) / (2 * HALF_RANGE)
    if not doubt < VAGUE:
        return []
    return [(kit.cups[cup.letter].exposure.value * thought.value / found.value, doubt)]


def _strays(cooled: _Cooled) -> list[float]:
    """Return by how much each stirred reading of a cooling strays from its own line. [K]"""
    history, known, _ = cooled
    since = max(history.heats, default=0.0)
    fresh = [
        read
        for read in history.readings
        if read.at >= since and read.since_stir is not None and read.since_stir <= JUST_STIRRED
    ]
    if len(fresh) <= FITTED:
        return []
    _, line, _ = known.temperature(np.array([read.at for read in fresh]))
    return [read.temperature - float(each) for read, each in zip(fresh, line, strict=True)]


def _scatter(code: str, strays: Sequence[float], free: int) -> Measured | None:
    """Return how far readings stray, by their squares over what the fits left free. [K]"""
    squares = sum(each**2 for each in strays)
    if free == 0 or squares == 0:
        return None
    return Measured(
        run=code, value=(squares / free) ** 0.5, doubt=(2 * free) ** -0.5, count=len(strays)
    )


def _mean(code: str, found: Sequence[tuple[float, float]]) -> Measured | None:
    """Return the mean of what a run tells, by the doubts. [as given]"""
    if not found:
        return None
    weights = [doubt**-2 for _, doubt in found]
    middle = sum(w * log(value) for w, (value, _) in zip(weights, found, strict=True))
    total = sum(weights)
    return Measured(
        run=code, value=exp(middle / total), doubt=hypot(total**-0.5, FLOOR), count=len(found)
    )
