"""A mould as a text file, there and back."""

from __future__ import annotations

from itertools import pairwise

from partline.errors import Ambiguous, Reading
from partline.materials.mould import Mould, OutlinePoint, SectionShape, Station
from partline.quantities.estimate import Origin
from partline.quantities.units import Kind
from partline.records.exchange.amount import (
    Span,
    without_blanks,
    write_amount,
    write_estimate,
    write_number,
)
from partline.records.exchange.document import format_toml, parse_toml
from partline.records.exchange.mould_sizes import (
    AGREE,
    CALIPER,
    check_agreement,
    check_length,
    check_tail,
)
from partline.records.exchange.table import UNREAD, Table

BAIT_MASS = Span(low=0.05, high=500, unit="g")
BAIT_VOLUME = Span(low=0.05, high=500, unit="mL")
SPRUE_MASS = Span(low=0, high=500, unit="g")
MOULD_MASS = Span(low=20, high=50_000, unit="g", why="Moulds of one bait to many weigh that.")
DENSITY = Span(low=0.8, high=1.6, unit="g/mL", why="Soft plastic weighs about 1 g/mL.")
LENGTH = Span(low=10, high=500, unit="mm")
WIDTH = Span(low=0.4, high=150, unit="mm")
HALF = Span(low=0.2, high=40, unit="mm")
DIAMETER = Span(low=0, high=80, unit="mm")
GATE = Span(low=0.5, high=40, unit="mm")
POSITION = Span(low=0, high=1, why="It is a share of the length, 0 at the nose.")
DOUBT = Span(low=0, high=100, unit="%", why="It is how far the sizes may be off, either way.")

_UNREAD = Station(
    name="", position=UNREAD, width=UNREAD, back_half=UNREAD, belly_half=UNREAD,
    shape=SectionShape.ROUND,
)  # fmt: skip


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
    stations = tuple(_station(table) for table in tables)
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


def _station(table: Table) -> Station:
    if table.is_empty:
        table.refuse("", "This station is empty.", "Fill it in, or take it away.")
        return _UNREAD
    station = Station(
        name=table.text("name"),
        position=table.amount("position", Kind.NUMBER, POSITION),
        shape=table.choice("shape", SectionShape),
        width=table.amount("width", Kind.LENGTH, WIDTH),
        back_half=table.amount("back_half", Kind.LENGTH, HALF),
        belly_half=table.amount("belly_half", Kind.LENGTH, HALF),
        origin=table.choice("origin", Origin, default=Origin.ENTERED),
        doubt=table.amount("doubt", Kind.SHARE, DOUBT, default=0.0),
    )
    off = abs(station.width - station.height)
    is_round = station.shape is SectionShape.ROUND and table.was_read("shape")
    if is_round and off > AGREE * station.height + CALIPER:
        with table.collecting("width"):
            raise _round_or_elliptic(station)
    return station


def _round_or_elliptic(station: Station) -> Ambiguous:
    width, height = (f"{size * 1e3:.4g} mm" for size in (station.width, station.height))
    readings = (
        Reading(write=f'width = "{height}"', means="a round body as thick as its halves say"),
        Reading(write='shape = "elliptic"', means=f"a body {width} wide and {height} high"),
    )
    message = f"“{station.name}” is round, but {width} wide and {height} from back to belly."
    return Ambiguous(message, readings=readings, given=width)


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
    document["stations"] = [
        {
            "name": station.name,
            "position": write_number(station.position),
            "shape": station.shape.value,
            "width": _mm(station.width),
            "back_half": _mm(station.back_half),
            "belly_half": _mm(station.belly_half),
            **_doubt_document(station),
        }
        for station in mould.stations
    ]
    outline = [
        {"position": write_number(point.position), "diameter": _mm(point.diameter)}
        for point in mould.outline
    ]
    return format_toml(document | without_blanks({"outline": outline}))


def _doubt_document(station: Station) -> dict[str, object]:
    document: dict[str, object] = {}
    if station.origin is not Origin.ENTERED:
        document["origin"] = station.origin.value
    if station.doubt:
        document["doubt"] = write_amount(station.doubt, "%", Kind.SHARE)
    return document


def _mm(value: float) -> str:
    return write_amount(value, "mm", Kind.LENGTH)
