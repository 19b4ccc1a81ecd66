"""One property of one material: a number with its unit, spread, condition and source.

A row is refused when its unit is not the property's, when its value lies outside what the
property can be, or outside its own spread: a slip in a table must not reach a pour.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from partline.errors import DataError
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, Origin

#: Half of the central 80 % of what rounds to a printed number, in steps of its last digit. [-]
ROUNDING_SHARE: Final = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Property:
    """What a property is measured in, and between which values any material lies.

    Parameters
    ----------
    name : str
        Such as ``density``.
    unit : str
        The one spelling its rows may use.
    si : str
        The unit its values are held in.
    factor, offset : Fraction
        SI value = printed number × `factor` + `offset`.
    low, high : float
        Plausible bounds for anything at a pourer's bench. [`si`]
    """

    name: str
    unit: str
    si: str
    factor: Fraction
    offset: Fraction
    low: float
    high: float

    def last_digit(self, printed: str) -> float:
        """Return one step of the last digit of a printed number, in SI."""
        places = Decimal(printed).as_tuple().exponent
        return float(Fraction(10) ** int(places) * self.factor)

    def to_si(self, printed: str) -> float:
        """Return a printed number in SI, rounded once."""
        return float(Fraction(printed) * self.factor + self.offset)


@dataclass(frozen=True, slots=True, kw_only=True)
class PropertyRow:
    """A published number.

    Parameters
    ----------
    key, material : str
        Short name of the material, such as ``dinp``, and its name in words.
    name : str
        The property's name.
    value : float
        [`si`]
    low, high : float or None
        Spread seen; None where none is known. [`si`]
    last_digit : float
        One step of the last digit printed. [`si`]
    si, unit : str
        Unit of the values here, and the unit they were printed in.
    condition : str
        Temperature, composition, and whatever else the number holds for.
    mark : Origin
        ``published``, ``memory``, ``practice`` or ``computed``.
    citation : str
        Where it was printed, or from what it was computed.
    """

    key: str
    material: str
    name: str
    value: float
    low: float | None
    high: float | None
    last_digit: float
    si: str
    unit: str
    condition: str
    mark: Origin
    citation: str

    def estimate(self) -> Estimate:
        """Return the value with its spread as range; a missing end is what rounding leaves."""
        rounding = ROUNDING_SHARE * self.last_digit
        return Estimate(
            value=self.value,
            low=self.value - rounding if self.low is None else self.low,
            high=self.value + rounding if self.high is None else self.high,
            origin=self.mark,
            source=self.citation,
        )


def _properties(*rows: tuple[str, str, str, str, float, float]) -> dict[str, Property]:
    """Return properties by name from rows of name, printed unit, SI unit, factor and bounds."""
    return {
        name: Property(
            name=name,
            unit=unit,
            si=si,
            factor=Fraction(factor),
            offset=Fraction(str(ZERO_CELSIUS)) if unit == "°C" else Fraction(0),
            low=low,
            high=high,
        )
        for name, unit, si, factor, low, high in rows
    }


PROPERTIES: Final = _properties(
    ("density", "g/cm³", "kg/m³", "1000", 0.5, 20_000),
    ("bulk density", "g/cm³", "kg/m³", "1000", 10, 5_000),
    ("specific heat", "J/(g·K)", "J/(kg·K)", "1000", 100, 5_000),
    ("heat of fusion", "J/g", "J/kg", "1000", 0, 1e6),
    ("thermal conductivity", "W/(m·K)", "W/(m·K)", "1", 0.01, 500),
    ("thermal diffusivity", "m²/s", "m²/s", "1", 1e-9, 1e-3),
    ("volumetric expansion", "1/K", "1/K", "1", 0, 5e-3),
    ("linear expansion", "1/K", "1/K", "1", 0, 2e-3),
    ("volume shrink", "%", "-", "0.01", 0, 0.5),
    ("glass transition", "°C", "K", "1", 150, 500),
    ("flash point", "°C", "K", "1", 250, 650),
    ("critical gel temperature", "°C", "K", "1", 300, 550),
    ("kinematic viscosity", "cSt", "m²/s", "1e-6", 1e-7, 1),
    ("dynamic viscosity", "mPa·s", "Pa·s", "1e-3", 1e-4, 1e3),
    ("zero-shear viscosity", "Pa·s", "Pa·s", "1", 1e-3, 1e6),
    ("viscosity scaling exponent", "-", "-", "1", 0, 10),
    ("gel modulus scaling exponent", "-", "-", "1", 0, 10),
    ("critical gel relaxation exponent", "-", "-", "1", 0, 1),
    ("tensile modulus", "kPa", "Pa", "1000", 1e2, 1e9),
    ("vapour pressure", "mmHg", "Pa", "133.322387415", 0, 1e5),
    ("refractive index", "-", "-", "1", 1, 4),
    ("absorption index", "-", "-", "1", 0, 10),
    ("emissivity", "-", "-", "1", 0, 1),
    ("relative permittivity", "-", "-", "1", 1, 100),
    ("dielectric loss factor", "-", "-", "1", 0, 100),
    ("microwave penetration depth", "cm", "m", "0.01", 1e-3, 10),
    ("activation energy", "kJ/mol", "J/mol", "1000", 1e4, 1e6),
    ("dehydrochlorination rate", "mol%/min", "1/s", "1/6000", 0, 1),
    ("rate prefactor", "1/s", "1/s", "1", 1, 1e20),
    ("browning factor per 10 K", "-", "-", "1", 1, 10),
    ("concentration in air", "mg/m³", "kg/m³", "1e-6", 0, 1e-3),
    ("volume", "mL", "m³", "1e-6", 0, 1e-3),
)
MARKS: Final = (Origin.PUBLISHED, Origin.MEMORY, Origin.PRACTICE, Origin.COMPUTED)


def read_row(cells: Mapping[str, str]) -> PropertyRow:
    """Return one row of a property table, checked.

    Parameters
    ----------
    cells : mapping of str to str
        ``key``, ``material``, ``property``, ``value``, ``unit``, ``low``, ``high``,
        ``condition``, ``mark`` and ``citation``; the numbers in the unit printed.

    Returns
    -------
    row : PropertyRow
        The same in SI.

    Raises
    ------
    DataError
        If the property or the mark is unknown, the unit is not the property's, a number cannot
        be read or be true of any material, the value lies outside its spread, or nothing is
        cited.
    """
    where = f"{cells['property']} of {cells['material']}"
    known = PROPERTIES.get(cells["property"])
    if known is None:
        raise DataError(f"The {where} is in the table, but no such property is known.")
    if cells["unit"] != known.unit:
        raise DataError(f"The {where} is in “{cells['unit']}”; it must be in {known.unit}.")
    if cells["mark"] not in MARKS or not cells["citation"]:
        raise DataError(f"The {where} must say where it comes from: {', '.join(MARKS)}, and cite.")
    value, low, high = (_number(cells[name], known, where) for name in ("value", "low", "high"))
    if value is None:
        raise DataError(f"The {where} has no value.")
    if (low is not None and low > value) or (high is not None and high < value):
        raise DataError(
            f"The {where} is {cells['value']}, outside its own spread of "
            f"{cells['low'] or '…'} to {cells['high'] or '…'} {known.unit}."
        )
    return PropertyRow(
        key=cells["key"], material=cells["material"], name=known.name, value=value, low=low,
        high=high, last_digit=known.last_digit(cells["value"]), si=known.si, unit=known.unit,
        condition=cells["condition"],
        mark=Origin(cells["mark"]), citation=cells["citation"],
    )  # fmt: skip


def _number(printed: str, known: Property, where: str) -> float | None:
    """Return a cell in SI, None where it is empty; refuse what no material can have."""
    if not printed:
        return None
    try:
        value = known.to_si(printed)
    except (ValueError, ZeroDivisionError):
        raise DataError(f"The {where} is “{printed}”, which is no number.") from None
    if not known.low <= value <= known.high:
        raise DataError(
            f"The {where} is {printed} {known.unit}; anything at the bench lies in "
            f"{known.low:g} to {known.high:g} {known.si}."
        )
    return value
