"""The fewest bursts that bring cups to the target while no place in them passes the limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot, sqrt

import numpy as np

from partline.errors import Impossible, InputError
from partline.process.bench import Oven
from partline.process.bursts import Burst, BurstPlan, Goal, ToHeat
from partline.process.going_cup import (
    COUNTED_ABOVE,
    LONGEST_BURST,
    PUT_BACK,
    SHORTEST_BURST,
    STIR_AND_READ,
    TOLERANCE,
    GoingCup,
    begin,
    burst_trace,
    exposed,
    hottest_place,
    is_near,
    is_there,
    run_burst,
    shared_power,
    trace,
    wait_for,
)
from partline.process.habit import follow_habit
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, propagate

__all__ = [
    "COUNTED_ABOVE",
    "REPEATS",
    "STALLED",
    "TOLERANCE",
    "BurstPlan",
    "Goal",
    "ToHeat",
    "oven_power",
    "plan_bursts",
]

#: From half a minute on bursts are told in fives. [s]
FIVES_FROM, FIVE = 30.0, 5.0
#: How well an oven repeats itself once its power has been read off a burst. [-]
REPEATS = 0.05
#: More bursts than this mean that the limit cannot be approached. [-]
MOST_BURSTS = 40
#: A burst that lifts the reading by less brings a heat no further. [K]
STALLED = 1.0


def oven_power(oven: Oven | None) -> Estimate:
    """Return what an oven puts into the melt, all cups together. [W]

    Raises
    ------
    InputError
        If the bench has no oven.
    """
    if oven is None:
        raise InputError(
            "This bench has no microwave oven, so that no bursts can be planned.",
            field="oven",
            remedy="Enter the oven's power by a water load, or heat by the label and readings.",
        )
    known = propagate(
        lambda power, share: power * share, [oven.power, oven.share],
        source="power into a water load, and the share of it that plastic takes",
    )  # fmt: skip
    return replace(known, narrows="readings after two stirred bursts")


def plan_bursts(
    cups: Sequence[ToHeat],
    power: Estimate,
    goal: Goal,
    *,
    heat: int = 1,
    heats: int = 1,
    start: float | None = None,
) -> BurstPlan:
    """Plan a heat with the fewest bursts.

    Parameters
    ----------
    cups : sequence of ToHeat
        In the oven together: they share its power by their mass.
    power : Estimate
        Into all of them. [W]
    goal : Goal
        Where to end, and what not to pass.
    heat, heats : int
        Which heat of this melt, and of how many.
    start : float, optional
        Where shooting begins, to tell the wait and the exposure. [K]

    Returns
    -------
    plan : BurstPlan
        Each burst as long as the hottest place allows, were the oven at the strong end of what
        is known; what is known narrows with the readings between.

    Raises
    ------
    Impossible
        If the target lies too near the limit to be approached.

    Notes
    -----
    A target is where a reading is to end, within 3 K; within 6 K where bursts bring it no nearer,
    as with little plastic in a strong oven. The hottest place follows from the share
    of power that the worst place may take and what conduction evens out; see
    `partline.process.hot_place`.
    """
    going = [begin(each, heat=heat, heats=heats) for each in cups]
    before = {cup.name: cup.waiting.cold for cup in going}
    bursts: list[Burst] = []
    risen, read = 0.0, max(cup.state.melt for cup in going)
    while not is_there(going, goal):
        tried = [replace(cup, times=[*cup.times], melt=[*cup.melt]) for cup in going]
        if bursts:
            for cup in tried:
                cup.stand(PUT_BACK, 0.0)
        if len(bursts) >= MOST_BURSTS or goal.target > goal.limit:
            raise _too_near(goal, going)
        known = _learned(power, risen, goal.noise)
        seconds = _longest(tried, known, goal)
        was = [cup.state.melt for cup in tried]
        burst = (
            run_burst(tried, seconds, known, goal, is_first=not bursts)
            if seconds >= SHORTEST_BURST
            else None
        )
        now = max(cup.state.melt for cup in tried)
        if burst is None or (now - read < STALLED and not is_there(tried, goal)):
            if not is_near(going, goal):
                raise _too_near(goal, going)
            break
        going, read = tried, now
        bursts.append(burst)
        risen += max(cup.state.melt - warm for cup, warm in zip(going, was, strict=True))
    bursts = _finish(going, bursts)
    return BurstPlan(
        goal=goal,
        bursts=tuple(bursts),
        exposed=tuple(exposed(cup, start) for cup in going),
        held_back={cup.name: cup.waiting.held_back for cup in going},
        habit=follow_habit([begin(each, heat=heat, heats=heats) for each in cups], power, goal),
        before=before,
        cool_s=max((wait_for(cup, start) for cup in going), default=0.0),
    )


def _too_near(goal: Goal, going: Sequence[GoingCup]) -> Impossible:
    reached = max(max(cup.melt) for cup in going)
    target, limit, ceiling, most = (
        each - ZERO_CELSIUS for each in (goal.target, goal.limit, goal.ceiling, reached)
    )
    return Impossible(
        f"A target of {target:.0f} °C cannot be reached with the hottest place under "
        f"{limit:.0f} °C, the ceiling of {ceiling:.0f} °C less the {goal.doubt:.0f} K "
        f"that the thermometer may be off: {most:.0f} °C was the most.",
        nearest="Melt more at a time, so that less is lost while it is stirred, check the "
        "thermometer against another, or heat one cup at a time.",
    )


def _learned(power: Estimate, risen: float, noise: float) -> Estimate:
    """Return what is known of the power once readings have shown so much of a rise. [W]"""
    if risen <= 0:
        return power
    doubt = hypot(REPEATS, sqrt(2) * noise / risen)
    return replace(
        power,
        low=max(power.low, power.value / (1 + doubt)),
        high=min(power.high, power.value * (1 + doubt)),
    )


def _longest(going: Sequence[GoingCup], power: Estimate, goal: Goal) -> float:
    """Longest burst that keeps every hottest place under the limit and ends at the target. [s]"""
    allowed = LONGEST_BURST
    for cup, strong, likely in zip(
        going, shared_power(going, power.high), shared_power(going, power.value), strict=True
    ):
        times, melt = trace(cup, strong, goal.limit)
        hotter = np.interp(times, *burst_trace(cup, likely, float(times[-1])))
        hottest = [
            hottest_place(cup, (usual, most), moment)[1]
            for usual, most, moment in zip(hotter, melt, times, strict=True)
        ]
        under = np.nonzero(np.array(hottest) <= goal.limit)[0]
        allowed = min(allowed, float(times[under[-1]]) if len(under) else 0.0)
        # What the stir takes off again is put on top.
        aim = goal.target + cup.state.melt - cup.cup.after(cup.state, STIR_AND_READ).state.melt
        times, melt = trace(cup, likely, aim)
        near = float(np.interp(aim, melt, times))
        allowed = min(allowed, np.ceil(near))
    if allowed >= FIVES_FROM:
        return float(np.floor(allowed / FIVE + 1e-9) * FIVE)
    return float(np.floor(allowed))


def _finish(going: Sequence[GoingCup], bursts: list[Burst]) -> list[Burst]:
    """Put what goes in last behind the last stir; without a burst there is none to be behind."""
    if not bursts:
        return bursts
    last = bursts[-1]
    cups = []
    for cup, after in zip(going, last.cups, strict=True):
        due = cup.waiting.colour + cup.waiting.salt + cup.waiting.last
        if due:
            cup.add(due)
        cups.append(replace(after, adds=after.adds + due))
    return [*bursts[:-1], replace(last, cups=tuple(cups))]
