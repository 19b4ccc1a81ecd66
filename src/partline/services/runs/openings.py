"""What one run tells of the time that its mould needs: its openings over the computed time."""

from __future__ import annotations

from collections.abc import Callable, Sequence, Set
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise, takewhile
from math import exp, log

from partline.errors import Impossible, OutOfRange
from partline.materials.mould import Mould
from partline.process.mould_heat import mould_heat
from partline.process.opening import Closed, Filled, follow
from partline.process.run import Event, Kind, RunPlan, RunState, Shot, run_states
from partline.process.run.questions import questions
from partline.quantities.estimate import HALF_RANGE, Estimate
from partline.services.opening import WARM_MOULD
from partline.services.runs.forecast import cup_history, melt_zero
from partline.services.runs.heating import Kit
from partline.studies.opening_learning import Bound

#: The mark that tells of a mould opened too early.
BENT = "bent"
#: Steps in which a pour is told apart; finer than a thermometer. [K]
COARSE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Opening:
    """One shot: how long its mould stayed shut over the computed time, with its doubt. [-]"""

    shot: str
    ratio: float
    doubt: float


def openings(
    code: str, plan: RunPlan, mould: Mould, kit: Kit, events: Sequence[Event]
) -> tuple[Bound, ...]:
    """Return what a run tells of the time that its mould needs: nothing, or one or both sides.

    Parameters
    ----------
    code : str
        Of the run.
    plan : RunPlan
        That it followed.
    mould : Mould
        That it was poured into.
    kit : Kit
        Its cups in terms of heat.
    events : sequence of Event
        All that was told.

    Notes
    -----
    Of all openings but those marked, at most as many were too early as baits were not good. So
    among one more of them, the shortest, one was long enough, and the longest of these bounds it.
    A bait that was bad for another reason so only makes a run tell less.
    """
    if any(each.data.get("from_card") is True for each in events):  # no time between is known
        return ()
    pours: dict[str, float] = {}
    tapped: dict[str, Shot] = {}
    bent: set[str] = set()
    state = RunState()
    doubted = frozenset(each.about for each in questions(events, plan))
    for event, before, after in run_states(events, plan, doubted=doubted):
        state = after
        if event.kind is Kind.SHOT and (pour := _pour(after, event, plan, kit)) is not None:
            pours[event.id] = pour
        if event.kind is Kind.OPEN:
            was_shut = {shot.id for shot in before.shots if shot.opened_at is None}
            opened = [shot for shot in after.shots if shot.id in was_shut and shot.opened_at]
            tapped |= {shot.id: shot for shot in opened}
        if event.kind is Kind.WRONG and event.text("what") == BENT and tapped:
            bent.add(next(reversed(tapped)))  # of the mould opened last

    def over_law(wanted: Set[str]) -> list[_Opening]:
        return _over_law(state, plan, mould, pours, tapped, wanted)

    found = (
        _long_enough(code, state, plan, tapped.keys() - bent, over_law),
        _too_short(code, over_law(bent)),
    )
    return tuple(each for each in found if each is not None)


def _pour(state: RunState, event: Event, plan: RunPlan, kit: Kit) -> float | None:
    """Return how warm the warmer cup was as a shot was drawn; None where no cup was read. [K]"""
    zero, warm = melt_zero(state), []
    for cup in state.cups.values():
        if zero is None or not cup.fresh_readings:
            continue
        read = cup.fresh_readings[-1]
        drawn = cup.draws[-1][0] if cup.draws else event.at
        waited = max((drawn - read.at).total_seconds(), 0.0)
        falls = exp(-waited / cup_history(cup, kit, zero, None).time_constant.value)
        warm.append(plan.bench.room + (read.temperature - plan.bench.room) * falls)
    return max(warm, default=None)


def _over_law(
    state: RunState, plan: RunPlan, mould: Mould, pours: dict[str, float], tapped: dict[str, Shot],
    wanted: Set[str],
) -> list[_Opening]:  # fmt: skip
    """Return the wanted openings over the time computed for each, in a mould as warm as it was.

    How warm it was is known as long as every opening of it was told.
    """
    found = []
    for number in {shot.mould for shot in state.shots}:
        into = [shot for shot in state.shots if shot.mould == number]
        followed = takewhile(lambda shot: shot.id in tapped, into)
        for place, shot in enumerate(followed):
            seconds = _shut(shot)
            if shot.id not in wanted or shot.id not in pours or seconds <= 0:
                continue
            earlier = tuple(
                Closed(closed=_shut(each), every=(after.at - each.at).total_seconds())
                for each, after in pairwise(into[: place + 1])
            )
            pour = COARSE * round(pours[shot.id] / COARSE)
            filled, mass = replace(cool_mould(plan), pour=pour), shot_mass(plan, shot.melt)
            law = time_needed(mould, filled, (*earlier, Closed()), mass)
            cool = time_needed(mould, filled, (Closed(),), mass)
            if law is None or cool is None:
                continue
            # What a cool mould's time is doubted by, all share: it is what is learned.
            beyond = (
                max(spread_of(law) ** 2 - spread_of(cool) ** 2, 0.0) ** 0.5 if earlier else 0.0
            )
            found.append(_Opening(shot=shot.id, ratio=seconds / law.value, doubt=beyond))
    return sorted(found, key=lambda each: each.ratio)


def cool_mould(plan: RunPlan) -> Filled:
    """Return how the clock on the bench screen takes a mould before its first shot."""
    return Filled(pour=plan.band[1], wall=WARM_MOULD, room=plan.bench.room)


def _shut(shot: Shot) -> float:
    """Return how long a shot's mould stayed shut; 0 where nobody told. [s]"""
    return 0.0 if shot.opened_at is None else (shot.opened_at - shot.at).total_seconds()


def _long_enough(
    code: str,
    state: RunState,
    plan: RunPlan,
    wanted: Set[str],
    over_law: Callable[[Set[str]], list[_Opening]],
) -> Bound | None:
    if state.good is None:
        return None
    moulded = max(len(state.shots) * plan.cavities, state.moulded or 0)
    bad = max(moulded - state.good, 0)
    first = {shot.mould: shot.id for shot in reversed(state.shots)}
    # A mould's first filling is known best; later ones are asked where those are too few.
    for those in (wanted & set(first.values()), wanted):
        found = over_law(those) if bad < len(those) else []
        if bad < len(found):
            return Bound(
                run=code, ratio=found[bad].ratio, is_enough=True, count=len(found) - bad,
                doubt=max(each.doubt for each in found[: bad + 1]),
            )  # fmt: skip
    return None


def _too_short(code: str, found: Sequence[_Opening]) -> Bound | None:
    if not found:
        return None
    longest = found[-1]
    return Bound(
        run=code, ratio=longest.ratio, doubt=longest.doubt, is_enough=False, count=len(found)
    )


def shot_mass(plan: RunPlan, melt: int) -> float:
    """Return what a shot of a melt takes of both cups. [kg]"""
    draw = sum(cup.draw for cup in plan.melts[melt - 1].cups.values())
    return draw / plan.bench.syringes.shots_per_draw


def spread_of(known: Estimate) -> float:
    """Return the standard deviation of a time's logarithm. [-]"""
    return log(known.high / known.low) / (2 * HALF_RANGE)


@lru_cache(maxsize=1024)
def time_needed(
    mould: Mould, filled: Filled, shots: tuple[Closed, ...], shot_mass: float
) -> Estimate | None:
    """Return the time that a mould needs after the last of some shots [s]; None without one."""
    try:
        return follow(mould, filled, mould_heat(mould), shot_mass, shots)[-1].time
    except (Impossible, OutOfRange):
        return None
