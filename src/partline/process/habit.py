"""The custom of 60, 30 and 15 s, followed to compare a plan with it."""

from __future__ import annotations

import numpy as np

from partline.errors import OutOfRange
from partline.process.bursts import Goal, Habit
from partline.process.going_cup import (
    PUT_BACK,
    TOLERANCE,
    GoingCup,
    is_there,
    run_burst,
    shared_power,
    trace,
)
from partline.process.heating import TABLED
from partline.quantities.estimate import Estimate, Origin

#: The custom to beat. [s]
CUSTOM = (60.0, 30.0, 15.0)
#: More of them mean that the custom does not get there. [-]
MOST_BURSTS = 80


def follow_habit(going: list[GoingCup], power: Estimate, goal: Goal) -> Habit:
    """Follow the custom: 60 s while that does not pass the target, then 30 s, then 15 s."""
    bursts: list[float] = []
    hottest: list[Estimate] = []
    allowed = list(CUSTOM)
    while not is_there(going, goal) and len(bursts) < MOST_BURSTS:
        if bursts:
            for cup in going:
                cup.stand(PUT_BACK, 0.0)
        shares = shared_power(going, power.value)
        while len(allowed) > 1 and any(
            _passes(cup, share, allowed[0], goal.target + TOLERANCE)
            for cup, share in zip(going, shares, strict=True)
        ):
            allowed.pop(0)
        bursts.append(allowed[0])
        try:
            after = run_burst(going, allowed[0], power, goal, is_first=len(bursts) == 1)
        except OutOfRange:  # so little plastic that 15 s take it off the table
            hottest.append(Estimate.exact(float(TABLED[-1]), Origin.COMPUTED))
            break
        hottest += [cup.hottest for cup in after.cups]
    most = max(hottest, key=lambda each: each.value, default=None)
    return Habit(
        bursts=tuple(bursts), hottest=most or Estimate.exact(goal.target, Origin.COMPUTED)
    )


def _passes(cup: GoingCup, power: float, seconds: float, level: float) -> bool:
    """Whether a burst ends above a level [K]."""
    times, melt = trace(cup, power, level)
    return bool(
        melt[-1] > level if times[-1] <= seconds else np.interp(seconds, times, melt) > level
    )
