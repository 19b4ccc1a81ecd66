"""Spectra and optical constants in a document: wavelengths in nm, coefficients in 1/mm."""

from __future__ import annotations

from decimal import Decimal

import numpy as np

from partline.errors import InputError
from partline.materials.spectrum import Optics, Shape, Spectrum, Term
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, scaled_number, write_number
from partline.records.exchange.table import Table

ANISOTROPY = Span(low=-0.99, high=0.99, why="1 would mean that light goes straight on.")
HEIGHT = Span(low=-1e5, high=1e5)
# The narrowest term at the farthest place still has a finite exponential over the visible.
PLACE = Span(low=200, high=1200, why="It is a wavelength in nm.")
BREADTH = Span(low=2, high=2000, why="It is a breadth in nm.")
EXPONENT = Span(low=-20, high=20)
#: Where a spectrum is looked at before it is taken. [m]
VISIBLE = np.linspace(380e-9, 780e-9, 81)
SAMPLED = "sampled"  # the values themselves, evenly from 400 to 700 nm
PER_MM = Decimal(1000)  # 1/mm in 1/m
ONE = Decimal(1)
NANO = Decimal("1e-9")


def read_optics(table: Table, unit: Decimal = PER_MM) -> Optics:
    """Return absorption, scattering and anisotropy of a supply.

    Parameters
    ----------
    table : Table
        The supply's.
    unit : Decimal
        The document's unit of the coefficients. [1/m, or 1/m per kg/kg]
    """
    return Optics(
        absorption=read_spectrum(table, "absorption", unit),
        scattering=read_spectrum(table, "scattering", unit),
        anisotropy=(
            table.amount("anisotropy", Kind.NUMBER, ANISOTROPY) if "anisotropy" in table else 0.0
        ),
    )


def read_spectrum(
    table: Table, key: str, unit: Decimal = ONE, *, most: float = HEIGHT.high
) -> Spectrum:
    """Return the spectrum listed under a key; zero everywhere when it is not there.

    Parameters
    ----------
    table : Table
        The supply's.
    key : str
        Such as absorption.
    unit : Decimal
        The document's unit. [the spectrum's SI unit]
    most : float
        Largest value that is possible. [the document's unit]
    """
    terms: list[Term] = []
    sampled: list[tuple[float, ...]] = []
    for each in table.tables(key):
        word = each.text("shape")
        if word == SAMPLED:
            sampled.append(_values(each, unit))
        else:
            terms.append(_term(each, each.choice("shape", Shape), unit))
    if len(sampled) > 1:
        table.refuse(key, f"{table.label(key)} is sampled twice.", "Keep one of them.")
    spectrum = Spectrum(terms=tuple(terms), sampled=sampled[0] if sampled else ())
    with table.collecting(key):
        _check(spectrum, table.label(key), most, float(unit))
    return spectrum


def _check(spectrum: Spectrum, label: str, most: float, unit: float) -> None:
    try:
        highest = float(np.max(spectrum.at(VISIBLE))) / unit
    except InputError:
        message = f"{label} falls below zero between 380 and 780 nm."
        raise InputError(message, remedy="Make the negative part smaller.") from None
    if highest > most * (1 + 1e-9):
        message = f"{label} rises to {highest:.4g} between 380 and 780 nm; at most {most:g}."
        raise InputError(message, remedy="Lower its heights.")


def _term(table: Table, shape: Shape, unit: Decimal) -> Term:
    height = table.scaled("height", HEIGHT, unit)
    if shape is Shape.LEVEL:
        return Term(shape=shape, height=height)
    if shape is Shape.POWER:
        place = table.scaled("place", PLACE, NANO) if "place" in table else 550e-9
        spread = table.amount("spread", Kind.NUMBER, EXPONENT)
    else:
        place = table.scaled("place", PLACE, NANO)
        spread = table.scaled("spread", BREADTH, NANO)
    return Term(shape=shape, height=height, place=place, spread=spread)


def _values(table: Table, unit: Decimal) -> tuple[float, ...]:
    values = table.items("values")
    if len(values) < 2:
        message = "A sampled spectrum needs at least two values."
        table.refuse("values", message, "Give them evenly from 400 to 700 nm.")
    numbers = []
    for place, value in enumerate(values):
        with table.collecting(f"values[{place}]"):
            numbers.append(scaled_number("This value", value, HEIGHT, unit))
    return tuple(numbers)


def write_spectrum(spectrum: Spectrum, unit: Decimal = ONE) -> list[object]:
    """Return a spectrum for TOML; `unit` is the document's. [SI]."""
    terms: list[object] = [_term_document(term, unit) for term in spectrum.terms]
    if spectrum.sampled:
        values = [_scaled_back(value, unit) for value in spectrum.sampled]
        terms.append({"shape": SAMPLED, "values": values})
    return terms


def _term_document(term: Term, unit: Decimal) -> dict[str, object]:
    document: dict[str, object] = {
        "shape": term.shape.value,
        "height": _scaled_back(term.height, unit),
    }
    if term.shape is Shape.LEVEL:
        return document
    breadth = ONE if term.shape is Shape.POWER else NANO
    return document | {
        "place": _scaled_back(term.place, NANO),
        "spread": _scaled_back(term.spread, breadth),
    }


def _scaled_back(value: float, unit: Decimal) -> int | Decimal:
    number = Decimal(repr(value)) / unit
    return int(number) if number == number.to_integral_value() else number.normalize()


def write_optics(optics: Optics, unit: Decimal = PER_MM) -> dict[str, object]:
    """Return optical constants for TOML, without those that are zero."""
    document: dict[str, object] = {}
    for key, spectrum in (("absorption", optics.absorption), ("scattering", optics.scattering)):
        if spectrum != Spectrum():
            document[key] = write_spectrum(spectrum, unit)
    if optics.anisotropy:
        document["anisotropy"] = write_number(optics.anisotropy)
    return document
