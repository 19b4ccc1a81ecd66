"""What one run tells of its bench: what the oven gave, and how fast the cups cooled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, hypot, log

from partline.errors import InputError
from partline.process.run import CupState, Event, RunPlan, RunState, as_it_stands, run_state
from partline.process.run.questions import questions
from partline.quantities.estimate import Estimate, Origin
from partline.services.runs.forecast import cup_history, melt_zero
from partline.services.runs.heating import HALF_RANGE, Kit, power_measured
from partline.studies.bench_learning import Measured
from partline.studies.countdown import countdown

#: Doubt of a run's mean that no number of readings takes away: cup and turntable stand otherwise
#: each time. A guess. [-]
FLOOR = 0.03
#: A cooling that tells its time constant no better than this tells nothing of the bench. [-]
VAGUE = 0.5
#: Readings since the oven that a cooling needs.
LEAST = 2
#: Ends of a time constant before anything is known: a hundredfold, so that readings alone speak.
WIDE = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RunMeasured:
    """What one run tells; None where it tells nothing of it.

    Parameters
    ----------
    power : Measured or None
        Into the melt. [W]
    exposure : Measured or None
        Loss of the cups over that of a still room. [-]
    """

    power: Measured | None
    exposure: Measured | None


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
    losses: list[tuple[float, float]] = []
    for state in _ends_of_melts(plan, events):
        for cup in state.cups.values():
            powers += power_measured(kit, cup)
            found = _exposure(cup, state, kit)
            losses += [] if found is None else [found]
    return RunMeasured(power=_mean(code, powers), exposure=_mean(code, losses))


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


def _exposure(cup: CupState, state: RunState, kit: Kit) -> tuple[float, float] | None:
    """Return the loss that a cup's coolings tell, over a still room's, and its doubt. [-]"""
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
        found = countdown(replace(history, time_constant=wide), 0.0).time_constant()
    except InputError:  # no reading since the last heat
        return None
    doubt = log(found.high / found.low) / (2 * HALF_RANGE)
    if not doubt < VAGUE:
        return None
    exposed = kit.cups[cup.letter].exposure.value * thought.value / found.value
    return exposed, doubt


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
