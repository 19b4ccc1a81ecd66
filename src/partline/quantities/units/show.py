"""Numbers going out: an SI value in the unit a maker reads."""

from __future__ import annotations

from partline.errors import InputError
from partline.quantities.units.table import UNITS, Kind, Unit


def from_si(value: float, unit: str, kind: Kind | None = None) -> float:
    """Return an SI value as a number of a maker's unit.

    Parameters
    ----------
    value : float
        The value. [the unit's SI unit]
    unit : str
        Symbol as in `UNITS`, such as ``°C``.
    kind : Kind, optional
        Needed only for a temperature difference, whose symbols are those of temperatures.

    Returns
    -------
    number : float
        How many of `unit`. [unit]

    Raises
    ------
    InputError
        If there is no such unit.

    Examples
    --------
    >>> round(from_si(436.15, "°C"), 9)
    163.0
    """
    return _unit(unit, kind).from_si(value)


def show(value: float, unit: str, digits: int = 1, kind: Kind | None = None) -> str:
    """Return an SI value as a person reads it, such as ``163.0 °C``.

    Parameters
    ----------
    value : float
        The value. [the unit's SI unit]
    unit : str
        Symbol as in `UNITS`.
    digits : int
        Digits after the decimal point.
    kind : Kind, optional
        As for `from_si`.

    Raises
    ------
    InputError
        If there is no such unit.

    Examples
    --------
    >>> show(0.1621, "g")
    '162.1 g'
    """
    number = round(from_si(value, unit, kind), digits) + 0.0  # + 0.0 turns −0.0 into 0.0
    return f"{number:.{digits}f} {unit}".rstrip()


def _unit(symbol: str, kind: Kind | None = None) -> Unit:
    """Return the unit written exactly `symbol`; without `kind` the first that fits."""
    for unit in UNITS:
        if unit.symbol == symbol and kind in (None, unit.kind):
            return unit
    raise InputError(f"There is no unit “{symbol}” here.", given=symbol)
