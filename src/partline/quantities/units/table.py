"""The units a maker may write, and the words that must be asked about."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Final

from partline.quantities.constants import (
    IMPERIAL_GALLON,
    INCH,
    POUND,
    US_GALLON,
    ZERO_CELSIUS,
)


class Kind(StrEnum):
    """What a field measures; its SI unit stands beside it."""

    MASS = "mass"  # [kg]
    VOLUME = "volume"  # [m³]
    LENGTH = "length"  # [m]
    TEMPERATURE = "temperature"  # [K]
    TEMPERATURE_STEP = "temperature difference"  # [K], such as a thermometer's ±1 °C
    DENSITY = "density"  # [kg/m³]
    SHARE = "share"  # [-], 0..1
    DROPS = "number of drops"  # [drops]
    TIME = "time"  # [s]
    POWER = "power"  # [W]
    NUMBER = "plain number"  # [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """One unit: SI value = number × `factor` + `offset`, both exact.

    Parameters
    ----------
    symbol : str
        How it is written.
    kind : Kind
        What it measures.
    factor, offset : Fraction
        Size of one unit and place of its zero. [the kind's SI unit]
    names : tuple of str
        Other spellings, lower case, the first of them in words and plural.
    """

    symbol: str
    kind: Kind
    factor: Fraction
    offset: Fraction = Fraction(0)
    names: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The unit's name in words, such as ``grams``."""
        return self.names[0] if self.names else self.symbol

    def to_si(self, number: Fraction) -> float:
        """Return `number` of this unit in SI, rounded once."""
        return float(number * self.factor + self.offset)

    def from_si(self, value: float) -> float:
        """Return an SI value as a number of this unit."""
        return (value - float(self.offset)) / float(self.factor)


def _units(kind: Kind, *rows: tuple[str, Fraction | int | str, str]) -> tuple[Unit, ...]:
    """Return units of one kind from rows of symbol, size, and spellings parted by commas."""
    return tuple(
        Unit(
            symbol=symbol,
            kind=kind,
            factor=Fraction(factor),
            names=tuple(name.strip() for name in names.split(",") if name.strip()),
        )
        for symbol, factor, names in rows
    )


_ZERO_C = Fraction(str(ZERO_CELSIUS))
_ZERO_F = _ZERO_C - 32 * Fraction(5, 9)
_CELSIUS = ("degrees Celsius", "degree celsius", "celsius", "c", "degc", "deg c", "℃")
_FAHRENHEIT = (
    "degrees Fahrenheit", "degree fahrenheit", "fahrenheit", "f", "degf", "deg f", "℉",
)  # fmt: skip

# The first unit of each kind is the one that questions are explained in.
UNITS: Final[tuple[Unit, ...]] = (
    *_units(
        Kind.MASS,
        ("g", "0.001", "grams, gram"),
        ("kg", 1, "kilograms, kilogram, kilo, kilos"),
        ("mg", "0.000001", "milligrams, milligram"),
        ("oz (weight)", POUND / 16, "ounces by weight, oz(weight), oz weight, oz wt, ozw"),
        ("lb", POUND, "pounds, pound, lbs"),
    ),
    *_units(
        Kind.VOLUME,
        ("mL", "0.000001", "millilitres, millilitre, milliliters, milliliter, cm³, cm3, cc"),
        ("L", "0.001", "litres, litre, liters, liter"),
        ("US fl oz", US_GALLON / 128, "US fluid ounces, us fluid ounce, fl oz (us), fl oz us"),
        ("imp fl oz", IMPERIAL_GALLON / 160, "imperial fluid ounces, imperial fluid ounce, "
         "imperial fl oz, uk fl oz, fl oz (imp), fl oz imp"),
        ("US tsp", US_GALLON / 768, "US teaspoons, us teaspoon"),
        ("metric tsp", "0.000005", "metric teaspoons, metric teaspoon"),
        ("US tbsp", US_GALLON / 256, "US tablespoons, us tablespoon"),
        ("metric tbsp", "0.000015", "metric tablespoons, metric tablespoon"),
        ("Australian tbsp", "0.00002", "Australian tablespoons, australian tablespoon"),
        ("US pt", US_GALLON / 8, "US pints, us pint, us pts"),
        ("US qt", US_GALLON / 4, "US quarts, us quart, us qts"),
        ("US gal", US_GALLON, "US gallons, us gallon, us gals"),
        ("imp pt", IMPERIAL_GALLON / 8, "imperial pints, imperial pint, uk pt, uk pint"),
        ("imp qt", IMPERIAL_GALLON / 4, "imperial quarts, imperial quart, uk qt, uk quart"),
        ("imp gal", IMPERIAL_GALLON, "imperial gallons, imperial gallon, uk gal, uk gallon"),
        ("US cup", US_GALLON / 16, "US measuring cups, us cups"),
        ("metric cup", "0.00025", "metric measuring cups, metric cups"),
    ),
    *_units(
        Kind.LENGTH,
        ("mm", "0.001", "millimetres, millimetre, millimeters, millimeter"),
        ("cm", "0.01", "centimetres, centimetre, centimeters, centimeter"),
        ("m", 1, "metres, metre, meters, meter"),
        ("µm", "0.000001", "micrometres, micrometre, micrometers, micrometer, μm, um, microns"),
        ("in", INCH, "inches, inch"),
        ("ft", 12 * INCH, "feet, foot"),
    ),
    Unit(symbol="°C", kind=Kind.TEMPERATURE, factor=Fraction(1), offset=_ZERO_C, names=_CELSIUS),
    Unit(
        symbol="°F", kind=Kind.TEMPERATURE, factor=Fraction(5, 9), offset=_ZERO_F,
        names=_FAHRENHEIT,
    ),
    *_units(Kind.TEMPERATURE, ("K", 1, "kelvins, kelvin")),
    Unit(symbol="°C", kind=Kind.TEMPERATURE_STEP, factor=Fraction(1), names=_CELSIUS),
    Unit(symbol="°F", kind=Kind.TEMPERATURE_STEP, factor=Fraction(5, 9), names=_FAHRENHEIT),
    *_units(Kind.TEMPERATURE_STEP, ("K", 1, "kelvins, kelvin")),
    *_units(
        Kind.DENSITY,
        ("g/mL", 1000, "grams per millilitre, g/cm³, g/cm3, g/cc"),
        ("kg/m³", 1, "kilograms per cubic metre, kg/m3"),
    ),
    *_units(Kind.SHARE, ("%", "0.01", "per cent, percent")),
    *_units(Kind.DROPS, ("drops", 1, "drops, drop")),
    *_units(
        Kind.TIME,
        ("s", 1, "seconds, second, sec, secs"),
        ("min", 60, "minutes, minute, mins"),
        ("h", 3600, "hours, hour, hr, hrs"),
    ),
    *_units(Kind.POWER, ("W", 1, "watts, watt"), ("kW", 1000, "kilowatts, kilowatt")),
    *_units(Kind.NUMBER, ("", 1, "")),
)  # fmt: skip

_FLUID = ("US fl oz", "imp fl oz")
_PINTS, _QUARTS, _GALLONS = ("US pt", "imp pt"), ("US qt", "imp qt"), ("US gal", "imp gal")
_TEASPOONS = ("US tsp", "metric tsp")
_TABLESPOONS = ("US tbsp", "metric tbsp", "Australian tbsp")
_CUPS = ("US cup", "metric cup")
_DEGREES = ("°C", "°F")
_ASKED_GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("oz, ounce, ounces", ("oz (weight)", *_FLUID)),
    ("fl oz, floz, fl. oz, fluid oz, fluid ounce, fluid ounces", _FLUID),
    ("pt, pts, pint, pints", _PINTS),
    ("qt, qts, quart, quarts", _QUARTS),
    ("gal, gals, gallon, gallons", _GALLONS),
    ("tsp, tsps, teaspoon, teaspoons", _TEASPOONS),
    ("tbsp, tbsps, tbs, tablespoon, tablespoons", _TABLESPOONS),
    ("t, tb, spoon, spoons, spoonful, spoonfuls", (*_TEASPOONS, *_TABLESPOONS)),
    ("cup, cups, c", _CUPS),
    ("°, deg, degree, degrees", _DEGREES),
    ("\", ″, ”, ''", ("in", "mm")),  # inch marks, or a ditto mark copied along
)
# Spellings with more than one meaning, and the units each may mean. Letter case is no help
# here: notebooks use T and t for both spoons.
ASKED: Final[dict[str, tuple[str, ...]]] = {
    word.strip(): symbols for words, symbols in _ASKED_GROUPS for word in words.split(",")
}

# What a number without a unit is asked about.
OFFERED: Final[dict[Kind, tuple[str, ...]]] = {
    Kind.MASS: ("g", "oz (weight)"),
    Kind.VOLUME: ("mL", *_FLUID),
    Kind.LENGTH: ("mm", "in"),
    Kind.TEMPERATURE: _DEGREES,
    Kind.TEMPERATURE_STEP: _DEGREES,
    Kind.DENSITY: ("g/mL", "kg/m³"),
    Kind.SHARE: ("%",),
    Kind.DROPS: ("drops",),
    Kind.TIME: ("s", "min"),
    Kind.POWER: ("W", "kW"),
    Kind.NUMBER: ("",),
}

EXAMPLES: Final[dict[Kind, str]] = {
    Kind.MASS: "12.5 g", Kind.VOLUME: "35 mL", Kind.LENGTH: "5.5 mm",
    Kind.TEMPERATURE: "163 °C", Kind.TEMPERATURE_STEP: "5 °C", Kind.DENSITY: "1.016 g/mL",
    Kind.SHARE: "7 %", Kind.DROPS: "9 drops", Kind.TIME: "40 s", Kind.POWER: "900 W",
    Kind.NUMBER: "4",
}  # fmt: skip

UNITS_BY_KIND: Final = {kind: tuple(unit for unit in UNITS if unit.kind is kind) for kind in Kind}
_BY_SYMBOL = {(unit.kind, unit.symbol): unit for unit in UNITS}
# No unit here has a twin that differs by letter case alone, so KG and Ml are read as meant.
_BY_NAME = {
    (unit.kind, name.lower()): unit for unit in UNITS for name in (unit.symbol, *unit.names)
}


def tidy(name: str) -> str:
    """Return a unit's name with single spaces, without full stop, degree and slash closed up."""
    name = " ".join(name.lower().split()).removesuffix(".").rstrip()
    return name.replace("˚", "°").replace("º", "°").replace("° ", "°").replace(" / ", "/")


def find(name: str, kind: Kind) -> Unit | None:
    """Return the unit of `kind` that is written `name`, if there is one."""
    return _BY_NAME.get((kind, tidy(name)))


def named(symbols: tuple[str, ...], kind: Kind) -> tuple[Unit, ...]:
    """Return those units of `kind` whose symbols are listed."""
    return tuple(_BY_SYMBOL[kind, symbol] for symbol in symbols if (kind, symbol) in _BY_SYMBOL)
