"""Edit a document where it stands: what is not touched keeps its words, order and comments."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping, MutableMapping
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Any

import tomlkit
from tomlkit.items import InlineTable

from partline.records.exchange.amount import plain
from partline.records.exchange.document import parse_toml

Table = MutableMapping[str, Any]


class Entry(StrEnum):
    """How what is typed into a field stands in a document."""

    WORDS = "words"
    AMOUNT = "amount"  # with its unit, in quotes
    NUMBER = "number"
    YES = "yes"  # true, or left out
    DATE = "date"
    POINTS = "points"  # of an outline, a line each: across and up


#: ``30 mg ± 1.4 mg, n = 50``: a value, how far it may be off, and the measurements behind it.
_DOUBT = re.compile(
    r"(?P<value>\d+(?:\.\d+)?)\s*(?P<unit>[^\d±,][^±,]*?)?\s*"
    r"(?:±|\+/-)\s*(?P<off>\d+(?:\.\d+)?)\s*(?P<after>[^\d±,][^±,]*?)?\s*"
    r"(?:,\s*n\s*=\s*(?P<count>\d{1,6}))?"
)
#: Between two sizes of a line: a comma and a blank, or a blank before the second number.
_COMMA, _BLANK = re.compile(r",\s+"), re.compile(r"\s+(?=[-−+]?\d)")
_AMOUNT = re.compile(r"(?P<number>-?\d+(?:\.\d+)?)\s*(?P<unit>.*)")


def open_document(text: str) -> tomlkit.TOMLDocument:
    """Return a document that can be edited.

    Raises
    ------
    InputError
        If it is not TOML.
    """
    parse_toml(text)  # which says what is wrong with it in a sentence
    return tomlkit.parse(text)


def close_document(document: tomlkit.TOMLDocument) -> str:
    """Return an edited document's text."""
    return tomlkit.dumps(document)


def typed(table: Mapping[str, Any], key: str) -> str:
    """Return what a form's field shows for a key such as ``vessel.capacity``; "" for nothing."""
    value = _at(table, key)
    match value:
        case None | False:
            return ""
        case True:
            return "yes"
        case dict() | list():
            return _typed_estimate(value) if isinstance(value, dict) else _typed_points(value)
        case dt.date() | int() | float() | str():
            return str(value)
        case _:
            return ""


def put(table: Table, key: str, entry: Entry, text: str) -> bool:
    """Write what was typed under a key such as ``vessel.capacity``; say whether that is new.

    What says the same as before is left alone, so that a range or an origin that a field
    cannot show survives. A blank takes the key away, and its table with it when that is empty.
    What cannot be written as `entry` is written as words, for the reader to refuse.
    """
    text = text.strip()
    if text == typed(table, key).strip():
        return False
    head, _, rest = key.partition(".")
    if rest:
        _put_inside(table, head, rest, entry, text)
    elif text:
        table[key] = _item(entry, text)
    elif key in table:
        del table[key]
    return True


def _put_inside(table: Table, head: str, rest: str, entry: Entry, text: str) -> None:
    inner = table.get(head)
    if not isinstance(inner, MutableMapping):
        if not text:
            return
        is_root = isinstance(table, tomlkit.TOMLDocument)
        table[head] = tomlkit.table() if is_root else tomlkit.inline_table()
        inner = table[head]
    put(inner, rest, entry, text)
    if not inner:
        del table[head]


def _at(table: Mapping[str, Any], key: str) -> Any:
    value: Any = table
    for part in key.split("."):
        if not isinstance(value, Mapping):
            return None
        value = value.get(part)
    return value.unwrap() if hasattr(value, "unwrap") else value


def _typed_estimate(value: Mapping[str, Any]) -> str:
    """Return a range as ``value ± off`` where that says all of it, else the value alone."""
    parts = [_AMOUNT.fullmatch(str(value.get(end, ""))) for end in ("low", "value", "high")]
    if all(parts) and value.get("origin", "entered") in ("measured", "entered"):
        low, middle, high = (Decimal(part["number"]) for part in parts if part)
        units = {part["unit"] for part in parts if part}
        if middle - low == high - middle and len(units) == 1:
            unit = units.pop()
            shown = f"{plain(middle)} ± {plain(middle - low)} {unit}".rstrip()
            return shown + (f", n = {value['count']}" if value.get("count") else "")
    return str(value.get("value", ""))


def _item(entry: Entry, text: str) -> Any:
    if entry in (Entry.NUMBER, Entry.AMOUNT):
        write = _number if entry is Entry.NUMBER else str
        return _doubtful(text, write) or write(text)
    return _WRITERS[entry](text)


def _yes(text: str) -> bool:
    return text.casefold() in ("yes", "true", "on")


def _words(text: str) -> Any:
    return tomlkit.string(text, multiline="\n" in text)


def _typed_points(value: list[Any]) -> str:
    """Return the points of an outline, a line each; "" for any other list."""
    if not all(isinstance(each, Mapping) for each in value):
        return ""
    return "\n".join(f"{each.get('across', '')}, {each.get('up', '')}" for each in value)


def _points(text: str) -> Any:
    """Return lines of ``3.1 mm, 3.4 mm`` or ``3.1, 3.4 mm`` as the points of an outline."""
    points = tomlkit.array()
    points.multiline(True)
    for line in filter(None, map(str.strip, re.split(r"[;\n]", text))):
        parted = _COMMA if _COMMA.search(line) else _BLANK
        across, up = (*parted.split(line, maxsplit=1), "")[:2]
        unit = _AMOUNT.fullmatch(up)
        if unit and re.fullmatch(r"[\d.]+", across):  # one unit for both
            across = f"{across} {unit['unit']}".rstrip()
        point = tomlkit.inline_table()
        point["across"] = across
        if up:
            point["up"] = up
        points.append(point)
    return points


def _date(text: str) -> Any:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return text


_WRITERS: Mapping[Entry, Callable[[str], Any]] = {
    Entry.YES: _yes,
    Entry.DATE: _date,
    Entry.POINTS: _points,
    Entry.WORDS: _words,
}


def _number(text: str) -> Any:
    try:
        number = Decimal(text)
    except InvalidOperation:
        return text
    return tomlkit.value(plain(number)) if number.is_finite() and len(text) < 20 else text


def _doubtful(text: str, write: Any) -> InlineTable | None:
    """Return ``value ± off`` as a table with its range; None when it is not written so."""
    found = _DOUBT.fullmatch(text)
    if found is None:
        return None
    unit = (found["after"] or found["unit"] or "").strip()
    if found["unit"] and found["unit"].strip() != unit:
        return None
    value, off = Decimal(found["value"]), Decimal(found["off"])
    table = tomlkit.inline_table()
    for key, end in (("value", value), ("low", value - off), ("high", value + off)):
        table[key] = write(f"{plain(end)} {unit}".rstrip())
    if found["count"]:
        table["origin"] = "measured"
        table["count"] = int(found["count"])
    return table
