"""Checks of a plastisol: how fast it yellows, by chips; how thick it runs hot, by a timed flow."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import nan
from typing import Any

from partline.errors import InputError, Invalid, NotFound
from partline.materials.supply import Grade
from partline.physics.yellowing import exposure_dose
from partline.process.melt_viscosity import melt_scale
from partline.process.yellow import YELLOWING
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind
from partline.records.exchange import read_shelf
from partline.records.exchange.amount import Span, write_estimate
from partline.records.exchange.chips import HUE, THICKNESS
from partline.records.exchange.edit import close_document, open_document
from partline.records.exchange.table import Table
from partline.services.bottles import plain_number, rounded, toml_item
from partline.services.forms import in_form_words
from partline.services.telling import figure
from partline.studies.grade_trials import hot_viscosity, melt_scale_from_flow, yellowing_from_chips

Json = dict[str, Any]
Fields = Mapping[str, str]

HOT = Span(low=120, high=210, unit="°C", why="Labels allow 150 to 185 °C.")
HELD = Span(low=10, high=36_000, unit="s")
FLOW = Span(low=1, high=3600, unit="s")
RAN = Span(low=2, high=1000, unit="mL")
BORE = Span(low=0.5, high=30, unit="mm")
LONG = Span(low=2, high=500, unit="mm")
HEAD = Span(low=5, high=1000, unit="mm")
#: 80 % half ranges where nobody says: b* of two chips of one photo, beside each other; a
#: calliper; a temperature; a stop watch; a measure; a bore; a length. Common practice, no
#: source. [-], [m], [K], [s], [-], [m], [m]
YELLOWER, CALLIPER, DEGREES, STOPPED = 1.0, 0.1e-3, 4.0, 0.5
MEASURED, DRILLED, RULED = 0.04, 0.05e-3, 1e-3

CARE = (
    "Hot plastic burns deeply and its fumes irritate: gloves, glasses, moving air, and never past "
    "the label's maximum, as the supplier's sheet and local rules ask."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeChecked:
    """One property of a grade, as a check found it.

    Parameters
    ----------
    key : str
        Under which the grade's table keeps it.
    value : Estimate
        As it is kept. [SI]
    told : dict
        Before, evidence and after, for page and command line.
    """

    key: str
    value: Estimate
    told: Json


def check_grade(shelf_text: str, name: str, kind: str, fields: Fields) -> GradeChecked:
    """Check a grade of a shelf by chips or by a timed flow; nothing is kept.

    Parameters
    ----------
    shelf_text, name : str
        The shelf, and the grade on it.
    kind : str
        ``yellowing`` or ``viscosity``.
    fields : mapping of str to str
        As typed; see ``docs/reference/files.md``.

    Raises
    ------
    Invalid
        With every field that cannot be read.
    NotFound
        If there is no such grade.
    InputError
        If what was read does not tell, or there is no such check.
    """
    if kind not in _CHECKS:
        raise InputError(
            f"“{kind[:40]}” is nothing of a grade that can be checked here.",
            field="kind", given=kind[:40], remedy=f"Say {' or '.join(_CHECKS)}.",
        )  # fmt: skip
    given = {key: text.strip() for key, text in fields.items() if text and text.strip()}
    return _CHECKS[kind](_grade_named(shelf_text, name), Table(_plain(given)))


def _plain(given: Fields) -> dict[str, object]:

    return {
        key: plain_number(text) if key in ("fresh", "heated") else text
        for key, text in given.items()
    }


def _grade_named(shelf_text: str, name: str) -> Grade:
    for grade in read_shelf(shelf_text).grades:
        if grade.name.casefold() == name.strip().casefold():
            return grade
    there = ", ".join(each.name for each in read_shelf(shelf_text).grades) or "none"
    raise NotFound(f"No grade on the shelf is called “{name}”. There: {there}.")


def keep_grade(shelf_text: str, name: str, checked: GradeChecked) -> str:
    """Return a shelf's document with what a check of a grade found.

    Raises
    ------
    NotFound
        If there is no such grade.
    """
    grade = _grade_named(shelf_text, name)
    document = open_document(shelf_text)
    place = [each.name for each in read_shelf(shelf_text).grades].index(grade.name)
    value = rounded(checked.value, _STEPS[checked.key])
    document["grade"][place][checked.key] = toml_item(write_estimate(value, "", Kind.NUMBER))
    text = close_document(document)
    read_shelf(text)
    return text


_STEPS = {"yellowing": 1e-5, "melt_scale": 10.0}


def _within(value: float, off: float) -> Estimate:
    return Estimate(
        value=value, low=max(value - off, value * 0.05) if value > 0 else value - off,
        high=value + off, origin=Origin.MEASURED,
    )  # fmt: skip


def _finish(table: Table) -> None:
    try:
        table.finish("This check")
    except Invalid as refusal:
        raise in_form_words(refusal) from None


def _yellowing(grade: Grade, table: Table) -> GradeChecked:
    fresh = table.amount("fresh", Kind.NUMBER, HUE)
    heated = table.amount("heated", Kind.NUMBER, HUE)
    thickness = table.amount("thickness", Kind.LENGTH, THICKNESS)
    temperature = _hot(grade, table)
    held = table.amount("time", Kind.TIME, HELD)
    _finish(table)
    dose = _dose(temperature, held)
    found = yellowing_from_chips(
        grade, _within(heated - fresh, YELLOWER), _within(thickness, CALLIPER), dose
    )
    before = grade.yellowing or YELLOWING
    return GradeChecked(
        key="yellowing", value=found,
        told={
            "kind": "yellowing", "grade": grade.name, "unit": "/mm in ten minutes at 177 °C",
            "before": figure(before.map(_in_ten_minutes), 4),
            "evidence": {
                "fresh_b": fresh, "heated_b": heated,
                "thickness_mm": round(thickness * 1e3, 3),
                "minutes_at_177": figure(dose.map(lambda s: s / 60), 1),
            },
            "after": figure(found.map(_in_ten_minutes), 4),
            "sentence": f"Ten minutes at 177 °C add {_in_ten_minutes(found.value):.4f} /mm at "
            f"440 nm ({_in_ten_minutes(found.low):.4f} to {_in_ten_minutes(found.high):.4f}).",
            "care": CARE,
        },
    )  # fmt: skip


def _in_ten_minutes(scale: float) -> float:
    """Return what ten minutes at 177 °C add at 440 nm [1/mm], from what a second adds [1/m]."""
    return scale * 600.0 / 1e3


def _hot(grade: Grade, table: Table) -> float:
    """Return the temperature of the check; past the label's maximum there is none. [K]"""
    temperature = table.amount("temperature", Kind.TEMPERATURE, HOT)
    if temperature > grade.ceiling:  # what could not be read is nan, and compares false
        top = grade.ceiling - ZERO_CELSIUS
        table.refuse(
            "temperature",
            f"{temperature - ZERO_CELSIUS:.0f} °C is above the {top:.0f} °C that the label of "
            f"{grade.name} allows: plastic breaks down there, gives off harmful fumes, and says "
            "nothing of a heat within it.",
            "Check the reading. Was it that hot, leave it to cool closed and in moving air, heat "
            "none of it again, and take a fresh chip.",
        )
    return temperature


def _dose(temperature: float, held: float) -> Estimate:
    def dose(kelvin: float) -> float:
        return float(exposure_dose([kelvin, kelvin], [0.0, held]))

    return Estimate(
        value=dose(temperature), low=dose(temperature - DEGREES), high=dose(temperature + DEGREES),
        origin=Origin.COMPUTED,
    )  # fmt: skip


def _viscosity(grade: Grade, table: Table) -> GradeChecked:
    seconds = table.amount("time", Kind.TIME, FLOW)
    volume = table.amount("volume", Kind.VOLUME, RAN)
    bore = table.amount("bore", Kind.LENGTH, BORE)
    long = table.amount("length", Kind.LENGTH, LONG)
    before = table.amount("head_before", Kind.LENGTH, HEAD)
    after = table.amount("head_after", Kind.LENGTH, HEAD)
    temperature = _hot(grade, table)
    if before <= after:  # what could not be read is nan, and compares false
        table.refuse("head_after", "The surface did not fall.", "Swap the two heights.")
    _finish(table)
    thick, found = melt_scale_from_flow(
        grade, seconds=_within(seconds, STOPPED), volume=_within(volume, MEASURED * volume),
        bore=_within(bore, DRILLED), tube_length=_within(long, RULED),
        head_before=_within(before, RULED), head_after=_within(after, RULED),
        temperature=_within(temperature, DEGREES),
    )  # fmt: skip
    return GradeChecked(
        key="melt_scale", value=found,
        told={
            "kind": "viscosity", "grade": grade.name,
            "unit": f"Pa·s at {temperature - ZERO_CELSIUS:.0f} °C",
            "before": figure(
                hot_viscosity(grade, temperature, grade.melt_scale or melt_scale()), 3
            ),
            "evidence": {
                "viscosity_pa_s": figure(thick, 3),
                "celsius": round(temperature - ZERO_CELSIUS, 1),
                "seconds": seconds,
            },
            "after": figure(hot_viscosity(grade, temperature, found), 3),
            "sentence": f"It ran at {thick.value:.2f} Pa·s ({thick.low:.2f} to {thick.high:.2f}) "
            f"at {temperature - ZERO_CELSIUS:.0f} °C; the range of its hot viscosity narrows from "
            f"a factor {_factor(grade.melt_scale or melt_scale()):.1f} to {_factor(found):.1f}.",
            "care": CARE,
        },
    )  # fmt: skip


def _factor(known: Estimate) -> float:
    return known.high / known.low if known.low > 0 else nan


_CHECKS: dict[str, Callable[[Grade, Table], GradeChecked]] = {
    "yellowing": _yellowing,
    "viscosity": _viscosity,
}
