"""What the package refuses, in one tree.

Two families: what a person can put right (`InputError` and below), and what went wrong around
them (data, numerics, records). Every error carries fields, not only text, so that a form can
put the sentence beside the right box and a script can read it as JSON::

    Error
    ├── InputError (ValueError)      a value that cannot be used as given
    │   ├── OutOfRange               outside what is possible
    │   ├── Ambiguous                more than one reading: a question, never a choice
    │   ├── Imbalance                parts that do not add up
    │   ├── Locked                   a rule of the house that is not to be changed here
    │   └── Invalid                  several of these in one document
    ├── Impossible                   asked for something that cannot be had; names the nearest
    ├── DataError                    a table or a supply the answer needs is missing
    ├── ConvergenceError             a numerical method did not settle
    └── RecordError                  the maker's data cannot be read or kept
        ├── NotFound
        ├── EditedElsewhere          somebody saved a newer version first
        ├── NewerDatabase            written by a later Partline
        └── StorageFull              the disk took nothing; nothing was lost
"""

from __future__ import annotations

from dataclasses import dataclass


class Error(Exception):
    """Base of every refusal made on purpose; its text is a sentence for the maker."""

    def as_dict(self) -> dict[str, object]:
        """Return the fields for JSON: at least ``kind`` and ``message``."""
        return {"kind": type(self).__name__, "message": str(self)}


class InputError(Error, ValueError):
    """A value that cannot be used as given.

    Parameters
    ----------
    message : str
        What was given, what is allowed, and why, as a sentence.
    field : str
        Path of the field in its document or form, such as ``stations[2].width``.
    given : str
        The text as it was typed.
    remedy : str
        What to do about it, as a sentence.
    """

    def __init__(
        self, message: str, *, field: str = "", given: str = "", remedy: str = ""
    ) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.given = given
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.message} {self.remedy}".strip()

    def at(self, field: str) -> InputError:
        """Set the field's path, once the caller knows it, and return the same error."""
        self.field = field if not self.field else f"{field}.{self.field}"
        return self

    def as_dict(self) -> dict[str, object]:
        """Return the error's fields for JSON."""
        return {
            **super().as_dict(),
            "field": self.field,
            "given": self.given,
            "remedy": self.remedy,
        }


class OutOfRange(InputError):
    """A number outside what is possible; carries the limits and their unit."""

    def __init__(
        self,
        message: str,
        *,
        low: float | None = None,
        high: float | None = None,
        unit: str = "",
        field: str = "",
        given: str = "",
        remedy: str = "",
    ) -> None:
        super().__init__(message, field=field, given=given, remedy=remedy)
        self.low = low
        self.high = high
        self.unit = unit

    def as_dict(self) -> dict[str, object]:
        """Return the error's fields for JSON, limits included."""
        return {**super().as_dict(), "low": self.low, "high": self.high, "unit": self.unit}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One way to read an ambiguous entry: what to write instead, and what it would mean.

    Parameters
    ----------
    write : str
        What to write.
    means : str
        What that would mean, in words.
    field : str
        Path of the field to write it in, when it is another than the one asked about.
    """

    write: str
    means: str
    field: str = ""


class Ambiguous(InputError):
    """An entry with more than one reading: the answer is a question to the maker."""

    def __init__(
        self,
        message: str,
        *,
        readings: tuple[Reading, ...],
        field: str = "",
        given: str = "",
        remedy: str = "",
    ) -> None:
        if not remedy:
            remedy = " ".join(f"Write “{r.write}” for {r.means}." for r in readings)
        super().__init__(message, field=field, given=given, remedy=remedy)
        self.readings = readings

    def as_dict(self) -> dict[str, object]:
        """Return the error's fields for JSON, readings included."""
        readings = [
            {"write": r.write, "means": r.means} | ({"field": r.field} if r.field else {})
            for r in self.readings
        ]
        return {**super().as_dict(), "readings": readings}


class Imbalance(InputError):
    """Parts that do not add up to their whole."""


class Locked(InputError):
    """A rule of the house that somebody locked; it is changed at the computer alone."""


class Invalid(InputError):
    """A document with one or more faults, each with its own field."""

    def __init__(self, problems: tuple[InputError, ...], *, what: str = "This file") -> None:
        self.problems = problems
        count = "one thing" if len(problems) == 1 else f"{len(problems)} things"
        lines = "\n".join(f"  {p.field}: {p}" if p.field else f"  {p}" for p in problems)
        super().__init__(f"{what} has {count} to put right:\n{lines}")

    def as_dict(self) -> dict[str, object]:
        """Return every problem's fields for JSON."""
        return {**super().as_dict(), "problems": [p.as_dict() for p in self.problems]}


class Impossible(Error):
    """Something that cannot be had with what is at hand; says what is nearest."""

    def __init__(self, message: str, *, nearest: str = "") -> None:
        super().__init__(f"{message} {nearest}".strip())
        self.nearest = nearest


class DataError(Error):
    """A table, row or supply that the answer needs is missing or unfit."""


class ConvergenceError(Error):
    """A numerical method did not reach its tolerance."""


class RecordError(Error):
    """The maker's data cannot be read or kept."""


class NotFound(RecordError):
    """Nothing is kept under this name."""


class EditedElsewhere(RecordError):
    """Somebody saved a newer version first; nothing was overwritten.

    Parameters
    ----------
    message : str
        What happened, as a sentence.
    newest : int
        Number of the version that is newest now.
    """

    def __init__(self, message: str, *, newest: int = 0) -> None:
        super().__init__(message)
        self.newest = newest

    def as_dict(self) -> dict[str, object]:
        """Return the error's fields for JSON, the newest version's number included."""
        return {**super().as_dict(), "newest": self.newest}


class NewerDatabase(RecordError):
    """The workshop was written by a later Partline than this one."""


class StorageFull(RecordError):
    """The disk took nothing more; what was kept before is intact."""
