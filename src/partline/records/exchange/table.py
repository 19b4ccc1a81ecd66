"""A cursor over one table of a document: it knows its path and collects every problem."""

from __future__ import annotations

import datetime as dt
import math
import re
import unicodedata
from collections.abc import Callable, Mapping
from decimal import Decimal
from difflib import get_close_matches
from enum import StrEnum
from typing import TypeVar

from partline.errors import InputError, Invalid
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind
from partline.records.exchange.amount import (
    Span,
    read_amount,
    read_estimate,
    scaled_number,
    shown,
)

T = TypeVar("T")
Choice = TypeVar("Choice", bound=StrEnum)

#: Stands in for a number that could not be read, so that the rest can be: nan compares false.
UNREAD = math.nan
_UNREAD_ESTIMATE = Estimate.exact(1.0)
_WORDS = {bool: "true or false", str: "text", dict: "a table", list: "a list"}
_REMEDIES = {bool: "Write it without quotes.", str: "Put it in quotes."}


class Collecting:
    """Context that keeps an `InputError` as a problem of one field, and goes on."""

    def __init__(self, problems: list[InputError], field: str) -> None:
        self._problems = problems
        self._field = field

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, problem: BaseException | None, trace: object) -> bool:
        if not isinstance(problem, InputError):
            return False
        problem.field = self._field
        self._problems.append(problem)
        return True


class Table:
    """One table of a document.

    Every reading method takes a key, ticks it off, and returns its value; a value that cannot
    be used is written down as a problem and something harmless is returned instead, so that
    one pass over a document finds everything that is wrong with it. `finish`, called once on
    the whole document, refuses the keys that nobody asked for and raises what was found.

    Parameters
    ----------
    raw : mapping
        Keys and values as TOML gave them.
    path : str
        Where the table stands, such as ``stations[1]``; empty for the whole document.
    problems : list of InputError
        Shared by all tables of a document.
    """

    def __init__(
        self,
        raw: Mapping[str, object],
        path: str = "",
        problems: list[InputError] | None = None,
    ) -> None:
        self.path = path
        #: What to call it in a sentence, where it is one amount written out as a table.
        self.title = ""
        self.problems: list[InputError] = [] if problems is None else problems
        self._raw = raw
        self._known: set[str] = set()
        self._missing: dict[str, InputError] = {}
        self._unread: set[str] = set()
        self._children: list[Table] = []

    def __contains__(self, key: str) -> bool:
        self._known.add(key)
        return key in self._raw

    def at(self, key: str) -> str:
        """Return the path of a key."""
        return f"{self.path}.{key}" if self.path else key

    def label(self, key: str) -> str:
        """Return a key as the beginning of a sentence, with the name of what it belongs to."""
        if self.title:
            return self.title if key == "value" else f"{self.title}, {key},"
        words = key.replace("_", " ").capitalize()
        name = self._raw.get("name")
        return f"{words} of “{name}”" if self.path and isinstance(name, str) else words

    def collecting(self, key: str = "") -> Collecting:
        """Write down an `InputError` raised inside as a problem of `key`, and go on."""
        return Collecting(self.problems, self.at(key) if key else self.path)

    def refuse(self, key: str, message: str, remedy: str = "") -> None:
        """Write down a problem of `key`."""
        given = self._raw.get(key, "")
        self.problems.append(
            InputError(
                message,
                field=self.at(key) if key else self.path,
                given="" if isinstance(given, (dict, list)) else shown(given),
                remedy=remedy,
            )
        )

    def _read(self, key: str, convert: Callable[[object], T], blank: T, default: T | None) -> T:
        if key not in self:
            if default is not None:
                return default
            line = f"[{self.at(key)}]" if blank == {} else f"{key} = …"
            self.refuse(key, f"{self.label(key)} is missing.", f"Add a line “{line}”.")
            self._missing[key] = self.problems[-1]
        else:
            with self.collecting(key):
                return convert(self._raw[key])
        self._unread.add(key)
        return blank

    def was_read(self, key: str) -> bool:
        """Whether what a reading method returned for a key is what stands there."""
        return key not in self._unread

    def text(self, key: str, *, default: str | None = None, longest: int = 120) -> str:
        """Return a line of text; without `default` it must be there and not be blank."""

        def convert(value: object) -> str:
            text = self._expect(key, value, str).strip()
            if not text and default is None:
                raise InputError(f"{self.label(key)} is empty.", remedy="Write something there.")
            if len(text) > longest:
                raise InputError(
                    f"{self.label(key)} is {len(text)} letters long; at most {longest} fit.",
                    given=text,
                    remedy="Make it shorter.",
                )
            if any(unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t" for c in text):
                message = f"{self.label(key)} holds a control character."
                raise InputError(message, given=repr(text), remedy="Type it anew.")
            return text

        return self._read(key, convert, "", default)

    def written(self, key: str) -> str:
        """Return a line of text, or a bare number as typed: its reader asks for the unit."""
        value = self.raw(key)
        is_number = isinstance(value, (int, Decimal)) and not isinstance(value, bool)
        return shown(value) if is_number else self.text(key)

    def flag(self, key: str) -> bool:
        """Return yes or no; no when it is not there."""
        return self._read(key, lambda value: self._expect(key, value, bool), False, False)

    def count(self, key: str, low: int, high: int, *, default: int | None = None) -> int:
        """Return a whole number from `low` to `high`."""

        def convert(value: object) -> int:
            if isinstance(value, bool) or not isinstance(value, int):
                message = f"{self.label(key)} is {shown(value)}; it must be a whole number."
                quoted = isinstance(value, str) and value.strip().isdecimal()
                remedy = "Write it without quotes." if quoted else "Check the number."
                raise InputError(message, given=shown(value), remedy=remedy)
            return int(Span(low=low, high=high).number(self.label(key), value))

        return self._read(key, convert, low, default)

    def choice(self, key: str, kinds: type[Choice], *, default: Choice | None = None) -> Choice:
        """Return one of an enumeration's words."""

        def convert(value: object) -> Choice:
            word = self._expect(key, value, str).strip().casefold()
            if word in list(kinds):
                return kinds(word)
            near = get_close_matches(word, list(kinds), n=1)
            hint = f"Did you mean “{near[0]}”?" if near else "Choose one of these."
            listed = ", ".join(kinds)
            message = f"{self.label(key)} is “{value}”; it must be one of: {listed}."
            raise InputError(message, given=shown(value), remedy=hint)

        return self._read(key, convert, next(iter(kinds)), default)

    def amount(self, key: str, kind: Kind, span: Span, *, default: float | None = None) -> float:
        """Return an amount with its unit in SI, within `span`."""

        def convert(value: object) -> float:
            return read_amount(self.label(key), value, kind, span)

        return self._read(key, convert, UNREAD, default)

    def scaled(self, key: str, span: Span, factor: Decimal) -> float:
        """Return a plain number times `factor`, rounded once; `span` limits the number."""

        def convert(value: object) -> float:
            return scaled_number(self.label(key), value, span, factor)

        return self._read(key, convert, UNREAD, None)

    def estimate(
        self, key: str, kind: Kind, span: Span, *, default: Estimate | None = None
    ) -> Estimate:
        """Return an amount with its range and origin, short ``"30 mg"`` or as a table."""
        if not isinstance(self._raw.get(key), dict):

            def convert(value: object) -> Estimate:
                return read_estimate(self.label(key), value, kind, span)

            return self._read(key, convert, _UNREAD_ESTIMATE, default)
        table = self.table(key)
        table.title = self.label(key)
        value = table.amount("value", kind, span)
        low = table.amount("low", kind, span, default=value)
        high = table.amount("high", kind, span, default=value)
        if ("low" in table) != ("high" in table):
            message = f"{self.label(key)} has one end of its range only."
            self.refuse(key, message, "Give both low and high, or neither.")
        origin = table.choice("origin", Origin, default=Origin.ENTERED)
        source = table.text("source", default="", longest=400)
        narrows = table.text("narrows", default="", longest=400)
        count = table.count("count", 0, 1_000_000, default=0)
        if low <= value <= high:
            return Estimate(
                value=value, low=low, high=high, origin=origin, source=source,
                narrows=narrows, count=count,
            )  # fmt: skip
        if not math.isnan(value + low + high):
            message = f"{self.label(key)} lies outside its own range."
            self.refuse(key, message, "Give low, value and high in rising order.")
        return _UNREAD_ESTIMATE

    def holds_table(self, key: str) -> bool:
        """Whether a table stands under a key, where a short form may stand too."""
        return isinstance(self._raw.get(key), dict)

    def table(self, key: str) -> Table:
        """Return the table under a key; an empty one when it is not a table."""
        empty: dict[str, object] = {}
        raw = self._read(key, lambda value: self._expect(key, value, dict), empty, None)
        return self._child(raw, self.at(key))

    def tables(self, key: str) -> list[Table]:
        """Return the tables listed under a key, none when it is not there."""
        if self.holds_table(key):
            header = re.sub(r"\[\d+\]", "", self.at(key))
            message = f"{self.label(key)} is one table; it must be a list of tables."
            self.refuse(key, message, f"Write [[{header}]] above it, with two brackets.")
            return [self.table(key)]
        found = []
        for place, raw in enumerate(self.items(key)):
            path = f"{self.at(key)}[{place}]"
            if isinstance(raw, dict):
                found.append(self._child(raw, path))
            else:
                message = f"{self.label(key)} must be a list of tables."
                self.problems.append(InputError(message, field=path, given=shown(raw)))
        return found

    def _child(self, raw: Mapping[str, object], path: str) -> Table:
        child = Table(raw, path, self.problems)
        self._children.append(child)
        return child

    def items(self, key: str) -> list[object]:
        """Return the values listed under a key, none when it is not there."""
        empty: list[object] = []
        return self._read(key, lambda value: self._expect(key, value, list), empty, empty)

    def guesses(self) -> tuple[str, ...]:
        """Return the keys, by path from here, whose values nobody has read or measured yet."""

        def convert(value: object) -> str:
            path = self._expect("guesses", value, str)
            inner: object = self._raw
            for part in path.split("."):
                inner = inner.get(part) if isinstance(inner, dict) else None
            if inner is None:
                message = f"“{path}” is listed as a guess, and is not there."
                raise InputError(message, given=path, remedy="Take it off the list of guesses.")
            return path

        with self.collecting("guesses"):
            return tuple(convert(value) for value in self.items("guesses"))
        return ()

    def raw(self, key: str) -> object:
        """Return what stands under a key, unread; None when it is not there."""
        return self._raw.get(key) if key in self else None

    def day(self, key: str) -> dt.date | None:
        """Return a date; None when it is not there."""
        value = self.raw(key)
        if value is None or (isinstance(value, dt.date) and not isinstance(value, dt.datetime)):
            return value
        message = f"{self.label(key)} is {shown(value)}; it must be a day."
        self.refuse(key, message, "Write year, month and day without quotes: 2026-03-01.")
        return None

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing in it."""
        return not self._raw

    def names(self) -> list[str]:
        """Return the keys of a table whose keys are names of the maker's."""
        self._known.update(self._raw)
        return list(self._raw)

    def _expect(self, key: str, value: object, kind: type[T]) -> T:
        if isinstance(value, kind):
            return value
        message = f"{self.label(key)} is {shown(value)}; it must be {_WORDS[kind]}."
        raise InputError(message, given=shown(value), remedy=_REMEDIES.get(kind, ""))

    def finish(self, what: str) -> None:
        """Refuse keys that nobody asked for, then raise everything that was found.

        Raises
        ------
        Invalid
            If there is at least one problem.
        """
        self._refuse_unknown()
        if self.problems:
            raise Invalid(tuple(self.problems), what=what)

    def _refuse_unknown(self) -> None:
        for key in self._raw:
            if key not in self._known:
                near = get_close_matches(key, sorted(self._known - set(self._raw)), n=1)
                if near and near[0] in self._missing:
                    self._forgive(near[0])
                known = ", ".join(sorted(self._known))
                remedy = f"Did you mean “{near[0]}”?" if near else f"Known here: {known}."
                self.refuse(key, f"“{key}” is not known here.", remedy)
        for child in self._children:
            child._refuse_unknown()

    def _forgive(self, key: str) -> None:
        """Take back that a key is missing, and all below it: its slip is told, and told once."""
        missing, below = self._missing.pop(key), f"{self.at(key)}."
        self.problems[:] = [
            each
            for each in self.problems
            if each is not missing and not each.field.startswith(below)
        ]
