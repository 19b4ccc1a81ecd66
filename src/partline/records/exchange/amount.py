"""Amounts in a document: text with a unit in, SI out, and exactly the same text back."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from partline.errors import Ambiguous, InputError, OutOfRange, Reading
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind, parse
from partline.quantities.units.table import Unit, find


def unit_of(symbol: str, kind: Kind) -> Unit:
    """Return the unit of a kind that this room itself writes."""
    unit = find(symbol, kind)
    if unit is None:
        raise LookupError(symbol, kind)
    return unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Limits of the plausible, in the unit a maker would say them in.

    Parameters
    ----------
    low, high : float
        Ends, both allowed. [`unit`]
    unit : str
        Symbol of the unit; empty for a plain number.
    why : str
        What lies beyond, as a sentence.
    """

    low: float
    high: float
    unit: str = ""
    why: str = ""

    def si(self, kind: Kind) -> tuple[float, float]:
        """Return both ends in SI."""
        unit = unit_of(self.unit, kind)
        return unit.to_si(Fraction(str(self.low))), unit.to_si(Fraction(str(self.high)))

    def number(self, label: str, value: Decimal | int | float) -> float:
        """Return a plain number that lies within.

        Raises
        ------
        OutOfRange
            If it does not, or is no number.
        """
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if self.low <= number <= self.high:
            return number
        unit = f" {self.unit}" if self.unit else ""
        raise OutOfRange(
            f"{label} is {shown(value)}{unit}; "
            f"it must lie in {self.low:g} to {self.high:g}{unit}.",
            low=self.low,
            high=self.high,
            unit=self.unit,
            given=shown(value),
            remedy=self.remedy,
        )

    @property
    def remedy(self) -> str:
        """What to do about a value outside."""
        return f"{self.why} Check the number.".strip()


def shown(value: object) -> str:
    """Return a value of a document as a person would recognise it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and abs(value) > 10**18:
        return "a huge number"
    if isinstance(value, (str, int, float, Decimal)):
        text = str(value)
        return text if len(text) <= 80 else f"{text[:79]}…"
    word = {"dict": "table"}.get(type(value).__name__, type(value).__name__)
    return f"a {word}"


def read_amount(label: str, value: object, kind: Kind, span: Span) -> float:
    """Return an amount in SI; what cannot be used is said with the field's name in front.

    Raises
    ------
    InputError
        If it is no amount of this kind, has more than one reading, or lies outside `span`.
    """
    if isinstance(value, bool) or not isinstance(value, (str, int, Decimal)):
        message = f"{label} is {shown(value)}; it must be an amount."
        raise InputError(message, given=shown(value), remedy="Write it as text, in quotes.")
    if kind is Kind.NUMBER and (asked := _part_of_one(label, value, span)):
        raise asked
    if kind is Kind.NUMBER and not isinstance(value, str):
        return span.number(label, value)
    if kind is Kind.SHARE and not isinstance(value, str) and 0 < value <= 1:
        raise _share_or_per_cent(label, value)
    try:
        entered = parse(
            value if isinstance(value, str) else shown(value), kind, plausible=span.si(kind)
        )
    except InputError as problem:
        problem.message = f"{label.rstrip(',')}: {problem.message}"
        problem.args = (problem.message,)
        if not problem.remedy:
            problem.remedy = span.remedy
        raise
    return entered.value


def scaled_number(label: str, value: object, span: Span, factor: Decimal) -> float:
    """Return a plain number within `span` times `factor`, rounded once.

    Raises
    ------
    InputError
        If it is no number, or lies outside.
    """
    if isinstance(value, bool) or not isinstance(value, (int, Decimal)):
        message = f"{label} is {shown(value)}; it must be a number."
        raise InputError(message, given=shown(value), remedy="Write it without quotes.")
    span.number(label, value)
    return float(Decimal(value) * factor)


def _share_or_per_cent(label: str, value: Decimal | int) -> Ambiguous:
    readings = (
        Reading(write=f"{plain(Decimal(value) * 100)} %", means="that part of the whole"),
        Reading(write=f"{plain(Decimal(value))} %", means="so many in a hundred"),
    )
    message = f"{label} is {value} without a unit."
    return Ambiguous(message, readings=readings, given=shown(value))


def _part_of_one(label: str, value: str | Decimal | int, span: Span) -> Ambiguous | None:
    """Return the question about per cent where a plain number is wanted, such as ``35 %``."""
    typed = shown(value).strip()
    number = typed.removesuffix("%").rstrip()
    try:
        per_cent = Decimal(number)
        may_be = (number != typed or span.high == 1 < per_cent) and (
            span.low <= per_cent / 100 <= span.high
        )
    except InvalidOperation:  # no number, or none that compares
        return None
    if not may_be:
        return None
    reading = Reading(write=plain(per_cent / 100), means=f"{number} %")
    limits = f"{span.low:g} to {span.high:g}"
    message = f"{label} is {typed}; a plain number in {limits} is wanted here. {span.why}"
    return Ambiguous(message.rstrip(), readings=(reading,), given=typed)


def write_amount(value: float, unit: str, kind: Kind) -> str:
    """Return an SI value as text in a metric unit; reading it gives exactly `value` again."""
    chosen = unit_of(unit, kind)
    number = (Fraction(repr(float(value))) - chosen.offset) / chosen.factor
    # Sizes of metric units are powers of ten, so the quotient has as many digits as the value.
    exact = Decimal(number.numerator) / Decimal(number.denominator)
    return f"{plain(exact)} {unit}".rstrip()


def write_number(value: float) -> int | Decimal:
    """Return a plain number for TOML with the digits of its shortest spelling."""
    number = float(value)
    return int(number) if number.is_integer() and abs(number) < 1e15 else Decimal(repr(number))


#: Part of the last digit's step that holds a rounded reading 4 times in 5, on either side.
HALF_RANGE = 0.4
_NUMBER = re.compile(r"\s*(?P<number>\d+(?:\.(?P<decimals>\d+))?)\s*[^\d\s/½¼¾⅓⅔⅛⅜⅝⅞]")


def read_estimate(label: str, value: object, kind: Kind, span: Span) -> Estimate:
    """Return an amount in its short form, known to the last digit that was typed.

    Raises
    ------
    InputError
        As `read_amount`.
    """
    return as_typed(value, read_amount(label, value, kind, span))


def as_typed(value: object, si: float) -> Estimate:
    """Return an SI value with the range that its typed digits leave open.

    A fraction or a plain number says nothing of how it was read, and stays exact.
    """
    typed = _NUMBER.match(value) if isinstance(value, str) else None
    number = float(typed["number"]) if typed else 0.0
    if typed is None or number == 0:
        return Estimate.exact(si)
    open_share = HALF_RANGE * 10.0 ** -len(typed["decimals"] or "") / number
    return Estimate(
        value=si,
        low=si * (1 - min(open_share, 1.0)),
        high=si * (1 + open_share),
        origin=Origin.ENTERED,
        source="to the last digit typed",
    )


def write_estimate(estimate: Estimate, unit: str, kind: Kind) -> object:
    """Return an estimate in its short form where that says everything, else as a table."""

    def end(value: float) -> object:
        if kind is Kind.NUMBER:
            return write_number(value)
        return write_amount(value, unit, kind)

    short = end(estimate.value)
    if estimate == as_typed(short, estimate.value):
        return short
    table: dict[str, object] = {"value": short}
    if short != end(estimate.low) or short != end(estimate.high):
        table |= {"low": end(estimate.low), "high": end(estimate.high)}
    if estimate.origin is not Origin.ENTERED:
        table["origin"] = estimate.origin.value
    return table | without_blanks(
        {"source": estimate.source, "narrows": estimate.narrows, "count": estimate.count}
    )


def without_blanks(table: dict[str, object]) -> dict[str, object]:
    """Return a table without what was left empty: None, "", 0, no and empty lists."""
    return {key: value for key, value in table.items() if value}


def plain(number: Decimal) -> str:
    """Return a decimal without exponent or trailing zeros."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
