"""What the events of a run do to its pretended cups: fill, heat, stir, add, draw."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from partline.process.run import Event, Kind, RunPlan, RunState, run_states
from partline.process.run.questions import FAR_OFF

NOBODY: frozenset[str] = frozenset()


class Does(StrEnum):
    """What is done to a cup."""

    FILL = "fill"
    HEAT = "heat"
    STIR = "stir"
    ADD = "add"
    DRAW = "draw"
    PASS = "pass"  # nothing: a moment to look at


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing done at the pretended bench.

    Parameters
    ----------
    at : float
        Since the run was begun. [s]
    does : Does
        What.
    cup : str or None
        A or B; None for both.
    amount : float
        Plastic [kg], or time in the oven [s].
    melt : int
        In hand.
    event : str
        Id of the event that it comes from.
    """

    at: float
    does: Does
    cup: str | None = None
    amount: float = 0.0
    melt: int = 1
    event: str = ""


def acts_of(events: Sequence[Event], plan: RunPlan, begun: datetime) -> tuple[Act, ...]:
    """Return what was done at the bench, in the order it happened.

    Parameters
    ----------
    events : sequence of Event
        All that was told, in any order; what was taken back was not done.
    plan : RunPlan
        That the run follows.
    begun : datetime
        When the clock of the bench began.
    """
    found = [
        Act(at=0.0, does=Does.FILL, cup=letter, amount=cup.cold_mass)
        for letter, cup in plan.melts[0].cups.items()
    ]
    for event, before, after in run_states(events, plan, doubted=NOBODY):
        at = max((event.at - begun).total_seconds(), 0.0)
        for does, cup, amount in _done(event, before, after, plan):
            found.append(
                Act(
                    at=at, does=does, cup=cup, amount=amount, melt=after.melt, event=event.id
                )
            )  # fmt: skip
    return tuple(found)


Done = tuple[Does, str | None, float]


def _done(event: Event, before: RunState, after: RunState, plan: RunPlan) -> Iterator[Done]:
    planned = plan.melts[after.melt - 1].cups
    if after.melt != before.melt:
        for letter, cup in planned.items():
            yield Does.FILL, letter, cup.cold_mass
    if event.cup is None or event.cup in planned:
        yield from _of_the_cup(event, after, plan)
    for letter in planned:
        for taken in _drawn(before, after, letter):
            yield Does.DRAW, letter, taken


def _of_the_cup(event: Event, after: RunState, plan: RunPlan) -> Iterator[Done]:
    match event.kind:
        case Kind.WEIGH if event.cup is not None and not after.cups[event.cup].bursts:
            cold = plan.melts[after.melt - 1].cups[event.cup].cold_mass
            yield Does.FILL, event.cup, _weighed(event, cold)
        case Kind.BURST:
            is_shared = event.cup is None and len(after.cups) > 1
            cup = None if is_shared else event.cup or next(iter(after.cups))
            yield Does.HEAT, cup, event.number("seconds") or 0.0
        case Kind.STIR:
            yield Does.STIR, event.cup, 0.0
        case Kind.ADD:
            yield Does.ADD, event.cup, (event.number("grams") or 0.0) * 1e-3
        case _:
            return


def _weighed(event: Event, planned: float) -> float:
    """Return the mass in a cup [kg]: as told, unless that is so far off that it is a slip."""
    told = (event.number("grams") or 0.0) * 1e-3
    return told if abs(told - planned) <= FAR_OFF * planned else planned


def _drawn(before: RunState, after: RunState, letter: str) -> list[float]:
    """Return what an event drew from a cup; a shot told alone draws too. [kg]"""
    had = before.cups[letter].draws if after.melt == before.melt else ()
    return [taken for _, taken in after.cups[letter].draws[len(had) :]]
