"""A search in words: `start < 160 °C`, `belly colourant = Chalk`. Nothing of it is evaluated."""

from __future__ import annotations

import operator
import re
from collections.abc import Callable
from dataclasses import dataclass
from math import isclose

from partline.errors import InputError
from partline.quantities.units import Kind, parse
from partline.services.runs.recall.facts import RunFacts
from partline.services.runs.recall.fields import FIELDS, Field

#: Conditions of one search, and letters of one.
MOST, LONGEST = 8, 120
_SIGNS = {
    "≤": "<=", "≥": ">=", "≠": "!=", "==": "=", "is not": "!=", "is": "=", "below": "<",
    "above": ">", "at least": ">=", "at most": "<=",
}  # fmt: skip
_CONDITION = re.compile(
    r"\s*([^<>=!≤≥≠]*?)\s*(<=|>=|!=|==|≤|≥|≠|=|<|>|\bat least\b|\bat most\b|\bis not\b|\bis\b"
    r"|\bbelow\b|\babove\b)\s*([^<>=!≤≥≠]*?)\s*",
    re.IGNORECASE,
)
_COMPARE: dict[str, Callable[[float, float], bool]] = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge,
    "=": lambda one, other: isclose(one, other, rel_tol=1e-9, abs_tol=1e-9),
    "!=": lambda one, other: not isclose(one, other, rel_tol=1e-9, abs_tol=1e-9),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One condition.

    Parameters
    ----------
    field : Field
        Of a run.
    sign : str
        One of ``= != < <= > >=``.
    value : float or str
        In SI, or a word in small letters.
    text : str
        The value as it was typed.
    """

    field: Field
    sign: str
    value: float | str
    text: str

    @property
    def words(self) -> str:
        """The condition as it was read."""
        return f"{self.field.name} {self.sign} {self.text}"

    def holds(self, run: RunFacts) -> bool | None:
        """Return whether it holds of a run; None where nothing is known of that."""
        values = self.field.values(run)
        if isinstance(self.value, str):
            is_there = self.value in {str(each).casefold() for each in values}
            return is_there == (self.sign == "=")
        if not values:
            return None
        return all(_COMPARE[self.sign](float(each), self.value) for each in values)


def read_condition(text: str) -> Condition:
    """Return a condition as it was typed.

    Parameters
    ----------
    text : str
        A field, a sign and a value with its unit.

    Raises
    ------
    InputError
        If it is no condition, or of a field that there is not.
    Ambiguous
        If the value has no unit: then it is asked.
    """
    found = _CONDITION.fullmatch(text) if len(text) <= LONGEST else None
    if found is None or not found[1] or not found[3]:
        raise InputError(
            f"“{text[:60]}” is no condition.",
            field="condition", given=text[:80],
            remedy="Write what, a sign and a value, such as “start < 160 °C” or “mould = "
            "reed-130”.",
        )  # fmt: skip
    field = _field(found[1], text)
    sign = _SIGNS.get(found[2].casefold(), found[2])
    typed = found[3].strip("“”\"' ")
    return Condition(field=field, sign=sign, value=_value(field, sign, typed), text=typed)


def _field(name: str, text: str) -> Field:
    tidy = " ".join(name.casefold().replace("_", " ").split())
    if tidy not in FIELDS:
        raise InputError(
            f"Runs cannot be searched by “{name[:40]}”.",
            field="condition", given=text[:80],
            remedy=f"Choose one of: {', '.join(each.name for each in FIELDS.values())}.",
        )  # fmt: skip
    return FIELDS[tidy]


def _value(field: Field, sign: str, typed: str) -> float | str:
    if field.kind is None:
        if sign not in ("=", "!="):
            raise InputError(
                f"{field.name} is a word; it is or is not “{typed[:40]}”, never {sign}.",
                field="condition", given=typed[:80], remedy="Write = or !=.",
            )  # fmt: skip
        return typed.casefold()
    if field.kind is Kind.SHARE and (plain := _plain_share(typed)) is not None:
        return plain
    return parse(typed, field.kind, field=field.name).value


def _plain_share(typed: str) -> float | None:
    """Return a share from 0 to 1 that was written without its sign."""
    return (
        float(typed) if re.fullmatch(r"0|1|[01]?\.\d{1,6}", typed) and float(typed) <= 1 else None
    )


def read_conditions(texts: list[str]) -> tuple[Condition, ...]:
    """Return several conditions, all of which are to hold.

    Raises
    ------
    InputError, Ambiguous
        As `read_condition`; or if there are too many.
    """
    told = [text for text in texts if text.strip()]
    if len(told) > MOST:
        raise InputError(
            f"{len(told)} conditions were told; a search takes {MOST}.", field="condition",
            remedy="Leave some out.",
        )  # fmt: skip
    return tuple(map(read_condition, told))
