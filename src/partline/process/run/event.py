"""One thing that happens in a run, as the hand at the bench tells it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum


class Kind(StrEnum):
    """What can happen in a run."""

    TICK = "tick"  # one thing of the set-up is done
    SET_UP = "set_up"  # the set-up is done, or gone on without
    WEIGH = "weigh"
    BURST = "burst"  # the oven is started
    STIR = "stir"
    READING = "reading"
    ADD = "add"
    HEAT = "heat"  # a further trip up to the band, or the first of a new melt
    DRAW = "draw"
    SHOT = "shot"
    OPEN = "open"
    FIRST_SHOT = "first_shot"  # which side of the first bait is dark
    STOP = "stop"  # no more shots from this heat
    FINISH = "finish"  # no more shots in this run
    PAUSE = "pause"
    RESUME = "resume"
    WRONG = "wrong"
    HELP = "help"
    PHOTO = "photo"
    PHOTO_MEASURE = "photo_measure"  # what a photo on the card says; the latest of it counts
    NOTE = "note"
    CORRECTION = "correction"  # points at an older event; both stay
    CONFIRM = "confirm"  # what was asked about stands as it was told
    LOOK = "look"  # a spoiled bait, or its cut, was looked at
    ADVICE = "advice"  # the change that the maker is going to make
    CAUSE = "cause"  # what it was after all, told by the maker, or no longer
    JUDGE = "judge"
    CLOSE = "close"
    PIN = "pin"  # a good run to go back to, or no longer
    SET_ASIDE = "set_aside"  # nothing is learned from it, or again


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happened.

    Parameters
    ----------
    id : str
        Made by the device that told it; told twice it is the same event.
    kind : Kind
        What.
    at : datetime
        When, in UTC: the moment of the tap, not of its arrival.
    cup : str or None
        A or B; None for both or neither.
    data : mapping
        Further particulars, by kind.
    place : int
        In the order of arrival, from 1; 0 for one that is not kept yet.
    received_at : datetime or None
        When it was kept.
    device : str
        That told it.
    """

    id: str
    kind: Kind
    at: datetime
    cup: str | None = None
    data: Mapping[str, object] = field(default_factory=dict)
    place: int = 0
    received_at: datetime | None = None
    device: str = ""

    def number(self, key: str) -> float | None:
        """Return a particular as a number; None where there is none."""
        value = self.data.get(key)
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        return float(value) if is_number else None  # type: ignore[arg-type]

    def text(self, key: str) -> str:
        """Return a particular as text; empty where there is none."""
        value = self.data.get(key)
        return value if isinstance(value, str) else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """An event with what was said of it later.

    Parameters
    ----------
    event : Event
        As it stands now: its particulars are the newest.
    first : Event
        As it was told at first.
    is_void : bool
        Whether it was taken back.
    corrected_by : str
        Id of the newest correction in force; empty where there is none.
    """

    event: Event
    first: Event
    is_void: bool = False
    corrected_by: str = ""


def in_order(events: Iterable[Event]) -> tuple[Event, ...]:
    """Return events by the moment they happened; of one moment, in the order they came.

    A phone that lost the network tells late what happened early.
    """
    return tuple(sorted(events, key=lambda event: (event.at, event.place)))


def as_it_stands(events: Iterable[Event]) -> tuple[Told, ...]:
    """Return a run's events, corrections applied, in the order they happened.

    Parameters
    ----------
    events : iterable of Event
        All that was told, in any order.

    Returns
    -------
    tuple of Told
        Each event that is no correction. Of several corrections in force the newest counts; one
        that was itself taken back never does.
    """
    told = in_order(map(_not_after_it_came, events))
    corrections = _in_force([event for event in told if event.kind is Kind.CORRECTION])
    return tuple(
        _corrected(event, corrections.get(event.id))
        for event in told
        if event.kind is not Kind.CORRECTION
    )


def _not_after_it_came(event: Event) -> Event:
    """Return an event whose device's clock went ahead at the moment it was kept."""
    came = event.received_at
    return event if came is None or event.at <= came else replace(event, at=came)


def _in_force(corrections: list[Event]) -> dict[str, Event]:
    """Return the correction that counts for each event, by that event's id."""
    by_id = {event.id: event for event in corrections}
    void: set[str] = set()
    newest: dict[str, Event] = {}
    for event in reversed(corrections):
        if event.id in void:
            continue
        target, seen = event.text("of"), {event.id}
        if target in by_id:
            void.add(target)
            if _takes_back(event):
                continue
        while target in by_id and target not in seen:  # a correction of a correction
            seen.add(target)
            target = by_id[target].text("of")
        newest.setdefault(target, event)
    return newest


def _takes_back(correction: Event) -> bool:
    return correction.data.get("void") is True


def _corrected(event: Event, correction: Event | None) -> Told:
    if correction is None:
        return Told(event=event, first=event)
    if _takes_back(correction):
        return Told(event=event, first=event, is_void=True, corrected_by=correction.id)
    changes = correction.data.get("data")
    if not isinstance(changes, Mapping):
        return Told(event=event, first=event, corrected_by=correction.id)
    cup = correction.cup if correction.cup is not None else event.cup
    now = replace(event, cup=cup, data={**event.data, **changes})
    return Told(event=now, first=event, corrected_by=correction.id)
