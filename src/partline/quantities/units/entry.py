"""What a maker types into a field, read once: an SI value, a question, or a plain refusal."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from partline.errors import OutOfRange
from partline.quantities.units.field import Field
from partline.quantities.units.table import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """A quantity as it was typed and as it is used; both are kept.

    Parameters
    ----------
    text : str
        Exactly what was typed.
    value : float
        The same in SI. [the kind's SI unit]
    unit : str
        Symbol of the unit that was typed.
    """

    text: str
    value: float
    unit: str


def parse(
    text: str,
    kind: Kind,
    *,
    field: str = "",
    low: float | None = None,
    high: float | None = None,
    plausible: tuple[float, float] | None = None,
    drop_mass_kg: float | None = None,
) -> Entered:
    """Read one quantity as a maker writes it.

    Parameters
    ----------
    text : str
        Such as ``12.5 g``, ``1 1/2 in``, ``½ US tsp``, ``350 °F``.
    kind : Kind
        What the field measures.
    field : str
        The field's path in its form or document, for the error.
    low, high : float, optional
        Limits of the possible; a value outside is refused. [SI unit of `kind`]
    plausible : tuple of float, optional
        Limits of the likely. Outside them the entry is a question where another unit would
        make it likely (350 °C for 350 °F), and is refused otherwise. [SI unit of `kind`]
    drop_mass_kg : float, optional
        Weighed mass of one drop, to turn drops into mass or mass into drops. [kg]

    Returns
    -------
    entered : Entered
        The text, the SI value and the unit.

    Raises
    ------
    Ambiguous
        If there is more than one reading, or an amount must be weighed first.
    OutOfRange
        If the value lies outside its limits, or below absolute zero.
    InputError
        If the text is no quantity of this kind.

    Examples
    --------
    >>> parse("1 1/2 in", Kind.LENGTH)
    Entered(text='1 1/2 in', value=0.0381, unit='in')
    """
    if kind is Kind.TEMPERATURE:
        low = max(0.0, low or 0.0)  # absolute zero
    if drop_mass_kg is not None and not 0 < drop_mass_kg < inf:
        message = f"A drop cannot weigh {drop_mass_kg * 1e6:g} mg."
        raise OutOfRange(message, low=0.0, unit="mg", remedy="Weigh fifty drops once more.")
    asked = Field(
        kind=kind, path=field, low=low, high=high, plausible=plausible, drop_mass=drop_mass_kg
    )
    value, unit = asked.read(text)
    return Entered(text=text, value=value, unit=unit.symbol)


def to_si(text: str, kind: Kind) -> float:
    """Return the SI value of a text; raises as `parse` does.

    Examples
    --------
    >>> to_si("35 ml", Kind.VOLUME)
    3.5e-05
    """
    return parse(text, kind).value
