"""Readings and times as a bench writes them, each read once."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from partline.errors import InputError, OutOfRange
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.units import Kind, parse
from partline.studies.countdown import Reading

#: Where a melt off the heat is read. [K]
MELT = (60 + ZERO_CELSIUS, 230 + ZERO_CELSIUS)
#: Latest time of a reading: a pour is over long before. [s]
LONGEST = 6 * 3600.0
CUPS: Final = ("A", "B")
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
_MIXED = re.compile(r"(\d{1,3}) ?m(?:in(?:utes?)?)? ?(\d{1,2}) ?s(?:ec(?:onds?)?)?", re.IGNORECASE)
_READING = re.compile(r"(?:([AaBb]):)?([^=]+)=([^=]+?)( +unstirred)?")
_EXAMPLE = "Write it as 40s=168.6C, or B:1:20=165C unstirred."


def read_time(text: str, field: str) -> float:
    """Return a time as a bench writes it, such as 40s, 1:20 or 1m20s. [s]

    Raises
    ------
    Ambiguous, InputError, OutOfRange
        If it is no time, or has no unit.
    """
    line = " ".join(text.split())
    if line == "0":
        return 0.0  # nothing is nothing in any unit
    for form in (_CLOCK, _MIXED):
        if found := form.fullmatch(line):
            seconds = 60.0 * int(found[1]) + int(found[2])
            break
    else:
        seconds = parse(line, Kind.TIME, field=field, low=0.0).value
    if seconds > LONGEST:
        raise OutOfRange(
            f"“{line}” is out of range: a countdown runs for up to 6 hours.",
            low=0.0, high=LONGEST, unit="s", field=field, given=text,
            remedy="Count from the first reading.",
        )  # fmt: skip
    return seconds


def read_readings(texts: Iterable[str]) -> tuple[dict[str, list[Reading]], bool]:
    """Return the readings of each cup, and whether they are in °F.

    Raises
    ------
    Ambiguous, InputError, OutOfRange
        If one cannot be used.
    """
    found: dict[str, list[Reading]] = {}
    units = []
    for text in texts:
        parts = _READING.fullmatch(" ".join(text.split()))
        if parts is None:
            message = f"“{text}” cannot be read as a reading: a time, =, and a temperature."
            raise InputError(message, field="reading", given=text, remedy=_EXAMPLE)
        cup, when, warm, unstirred = parts.groups()
        melt = parse(warm, Kind.TEMPERATURE, field="reading", plausible=MELT)
        units.append(melt.unit)
        reading = Reading(
            at=read_time(when, "reading"),
            temperature=melt.value,
            since_stir=None if unstirred else 0.0,
        )
        found.setdefault((cup or "A").upper(), []).append(reading)
    if not found:
        raise InputError(
            "A countdown needs a reading.", field="reading", remedy=f"{_EXAMPLE} Two are better."
        )
    return {
        cup: sorted(found[cup], key=lambda each: each.at) for cup in CUPS if cup in found
    }, units[0] == "°F"


def clock(seconds: float) -> str:
    """Return a time as a countdown shows it, such as 1:23."""
    whole = round(abs(seconds))
    return f"{'−' if seconds < -0.5 else ''}{whole // 60}:{whole % 60:02d}"
