"""One event as a person types it: a kind, its cup, a figure with its unit, or key=value."""

from __future__ import annotations

import json
import re
import secrets
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from math import isfinite

from partline.errors import InputError
from partline.process.run import Kind
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.units import Kind as Quantity
from partline.quantities.units import parse
from partline.records.workshop import Workshop
from partline.services.runs import record, run_clock
from partline.services.runs.log import moment
from partline.services.runs.standing import followed
from partline.services.runs.wire import read_event
from partline.services.workshop import now

Json = dict[str, object]
#: What told this way calls itself.
DEVICE = "command line"
#: A clock may differ from this one by so much before a moment lies ahead. [s]
AHEAD = 60.0
_KEYED = re.compile(r"([A-Za-z_]\w*)=(.*)", re.DOTALL)
_FIGURE = re.compile(r"[-+−]?\d+(?:[.,]\d+)?")


def new_id() -> str:
    """Return an id that no other event has."""
    return secrets.token_hex(10).upper()


def tell(
    workshop: Workshop,
    code: str,
    kind: str,
    words: Sequence[str] = (),
    *,
    cup: str = "",
    at: str = "",
) -> Json:
    """Add one event to a run, as it was typed.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.
    kind : str
        What happened, such as ``shot``.
    words : sequence of str
        A figure with its unit where the kind has one (``174C``, ``162.1 g``, ``60 s``), a note's
        words, and ``key=value`` for the rest.
    cup : str
        A or B; blank for neither or both.
    at : str
        When, with its zone; blank for now.

    Returns
    -------
    dict
        As `partline.services.runs.record`.

    Raises
    ------
    NotFound
        If there is no such run.
    InputError
        If the event cannot be kept as it was typed, or a figure has no unit: then it is asked.
    """
    run = followed(workshop, code)
    letter = cup.strip().upper() or None
    clock = run_clock(run.run, now())
    raw: Json = {
        "id": new_id(),
        "kind": kind.strip().lower().replace("-", "_"),
        "cup": letter,
        "at": at.strip() or moment(clock),
        "data": {},
    }
    known = read_event({**raw, "kind": _known(raw["kind"])})
    if letter is not None and letter not in run.plan.letters:
        raise InputError(
            f"This run has no cup {letter}: its plan fills cup {' and '.join(run.plan.letters)}.",
            field="cup", given=cup,
        )  # fmt: skip
    if known.at > clock + timedelta(seconds=AHEAD):
        raise _ahead(at, clock)
    raw["data"] = read_words(Kind(str(raw["kind"])), words)
    read_event(raw)  # what is wrong with it is said here, in words
    return record(workshop, run.run.code, [raw], device=DEVICE)


def _known(kind: object) -> str:
    """Return a kind that needs no particulars in place of a known one; an unknown one as it is."""
    return Kind.NOTE.value if kind in set(Kind) else str(kind)


def _ahead(given: str, clock: datetime) -> InputError:
    return InputError(
        f"“{given[:40]}” lies ahead: it is {moment(clock)} now.",
        field="at", given=given[:80],
        remedy="Say when it happened, or leave --at out for now.",
    )  # fmt: skip


def read_words(kind: Kind, words: Sequence[str]) -> Json:
    """Return an event's particulars from the words behind its kind.

    Raises
    ------
    Ambiguous, InputError
        If a figure cannot be read, or has no unit.
    """
    data: Json = {}
    plain = []
    for word in words:
        keyed = _KEYED.fullmatch(word)
        if keyed is None:
            plain.append(word)
        else:
            data[keyed[1]] = read_value(keyed[2])
    text = " ".join(plain)
    if not text:
        return data
    read = _FIGURES.get(kind)
    if read is None:
        raise InputError(
            f"“{text[:60]}” says nothing about a {kind}.",
            field="words", given=text[:80],
            remedy="Write key=value, such as mould=2.",
        )  # fmt: skip
    return {**read(text), **data}


def read_value(text: str) -> object:
    """Return a value as JSON says it: a number, true, false, a list or an object; else the text.

    Examples
    --------
    >>> read_value("6.2"), read_value("true"), read_value("spill"), read_value("1e999")
    (6.2, True, 'spill', '1e999')
    """
    try:
        value = json.loads(text)
    except (ValueError, RecursionError):
        return text
    if isinstance(value, float) and not isfinite(value):
        return text
    return value if isinstance(value, bool | int | float | list | dict) else text


def _temperature(text: str) -> Json:
    read = parse(text, Quantity.TEMPERATURE, field="reading")
    figure = _FIGURE.search(text)
    return {
        "entered": text if figure is None else figure[0],
        "unit": "F" if read.unit == "°F" else "C",
        "celsius": round(read.value - ZERO_CELSIUS, 3),
    }


def _mass(text: str) -> Json:
    read = parse(text, Quantity.MASS, field="weigh", low=0.0)
    return {"entered": text, "grams": round(read.value * 1e3, 3)}


def _seconds(key: str) -> Callable[[str], Json]:
    def read(text: str) -> Json:
        known = parse(text, Quantity.TIME, field=key, low=0.0)
        return {"entered": text, key: round(known.value, 3)}

    return read


#: How the figure behind a kind is read, with its unit.
_FIGURES: dict[Kind, Callable[[str], Json]] = {
    Kind.READING: _temperature,
    Kind.WEIGH: _mass,
    Kind.BURST: _seconds("seconds"),
    Kind.SHOT: _seconds("push_s"),
    Kind.NOTE: lambda text: {"text": text},
}
