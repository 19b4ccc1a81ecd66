"""A run for reading elsewhere: every event as it was told and as it stands, typed and in SI."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from io import StringIO
from typing import Any

from partline.process.run import Event, Kind, Told, as_it_stands
from partline.quantities.constants import ZERO_CELSIUS
from partline.records.workshop import Workshop
from partline.services.runs import run_clock
from partline.services.runs.log import moment, sentence
from partline.services.runs.standing import Followed, Standing, followed, standing
from partline.services.workshop import now, program_version

Json = dict[str, Any]
#: Name and number of the format; the number counts up when a key changes its meaning.
FORMAT, FORMAT_NUMBER = "partline run", 1
#: Particulars that are quantities: name in SI, factor, and what is added.
SI: dict[str, tuple[str, float, float]] = {
    "celsius": ("temperature_k", 1.0, ZERO_CELSIUS),
    "grams": ("mass_kg", 1e-3, 0.0),
    "tare_g": ("tare_kg", 1e-3, 0.0),
    "seconds": ("oven_s", 1.0, 0.0),
    "push_s": ("push_s", 1.0, 0.0),
    "hold_s": ("hold_s", 1.0, 0.0),
}
#: Columns of the table, each with its unit.
COLUMNS = (
    "run", "plan", "program", "place", "id", "kind", "cup", "at_utc", "received_at_utc", "device",
    "stands", "corrects", "corrected_by", "says", "entered", "temperature_k", "mass_kg", "tare_kg",
    "oven_s", "push_s", "hold_s", "data", "data_now",
)  # fmt: skip


def export_run(workshop: Workshop, code: str) -> Json:
    """Return a whole run; keys in ``docs/reference/runs.md``.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    run = followed(workshop, code)
    events = workshop.runs.events(run.run.code)
    stands = standing(run, events, run_clock(run.run, now()))
    told = {each.event.id: each for each in as_it_stands(events)}
    doubted = {question.about for question in stands.asked}
    return {
        "format": FORMAT,
        "format_number": FORMAT_NUMBER,
        "program": program_version(),
        "exported_at": moment(now()),
        "run": _run(run),
        "stands": _stands(stands),
        "events": [
            _event(each, told, events, run, is_doubted=each.id in doubted) for each in events
        ],
    }


def as_csv(export: Mapping[str, Any]) -> str:
    """Return an export as a table: one row an event, in the order they came."""
    run, events = export["run"], export["events"]
    text = StringIO()
    table = csv.DictWriter(text, COLUMNS, lineterminator="\r\n", restval="")
    table.writeheader()
    for each in events:
        row = {key: value for key, value in each.items() if key not in ("data", "data_now", "si")}
        row |= {"run": run["code"], "plan": run["plan"], "program": export["program"]}
        row["data"] = json.dumps(each["data"], ensure_ascii=False, sort_keys=True)
        row["data_now"] = json.dumps(each["data_now"], ensure_ascii=False, sort_keys=True)
        table.writerow({key: _cell(value) for key, value in (row | each["si"]).items()})
    return text.getvalue()


def _cell(value: object) -> object:
    """Return a cell that a spreadsheet takes for what it is, never for a formula."""
    if value is None:
        return ""
    if isinstance(value, list):
        return " ".join(map(str, value))
    is_formula = isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r")
    return f"'{value}" if is_formula else value


def _run(run: Followed) -> Json:
    return {
        "code": run.run.code,
        "plan": run.kept.code,
        "recipe": {"name": run.recipe.name, "version": run.recipe.version},
        "mould": run.mould.name,
        "bench": run.bench.name,
        "moulds": run.run.moulds,
        "device": run.run.device,
        "begun_at": moment(run.run.created_at),
        "begun_with": run.run.program,
        "is_practice": run.run.practice is not None,
    }


def _stands(known: Standing) -> Json:
    state = known.state
    return {
        "state": state.phase.value,
        "is_stopped": state.is_stopped,
        "shots": len(state.shots),
        "good": state.good,
        "moulded": state.moulded,
        "is_pinned": state.is_pinned,
        "is_aside": state.is_aside,
    }


def _event(
    event: Event,
    told: Mapping[str, Told],
    events: tuple[Event, ...],
    run: Followed,
    *,
    is_doubted: bool,
) -> Json:
    known = told.get(event.id)
    now_said = event if known is None else known.event
    return {
        "place": event.place,
        "id": event.id,
        "kind": event.kind.value,
        "cup": now_said.cup,
        "at_utc": moment(event.at),
        "received_at_utc": None if event.received_at is None else moment(event.received_at),
        "device": event.device,
        "stands": _word(event, known, told, is_doubted=is_doubted),
        "corrects": event.text("of") or None,
        "corrected_by": [
            each.id
            for each in events
            if each.kind is Kind.CORRECTION and each.text("of") == event.id
        ],
        "says": sentence(now_said, run.plan),
        "entered": _entered(event),
        "data": dict(event.data),
        "data_now": dict(now_said.data),
        "si": si_values(now_said.data),
    }


def _word(event: Event, known: Told | None, told: Mapping[str, Told], *, is_doubted: bool) -> str:
    """Return how an event stands in one word or three."""
    if known is None:
        in_force = any(each.corrected_by == event.id for each in told.values())
        return "in force" if in_force else "not in force"
    if known.is_void:
        return "struck out"
    if is_doubted:
        return "asked about, not used"
    return "corrected" if known.corrected_by else "yes"


def _entered(event: Event) -> str | None:
    """Return a figure as it was typed first, with the letter of its unit."""
    text = event.text("entered")
    if not text:
        return None
    unit = event.text("unit")
    return f"{text} °{unit}" if unit in ("C", "F") else text


def si_values(data: Mapping[str, object]) -> dict[str, float]:
    """Return the quantities among an event's particulars in SI, by name with unit.

    Examples
    --------
    >>> si_values({"celsius": 174.0, "grams": 162.1, "unit": "C"})
    {'temperature_k': 447.15, 'mass_kg': 0.1621}
    """
    found = {}
    for key, (name, factor, shift) in SI.items():
        value = data.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool):
            found[name] = round(value * factor + shift, 9)
    return found
