"""Events as a device sends them: read in full or refused with what is wrong."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from math import isfinite

from partline.errors import InputError, OutOfRange
from partline.process.run import Event, Kind
from partline.services.runs.photo_events import check_photo_measure
from partline.studies.diagnosis import LOOKS, Cause

Json = dict[str, object]
ID = re.compile(r"[0-9A-Za-z]{16,26}")
#: Largest particulars of one event, as JSON. [bytes]
LARGEST_DATA = 4_000
#: Numbers that an event of a kind cannot do without, with the least and the most of each.
NEEDED: dict[Kind, dict[str, tuple[float, float]]] = {
    Kind.READING: {"celsius": (-273.15, 2_000.0)},
    Kind.WEIGH: {"grams": (0.0, 20_000.0)},
    Kind.BURST: {"seconds": (1.0, 900.0)},
    Kind.JUDGE: {"good": (0, 100_000), "moulded": (0, 100_000)},
}
#: Numbers that an event may bring.
OPTIONAL: dict[Kind, dict[str, tuple[float, float]]] = {
    Kind.SHOT: {"mould": (1, 12), "push_s": (0.0, 600.0), "hold_s": (0.0, 600.0)},
    Kind.OPEN: {"mould": (1, 12)},
    Kind.HEAT: {"melt": (1, 1_000), "number": (1, 10_000)},
    Kind.ADD: {"grams": (0.0, 20_000.0), "drops": (0.5, 10_000.0)},
}
#: What an event of a kind says to be so, or not.
SAID: dict[Kind, str] = {Kind.PIN: "pinned", Kind.SET_ASIDE: "aside"}
#: Kinds that are about one cup and no other.
OF_ONE_CUP = (Kind.READING, Kind.WEIGH)


def read_event(raw: object) -> Event:
    """Return an event from what a device sent.

    Parameters
    ----------
    raw : object
        As JSON says it: id, kind, cup, at and data.

    Returns
    -------
    Event
        Not kept yet.

    Raises
    ------
    InputError
        If it cannot be kept as it is: no id, no known kind, no moment, or a number that is none.
    """
    if not isinstance(raw, Mapping):
        message = "An event is an object with id, kind, at, cup and data."
        raise InputError(message, given=repr(raw)[:80])
    data = raw.get("data") or {}
    event = Event(
        id=_id(raw.get("id")),
        kind=_kind(raw.get("kind")),
        cup=_cup(raw.get("cup")),
        at=_moment(raw.get("at")),
        data=_data(data),
    )
    _check(event, event.data)
    return event


def _id(given: object) -> str:
    if not isinstance(given, str) or not ID.fullmatch(given):
        message = "An event's id is 16 to 26 letters and digits, made by the device."
        raise InputError(message, field="id", given=str(given)[:80])
    return given


def _kind(given: object) -> Kind:
    try:
        return Kind(str(given))
    except ValueError:
        known = ", ".join(Kind)
        message = f"There is no kind of event called “{str(given)[:40]}”; known are {known}."
        raise InputError(message, field="kind", given=str(given)[:80]) from None


def _cup(given: object) -> str | None:
    if given in (None, "A", "B"):
        return given
    message = "A cup is A, B or null for both."
    raise InputError(message, field="cup", given=str(given)[:80])


def _moment(given: object) -> datetime:
    try:
        moment = datetime.fromisoformat(str(given))
        if moment.tzinfo is not None:
            return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    raise InputError(
        f"“{str(given)[:40]}” is no moment.",
        field="at",
        given=str(given)[:80],
        remedy="Write it as 2026-03-01T18:30:00.000Z.",
    )


def _data(given: object) -> Json:
    if not isinstance(given, Mapping):
        message = "An event's data is an object."
        raise InputError(message, field="data", given=repr(given)[:80])
    try:
        size = len(json.dumps(given, allow_nan=False).encode())
    except (ValueError, TypeError, RecursionError):
        message = "An event's data holds something that JSON cannot say."
        raise InputError(message, field="data") from None
    if size > LARGEST_DATA:
        message = f"An event's data is {size} bytes; at most {LARGEST_DATA} are taken."
        raise OutOfRange(message, high=LARGEST_DATA, unit="bytes", field="data")
    return dict(given)


def _check(event: Event, data: Mapping[str, object]) -> None:
    if event.kind in OF_ONE_CUP and event.cup is None:
        message = f"A {event.kind} is of cup A or of cup B."
        raise InputError(message, field="cup")
    if event.kind is Kind.CORRECTION:
        _check_correction(data)
    if event.kind is Kind.LOOK:
        _check_look(data)
    if event.kind is Kind.CAUSE:
        _check_cause(data)
    if event.kind is Kind.PHOTO_MEASURE:
        check_photo_measure(data)
    if (said := SAID.get(event.kind)) is not None and not isinstance(data.get(said), bool):
        message = f"{said} is {data.get(said)!r}; it is true or false."
        raise InputError(message, field=f"data.{said}", given=str(data.get(said))[:80])
    for key, (low, high) in NEEDED.get(event.kind, {}).items():
        _check_number(data, key, low, high)
    for key, (low, high) in OPTIONAL.get(event.kind, {}).items():
        if data.get(key) is not None:
            _check_number(data, key, low, high)


def _check_number(data: Mapping[str, object], key: str, low: float, high: float) -> None:
    value = data.get(key)
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number or not isfinite(value) or not low <= value <= high:  # type: ignore[arg-type, operator]
        raise OutOfRange(
            f"{key} is {value!r}; it is a number from {low:g} to {high:g}.",
            low=low, high=high, field=f"data.{key}", given=str(value)[:80],
        )  # fmt: skip


def _check_look(data: Mapping[str, object]) -> None:
    look, seen = data.get("look"), data.get("seen")
    if not isinstance(look, str) or look not in LOOKS:
        known = ", ".join(LOOKS)
        message = f"There is no look called “{str(look)[:40]}”; known are {known}."
        raise InputError(message, field="data.look", given=str(look)[:80])
    if not isinstance(seen, bool):
        message = "What was looked at is seen or not: true or false."
        raise InputError(message, field="data.seen", given=str(seen)[:80])


def _check_cause(data: Mapping[str, object]) -> None:
    known = [cause.value for cause in Cause]
    if "cause" in data and (data["cause"] is None or data["cause"] in known):
        return
    message = (
        f"There is no cause called “{str(data.get('cause'))[:40]}”; known are {', '.join(known)}, "
        "and null where none is told any more."
    )
    raise InputError(message, field="data.cause", given=str(data.get("cause"))[:80])


def _check_correction(data: Mapping[str, object]) -> None:
    target, changes = data.get("of"), data.get("data")
    if not isinstance(target, str) or not ID.fullmatch(target):
        message = "A correction points at an older event by its id."
        raise InputError(message, field="data.of", given=str(target)[:80])
    if data.get("void") is not True and not isinstance(changes, Mapping):
        message = "A correction brings new data, or takes the old event back."
        raise InputError(message, field="data.data")
