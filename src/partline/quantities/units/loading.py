"""Loadings: so much of a supply in every 100 g of the filled cup, in drops or by weight."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from partline.errors import Ambiguous, InputError, OutOfRange, Reading
from partline.quantities.units.entry import parse
from partline.quantities.units.field import plain_line
from partline.quantities.units.number import Number, read_numbers
from partline.quantities.units.table import Kind, find

BASIS: Final = 0.1  # [kg] of the filled cup that a loading refers to
_LOADING = "Write drops or grams in 100 g of the filled cup, such as 9 drops per 100 g or 0.25 g."
_RARE, _MOST = Fraction(1, 100), 90  # [%] shares of the whole outside this are not offered
_PER_BASIS = re.compile(r"\s*(?:/|per|to|in)\s*100\s?(?:g|grams?)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """A loading as it was typed and as it is used; both are kept.

    Parameters
    ----------
    text : str
        Exactly what was typed.
    value : float
        Drops in 100 g of the filled cup where `unit` is ``drops`` [drops], otherwise the mass
        share of the filled cup [kg/kg].
    unit : str
        Symbol of the unit that was typed.
    """

    text: str
    value: float
    unit: str


def parse_loading(text: str, *, field: str = "") -> Loading:
    """Read a loading such as ``9 drops per 100 g``, ``0.25 g/100 g`` or ``9 drops``.

    Parameters
    ----------
    text : str
        As typed; "per 100 g" may be left out, since every loading is in 100 g of the filled cup.
    field : str
        The field's path, for the error.

    Raises
    ------
    Ambiguous
        If the unit is missing, or a share in % may be of the filled cup or of the plastisol.
    OutOfRange
        If it is negative.
    InputError
        If it is no loading.

    Examples
    --------
    >>> parse_loading("0.25 g/100 g").value
    0.0025
    """
    line = plain_line(text, what="loading", path=field, remedy=_LOADING)
    amount = _PER_BASIS.sub("", line)
    numbers, name = read_numbers(amount)
    usable = tuple(number for number in numbers if number.value >= 0)
    if usable and (not name or find(name, Kind.SHARE)):
        raise _ask(amount, usable, name, field)
    counted = bool(numbers and find(name, Kind.DROPS))
    kind, basis = (Kind.DROPS, 1.0) if counted else (Kind.MASS, BASIS)
    try:
        entered = parse(amount, kind, field=field, low=0.0)
    except OutOfRange as error:
        error.remedy = "Check the number: nothing can be taken out of a cup by a loading."
        raise
    except InputError as error:
        if type(error) is InputError:  # neither a question nor a limit: say what a loading is
            message = f"“{line}” cannot be read as a loading."
            raise InputError(message, field=field, given=line, remedy=_LOADING) from None
        raise
    return Loading(text=text, value=entered.value / basis, unit=entered.unit)


def _ask(amount: str, numbers: tuple[Number, ...], name: str, field: str) -> Ambiguous:
    """Return the question about a bare number, or about what a share is a share of."""
    message = f"“{amount}” has no unit."
    if name:
        message = f"“{amount}” may be a share of the filled cup or of the plastisol in it."
    readings = tuple(
        reading for number in numbers for reading in (_of_share if name else _of_bare)(number)
    )
    return Ambiguous(message, readings=readings, field=field, given=amount)


def _of_bare(number: Number) -> Iterator[Reading]:
    """Yield what a number without a unit may mean."""
    for unit in ("drops", "g"):
        means = f"{unit} in every 100 g of the filled cup"
        yield Reading(write=f"{number.text} {unit} per 100 g", means=means)


def _of_share(number: Number) -> Iterator[Reading]:
    """Yield what a share in per cent may mean."""
    means = f"{number.text} % of the filled cup"
    yield Reading(write=f"{number.text} g per 100 g", means=means)
    if _RARE < number.value < _MOST:
        grams = float(100 * number.value / (100 + number.value))
        means = f"{number.text} g to every 100 g of plastisol"
        yield Reading(write=f"{grams:.4g} g per 100 g", means=means)
