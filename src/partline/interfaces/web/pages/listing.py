"""What a document says, as a table a person can read: the file itself stands below it."""

from __future__ import annotations

from dataclasses import dataclass

from partline.interfaces.web.parts import number
from partline.materials.mould import Mould, Station
from partline.materials.shelf import Shelf
from partline.services.shelf import shelf_as_json


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """A table.

    Parameters
    ----------
    heads : tuple of str
        One a column.
    rows : tuple of tuple of str
        The first cell names the row.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def listing_of(content: object) -> Listing | None:
    """Return a shelf's supplies or a mould's stations; None for what its file says best."""
    match content:
        case Shelf():
            return _supplies(content)
        case Mould():
            return _stations(content)
        case _:
            return None


def _supplies(shelf: Shelf) -> Listing:
    rows = tuple(
        (str(each["name"]), str(each["kind"]), str(each["summary"]), str(each["lot"] or "–"))
        for each in shelf_as_json(shelf)
    )
    return Listing(heads=("Supply", "Kind", "What it is", "Lot"), rows=rows)


def _stations(mould: Mould) -> Listing:
    heads = ("Station", "At, % of length", "Shape", "Width, mm", "Back half, mm", "Belly half, mm")
    return Listing(heads=heads, rows=tuple(_station(each) for each in mould.stations))


def _station(station: Station) -> tuple[str, ...]:
    sizes = (station.width, station.back_half, station.belly_half)
    return (
        station.name,
        number(station.position * 100, 0),
        station.shape.value,
        *(number(size * 1e3, 1) for size in sizes),
    )
