"""The moulds in rotation: which are shut, and when each may be opened."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from partline.errors import Impossible, OutOfRange
from partline.materials.mould import Mould
from partline.process.mould_heat import mould_heat
from partline.process.opening import Filled, through_run
from partline.process.run import RunPlan, RunState, Shot
from partline.quantities.estimate import Estimate
from partline.services.runs.forecast import Moments

#: Steps in which the time between two fillings is told apart. [s]
COARSE = 15.0
#: Time between fillings where a mould has been filled once. [s]
USUAL = 180.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldTimer:
    """One mould.

    Parameters
    ----------
    mould : int
        From 1.
    is_shut : bool
        Whether a shot is in it.
    opens : Moments or None
        When its thickest core is cool enough; None while it is empty, or where it is too warm
        for that to be told.
    """

    mould: int
    is_shut: bool = False
    opens: Moments | None = None


def mould_timers(
    state: RunState, plan: RunPlan, mould: Mould, *, count: int, wall: float
) -> tuple[MouldTimer, ...]:
    """Return every mould in rotation, and any other that a shot was told into.

    Parameters
    ----------
    state : RunState
        Of the run.
    plan : RunPlan
        That it follows.
    mould : Mould
        All in rotation are alike.
    count : int
        Moulds in rotation.
    wall : float
        Temperature of a mould before its first shot. [K]
    """
    shut = state.closed_moulds
    numbers = sorted({*range(1, count + 1), *(shot.mould for shot in state.shots)})
    timers = []
    for number in numbers:
        shot = shut.get(number)
        opens = None
        if shot is not None:
            seconds = _closed_for(state, shot, plan, mould, wall)
            opens = None if seconds is None else Moments.after(shot.at, seconds)
        timers.append(MouldTimer(mould=number, is_shut=shot is not None, opens=opens))
    return tuple(timers)


def _closed_for(
    state: RunState, shot: Shot, plan: RunPlan, mould: Mould, wall: float
) -> Estimate | None:
    """Return how long a mould stays shut after a shot [s]; it is warmer with every one."""
    into = [each for each in state.shots if each.mould == shot.mould and each.at <= shot.at]
    every = USUAL
    if len(into) > 1:
        every = (into[-1].at - into[0].at).total_seconds() / (len(into) - 1)
    cups = plan.melts[shot.melt - 1].cups.values()
    steps = max(round(every / COARSE), 1)
    filled = Filled(pour=plan.band[1], wall=wall, room=plan.bench.room)
    shot_mass = sum(cup.draw for cup in cups) / plan.bench.syringes.shots_per_draw
    return _opening(mould, filled, len(into), steps * COARSE, shot_mass)


@lru_cache(maxsize=256)
def _opening(
    mould: Mould, filled: Filled, shots: int, every: float, shot_mass: float
) -> Estimate | None:
    try:
        run = through_run(mould, filled, mould_heat(mould), shot_mass, shots=shots, every=every)
    except (Impossible, OutOfRange):  # a mould too warm to let any shot cool
        return None
    return run[-1].time
