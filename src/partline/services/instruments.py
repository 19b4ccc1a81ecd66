"""Checks of a bench's instruments: thermometer, scale and oven, before, evidence and after."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import tomlkit

from partline.errors import InputError, Invalid
from partline.process.bench import Bench
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind
from partline.records.exchange import read_bench
from partline.records.exchange.amount import Span, read_amount, write_estimate
from partline.records.exchange.bench import ROOM
from partline.records.exchange.edit import close_document, open_document
from partline.records.exchange.table import Table
from partline.services.bottles import rounded, toml_item
from partline.services.forms import in_form_words
from partline.services.telling import figure
from partline.studies.instruments import (
    Verdict,
    boiling,
    check_scale,
    ice,
    oven_watts,
    thermometer_offset,
)

Json = dict[str, Any]
Fields = Mapping[str, str]

READ = Span(low=-20, high=230, unit="°C", why="Readings of ice, water or melt.")
HEIGHT = Span(low=-400, high=5000, unit="m", why="Where people live.")
OFF = Span(low=0.05, high=10, unit="K")
WEIGHT = Span(low=0.5, high=20_000, unit="g")
STEP = Span(low=0.0001, high=10, unit="g", why="Scales show steps of 0.001 to 1 g.")
WATER = Span(low=200, high=3000, unit="g", why="A litre is the measure.")
VESSEL = Span(low=0, high=3000, unit="g")
WATER_READ = Span(low=0, high=60, unit="°C")
HEATED = Span(low=10, high=600, unit="s")
PRESSURE = Span(low=500, high=1100, why="Of the air, in hPa, not reduced to the sea.")
#: How far the other thermometer may be off where nobody says; how exactly a second is stopped, a
#: reading read. Common practice, no source. [K], [s], [K]
OTHER, STOPPED, READ_OFF = 1.0, 0.5, 0.3
MOST_READINGS = 60

CARES = {
    "thermometer": "Boiling water and its steam scald: keep hands and face aside, and let the pot "
    "stand on its own. Never bring water near hot plastic.",
    "scale": "",
    "oven": "Water can boil over suddenly when it is moved: stop at 20 °C, far below boiling. Use "
    "the oven that is kept for plastic, with nothing but water in it.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """One instrument checked.

    Parameters
    ----------
    key : str
        Path of what is kept in the bench's document.
    value : Estimate
        As it is kept. [SI]
    told : dict
        Before, evidence and after, for page and command line.
    """

    key: str
    value: Estimate
    told: Json


def check_instrument(bench_text: str, kind: str, fields: Fields) -> Checked:
    """Check an instrument of a bench by readings; nothing is kept.

    Parameters
    ----------
    bench_text : str
        The bench's document.
    kind : str
        ``thermometer``, ``scale`` or ``oven``.
    fields : mapping of str to str
        As typed; see ``docs/reference/files.md``.

    Raises
    ------
    Invalid
        With every field that cannot be read.
    InputError
        If the readings do not tell, or there is no such instrument.
    """
    if kind not in _CHECKS:
        raise InputError(
            f"“{kind[:40]}” is nothing on a bench that can be checked here.",
            field="kind", given=kind[:40], remedy=f"Say {', '.join(_CHECKS)}.",
        )  # fmt: skip
    given = {key: text.strip() for key, text in fields.items() if text and text.strip()}
    return _CHECKS[kind](read_bench(bench_text), given)


def keep_checked(bench_text: str, checked: Checked) -> str:
    """Return a bench's document with what a check found.

    Raises
    ------
    Invalid
        If the bench has no such part yet.
    """
    document = open_document(bench_text)
    table, _, key = checked.key.partition(".")
    if table not in document:
        if table != "scale":
            message = f"The bench has no [{table}] yet."
            problem = InputError(message, field=table, remedy="Fill it in on the bench's page.")
            raise Invalid((problem,), what="This bench")
        document[table] = tomlkit.table()
    unit, kind = _UNITS[checked.key]
    # A string and its step: what is kept is rounded to what a maker reads.
    value = rounded(checked.value, _STEPS[checked.key])
    document[table][key] = toml_item(write_estimate(value, unit, kind))
    text = close_document(document)
    read_bench(text)
    return text


_UNITS = {
    "thermometer.offset": ("K", Kind.TEMPERATURE_STEP),
    "scale.factor": ("", Kind.NUMBER),
    "oven.power": ("W", Kind.POWER),
}
_STEPS = {"thermometer.offset": 0.1, "scale.factor": 1e-4, "oven.power": 1.0}


class _Form:
    """What was typed, read field by field; faults are collected."""

    def __init__(self, given: Fields) -> None:
        self.given = given
        self.table = Table(dict(given))

    def amount(self, key: str, kind: Kind, span: Span, default: float | None = None) -> float:
        return self.table.amount(key, kind, span, default=default)

    def several(self, key: str, kind: Kind, span: Span) -> list[float]:
        """Return readings parted by semicolons, lines, or commas with a blank behind."""
        text = self.table.text(key, longest=1000)
        parts = [part.strip() for part in re.split(r"[;\n]|,\s", text) if part.strip()]
        found = []
        unit = _unit(parts[-1]) if parts else ""
        for part in parts[:MOST_READINGS]:
            with self.table.collecting(key):
                whole = part if _unit(part) else f"{part} {unit}"
                found.append(read_amount(self.table.label(key), whole, kind, span))
            if not (unit or found):
                break  # all of them lack it: asked once
        return found

    def estimate(self, key: str, kind: Kind, span: Span, off: float) -> Estimate:
        """Return an amount with how far it may be off where its digits say less. [SI]"""
        read = self.table.estimate(key, kind, span)
        low, high = min(read.low, read.value - off), max(read.high, read.value + off)
        return replace(read, low=low, high=high, origin=Origin.MEASURED)

    def within(self, key: str, kind: Kind, span: Span, off: float) -> Estimate:
        """Return an amount within ± `off`. [SI]"""
        read = self.amount(key, kind, span)
        if math.isnan(read):  # a fault that is told with the others
            return Estimate.exact(1.0)
        return Estimate(value=read, low=read - off, high=read + off, origin=Origin.MEASURED)

    def finish(self) -> None:
        try:
            self.table.finish("This check")
        except Invalid as refusal:
            raise in_form_words(refusal) from None


def _unit(text: str) -> str:
    return text.lstrip("-−+0123456789. ")


def _thermometer(bench: Bench, given: Fields) -> Checked:
    form = _Form(given)
    readings = form.several("readings", Kind.TEMPERATURE, READ)
    against = form.table.text("against", default="boiling", longest=1000)
    references, words = _references(form, against)
    form.finish()
    found = thermometer_offset(readings, references, words)
    mean = sum(readings) / len(readings)
    known = bench.thermometer
    now = f"using {found.value:+.0f}".replace("-", "−")
    low_or_high = "low" if found.value > 0 else "high"
    surely = found.low * found.high > 0
    sentence = (
        f"It reads {abs(found.value):.0f} K {low_or_high} against {words} (n={len(readings)}); "
        f"{now}."
        if surely
        else f"Against {words} (n={len(readings)}) no error can be told from nothing: "
        f"{found.low:+.1f} to {found.high:+.1f} K.".replace("-", "−")
    )
    return Checked(
        key="thermometer.offset", value=found,
        told={
            "kind": "thermometer",
            "unit": "K",
            "before": None if known is None or known.offset is None else figure(known.offset, 1),
            "before_words": _before_offset(bench),
            "evidence": {
                "readings_celsius": [round(each - 273.15, 2) for each in readings],
                "mean_celsius": round(mean - 273.15, 2),
                "against": words,
                "true_celsius": [figure(each.map(lambda k: k - 273.15), 2) for each in references],
            },
            "after": figure(found, 1),
            "sentence": sentence,
            "care": CARES["thermometer"],
        },
    )  # fmt: skip


def _before_offset(bench: Bench) -> str:
    if bench.thermometer is None:
        return "nothing is known of the thermometer"
    if bench.thermometer.offset is None:
        return f"every reading within ±{bench.thermometer.absolute:g} K, unchecked"
    return f"{bench.thermometer.offset.value:+.1f} K, {bench.thermometer.offset.source}"


def _references(form: _Form, against: str) -> tuple[list[Estimate], str]:
    word = against.strip().casefold()
    # Ticked off whether used or not, so that no leftover of another choice is refused.
    _ = ("height" in form.table, "pressure" in form.table, "doubt" in form.table)
    if word == "ice":
        return [ice()], "melting ice"
    if word == "boiling":
        height = form.amount("height", Kind.LENGTH, HEIGHT) if "height" in form.table else None
        pressure = None
        if "pressure" in form.table:
            hpa = form.amount("pressure", Kind.NUMBER, PRESSURE)
            pressure = Estimate(value=hpa * 100, low=hpa * 100 - 200, high=hpa * 100 + 200,
                                origin=Origin.ENTERED)  # fmt: skip
        form.finish()
        true = boiling(height, pressure)
        return [true], true.source
    off = form.amount("doubt", Kind.TEMPERATURE_STEP, OFF, OTHER)
    values = form.several("against", Kind.TEMPERATURE, READ)
    return [
        Estimate(value=each, low=each - off, high=each + off, origin=Origin.MEASURED)
        for each in values
    ], "the other thermometer"


def _scale(bench: Bench, given: Fields) -> Checked:
    form = _Form(given)
    readings = form.several("readings", Kind.MASS, WEIGHT)
    known = form.table.estimate("known", Kind.MASS, WEIGHT)
    off = form.amount("doubt", Kind.MASS, Span(low=0, high=1000, unit="g"), 0.0)
    step = form.amount("step", Kind.MASS, STEP, 1e-4)
    form.finish()
    known = replace(known, low=min(known.low, known.value - off),
                    high=max(known.high, known.value + off))  # fmt: skip
    found = check_scale(readings, known, step)
    per_cent = [(each - 1) * 100 for each in (found.factor.low, found.factor.high)]
    sentence = {
        Verdict.GOOD: f"Good: an error of more than {found.tells * 100:.1f} % would have shown.",
        Verdict.OFF: f"Off: multiply what it shows by {found.factor.value:.4f} "
        f"({per_cent[0]:+.1f} to {per_cent[1]:+.1f} %).",
        Verdict.WEAK: f"This weight is known too loosely: it would show an error above "
        f"{found.tells * 100:.0f} % only. A measured 100 mL of water is good to 3 % or so.",
    }[found.verdict].replace("-", "−")
    return Checked(
        key="scale.factor", value=found.factor,
        told={
            "kind": "scale",
            "unit": "×",
            "before": None if bench.scale is None else figure(bench.scale.factor, 4),
            "before_words": "unchecked" if bench.scale is None else bench.scale.factor.source,
            "evidence": {
                "readings_g": [round(each * 1e3, 4) for each in readings],
                "known_g": figure(known.map(lambda kg: kg * 1e3), 4),
            },
            "after": figure(found.factor, 4),
            "verdict": found.verdict.value,
            "sentence": sentence,
            "care": CARES["scale"],
        },
    )  # fmt: skip


def _oven(bench: Bench, given: Fields) -> Checked:
    form = _Form(given)
    water = form.estimate("water", Kind.MASS, WATER, 1e-3)
    vessel = form.estimate("vessel", Kind.MASS, VESSEL, 5e-3)
    before, after = (form.within(key, Kind.TEMPERATURE, WATER_READ, READ_OFF)
                     for key in ("before", "after"))  # fmt: skip
    seconds = form.estimate("time", Kind.TIME, HEATED, STOPPED)
    room = form.amount("room", Kind.TEMPERATURE, ROOM, bench.room)
    form.finish()
    found = oven_watts(water, vessel, before, after, seconds, room)
    known = bench.oven
    return Checked(
        key="oven.power", value=found,
        told={
            "kind": "oven",
            "unit": "W",
            "before": None if known is None else figure(known.power, 0),
            "before_words": "no oven" if known is None else known.power.source or "as entered",
            "evidence": {
                "water_g": round(water.value * 1e3, 1),
                "rise_k": round(after.value - before.value, 2),
                "seconds": round(seconds.value, 1),
            },
            "after": figure(found, 0),
            "sentence": f"{found.value:.0f} W into a water load ({found.low:.0f} to "
            f"{found.high:.0f}); what of it reaches the melt is learned from runs.",
            "care": CARES["oven"],
        },
    )  # fmt: skip


_CHECKS: dict[str, Callable[[Bench, Fields], Checked]] = {
    "thermometer": _thermometer,
    "scale": _scale,
    "oven": _oven,
}
