"""Numbers as people write them: decimals, fractions, mixed numbers; nothing is evaluated."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

_NUMBER = re.compile(
    r"""(?P<sign>[+−-]?)\ ?(?:
        (?:(?P<whole>[0-9]+)\ )?(?P<top>[0-9]+)\ ?[/⁄]\ ?(?P<bottom>[0-9]+)  # 1/2, 1 1/2
      | (?P<before>[0-9]*)\ ?(?P<glyph>[¼½¾⅐-⅞])                              # ½, 1½
      | (?P<decimal>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)                             # 12, 12.5, .5
    )""",
    re.VERBOSE,
)
_COMMA = re.compile(r"[+−-]?[0-9.]*,[0-9.,]*[0-9]")
_DASHED = re.compile(r"(?P<whole>[+−-]?[0-9]+)-(?P<part>[0-9]+[/⁄][0-9]+)")  # 1-1/2, of a workshop
_GROUPS = re.compile(r"[+−-]?[0-9]{1,3}(,[0-9]{3})+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """One reading of a number: how to write it, its exact value, and why it was read so."""

    text: str
    value: Fraction
    why: str = ""


def read_numbers(text: str) -> tuple[tuple[Number, ...], str]:
    """Return the readings of the number that `text` begins with, and the text behind it.

    More than one reading, or one with a reason, is a question; none means that the text does
    not begin with a number that can be read.
    """
    if comma := _COMMA.match(text):
        return _readings_of_comma(comma.group()), text[comma.end() :].strip()
    if dashed := _DASHED.match(text):
        typed = f"{dashed['whole']} {dashed['part']}"
        return _readings([(typed, "the dash joining whole and part")]), text[
            dashed.end() :
        ].strip()
    if match := _NUMBER.match(text):
        value = _value(match)
        found = () if value is None else (Number(text=match.group().strip(), value=value),)
        return found, text[match.end() :].strip()
    return (), text


def _value(match: re.Match[str]) -> Fraction | None:
    """Return a matched number's exact value; None for a fraction that makes no sense."""
    if match["decimal"]:
        size = Fraction(match["decimal"])
    else:
        if match["glyph"]:
            top, bottom = unicodedata.normalize("NFKC", match["glyph"]).split("⁄")
            whole = match["before"]
        else:
            top, bottom, whole = match["top"], match["bottom"], match["whole"]
        # 1 3/2 is more likely a slip for 13/2 or 1 1/2 than a mixed number.
        if int(bottom) == 0 or (whole and int(top) >= int(bottom)):
            return None
        size = int(whole or 0) + Fraction(int(top), int(bottom))
    return -size if match["sign"] in ("-", "−") else size


def _readings_of_comma(typed: str) -> tuple[Number, ...]:
    """Return what a number with commas may mean: a decimal mark, thousands, or a slip."""
    decimal = (typed.replace(",", "."), "the comma as decimal mark")
    grouped = (typed.replace(",", ""), "the comma parting thousands")
    slip = (typed.replace(",", ""), "the comma typed by mistake")
    if "." in typed:  # the mark that comes last is the decimal one: 1.500,0 and 1,500.0
        last, other = (",", ".") if typed.rfind(",") > typed.rfind(".") else (".", ",")
        candidates = [(typed.replace(other, "").replace(last, "."), "the last mark decimal")]
    elif typed.lstrip("+−-").startswith("0,"):  # neither thousands nor a slip begin with 0
        candidates = [decimal]
    elif _GROUPS.fullmatch(typed):
        candidates = [decimal, grouped]
    else:
        candidates = [decimal, slip] if typed.count(",") == 1 else []
    return _readings(candidates)


def _readings(candidates: list[tuple[str, str]]) -> tuple[Number, ...]:
    """Return those texts, each with why it is meant, that are numbers."""
    return tuple(
        Number(text=text, value=value, why=why)
        for text, why in candidates
        if (match := _NUMBER.fullmatch(text)) and (value := _value(match)) is not None
    )
