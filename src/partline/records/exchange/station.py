"""A station of a mould, there and back: its sizes one by one, or as its outline's points."""

from __future__ import annotations

from dataclasses import replace

from partline.errors import Ambiguous, InputError, Reading
from partline.materials.mould import SectionPoint, SectionShape, Station
from partline.quantities.estimate import Origin
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, without_blanks, write_amount, write_number
from partline.records.exchange.mould_sizes import AGREE, CALIPER
from partline.records.exchange.section_points import read_points, write_points
from partline.records.exchange.table import UNREAD, Table

POSITION = Span(low=0, high=1, why="It is a share of the length, 0 at the nose.")
WIDTH = Span(low=0.4, high=150, unit="mm")
HALF = Span(low=0.2, high=40, unit="mm")
DOUBT = Span(low=0, high=100, unit="%", why="It is how far the sizes may be off, either way.")
SIZES = {"width": WIDTH, "back_half": HALF, "belly_half": HALF}

_UNREAD = Station(
    name="", position=UNREAD, width=UNREAD, back_half=UNREAD, belly_half=UNREAD,
    shape=SectionShape.ROUND,
)  # fmt: skip


def read_station(table: Table) -> Station:
    """Return the station that a table says; what cannot be used is a problem of the table's."""
    if table.is_empty:
        table.refuse("", "This station is empty.", "Fill it in, or take it away.")
        return _UNREAD
    station = replace(
        _UNREAD,
        name=table.text("name"),
        position=table.amount("position", Kind.NUMBER, POSITION),
        shape=table.choice("shape", SectionShape),
        origin=table.choice("origin", Origin, default=Origin.ENTERED),
        doubt=table.amount("doubt", Kind.SHARE, DOUBT, default=0.0),
    )
    is_known = table.was_read("shape")
    if station.shape is SectionShape.OUTLINE or ("points" in table and not is_known):
        return _outlined(table, station)
    if "points" in table:
        message = f"“{station.name}” is {station.shape}, and has the points of an outline."
        remedy = "Make its shape “outline”, or take the points away."
        with table.collecting("points"):
            raise InputError(message, given=station.shape, remedy=remedy)
        _given(table)
        return station
    station = replace(
        station,
        width=table.amount("width", Kind.LENGTH, WIDTH),
        back_half=table.amount("back_half", Kind.LENGTH, HALF),
        belly_half=table.amount("belly_half", Kind.LENGTH, HALF),
    )
    off = abs(station.width - station.height)
    is_round = station.shape is SectionShape.ROUND and is_known
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


def _outlined(table: Table, station: Station) -> Station:
    """Return a station with the sizes of its outline, which those given must not contradict."""
    if "points" not in table:
        message = f"“{station.name}” is an outline, and has no points."
        remedy = (
            "List its points: across from the middle and up from the line, from the highest "
            "down one flank to the lowest."
        )
        table.refuse("points", message, remedy)
    points = read_points(table) if "points" in table else ()
    given = _given(table)
    if not points:
        return station
    sizes = _sizes(points)
    for key, span in SIZES.items():
        low, high = span.si(Kind.LENGTH)
        if not low <= sizes[key] <= high:
            message = (
                f"{table.label(key)} is {sizes[key] * 1e3:.4g} mm by its points; it must lie in "
                f"{span.low:g} to {span.high:g} {span.unit}."
            )
            with table.collecting("points"):
                raise InputError(
                    message,
                    given=f"{sizes[key] * 1e3:.4g} mm",
                    remedy="Check the points, and their unit.",
                )
    for key, size in given.items():
        if abs(size - sizes[key]) > AGREE * sizes[key] + CALIPER:
            message = (
                f"{table.label(key)} is {size * 1e3:.4g} mm, but {sizes[key] * 1e3:.4g} mm by "
                "the points of its outline."
            )
            table.refuse(key, message, "Take it away, for the points say it; or correct them.")
    return replace(
        station,
        points=points,
        width=sizes["width"],
        back_half=sizes["back_half"],
        belly_half=sizes["belly_half"],
    )


def _given(table: Table) -> dict[str, float]:
    """Return the sizes that stand in a table which need not have any."""
    return {
        key: table.amount(key, Kind.LENGTH, span) for key, span in SIZES.items() if key in table
    }


def _sizes(points: tuple[SectionPoint, ...]) -> dict[str, float]:
    return {
        "width": 2 * max(point.across for point in points),
        "back_half": points[0].up,
        "belly_half": -points[-1].up,
    }


def write_station(station: Station) -> dict[str, object]:
    """Return a station as a document says it; of an outline its points stand for its sizes."""
    document: dict[str, object] = {
        "name": station.name,
        "position": write_number(station.position),
        "shape": station.shape.value,
    }
    if station.points:
        document["points"] = write_points(station.points)
    else:
        sizes = {key: getattr(station, key) for key in SIZES}
        document |= {key: write_amount(size, "mm", Kind.LENGTH) for key, size in sizes.items()}
    if station.origin is not Origin.ENTERED:
        document["origin"] = station.origin.value
    doubt = write_amount(station.doubt, "%", Kind.SHARE) if station.doubt else ""
    return document | without_blanks({"doubt": doubt})
