"""Numbers as the card prints them: with their unit, range and origin."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

Json = Mapping[str, Any]

#: To be filled in by hand.
BLANK = "____"
#: Origins of what nobody measured here.
GUESSES = ("default", "practice")
EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
#: What a cup's grams and drops rest on, by the end of its name among the plan's origins.
FOUNDATIONS = (
    "drop mass",
    "bait mass",
    "sprue and runner",
    "block loss a shot",
    "heel a side a draw",
    "film a side a melt",
    "reject share",
)


def amount(grams: float, kind: str) -> str:
    """Return grams as the scale in use shows them: a plastisol's to a tenth, a colour's finer."""
    digits = 1 if kind in {"grade", "softener", "hardener"} else 2
    return f"{grams:.{digits}f} g"


def degrees(celsius: float | None, scale: str) -> str:
    """Return a temperature [°C] on the thermometer's scale without unit, or a blank to fill in."""
    if celsius is None:
        return BLANK
    return f"{celsius * 9 / 5 + 32:.0f}" if scale == "°F" else f"{round(celsius, 1):g}"


def wording(difference: Json) -> str:
    """Return a colour difference with its range, such as ``ΔE00 64 (55–73)``."""
    value, low, high = (difference[key] for key in ("value", "low", "high"))
    digits = 0 if value >= 10 else 1
    return f"{difference['unit']} {value:.{digits}f} ({low:.{digits}f}–{high:.{digits}f})"


def hiding(seen: Json) -> str:
    """Return a half's hiding with its range and what is wanted."""
    value = seen["hiding"]
    wanted = "" if seen["wanted"] is None else f", wanted {seen['wanted']:.2f}"
    return f"hiding {value['value']:.2f} ({value['low']:.2f}–{value['high']:.2f}{wanted})"


def spoon(teaspoons: Json | None) -> str | None:
    """Return a spoon measure with its range and origin, in eighths where one lies in the range.

    The nearest eighth of a small amount may be twice what is meant; it is then said in decimals.
    """
    if teaspoons is None:
        return None
    value, low, high = (teaspoons[key] for key in ("value", "low", "high"))
    eighths = round(value * 8)
    whole, part = divmod(eighths, 8)
    measure = f"{whole or ''}{EIGHTHS[part]}" if low <= eighths / 8 <= high else f"{value:.2f}"
    guess = "a guess, " if teaspoons["origin"] in GUESSES else ""
    return f"≈ {measure} US tsp ({low:.2f}–{high:.2f}, {guess}{teaspoons['origin']})"


def drop_is_weighed(supply: str, origins: Iterable[Json]) -> bool:
    """Whether drops of a supply were weighed on this bench; without that they are a guess."""
    name = f"{supply}: drop mass"
    return any(each["name"] == name and each["origin"] == "measured" for each in origins)


def guessed_strengths(origins: Iterable[Json]) -> list[str]:
    """Return the supplies whose colour strength nobody measured, each with its range."""
    ends = ": strength"
    return [
        f"{each['name'].removesuffix(ends)} ×{each['low']:.2g}–{each['high']:.2g}"
        for each in origins
        if each["name"].endswith(ends)
        and each["origin"] in GUESSES
        and each["low"] != each["high"]  # else its strength is part of how it colours
    ]


def label_is_unread(origins: Iterable[Json]) -> bool:
    """Whether the label's temperatures are a guess in any grade."""
    return any(
        each["name"].endswith(": ceiling") and each["origin"] == "default" for each in origins
    )


def foundations(origins: Iterable[Json]) -> list[str]:
    """Return what grams and drops rest on, each with its range and origin."""
    return [_foundation(each) for each in origins if each["name"].endswith(FOUNDATIONS)]


def _foundation(origin: Json) -> str:
    value, low, high = (f"{origin[key]:.4g}" for key in ("value", "low", "high"))
    span = "" if low == high else f"{low}–{high}, "
    return f"{origin['name']} {value} {origin['unit']} ({span}{origin['origin']})"
