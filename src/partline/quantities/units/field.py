"""A field that is typed into: what an entry means there, or what must be said about it."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from partline.errors import Ambiguous, InputError, OutOfRange, Reading
from partline.quantities.units.number import Number, read_numbers
from partline.quantities.units.table import (
    ASKED,
    EXAMPLES,
    OFFERED,
    UNITS,
    UNITS_BY_KIND,
    Kind,
    Unit,
    find,
    named,
    tidy,
)

LONGEST: Final = 80  # characters; the longest sensible entry has about twenty
_LEAST = Fraction(1, 10_000)  # shares below it are not written as parts of one
_WEIGH = "Weigh one level measure of it once on the scale, and enter grams."
_WEIGH_DROPS = "Weigh fifty drops from this bottle once, or enter grams."


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """The field that is typed into: what it measures and what it can hold, in SI.

    The parameters are those of `partline.quantities.units.parse`.
    """

    kind: Kind
    path: str
    low: float | None
    high: float | None
    plausible: tuple[float, float] | None
    drop_mass: float | None

    def read(self, text: str) -> tuple[float, Unit]:
        """Return the SI value and the unit of `text`, or raise what must be said about it."""
        line = plain_line(text, what=self.kind, path=self.path, remedy=self._example())
        numbers, name = read_numbers(line)
        if not numbers:
            raise self._unreadable(line)
        unit = self._unit(name)
        if unit is None:
            raise self._question_of_unit(line, numbers, name)
        number = numbers[0]
        if number.why:
            message = f"“{line}” has a comma, which is read differently from place to place."
            if "," not in line:
                message = f"“{line}” has a dash, which may join its numbers or part them."
            raise self._ask(message, line, numbers, (unit,))
        value = unit.to_si(number.value)
        if not self._is_plausible(value):
            raise self._ask_for_other_unit(line, number, unit)
        if not self._is_possible(value):
            raise self._out_of_range(line, unit)
        return value, unit

    def _unit(self, name: str) -> Unit | None:
        """Return the one unit that `name` means in this field."""
        if not name and self.kind is Kind.DROPS:
            name = "drops"  # the field's only unit; there is nothing to mistake it for
        unit = find(name, self.kind)
        if unit is None and self.drop_mass is not None:
            mass = Fraction(self.drop_mass)
            if self.kind is Kind.MASS and (drops := find(name, Kind.DROPS)):
                return replace(drops, kind=Kind.MASS, factor=mass)
            if self.kind is Kind.DROPS and (weighed := find(name, Kind.MASS)):
                return replace(weighed, kind=Kind.DROPS, factor=weighed.factor / mass)
        return unit

    def _offered(self) -> tuple[Unit, ...]:
        """Return the units a bare number is asked about."""
        units = named(OFFERED[self.kind], self.kind)
        drops = self._unit("drops") if self.kind is Kind.MASS else None
        return (*units, drops) if drops else units

    def _is_possible(self, value: float) -> bool:
        return (self.low is None or value >= self.low) and (
            self.high is None or value <= self.high
        )

    def _is_plausible(self, value: float) -> bool:
        return self.plausible is None or self.plausible[0] <= value <= self.plausible[1]

    # ------- what must be said

    def _question_of_unit(self, line: str, numbers: tuple[Number, ...], name: str) -> InputError:
        """Return what to say about a name that is not one unit of this field."""
        if not name:
            if self.kind is Kind.SHARE:
                numbers += tuple(_per_cent(n) for n in numbers if _LEAST <= n.value <= 1)
            units = self._offered()
            if not any(self._is_plausible(u.to_si(n.value)) for u in units for n in numbers):
                units = UNITS_BY_KIND[self.kind]  # a drop of “30” is meant in mg
            return self._ask(f"“{line}” has no unit.", line, numbers, units)
        symbols = ASKED.get(tidy(name), ())
        if units := named(symbols, self.kind):
            words = dict.fromkeys(unit.words for unit in UNITS if unit.symbol in symbols)
            meanings = ", ".join(words)  # each once: °C is a temperature and a difference
            message = f"“{name}” has more than one meaning: {meanings}."
            question = self._ask(message, line, numbers, units)
            if "US cup" in symbols:
                question.remedy += " If it is your vessel, enter what it holds in mL."
            elif len(units) < len(symbols):
                question.remedy += f" This field takes a {self.kind} only."
            return question
        if self.kind is Kind.MASS and (measures := _measures(name)):
            return self._ask_to_weigh(line, numbers[0], measures)
        if {self.kind, _kind_of(name)} == {Kind.MASS, Kind.DROPS}:
            message = f"“{line}”: a drop's mass depends on the bottle and is not known here."
            return self._question(message, line, remedy=_WEIGH_DROPS)
        return self._unreadable(line, _kind_of(name))

    def _ask(
        self, message: str, line: str, numbers: tuple[Number, ...], units: tuple[Unit, ...]
    ) -> InputError:
        """Return the question with every reading that this field can hold."""
        readings = tuple(
            Reading(write=_written(number, unit), means=_meaning(number, unit))
            for number in numbers
            for unit in units
            if self._is_possible(value := unit.to_si(number.value)) and self._is_plausible(value)
        )
        if not readings:
            return self._out_of_range(line, units[0])
        return self._question(message, line, readings)

    def _ask_to_weigh(self, line: str, number: Number, measures: tuple[Unit, ...]) -> InputError:
        """Return the request to weigh once what was measured by volume."""
        sizes = " or ".join(f"{_written(number, u)}{_size(number, u)}" for u in measures)
        message = f"“{line}” is a volume, {sizes}; its mass depends on what is measured."
        return self._question(message, line, remedy=_WEIGH)

    def _question(
        self, message: str, line: str, readings: tuple[Reading, ...] = (), remedy: str = ""
    ) -> Ambiguous:
        return Ambiguous(message, readings=readings, field=self.path, given=line, remedy=remedy)

    def _ask_for_other_unit(self, line: str, number: Number, unit: Unit) -> InputError:
        """Return whether another unit was meant, for a value that is not likely."""
        refusal = self._out_of_range(line, unit)
        others = tuple(other for other in self._offered() if other.symbol != unit.symbol)
        message = f"{refusal.message} Is the unit right?"
        question = self._ask(message, line, (number,), others or (unit,))
        return question if isinstance(question, Ambiguous) else refusal

    def _out_of_range(self, line: str, unit: Unit) -> OutOfRange:
        """Return the refusal of a value outside its limits, said in the maker's unit."""
        likely_low, likely_high = self.plausible or (None, None)
        low = max((end for end in (self.low, likely_low) if end is not None), default=None)
        high = min((end for end in (self.high, likely_high) if end is not None), default=None)
        ends = [None if end is None else unit.from_si(end) for end in (low, high)]
        least, most = (
            "" if end is None else f"{_figures(end)} {unit.symbol}".rstrip() for end in ends
        )
        if least and most:
            allowed = f"lie in {_figures(ends[0] or 0.0)} to {most}"
        else:
            allowed = f"be at least {least}" if least else f"be at most {most}"
        return OutOfRange(
            f"“{line}” is out of range: it must {allowed}.",
            low=ends[0], high=ends[1], unit=unit.symbol, field=self.path, given=line,
        )  # fmt: skip

    def _unreadable(self, line: str, other: Kind | None = None) -> InputError:
        message = f"“{line}” cannot be read as a {self.kind}."
        if other:
            message = f"“{line}” is a {other}; a {self.kind} is wanted here."
        return InputError(message, field=self.path, given=line, remedy=self._example())

    def _example(self) -> str:
        known = [unit.symbol for unit in UNITS_BY_KIND[self.kind] if unit.symbol]
        one = "the unit" if len(known) == 1 else "one of the units"
        units = f" with {one} {', '.join(known)}" if known else " without a unit"
        return f"Write one number in the digits 0 to 9{units}, such as {EXAMPLES[self.kind]}."


def plain_line(text: str, *, what: str, path: str, remedy: str) -> str:
    """Return a text on one line with single spaces; refuse what nobody could read back."""
    hidden = any(unicodedata.category(sign).startswith("C") for sign in text[:LONGEST])
    if hidden or len(text) > LONGEST:
        shown = "".join(sign if sign.isprintable() else "�" for sign in text[:LONGEST])
        fault = "a character that cannot be seen" if hidden else f"{len(text)} characters"
        message = f"This entry has {fault}; a {what} is short and plain."
        raise InputError(message, field=path, given=shown, remedy=remedy)
    if not (line := " ".join(text.split())):
        raise InputError("Nothing is entered.", field=path, remedy=remedy)
    return line


def _figures(number: float) -> str:
    """Return a number to three figures, whole above a hundred."""
    return f"{number:.0f}" if abs(number) >= 100 else f"{number:.3g}"


def _written(number: Number, unit: Unit) -> str:
    return f"{number.text} {unit.symbol}".rstrip()


def _size(number: Number, unit: Unit) -> str:
    """Return an amount in a familiar unit, in brackets; empty where it is in that already."""
    usual, *others = UNITS_BY_KIND[unit.kind]
    if unit.kind is Kind.TEMPERATURE and unit == usual:
        usual = others[0]  # °C is told in °F, and °F in °C
    size = _figures(usual.from_si(unit.to_si(number.value)))
    return "" if unit == usual else f" ({size} {usual.symbol})"


def _meaning(number: Number, unit: Unit) -> str:
    """Return what a reading means in words, with its size in a familiar unit."""
    said = f"{unit.words}{_size(number, unit)}"
    return ", ".join(part for part in (said, number.why) if part)


def _per_cent(part: Number) -> Number:
    """Return a part of one as the same share in per cent."""
    number = 100 * part.value
    return Number(
        text=f"{float(number):.6g}", value=number, why=f"{part.text} being a part of one"
    )


def _kind_of(name: str) -> Kind | None:
    """Return what a unit's name measures, if it is known at all."""
    return next((kind for kind in Kind if name and find(name, kind)), None)


def _measures(name: str) -> tuple[Unit, ...]:
    """Return the volumes that a name, or the words it begins with, may mean: ``tsp of flake``."""
    words = name.replace(",", " ").split()
    for count in range(len(words), 0, -1):
        head = " ".join(words[:count])
        if unit := find(head, Kind.VOLUME):
            return (unit,)
        if units := named(ASKED.get(tidy(head), ()), Kind.VOLUME):
            return units
    return ()
