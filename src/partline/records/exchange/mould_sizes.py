"""Sizes of a mould that each may be so, and together are a slip."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import pairwise

from partline.errors import Ambiguous, InputError, Reading
from partline.materials.mould import Mould, OutlinePoint, Station
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, read_amount, shown
from partline.records.exchange.table import Table

#: How far a caliper reading may be off without being a contradiction. [-], [m]
AGREE, CALIPER = 0.05, 0.1e-3
#: No soft plastic is denser, salted or not. [kg/m³]
DENSEST = 1600.0
#: A body may be this much fuller between its stations than at any of them. [-]
BETWEEN = 2.0
_SIZE = re.compile(r"(?P<number>.*?)\s*(?P<unit>[^\W\d_]+|[″\"])")
_UNITS = (("in", "inches"), ("cm", "centimetres"), ("mm", "millimetres"))


def check_tail(tables: list[Table], stations: tuple[Station, ...]) -> None:
    """Ask about a tail thicker than the body: a slip far more often than a shape."""
    if len(stations) < 2 or not stations[-1].name.casefold().startswith("tail"):
        return
    tail, body = stations[-1], max(station.height for station in stations[:-1])
    if tail.height > body:
        message = (
            f"“{tail.name}” is {tail.height * 1e3:.4g} mm from back to belly, thicker than "
            f"the body's {body * 1e3:.4g} mm."
        )
        remedy = "Check both halves; if it is a paddle or a club, name it so instead of tail."
        tables[-1].refuse("points" if tail.points else "back_half", message, remedy)


def check_agreement(
    document: Table,
    tables: list[Table],
    points: tuple[OutlinePoint, ...],
    stations: tuple[Station, ...],
) -> None:
    """Refuse an outline that contradicts a station lying on it or between two of its points."""
    for station in stations:
        if math.isnan(station.position):
            continue
        ends = _around(points, station.position)
        if not ends:
            message = f"The outline does not reach “{station.name}” at {station.position:g}."
            document.refuse("outline", message, "Let it go from the nose (0) to the tail (1).")
            continue
        low, high = min(ends) * (1 - AGREE) - CALIPER, max(ends) * (1 + AGREE) + CALIPER
        if station.height < low or station.height > high:
            there = " to ".join(f"{size * 1e3:.4g}" for size in sorted(set(ends)))
            message = (
                f"The outline is {there} mm thick at “{station.name}”, but the station is "
                f"{station.height * 1e3:.4g} mm from back to belly."
            )
            remedy = f"Measure there again; they may differ by {AGREE * 100:g} %."
            # At the point that lies nearest: a form has it beside its field then.
            near = min(
                range(len(points)), key=lambda k: abs(points[k].position - station.position)
            )
            tables[near].refuse("diameter", message, remedy)


def _around(points: tuple[OutlinePoint, ...], position: float) -> list[float]:
    """Return the diameter at a place if a point lies there, else those on both sides of it."""
    for point in points:
        if point.position == position:
            return [point.diameter]
    for before, behind in pairwise(points):
        if before.position < position < behind.position:
            return [before.diameter, behind.diameter]
    return []


def check_length(document: Table, mould: Mould, span: Span) -> None:
    """Ask about a bait too short for what it weighs, or for its own thickness.

    Mostly its length is one in inches, typed as millimetres. A body that only lacks a station
    where it is thick is left to the note that its drawing carries.
    """
    if document.problems:
        return
    outline = [point.diameter for point in mould.outline]
    wide = max([station.width for station in mould.stations] + outline)
    thick = max([station.height for station in mould.stations] + outline)
    if mould.bait_volume is not None:
        least = mould.bait_volume.low
    else:
        least = mould.bait_mass.low / DENSEST if mould.bait_mass is not None else 0.0

    def holds(length: float) -> bool:
        return thick <= length and BETWEEN * wide * thick * length >= least

    if holds(mould.length):
        return
    typed = shown(document.raw("length"))
    readings = other_units(typed, span, holds)
    across = f"{wide * 1e3:.4g} mm wide and {thick * 1e3:.4g} mm thick"
    message = f"A bait {typed} long, at most {across}, "
    if thick > mould.length:
        message += "would be thicker than long."
    else:
        message += f"has no room for what it weighs: that is {least * 1e6:.3g} mL at the least."
    with document.collecting("length"):
        if readings:
            raise Ambiguous(message, readings=readings, given=typed)
        if thick > mould.length:
            remedy = "Check the length, and the halves where it is thickest."
            raise InputError(message, given=typed, remedy=remedy)


def other_units(typed: str, span: Span, fits: Callable[[float], bool]) -> tuple[Reading, ...]:
    """Return the units in which the same number would be a length that fits.

    Parameters
    ----------
    typed : str
        A length with its unit.
    span : Span
        What a length may be.
    fits : callable
        Whether a length [m] is what it should be.
    """
    size = _SIZE.fullmatch(typed)
    if size is None:
        return ()
    number, unit = size["number"], size["unit"]
    return tuple(
        Reading(write=f"{number} {other}", means=f"{number} {words} long")
        for other, words in _UNITS
        if other != unit and _fits(f"{number} {other}", span, fits)
    )


def _fits(text: str, span: Span, fits: Callable[[float], bool]) -> bool:
    try:
        return fits(read_amount("", text, Kind.LENGTH, span))
    except InputError:
        return False
