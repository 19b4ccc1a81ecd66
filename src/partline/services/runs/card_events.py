"""A card that was typed in as the events of a run, in their order, with what nobody wrote down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import accumulate
from typing import Any

from partline.process.run import Kind
from partline.process.shooting import Pace
from partline.services.runs.card_entry import (
    CardEntry,
    CardShape,
    Figure,
    bad_count,
    melts_used,
    moulded_of,
)
from partline.services.runs.log import moment
from partline.services.runs.typed import new_id

Json = dict[str, Any]
#: Between two things told of one moment, so that they keep their order. [s]
APART = 1.0
TOLD = "Typed in from the card. Times between are not known; events stand in their order."
#: Fields in the words of the record.
WORDS = {
    "day": "the day", "clock": "the time of the start", "moulds": "the number of moulds",
    "heats": "the number of heats", "shots": "the number of shots", "push": "the push",
    "moulded": "the baits moulded", "unit": "°C or °F",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heat:
    """One trip up to the band as it is taken to have been.

    Parameters
    ----------
    melt : int
        From 1.
    shots : int
        Of it.
    """

    melt: int
    shots: int


@dataclass(slots=True)
class _Tape:
    """Events one after the other, on the run's own clock: 0 is the first shot."""

    at: float = 0.0
    told: list[tuple[float, Kind, str | None, Json]] = field(default_factory=list)

    def tell(self, kind: Kind, cup: str | None = None, **data: object) -> None:
        assumed = ["at", *data.pop("assumed", ())]  # type: ignore[misc]
        self.told.append((self.at, kind, cup, {**data, "from_card": True, "assumed": assumed}))
        self.at += APART


def lasting(entry: CardEntry, shape: CardShape) -> float:
    """Return how long a run takes at the usual pace, from its first shot on. [s]"""
    return max(at for at, *_ in _tape(entry, shape).told)


def card_events(
    entry: CardEntry,
    shape: CardShape,
    *,
    start: datetime,
    unknown: Sequence[str],
    now: datetime,
    first_id: str,
) -> list[Json]:
    """Return a card as raw events.

    Parameters
    ----------
    entry : CardEntry
        As it was typed in.
    shape : CardShape
        Of the plan's card.
    start : datetime
        Of the first shot, in UTC.
    unknown : sequence of str
        Of day and clock, what the card does not say.
    now : datetime
        That everything was over by, in UTC.
    first_id : str
        Id of the note that says where the rest comes from.

    Returns
    -------
    list of dict
        In order. Each carries ``from_card`` and, under ``assumed``, what in it no hand wrote.

    Notes
    -----
    Times between are spread by the usual pace of the hands from the start on, and closer
    together where the run would not be over by now.
    """
    told = _tape(entry, shape).told
    lasts = max(at for at, *_ in told)
    there = (now - start).total_seconds()
    closer = min(1.0, there / lasts) if lasts > 0 else 1.0
    events = [
        _note(entry, shape, unknown, first_id, start + timedelta(seconds=told[0][0] - APART))
    ]
    for at, kind, cup, data in told:
        when = start + timedelta(seconds=at * closer if at > 0 else at)
        events.append(
            {"id": new_id(), "kind": kind.value, "cup": cup, "at": moment(when), "data": data}
        )
    return events


def _note(
    entry: CardEntry, shape: CardShape, unknown: Sequence[str], id_: str, at: datetime
) -> Json:
    parts = [TOLD]
    if entry.shots and (entry.moulds != 1 or len(_heats(entry, shape)) > 1):
        parts.append("Which shot was of which heat and mould is shared out evenly.")
    assumed = [*unknown, *(["moulds"] if entry.moulds is None else [])]
    if assumed:
        parts.append(f"Not on the card: {', '.join(WORDS[each] for each in assumed)}.")
    if entry.left_in:
        left = ", ".join(WORDS.get(each, each) for each in entry.left_in)
        parts.append(f"Carried over and left in: {left}.")
    data: Json = {
        "text": " ".join(parts), "from_card": True, "assumed": ["at", *assumed],
        "carried_over": list(entry.left_in),
    }  # fmt: skip
    data |= {f"tare_{cup.lower()}_g": grams for cup, grams in entry.tares.items()}
    return {"id": id_, "kind": Kind.NOTE.value, "cup": None, "at": moment(at), "data": data}


def _tape(entry: CardEntry, shape: CardShape) -> _Tape:
    """Return everything that the card tells, in order."""
    push = next((each for each in entry.pushes if each is not None), None)
    pace = Pace() if push is None else Pace(push=push)
    tape = _Tape(at=-pace.fresh_melt)
    if entry.is_set_up:
        tape.tell(Kind.SET_UP)
    if entry.is_weighed:
        tape.tell(Kind.TICK, key="amounts")
    heats = _heats(entry, shape)
    first = 1
    for place, heat in enumerate(heats):
        if place or (entry.shots is None and entry.heats is not None):
            tape.tell(Kind.HEAT, melt=heat.melt, assumed=["melt"])
        shooting = 0.0 if not place else tape.at + pace.top_up
        tape.at = max(tape.at, shooting - pace.top_up)
        _readings(tape, entry, shape, heats, place, "fused")
        tape.at = max(tape.at, shooting - APART * len(shape.letters))
        _readings(tape, entry, shape, heats, place, "start")
        tape.at = max(tape.at, shooting)
        for number in range(first, first + heat.shots):
            _shot(tape, entry, number)
            tape.at += pace.shot - APART
        first += heat.shots
        _readings(tape, entry, shape, heats, place, "stop")
        is_next_fresh = place + 1 < len(heats) and heats[place + 1].melt != heat.melt
        tape.at += pace.fresh_melt - pace.top_up if is_next_fresh else 0.0
    tape.tell(Kind.FINISH)
    for what in entry.wrong:
        tape.tell(Kind.WRONG, what=what, text="")
    if entry.note:
        tape.tell(Kind.NOTE, text=entry.note)
    _judged(tape, entry, shape)
    return tape


def _heats(entry: CardEntry, shape: CardShape) -> list[_Heat]:
    """Return the heats, shots shared out evenly: the card does not say which came from which."""
    melts = melts_used(entry, shape)
    if entry.shots is None:
        per_melt = [0] * melts
    else:
        planned = list(shape.melts[:melts])
        before = list(accumulate(planned, initial=0))
        per_melt = [
            min(shots, max(entry.shots - gone, 0)) if place < melts - 1 else entry.shots - gone
            for place, (shots, gone) in enumerate(zip(planned, before[:-1], strict=True))
        ]
    counts = [1] * len(per_melt)
    for _ in range((entry.heats or 0) - len(per_melt)):
        fullest = max(range(len(counts)), key=lambda each: per_melt[each] / counts[each])
        counts[fullest] += 1
    found = []
    for melt, (shots, count) in enumerate(zip(per_melt, counts, strict=True), start=1):
        each, more = divmod(shots, count)
        found += [_Heat(melt=melt, shots=each + (place < more)) for place in range(count)]
    return found


def _readings(
    tape: _Tape, entry: CardEntry, shape: CardShape, heats: list[_Heat], place: int, column: str
) -> None:
    """Tell what one heat's column of the card holds."""
    for cup in shape.letters:
        figures = entry.temperatures.get((column, cup), ())
        turn = _turn(len(figures), heats, place, is_last=column == "stop")
        figure: Figure | None = None if turn is None else figures[turn]
        if figure is not None:
            tape.tell(
                Kind.READING, cup, entered=figure.entered, unit=figure.unit,
                celsius=figure.celsius, column=column,
            )  # fmt: skip


def _turn(count: int, heats: list[_Heat], place: int, *, is_last: bool) -> int | None:
    """Return which of a field's figures belongs to a heat; None where none does."""
    if count == 0:
        return None
    if count == len(heats):
        return place
    if count == 1:
        return 0 if place == (len(heats) - 1 if is_last else 0) else None
    melt = heats[place].melt
    neighbour = place + 1 if is_last else place - 1
    is_edge = not 0 <= neighbour < len(heats) or heats[neighbour].melt != melt
    return melt - 1 if is_edge else None


def _shot(tape: _Tape, entry: CardEntry, number: int) -> None:
    push = entry.pushes[0] if len(entry.pushes) == 1 else None
    if len(entry.pushes) > 1:
        push = entry.pushes[number - 1]
    moulds = entry.moulds or 1
    data: Json = {"push_s": push, "mould": (number - 1) % moulds + 1, "shot": number}
    left = [("push_s", "push", push is not None), ("shots", "shots", True)]
    carried = [key for key, name, is_told in left if is_told and name in entry.left_in]
    if carried:
        data["carried_over"] = carried
    if number in entry.bad:
        data["bad_cavities"] = list(entry.bad[number])
    tape.tell(Kind.SHOT, None, assumed=["mould"], **data)


def _judged(tape: _Tape, entry: CardEntry, shape: CardShape) -> None:
    moulded, bad = moulded_of(entry, shape), bad_count(entry)
    good, assumed = entry.good, []
    if entry.moulded is None:
        assumed.append("moulded")
    if good is None and bad and moulded is not None:
        good = moulded - bad
        assumed.append("good")
    if good is not None and moulded is not None:
        tape.tell(Kind.JUDGE, good=good, moulded=moulded, text="", assumed=assumed)
        if entry.is_closed:
            tape.tell(Kind.CLOSE)
