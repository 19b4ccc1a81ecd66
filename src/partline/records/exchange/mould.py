"""A mould as a text file, there and back."""

from __future__ import annotations

from itertools import pairwise

from partline.materials.mould import Mould, OutlinePoint, SectionShape, Station
from partline.quantities.units import Kind
from partline.records.exchange.amount import (
    Span,
    without_blanks,
    write_amount,
    write_estimate,
    write_number,
)
from partline.records.exchange.document import format_toml, parse_toml
from partline.records.exchange.mould_sizes import check_agreement, check_length, check_tail
from partline.records.exchange.station import POSITION, read_station, write_station
from partline.records.exchange.table import Table

BAIT_MASS = Span(low=0.05, high=500, unit="g")
BAIT_VOLUME = Span(low=0.05, high=500, unit="mL")
SPRUE_MASS = Span(low=0, high=500, unit="g")
MOULD_MASS = Span(low=20, high=50_000, unit="g", why="Moulds of one bait to many weigh that.")
DENSITY = Span(low=0.8, high=1.6, unit="g/mL", why="Soft plastic weighs about 1 g/mL.")
LENGTH = Span(low=10, high=500, unit="mm")
DIAMETER = Span(low=0, high=80, unit="mm")
GATE = Span(low=0.5, high=40, unit="mm")


def read_mould(text: str) -> Mould:
    """Return the mould that a document says.

    Raises
    ------
    Invalid
        If anything in it cannot be used; carries every problem with its field.
    InputError
        If it is not a TOML document at all.
    """
    document = Table(parse_toml(text))
    weighed = "bait_mass" in document
    measured = "bait_volume" in document
    if weighed is measured:
        message = (
            "The bait has both a mass and a volume."
            if weighed
            else "Neither the bait's mass nor its volume is given."
        )
        document.refuse("bait_mass", message, "Give one of bait_mass and bait_volume.")
    mass = document.estimate("bait_mass", Kind.MASS, BAIT_MASS) if weighed else None
    volume = document.estimate("bait_volume", Kind.VOLUME, BAIT_VOLUME) if measured else None
    density = None
    if "weighed_density" in document:
        density = document.amount("weighed_density", Kind.DENSITY, DENSITY)
    length = document.amount("length", Kind.LENGTH, LENGTH)
    stations = _stations(document)
    mould = Mould(
        name=document.text("name"),
        cavities=document.count("cavities", 1, 500),
        bait_mass=mass,
        bait_volume=volume,
        weighed_density=density,
        sprue_mass=document.estimate("sprue_mass", Kind.MASS, SPRUE_MASS),
        length=length,
        stations=stations,
        outline=_outline(document, stations),
        bottom_mark=document.text("bottom_mark", default=""),
        gate=document.amount("gate", Kind.LENGTH, GATE) if "gate" in document else None,
        mass=document.estimate("mass", Kind.MASS, MOULD_MASS) if "mass" in document else None,
        material=document.text("material", default=""),
        note=document.text("note", default="", longest=4000),
        guesses=document.guesses(),
    )
    check_length(document, mould, LENGTH)
    document.finish("This mould")
    return mould


def _stations(document: Table) -> tuple[Station, ...]:
    tables = document.tables("stations")
    if not tables:
        message = "The mould has no station: nowhere is its thickness known."
        remedy = "Add [[stations]] with name, position, shape, width, back_half and belly_half."
        document.refuse("stations", message, remedy)
    stations = tuple(read_station(table) for table in tables)
    for table, (before, here) in zip(tables[1:], pairwise(stations), strict=True):
        if here.position <= before.position:
            message = f"“{here.name}” does not lie behind “{before.name}”."
            table.refuse("position", message, "List stations from nose to tail, each once.")
    names = [station.name.casefold() for station in stations]
    for table, station in zip(tables, stations, strict=True):
        if station.name and names.count(station.name.casefold()) > 1:
            message = f"Two stations are called “{station.name}”."
            table.refuse("name", message, "Give each its own name.")
    check_tail(tables, stations)
    return stations


def _outline(document: Table, stations: tuple[Station, ...]) -> tuple[OutlinePoint, ...]:
    tables = document.tables("outline")
    points = tuple(
        OutlinePoint(
            position=table.amount("position", Kind.NUMBER, POSITION),
            diameter=table.amount("diameter", Kind.LENGTH, DIAMETER),
        )
        for table in tables
    )
    if len(points) == 1:
        document.refuse("outline", "One point is no outline.", "Add more, or take it away.")
    for table, (before, here) in zip(tables[1:], pairwise(points), strict=True):
        if here.position <= before.position:
            message = "This point does not lie behind the one before it."
            table.refuse("position", message, "List points from nose to tail, each once.")
    if points and any(station.shape is not SectionShape.ROUND for station in stations):
        message = "An outline gives diameters of a round body, but not every station is round."
        document.refuse("outline", message, "Take the outline away; the stations are enough.")
    elif len(points) > 1:
        check_agreement(document, tables, points, stations)
    return points


def write_mould(mould: Mould) -> str:
    """Return a mould as a document that `read_mould` reads to the same mould."""
    document: dict[str, object] = {"name": mould.name, "cavities": mould.cavities}
    if mould.bait_mass is not None:
        document["bait_mass"] = write_estimate(mould.bait_mass, "g", Kind.MASS)
    if mould.bait_volume is not None:
        document["bait_volume"] = write_estimate(mould.bait_volume, "mL", Kind.VOLUME)
    if mould.weighed_density is not None:
        density = write_amount(mould.weighed_density, "g/mL", Kind.DENSITY)
        document["weighed_density"] = density
    document["sprue_mass"] = write_estimate(mould.sprue_mass, "g", Kind.MASS)
    document["length"] = _mm(mould.length)
    if mould.gate is not None:
        document["gate"] = _mm(mould.gate)
    if mould.mass is not None:
        document["mass"] = write_estimate(mould.mass, "g", Kind.MASS)
    document |= without_blanks(
        {
            "bottom_mark": mould.bottom_mark,
            "material": mould.material,
            "note": mould.note,
            "guesses": list(mould.guesses),
        }
    )
    document["stations"] = [write_station(station) for station in mould.stations]
    outline = [
        {"position": write_number(point.position), "diameter": _mm(point.diameter)}
        for point in mould.outline
    ]
    return format_toml(document | without_blanks({"outline": outline}))


def _mm(value: float) -> str:
    return write_amount(value, "mm", Kind.LENGTH)
