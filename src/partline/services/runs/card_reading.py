"""A card's fields as they are typed in: read once, asked about where there is a doubt."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, time
from typing import TypeVar

from partline.errors import Ambiguous, InputError, Invalid, OutOfRange, Reading
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.units import Kind as Quantity
from partline.quantities.units import parse
from partline.services.runs.card_entry import (
    COLUMNS,
    WRONG,
    CardEntry,
    CardShape,
    Figure,
    Figures,
    contradictions,
)

T = TypeVar("T")
#: Where fused plastic in a cup is read; what lies outside is more likely the other scale. [K]
MELT = (100 + ZERO_CELSIUS, 230 + ZERO_CELSIUS)
MOST_MOULDS, MOST_HEATS, LONGEST_NOTE = 12, 200, 600
#: Year before which no card of ours was filled in.
EARLIEST = 2000
#: Times the plan's shots that a run may come to.
FURTHER = 2
_BLANK = ("-", "–", "—")
_APART = re.compile(r"\s*;\s*|,\s+|\s+(?!°?\s*[CFcfs]\b)")
_BARE = re.compile(r"[-+−]?\d+(?:[.,]\d+)?")
_BAD = re.compile(r"(\d+)\s*:\s*(\d+(?:\s*,\s*\d+)*)")


def read_card(given: Mapping[str, str], shape: CardShape) -> CardEntry:
    """Return what was typed.

    Parameters
    ----------
    given : mapping
        Field to text. ``was_FIELD`` says what was carried over into it.
    shape : CardShape
        Of the plan's card.

    Raises
    ------
    Invalid
        With a question or refusal for each field that cannot be used; blanks never are.
    """
    reader = _Reader(given=given, shape=shape)
    entry = reader.entry()
    if not reader.problems:
        reader.problems += list(contradictions(entry, shape))
    if reader.problems:
        raise Invalid(tuple(reader.problems), what="The card")
    return entry


@dataclass(kw_only=True)
class _Reader:
    """Reads one field after the other and keeps what is wrong with each."""

    given: Mapping[str, str]
    shape: CardShape
    problems: list[InputError] = field(default_factory=list)

    def entry(self) -> CardEntry:
        most = FURTHER * self.shape.shots
        letters = self.shape.letters
        return CardEntry(
            day=self._read("day", _day),
            clock=self._read("clock", _clock),
            moulds=self._whole("moulds", 1, MOST_MOULDS),
            heats=self._whole("heats", 1, MOST_HEATS),
            shots=self._whole("shots", 0, most, f"; the plan has {self.shape.shots}"),
            temperatures={
                (column, cup): found
                for column in COLUMNS
                for cup in letters
                if (found := self._read(f"{column}_{cup.lower()}", self._temperatures))
            },
            pushes=self._read("push", _pushes) or (),
            bad=self._read("bad", self._bad) or {},
            good=self._whole("good", 0, most * self.shape.cavities),
            moulded=self._whole("moulded", 0, most * self.shape.cavities),
            tares={
                cup: grams
                for cup in letters
                if (grams := self._read(f"tare_{cup.lower()}", _tare)) is not None
            },
            wrong=tuple(each for each in WRONG if self._is_on(f"wrong_{each.replace(' ', '_')}")),
            note=self._read("note", _note) or "",
            is_set_up=self._is_on("set_up"),
            is_weighed=self._is_on("weighed"),
            is_closed=self._is_on("close"),
            left_in=tuple(
                name.removeprefix("was_")
                for name, was in self.given.items()
                if name.startswith("was_") and was and was == self._text(name[4:])
            ),
        )

    def _text(self, name: str) -> str:
        return " ".join(self.given.get(name, "").split())

    def _is_on(self, name: str) -> bool:
        return bool(self._text(name))

    def _read(self, name: str, read: Callable[[str], T]) -> T | None:
        text = self._text(name)
        if not text or text in _BLANK:
            return None
        try:
            return read(text)
        except InputError as problem:
            problem.field = name
            problem.given = text
            self.problems.append(problem)
            return None

    def _whole(self, name: str, low: int, high: int, why: str = "") -> int | None:
        def whole(text: str) -> int:
            is_number = text.isascii() and text.isdigit() and len(text) < 7
            if not is_number or not low <= int(text) <= high:
                raise OutOfRange(
                    f"“{text[:20]}” cannot be: a whole number from {low} to {high} stands "
                    f"here{why}.",
                    low=low, high=high,
                    remedy="Leave it empty where the card is.",
                )  # fmt: skip
            return int(text)

        return self._read(name, whole)

    def _temperatures(self, text: str) -> Figures:
        scale = self._text("unit").upper()
        parts = [part for part in _APART.split(text) if part]
        found: list[Figure | None] = []
        for place, part in enumerate(parts):
            if part in _BLANK:
                found.append(None)
                continue
            line = f"{part} °{scale}" if _BARE.fullmatch(part) and scale in ("C", "F") else part
            try:
                read = parse(line, Quantity.TEMPERATURE, plausible=MELT)
            except Ambiguous as asked:
                raise _in_its_place(asked, parts, place) from None
            figure = _BARE.search(part)
            found.append(
                Figure(
                    entered=part if figure is None else figure[0],
                    unit="F" if read.unit == "°F" else "C",
                    celsius=round(read.value - ZERO_CELSIUS, 3),
                )
            )
        return tuple(found)

    def _bad(self, text: str) -> dict[int, tuple[int, ...]]:
        found = {
            int(shot[:6]): tuple(dict.fromkeys(int(each[:6]) for each in cavities.split(",")))
            for shot, cavities in _BAD.findall(text)
        }
        if re.sub(r"[\s;]+", "", _BAD.sub("", text)) or not found:
            raise InputError(
                f"“{text[:40]}” cannot be read as bad cavities.",
                remedy="Write the shot, a colon and its cavities: 3:1,4 7:2.",
            )
        for shot, cavities in found.items():
            if max(cavities) > self.shape.cavities or min(cavities) < 1 or shot < 1:
                raise OutOfRange(
                    f"Shot {shot} has no cavity {max(cavities)}: shots and cavities count from "
                    f"1, and the mould has {self.shape.cavities}.",
                    low=1, high=self.shape.cavities,
                )  # fmt: skip
        return found


def _in_its_place(asked: Ambiguous, parts: list[str], place: int) -> Ambiguous:
    """Return a question whose readings are the whole field, with one figure put right."""
    readings = tuple(
        Reading(
            write=" ".join([*parts[:place], each.write, *parts[place + 1 :]]), means=each.means
        )
        for each in asked.readings
    )
    return Ambiguous(asked.message, readings=readings, given=asked.given)


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or day.year < EARLIEST:
        raise InputError(
            f"“{text[:20]}” is no day.", remedy="Write year, month and day: 2026-03-01."
        )
    return day


def _clock(text: str) -> time:
    found = re.fullmatch(r"(\d{1,2})[:.]?([0-5]\d)", text)
    if found is None or int(found[1]) > 23:
        raise InputError(f"“{text[:20]}” is no time of day.", remedy="Write it as 19:30 or 1930.")
    return time(int(found[1]), int(found[2]))


def _pushes(text: str) -> tuple[float | None, ...]:
    parts = [part for part in _APART.split(text) if part]
    return tuple(None if part in _BLANK else _push(part) for part in parts)


def _push(text: str) -> float:
    line = f"{text} s" if _BARE.fullmatch(text) else text
    return parse(line, Quantity.TIME, low=0.1, high=120.0).value


def _tare(text: str) -> float:
    line = f"{text} g" if _BARE.fullmatch(text) else text
    return round(parse(line, Quantity.MASS, low=1e-3, high=5.0).value * 1e3, 3)


def _note(text: str) -> str:
    if len(text) > LONGEST_NOTE:
        raise OutOfRange(
            f"The note has {len(text)} letters; {LONGEST_NOTE} fit.", high=LONGEST_NOTE
        )
    return text
