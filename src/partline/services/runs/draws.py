"""Every draw of a run: how warm both cups were, how long since a stir, how it was pushed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import median

import numpy as np

from partline.errors import InputError
from partline.process.run import CupState, Event, Kind, RunState, as_it_stands, run_state
from partline.process.run.questions import questions
from partline.services.runs.forecast import cup_history, melt_zero
from partline.services.runs.heating import Kit, expected_after, learned_power
from partline.services.runs.standing import Followed
from partline.studies.countdown import countdown


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawFacts:
    """One draw.

    Parameters
    ----------
    id : str
        Of its event.
    at : datetime
        When.
    melt, heat : int
        Which.
    is_first : bool
        Whether it is the first of its heat.
    temperatures : dict of str to tuple of float
        Low, middle and high of each cup, by letter; without what nobody read. [K]
    stir_age : float or None
        How long before it the cups were stirred; None where they were not. [s]
    push : float or None
        Of the shot that follows. [s]
    """

    id: str
    at: datetime
    melt: int
    heat: int
    is_first: bool
    temperatures: dict[str, tuple[float, float, float]]
    stir_age: float | None
    push: float | None

    @property
    def apart(self) -> float | None:
        """By how much cup A is warmer than cup B; None where one of them is not known. [K]"""
        if not {"A", "B"} <= self.temperatures.keys():
            return None
        return self.temperatures["A"][1] - self.temperatures["B"][1]


def draw_facts(run: Followed, events: Sequence[Event]) -> tuple[DrawFacts, ...]:
    """Return every draw of a run that stands, in order.

    Parameters
    ----------
    run : Followed
        With what it follows.
    events : sequence of Event
        All that was told.
    """
    kit = run.kit
    doubted = frozenset(each.about for each in questions(events, run.plan))
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    read_for_it = frozenset(
        event.id
        for event in told
        if event.kind is Kind.READING and event.text("column") == "start"
    )
    found: list[DrawFacts] = []
    for place, event in enumerate(told):
        if event.kind not in (Kind.DRAW, Kind.SHOT) or event.id in doubted:
            continue
        before = run_state(told[:place], run.plan, doubted=doubted)
        if event.kind is Kind.SHOT and before.is_drawn:
            found[-1:] = [_pushed(each, event) for each in found[-1:]]
            continue
        after = run_state(told[: place + 1], run.plan, doubted=doubted)
        key = (after.melt, after.heat)
        ages = after.stir_ages.get(event.id)
        found.append(
            DrawFacts(
                id=event.id, at=event.at, melt=after.melt, heat=after.heat,
                is_first=all((each.melt, each.heat) != key for each in found),
                temperatures=_temperatures(before, event, kit, read_for_it), stir_age=ages,
                push=event.number("push_s"),
            )
        )  # fmt: skip
    return tuple(found)


def _pushed(draw: DrawFacts, shot: Event) -> DrawFacts:
    push = shot.number("push_s")
    return draw if push is None or draw.push is not None else replace(draw, push=push)


def _temperatures(
    state: RunState, event: Event, kit: Kit, read_for_it: frozenset[str]
) -> dict[str, tuple[float, float, float]]:
    zero = melt_zero(state)
    if zero is None:
        return {}
    is_off_card = event.data.get("from_card") is True
    power = learned_power(kit, state.cups)
    found = {}
    for letter, cup in state.cups.items():
        if is_off_card:
            if (read := _read_off(cup, read_for_it)) is not None:
                doubt = kit.thermometer.between_cups
                found[letter] = (read - doubt, read, read + doubt)
            continue
        try:
            history = cup_history(cup, kit, zero, expected_after(kit, cup, power))
            clock = (event.at - zero).total_seconds()
            rows = countdown(history, clock).temperature(np.array([clock]))
        except InputError:  # nothing is known since it was last heated
            continue
        low, middle, high = (float(row[0]) for row in rows)
        found[letter] = (low, middle, high)
    return found


def _read_off(cup: CupState, read_for_it: frozenset[str]) -> float | None:
    """Return what a card gives for the draw itself: times between are not known. [K]"""
    found = [each.temperature for each in cup.fresh_readings if each.id in read_for_it]
    return found[-1] if found else None


def starts(draws: Sequence[DrawFacts]) -> tuple[DrawFacts, ...]:
    """Return the first draw of each heat."""
    return tuple(each for each in draws if each.is_first)


def usual_push(draws: Sequence[DrawFacts]) -> float | None:
    """Return the middle of the push times that were told; None where none was. [s]"""
    pushes = [each.push for each in draws if each.push is not None]
    return median(pushes) if pushes else None
