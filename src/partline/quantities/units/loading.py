"""Loadings: so much of a supply to every 100 g of plain plastic, in drops or by weight."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from partline.errors import Ambiguous, InputError, Reading
from partline.quantities.units.entry import parse
from partline.quantities.units.field import LONGEST
from partline.quantities.units.number import Number, read_numbers
from partline.quantities.units.table import Kind, find

BASIS: Final = 0.1  # [kg] of plain plastic that a loading refers to
_UNREADABLE = "This is not a loading."
_LOADING = "Write drops or grams to plain plastic, such as 9 drops per 100 g or 0.25 g per 100 g."
_PER_BASIS = re.compile(r"\s*(?:/|per|to|in)\s*100\s?g$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """A loading as it was typed and as it is used; both are kept.

    Parameters
    ----------
    text : str
        Exactly what was typed.
    value : float
        Drops to 100 g of plastic where `unit` is ``drops`` [drops], otherwise the mass share to
        the plain plastic [kg/kg].
    unit : str
        Symbol of the unit that was typed.
    """

    text: str
    value: float
    unit: str

    def share(self, drop_mass_kg: float | None = None) -> float:
        """Return the mass to the mass of plain plastic. [kg/kg]

        Raises
        ------
        Ambiguous
            If it was counted in drops and no drop has been weighed.
        """
        if self.unit != "drops":
            return self.value
        return self.value * self._weighed(drop_mass_kg) / BASIS

    def drops(self, drop_mass_kg: float | None = None) -> float:
        """Return the drops to 100 g of plain plastic. [drops]

        Raises
        ------
        Ambiguous
            If it was weighed and no drop has been.
        """
        if self.unit == "drops":
            return self.value
        return self.value * BASIS / self._weighed(drop_mass_kg)

    def _weighed(self, drop_mass_kg: float | None) -> float:
        if drop_mass_kg is None:
            raise Ambiguous(
                f"“{self.text}”: a drop's mass depends on the bottle and is not known here.",
                readings=(),
                given=self.text,
                remedy="Weigh fifty drops from this bottle once.",
            )
        return drop_mass_kg


def parse_loading(text: str, *, field: str = "") -> Loading:
    """Read a loading such as ``9 drops per 100 g``, ``0.25 g/100 g`` or ``9 drops``.

    Parameters
    ----------
    text : str
        As typed; "per 100 g" may be left out, since every loading is to 100 g of plain plastic.
    field : str
        The field's path, for the error.

    Raises
    ------
    Ambiguous
        If the unit is missing, or a share in % may be of the plastic or of the whole.
    OutOfRange
        If it is negative.
    InputError
        If it is no loading.

    Examples
    --------
    >>> parse_loading("9 drops per 100 g").share(30e-6)
    0.0027
    """
    amount = _PER_BASIS.sub("", " ".join(text.split()) if len(text) <= LONGEST else text)
    numbers, name = read_numbers(amount)
    usable = tuple(number for number in numbers if number.value >= 0)
    if usable and (not name or find(name, Kind.SHARE)):
        raise _ask(amount, usable, name, field)
    counted = bool(numbers and find(name, Kind.DROPS))
    kind, basis = (Kind.DROPS, 1.0) if counted else (Kind.MASS, BASIS)
    try:
        entered = parse(amount, kind, field=field, low=0.0)
    except InputError as error:
        if type(error) is InputError:  # neither a question nor a limit: say what a loading is
            raise InputError(
                _UNREADABLE, field=field, given=error.given, remedy=_LOADING
            ) from None
        raise
    return Loading(text=text, value=entered.value / basis, unit=entered.unit)


def _ask(amount: str, numbers: tuple[Number, ...], name: str, field: str) -> Ambiguous:
    """Return the question about a bare number, or about what a share is a share of."""
    message = f"“{amount}” has no unit."
    if name:
        message = f"“{amount}” may be a share of the plain plastic or of the whole."
    readings = tuple(
        reading for number in numbers for reading in (_of_share if name else _of_bare)(number)
    )
    return Ambiguous(message, readings=readings, field=field, given=amount)


def _of_bare(number: Number) -> Iterator[Reading]:
    """Yield what a number without a unit may mean."""
    for unit in ("drops", "g"):
        yield Reading(write=f"{number.text} {unit} per 100 g", means=f"{unit} to plain plastic")


def _of_share(number: Number) -> Iterator[Reading]:
    """Yield what a share in per cent may mean."""
    means = f"{number.text} % of the plain plastic"
    yield Reading(write=f"{number.text} g per 100 g", means=means)
    if 0 < number.value < 100:
        grams = float(100 * number.value / (100 - number.value))
        means = f"{number.text} % of plastic and addition together"
        yield Reading(write=f"{grams:.4g} g per 100 g", means=means)
