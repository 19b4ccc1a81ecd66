"""A shelf of supplies as a text file, there and back."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from enum import StrEnum
from typing import TypedDict

from partline.materials.shelf import Shelf
from partline.materials.spectrum import Optics
from partline.materials.stock import Stock
from partline.materials.supply import (
    Additive,
    AdditiveKind,
    Clarity,
    Colourant,
    Flake,
    FlakeShape,
    Grade,
    Supply,
)
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind
from partline.records.exchange import assumed
from partline.records.exchange.amount import (
    Span,
    read_amount,
    without_blanks,
    write_amount,
    write_estimate,
)
from partline.records.exchange.chips import read_hiding, read_patch, write_hiding, write_patch
from partline.records.exchange.document import format_toml, parse_toml
from partline.records.exchange.lot_chips import chips_document, read_chips
from partline.records.exchange.spectra import (
    PER_MM,
    read_optics,
    read_spectrum,
    write_optics,
    write_spectrum,
)
from partline.records.exchange.stock import read_stock, stock_document
from partline.records.exchange.table import UNREAD, Table

DENSITY = Span(low=0.1, high=5, unit="g/mL")
BULK = Span(low=0.05, high=3, unit="g/mL")
RESIN = Span(low=2, high=60, unit="%", why="Pourable plastisols hold about 8 to 30 %.")
EXPANSION = Span(low=1e-5, high=2e-3, why="Per kelvin, about 7e-4.")
LABEL = Span(low=80, high=230, unit="°C", why="Labels lie between 100 and 200 °C.")
GEL_LINE = Span(low=40, high=200, unit="°C")
INDEX = Span(low=1.3, high=1.8)
DROP = Span(low=2, high=200, unit="mg", why="A drop is about 30 mg.")
STRENGTH = Span(low=0.05, high=20, why="1 is the strength its constants were measured at.")
YELLOWING = Span(low=0, high=10, why="Per metre and second at 177 °C; about 0.01.")
MELT_SCALE = Span(low=1e2, high=1e9, why="K of the hot viscosity.")
SIZE = Span(low=0.02, high=10, unit="mm")
FILM = Span(low=1, high=500, unit="µm")
GRAIN = Span(low=1, high=2000, unit="µm")
SHEDS = Span(low=60, high=300, unit="°C")
HUNDRED_GRAMS = Decimal("0.1")  # [kg]
ONE_PER_CENT = Decimal("0.01")  # a gram in 100 g


class Per(StrEnum):
    """What a bottle's coefficients are counted for."""

    DROP = "drop in 100 g"
    GRAM = "g in 100 g"


def read_shelf(text: str) -> Shelf:
    """Return the shelf that a document says.

    Raises
    ------
    Invalid
        If anything in it cannot be used; carries every problem with its field.
    InputError
        If it is not a TOML document at all.
    """
    document = Table(parse_toml(text))
    grades, colours = document.tables("grade"), document.tables("colourant")
    flakes, additives = document.tables("flake"), document.tables("additive")
    shelf = Shelf(
        grades=tuple(_grade(table) for table in grades),
        colourants=tuple(_colourant(table) for table in colours),
        flakes=tuple(_flake(table) for table in flakes),
        additives=tuple(_additive(table) for table in additives),
    )
    _check_names([*grades, *colours, *flakes, *additives], shelf)
    document.finish("This shelf")
    return shelf


def _check_names(tables: list[Table], shelf: Shelf) -> None:
    seen: set[str] = set()
    for table, supply in zip(tables, shelf, strict=True):
        key = supply.name.casefold()
        if key and key in seen:
            message = f"Two supplies are called “{supply.name}”."
            table.refuse("name", message, "Give each its own name.")
        seen.add(key)


class _Common(TypedDict):
    """What every supply has."""

    name: str
    lot: str
    density: Estimate
    hazard_sheet: str
    note: str
    guesses: tuple[str, ...]
    stock: Stock


def _common(table: Table, density: Estimate | None = None) -> _Common:
    """Read what every supply has; without `density` the document must give it."""
    return _Common(
        name=table.text("name"),
        lot=table.text("lot", default=""),
        density=table.estimate("density", Kind.DENSITY, DENSITY, default=density),
        hazard_sheet=table.text("hazard_sheet", default=""),
        note=table.text("note", default="", longest=4000),
        guesses=table.guesses(),
        stock=read_stock(table),
    )


def _grade(table: Table) -> Grade:
    low, high = _band(table)
    target = table.amount("target", Kind.TEMPERATURE, LABEL)
    ceiling = table.amount("ceiling", Kind.TEMPERATURE, LABEL)
    if low > high:
        message = f"{table.label('band')} begins above its end."
        table.refuse("band", message, "Write the lower temperature first.")
    if max(high, target) > ceiling:
        message = f"{table.label('ceiling')} lies below its band or target."
        table.refuse("ceiling", message, "Read the label's maximum again.")
    gel_line = "gel_line" in table
    return Grade(
        **_common(table),
        resin_share=table.estimate("resin_share", Kind.SHARE, RESIN),
        expansion=table.estimate(
            "expansion", Kind.NUMBER, EXPANSION, default=assumed.grade_expansion()
        ),
        band_low=low,
        band_high=high,
        target=target,
        ceiling=ceiling,
        gel_line=table.amount("gel_line", Kind.TEMPERATURE, GEL_LINE) if gel_line else None,
        optics=read_optics(table),
        optics_origin=table.choice("optics_origin", Origin, default=Origin.DEFAULT),
        yellowing=_scale(table, "yellowing", YELLOWING),
        melt_scale=_scale(table, "melt_scale", MELT_SCALE),
        refractive_index=table.estimate(
            "refractive_index", Kind.NUMBER, INDEX, default=assumed.refractive_index()
        ),
    )


def _scale(table: Table, key: str, span: Span) -> Estimate | None:
    return table.estimate(key, Kind.NUMBER, span) if key in table else None


def _band(table: Table) -> tuple[float, float]:
    """Return both ends of the label's working band. [K]"""
    if "band" not in table:
        table.refuse("band", f"{table.label('band')} is missing.", 'Add band = ["…", "…"].')
        return UNREAD, UNREAD
    ends = table.raw("band")
    if not isinstance(ends, list) or len(ends) != 2:
        message = f"{table.label('band')} must have two ends."
        table.refuse("band", message, 'Write it as in: band = ["150 °C", "165 °C"]')
        return UNREAD, UNREAD
    with table.collecting("band"):
        low, high = (read_amount(table.label("band"), e, Kind.TEMPERATURE, LABEL) for e in ends)
        return low, high
    return UNREAD, UNREAD


def _colourant(table: Table) -> Colourant:
    drop = table.estimate("drop", Kind.MASS, DROP, default=assumed.drop_mass())
    optics = _colour_optics(table, drop)
    colour = Colourant(
        **_common(table, assumed.colourant_density()),
        clarity=table.choice("clarity", Clarity),
        drop_mass=drop,
        strength=assumed.own_strength(),
        optics=optics,
        optics_origin=table.choice("optics_origin", Origin, default=Origin.DEFAULT),
        optics_source=table.text("optics_source", default="", longest=400),
        patch=read_patch(table),
        hiding=read_hiding(table),
        chips=read_chips(table),
        is_heat_tender=table.flag("heat_tender"),
    )
    # Its patch and hiding are of this very lot, as its strength is against it; so is a stepped
    # chip of the lot in use, but not one of another lot.
    is_own = colour.is_own_chip if colour.counted_chips else optics is None
    default = assumed.own_strength() if is_own else assumed.strength()
    strength = table.estimate("strength", Kind.NUMBER, STRENGTH, default=default)
    return replace(colour, strength=strength)


def _colour_optics(table: Table, drop: Estimate) -> Optics | None:
    """Return a colourant's measured constants; None where the document has none."""
    if "per" not in table and not ("absorption" in table or "scattering" in table):
        if "anisotropy" in table:
            message = f"{table.label('anisotropy')} stands without absorption or scattering."
            table.refuse("anisotropy", message, "Add them, or take it away.")
        return None
    if table.choice("per", Per) is Per.DROP:
        share = Decimal(repr(drop.value)) / HUNDRED_GRAMS
    else:
        share = ONE_PER_CENT
    return read_optics(table, PER_MM / share)


def _flake(table: Table) -> Flake:
    limit = "heat_limit" in table
    return Flake(
        **_common(table, assumed.flake_density()),
        size=table.amount("size", Kind.LENGTH, SIZE),
        thickness=table.amount("thickness", Kind.LENGTH, FILM),
        thickness_origin=table.choice("thickness_origin", Origin, default=Origin.LABEL),
        shape=table.choice("shape", FlakeShape, default=FlakeShape.HEXAGON),
        reflectance=read_spectrum(table, "reflectance", most=1.0),
        colour=table.text("colour", default=""),
        is_metal=table.flag("metal"),
        heat_limit=table.amount("heat_limit", Kind.TEMPERATURE, SHEDS) if limit else None,
        bulk_density=_bulk_density(table, assumed.flake_bulk_density()),
    )


def _additive(table: Table) -> Additive:
    kind = table.choice("kind", AdditiveKind)
    loose = assumed.salt_bulk_density() if kind is AdditiveKind.SALT else None
    return Additive(
        **_common(table, assumed.additive_density(kind)),
        kind=kind,
        grain=table.amount("grain", Kind.LENGTH, GRAIN) if "grain" in table else None,
        bulk_density=_bulk_density(table, loose),
    )


def _bulk_density(table: Table, default: Estimate | None) -> Estimate | None:
    if "bulk_density" not in table:
        return default
    return table.estimate("bulk_density", Kind.DENSITY, BULK)


def write_shelf(shelf: Shelf) -> str:
    """Return a shelf as a document that `read_shelf` reads to the same shelf.

    A colourant's coefficients are written for a gram in 100 g, which no later weighing of its
    drop can change.
    """
    return format_toml(
        without_blanks(
            {
                "grade": [_grade_document(grade) for grade in shelf.grades],
                "colourant": [_colourant_document(each) for each in shelf.colourants],
                "flake": [_flake_document(flake) for flake in shelf.flakes],
                "additive": [_additive_document(additive) for additive in shelf.additives],
            }
        )
    )


def _common_document(supply: Supply) -> dict[str, object]:
    return without_blanks(
        {
            "name": supply.name,
            "lot": supply.lot,
            "density": write_estimate(supply.density, "g/mL", Kind.DENSITY),
            "hazard_sheet": supply.hazard_sheet,
            "note": supply.note,
            "guesses": list(supply.guesses),
        }
        | stock_document(supply.stock)
    )


def _grade_document(grade: Grade) -> dict[str, object]:
    document = _common_document(grade)
    document["resin_share"] = write_estimate(grade.resin_share, "%", Kind.SHARE)
    document["expansion"] = write_estimate(grade.expansion, "", Kind.NUMBER)
    document["band"] = [_celsius(grade.band_low), _celsius(grade.band_high)]
    document["target"] = _celsius(grade.target)
    document["ceiling"] = _celsius(grade.ceiling)
    if grade.gel_line is not None:
        document["gel_line"] = _celsius(grade.gel_line)
    for key, scale in (("yellowing", grade.yellowing), ("melt_scale", grade.melt_scale)):
        if scale is not None:
            document[key] = write_estimate(scale, "", Kind.NUMBER)
    document["refractive_index"] = write_estimate(grade.refractive_index, "", Kind.NUMBER)
    if grade.optics_origin is not Origin.DEFAULT:
        document["optics_origin"] = grade.optics_origin.value
    return document | write_optics(grade.optics)


def _colourant_document(colourant: Colourant) -> dict[str, object]:
    document = _common_document(colourant)
    document["clarity"] = colourant.clarity.value
    document["drop"] = write_estimate(colourant.drop_mass, "mg", Kind.MASS)
    document["strength"] = write_estimate(colourant.strength, "", Kind.NUMBER)
    document["optics_origin"] = colourant.optics_origin.value
    document |= without_blanks(
        {"optics_source": colourant.optics_source, "heat_tender": colourant.is_heat_tender}
    )
    if colourant.patch is not None:
        document["patch"] = write_patch(colourant.patch)
    if colourant.hiding is not None:
        document["hiding"] = write_hiding(colourant.hiding)
    if colourant.optics is not None:
        document["per"] = Per.GRAM.value
        document |= write_optics(colourant.optics, PER_MM / ONE_PER_CENT)
    return document | chips_document(colourant.chips)


def _flake_document(flake: Flake) -> dict[str, object]:
    document = _common_document(flake)
    document |= without_blanks({"colour": flake.colour, "metal": flake.is_metal})
    document["size"] = write_amount(flake.size, "mm", Kind.LENGTH)
    document["thickness"] = write_amount(flake.thickness, "µm", Kind.LENGTH)
    if flake.thickness_origin is not Origin.LABEL:
        document["thickness_origin"] = flake.thickness_origin.value
    if flake.shape is not FlakeShape.HEXAGON:
        document["shape"] = flake.shape.value
    if flake.heat_limit is not None:
        document["heat_limit"] = _celsius(flake.heat_limit)
    document |= _bulk_document(flake.bulk_density)
    return document | without_blanks({"reflectance": write_spectrum(flake.reflectance)})


def _additive_document(additive: Additive) -> dict[str, object]:
    document = _common_document(additive)
    document["kind"] = additive.kind.value
    if additive.grain is not None:
        document["grain"] = write_amount(additive.grain, "µm", Kind.LENGTH)
    return document | _bulk_document(additive.bulk_density)


def _bulk_document(density: Estimate | None) -> dict[str, object]:
    if density is None:
        return {}
    return {"bulk_density": write_estimate(density, "g/mL", Kind.DENSITY)}


def _celsius(value: float) -> str:
    return write_amount(value, "°C", Kind.TEMPERATURE)
