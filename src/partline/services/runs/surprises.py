"""Readings that do not go with the others of their cup: asked about, never left out in secret."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from partline.process.run import CupState, Event, Kind, Reading, RunPlan, RunState
from partline.process.run.questions import Choice, Question
from partline.quantities.constants import ZERO_CELSIUS
from partline.services.runs.forecast import cup_history, melt_zero
from partline.services.runs.heating import Kit, expected_after, learned_power
from partline.studies.countdown import CupHistory, Doubt, doubt
from partline.studies.countdown import Reading as Read


def surprises(
    state: RunState, events: Sequence[Event], plan: RunPlan, kit: Kit
) -> tuple[Question, ...]:
    """Return what is to be asked about the newest reading of each cup.

    Parameters
    ----------
    state : RunState
        As it stands with every reading in it.
    events : sequence of Event
        All that was told.
    plan : RunPlan
        That the run follows.
    kit : Kit
        Its cups in terms of heat.
    """
    confirmed = {event.text("question") for event in events if event.kind is Kind.CONFIRM}
    # A card tells no times between its readings, so that nothing can be foretold of them.
    settled = {
        told.event.id
        for told in state.told
        if told.corrected_by or told.event.data.get("from_card") is True
    }
    found = []
    for cup in state.cups.values():
        for reading in cup.fresh_readings[-2:]:
            if reading.id in settled or _key(reading) in confirmed:
                continue
            doubted = _doubt(cup, state, kit, reading)
            if doubted is not None and doubted.is_questioned:
                found.append(_question(cup, reading, doubted, plan))
    return tuple(found)


def _doubt(cup: CupState, state: RunState, kit: Kit, reading: Reading) -> Doubt | None:
    zero = melt_zero(state)
    if zero is None:
        return None
    before = replace(cup, readings=tuple(r for r in cup.readings if r.at < reading.at))
    power = learned_power(kit, {cup.letter: before})
    is_first = not before.fresh_readings and before.last_burst is not None
    if is_first and (power is None or power.count == 0):
        return None  # nobody knows yet what this oven gives: whatever it reads is news
    expected = expected_after(kit, before, power)
    history = cup_history(cup, kit, zero, expected)
    at = (reading.at - zero).total_seconds()
    mine = next((each for each in history.readings if each.at == at), None)
    read = mine or Read(at=at, temperature=reading.temperature)
    return _doubted(history, read)


@lru_cache(maxsize=32)
def _doubted(history: CupHistory, read: Read) -> Doubt | None:
    """Ask once of a reading what every state of the run asks again."""
    return doubt(history, read)


def _key(reading: Reading) -> str:
    return f"surprise-{reading.id}"


def _question(cup: CupState, reading: Reading, found: Doubt, plan: RunPlan) -> Question:
    shown = plan.bench.reading
    choices = [
        Choice(
            label=f"{shown(meant.temperature)} ({meant.how})",
            kind=Kind.CORRECTION,
            data={
                "of": reading.id,
                "data": {"celsius": round(meant.temperature - ZERO_CELSIUS, 2)},
            },
        )
        for meant in found.meant[:1]
    ]
    choices += [
        Choice(
            label=f"It is {shown(reading.temperature)}",
            kind=Kind.CONFIRM,
            data={"question": _key(reading)},
        ),
        Choice(
            label="Take it back",
            kind=Kind.CORRECTION,
            data={"of": reading.id, "void": True},
        ),
    ]
    return Question(
        key=_key(reading),
        about=reading.id,
        text=f"{shown(reading.temperature)} in cup {cup.letter}? By the readings before it should "
        f"be {shown(found.low)} to {shown(found.high)}. Was it stirred, and is it cup "
        f"{cup.letter}?",
        choices=tuple(choices),
    )
