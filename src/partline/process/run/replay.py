"""Replaying a run: each event moves where it stands by one step."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from partline.process.run.event import Event, Kind, Told, as_it_stands
from partline.process.run.plan import PlannedMelt, RunPlan
from partline.process.run.state import Added, Burst, CupState, Phase, Reading, RunState, Shot
from partline.quantities.constants import ZERO_CELSIUS

#: A reading this soon after a stir is one of the bulk: a skin needs longer to grow cool. [s]
JUST_STIRRED = 15.0


def run_state(events: Sequence[Event], plan: RunPlan, *, doubted: frozenset[str]) -> RunState:
    """Recompute where a run stands.

    Parameters
    ----------
    events : sequence of Event
        All that was told, in any order.
    plan : RunPlan
        That it follows.
    doubted : frozenset of str
        Ids of events that were asked about and not answered: they count for nothing yet.

    Returns
    -------
    RunState
        The same for the same events, whatever order they came in.
    """
    told = as_it_stands(events)
    state = RunState(cups=_filled(plan.melts[0]), told=told)
    for _, after in _moved(state, told, plan, doubted):
        state = after
    return state


def run_states(
    events: Sequence[Event], plan: RunPlan, *, doubted: frozenset[str]
) -> Iterator[tuple[Event, RunState, RunState]]:
    """Yield each event that counts, with where the run stood before it and after it.

    Parameters
    ----------
    events, plan, doubted
        As `run_state`.
    """
    told = as_it_stands(events)
    state = RunState(cups=_filled(plan.melts[0]), told=told)
    for event, after in _moved(state, told, plan, doubted):
        yield event, state, after
        state = after


def _moved(
    state: RunState, told: Sequence[Told], plan: RunPlan, doubted: frozenset[str]
) -> Iterator[tuple[Event, RunState]]:
    for each in told:
        if each.is_void or each.event.id in doubted:
            continue
        step = _STEPS.get(each.event.kind)
        if step is not None:
            state = step(state, each.event, plan)
        yield each.event, state


def _filled(melt: PlannedMelt) -> dict[str, CupState]:
    return {letter: CupState(letter=letter, mass=cup.mass) for letter, cup in melt.cups.items()}


def _of(event: Event, state: RunState) -> list[str]:
    """Return the cups that an event is about."""
    return [letter for letter in state.cups if event.cup in (None, letter)]


def _with_cups(state: RunState, event: Event, change: Callable[[CupState], CupState]) -> RunState:
    changed = {letter: change(state.cups[letter]) for letter in _of(event, state)}
    return replace(state, cups={**state.cups, **changed})


def _tick(state: RunState, event: Event, _: RunPlan) -> RunState:
    return replace(state, ticks=state.ticks | {event.text("key")})


def _set_up(state: RunState, event: Event, _: RunPlan) -> RunState:
    missing = event.data.get("missing")
    skipped = frozenset(str(key) for key in missing) if isinstance(missing, list) else frozenset()
    return replace(state, phase=_at_least(state, Phase.SET_UP), skipped=skipped - state.ticks)


def _at_least(state: RunState, phase: Phase) -> Phase:
    order = list(Phase)
    return max(state.phase, phase, key=order.index)


def _weigh(state: RunState, event: Event, plan: RunPlan) -> RunState:
    grams = event.number("grams")
    if grams is None or event.cup is None:
        return state
    if event.data.get("left") is True:  # what the shots have left in the cup
        rest = grams * 1e-3
        return _with_cups(state, event, lambda cup: replace(cup, mass=rest, is_rest_weighed=True))
    if state.is_heat_over and _is_made(state, plan):  # the cups are filled again
        state = _go_on(state, plan, event.at)
    planned = plan.melts[state.melt - 1].cups

    def weighed(cup: CupState) -> CupState:
        later = sum(each.mass for each in planned[cup.letter].later)
        return replace(cup, mass=grams * 1e-3 + later, is_weighed=True)

    return _with_cups(state, event, weighed)


def _burst(state: RunState, event: Event, plan: RunPlan) -> RunState:
    seconds = event.number("seconds")
    if seconds is None:
        return state
    shared = event.cup is None and len(state.cups) > 1
    burst = Burst(id=event.id, at=event.at, seconds=seconds, is_shared=shared)
    if state.phase is Phase.SHOOTING or state.is_heat_over:
        state = _go_on(state, plan, event.at)
    state = replace(state, phase=_melting(state), heat=max(state.heat, 1), is_stopped=False)
    return _with_cups(state, event, lambda cup: replace(cup, bursts=(*cup.bursts, burst)))


def _melting(state: RunState) -> Phase:
    return Phase.MELTING if state.phase in (Phase.PLANNED, Phase.SET_UP) else state.phase


def _stir(state: RunState, event: Event, _: RunPlan) -> RunState:
    def stirred(cup: CupState) -> CupState:
        return replace(_taken_out(cup, event.at), stirs=(*cup.stirs, event.at))

    return _with_cups(state, event, stirred)


def _taken_out(cup: CupState, at: datetime) -> CupState:
    """Return a cup whose time in the oven ended with this: nobody stirs in there."""
    last = cup.last_burst
    if last is None or not last.at < at < last.end:
        return cup
    cut = replace(last, seconds=(at - last.at).total_seconds())
    return replace(cup, bursts=(*cup.bursts[:-1], cut))


def _reading(state: RunState, event: Event, _: RunPlan) -> RunState:
    celsius = event.number("celsius")
    if celsius is None or event.cup is None:
        return state

    def read(cup: CupState) -> CupState:
        stirred = cup.stirred_at
        just = stirred is not None and (event.at - stirred).total_seconds() <= JUST_STIRRED
        said = event.data.get("stirred")
        reading = Reading(
            id=event.id,
            at=event.at,
            temperature=celsius + ZERO_CELSIUS,
            is_stirred=said if isinstance(said, bool) else just,
        )
        return replace(cup, readings=(*cup.readings, reading))

    return _with_cups(state, event, read)


def _add(state: RunState, event: Event, _: RunPlan) -> RunState:
    mass = (event.number("grams") or 0.0) * 1e-3
    added = Added(at=event.at, supply=event.text("supply"), mass=mass, heat=state.heat)
    return _with_cups(state, event, lambda cup: replace(cup, additions=(*cup.additions, added)))


def _heat(state: RunState, event: Event, plan: RunPlan) -> RunState:
    melt = event.number("melt")
    return _next_heat(state, state.melt if melt is None else int(melt), plan, event.at)


def _go_on(state: RunState, plan: RunPlan, at: datetime) -> RunState:
    """Begin the next heat, of the next melt once all shots of this one are made."""
    return _next_heat(state, state.melt + _is_made(state, plan), plan, at)


def _is_made(state: RunState, plan: RunPlan) -> bool:
    return state.melt_shots() >= plan.melts[state.melt - 1].shots


def _next_heat(state: RunState, melt: int, plan: RunPlan, at: datetime) -> RunState:
    melt = min(max(melt, 1), len(plan.melts))
    state = replace(state, phase=Phase.MELTING, is_drawn=False, is_heat_over=False)
    if melt == state.melt:
        # What was read before says nothing of whether the cups are warm enough now.
        cups = {letter: replace(cup, heat_from=at) for letter, cup in state.cups.items()}
        return replace(state, heat=state.heat + 1, cups=cups)
    return replace(
        state,
        melt=melt,
        heat=1,
        is_first_shot_seen=False,
        cups=_filled(plan.melts[melt - 1]),
    )


def _draw(state: RunState, event: Event, plan: RunPlan) -> RunState:
    cups = plan.melts[state.melt - 1].cups

    def drawn(cup: CupState) -> CupState:
        taken = min(cups[cup.letter].draw, cup.mass)
        return replace(cup, mass=cup.mass - taken, draws=(*cup.draws, (event.at, taken)))

    ages = {**state.stir_ages, event.id: _stir_age(state, event)}
    state = replace(_with_cups(state, event, drawn), stir_ages=ages)
    return replace(
        state, phase=Phase.SHOOTING, heat=max(state.heat, 1), is_drawn=True, is_heat_over=False
    )


def _stir_age(state: RunState, event: Event) -> float | None:
    stirred = [state.cups[letter].stirred_at for letter in _of(event, state)]
    ages = [(event.at - at).total_seconds() for at in stirred if at is not None]
    return max(ages) if ages and len(ages) == len(stirred) else None


def _shot(state: RunState, event: Event, plan: RunPlan) -> RunState:
    if not state.is_drawn:  # the hand that was full told only the shot
        state = _draw(state, event, plan)
    each = plan.bench.syringes.shots_per_draw
    mould = int(event.number("mould") or 1)
    shot = Shot(
        id=event.id,
        at=event.at,
        melt=state.melt,
        heat=state.heat,
        mould=mould,
        push=event.number("push_s"),
    )
    # What stood in this mould before must have come out of it, tapped or not.
    shots = tuple(_opened(old, mould, event.at) for old in state.shots)
    pushed = state.melt_shots() + 1
    return replace(state, shots=(*shots, shot), is_drawn=pushed % each != 0)


def _opened(shot: Shot, mould: int, at: datetime) -> Shot:
    is_it = shot.mould == mould and shot.opened_at is None
    return replace(shot, opened_at=at) if is_it else shot


def _open(state: RunState, event: Event, _: RunPlan) -> RunState:
    mould = int(event.number("mould") or 1)
    return replace(state, shots=tuple(_opened(shot, mould, event.at) for shot in state.shots))


def _first_shot(state: RunState, event: Event, _: RunPlan) -> RunState:
    up = event.data.get("dark_side_up")
    return replace(state, is_first_shot_seen=True, wrong_side_up=up is False)


def _stop(state: RunState, event: Event, plan: RunPlan) -> RunState:
    if _is_made(state, plan):
        if state.melt < len(plan.melts):
            return _go_on(state, plan, event.at)
        return replace(state, phase=Phase.COOLING, is_drawn=False)
    return replace(state, phase=Phase.MELTING, is_drawn=False, is_heat_over=True)


def _finish(state: RunState, _: Event, __: RunPlan) -> RunState:
    return replace(state, phase=_at_least(state, Phase.COOLING), is_drawn=False, is_stopped=False)


def _pause(state: RunState, _: Event, __: RunPlan) -> RunState:
    return replace(state, is_stopped=True)


def _resume(state: RunState, event: Event, plan: RunPlan) -> RunState:
    state = replace(state, is_stopped=False)
    match event.text("what"):
        case "finished":
            return _finish(state, event, plan)
        case "stopped":
            return _stop(state, event, plan)
        case "reheat":
            return _next_heat(state, state.melt, plan, event.at)
        case _:
            return state


def _wrong(state: RunState, event: Event, _: RunPlan) -> RunState:
    return replace(state, went_wrong=(*state.went_wrong, event))


def _judge(state: RunState, event: Event, _: RunPlan) -> RunState:
    good, moulded = event.number("good"), event.number("moulded")
    return replace(
        state,
        phase=_at_least(state, Phase.JUDGED),
        good=None if good is None else int(good),
        moulded=None if moulded is None else int(moulded),
    )


def _close(state: RunState, _: Event, __: RunPlan) -> RunState:
    return replace(state, phase=Phase.CLOSED)


def _pin(state: RunState, event: Event, _: RunPlan) -> RunState:
    return replace(state, is_pinned=event.data.get("pinned") is True)


def _set_aside(state: RunState, event: Event, _: RunPlan) -> RunState:
    return replace(state, is_aside=event.data.get("aside") is True)


_STEPS: dict[Kind, Callable[[RunState, Event, RunPlan], RunState]] = {
    Kind.TICK: _tick,
    Kind.SET_UP: _set_up,
    Kind.WEIGH: _weigh,
    Kind.BURST: _burst,
    Kind.STIR: _stir,
    Kind.READING: _reading,
    Kind.ADD: _add,
    Kind.HEAT: _heat,
    Kind.DRAW: _draw,
    Kind.SHOT: _shot,
    Kind.OPEN: _open,
    Kind.FIRST_SHOT: _first_shot,
    Kind.STOP: _stop,
    Kind.FINISH: _finish,
    Kind.PAUSE: _pause,
    Kind.RESUME: _resume,
    Kind.WRONG: _wrong,
    Kind.JUDGE: _judge,
    Kind.CLOSE: _close,
    Kind.PIN: _pin,
    Kind.SET_ASIDE: _set_aside,
}
