"""Is it luck, in the maker's words: counts of good baits, and two runs against each other."""

from __future__ import annotations

import re
from typing import Any

from partline.errors import InputError
from partline.quantities.estimate import Estimate
from partline.services.telling import figure
from partline.studies.enough import baits_needed, slices_needed
from partline.studies.luck import (
    CERTAIN,
    Method,
    Tally,
    chance_higher,
    difference,
    guessed_likeness,
    interval,
    share,
)

Json = dict[str, Any]
#: Line widths this far apart are worth telling, and slices of one run differ by so much: both
#: guesses that wait for slices of this bench. [m]
APART, SPREAD = 1.0e-3, 0.5e-3
#: Levels that ranges are told at. [-]
LEVELS = (0.80, 0.90)
_TALLY = re.compile(r"\s*(\d{1,6})\s*(?:/|of)\s*(\d{1,6})\s*")


def read_tally(text: str, *, per_shot: int = 1) -> Tally:
    """Return a count as it was typed, such as ``3/4`` or ``3 of 4``.

    Parameters
    ----------
    text : str
        Good and counted.
    per_shot : int
        Baits of one shot, taken to be half alike where there are several.

    Raises
    ------
    InputError
        If it is no count.
    OutOfRange
        If more are good than were counted.
    """
    found = _TALLY.fullmatch(text)
    if found is None:
        raise InputError(
            f"“{text[:40]}” is no count of baits.",
            field="count", given=text[:40],
            remedy="Write the good ones, a slash and all that were counted, such as 3/4.",
        )  # fmt: skip
    alike = guessed_likeness() if per_shot > 1 else None
    return Tally(good=int(found[1]), baits=int(found[2]), per_shot=per_shot, likeness=alike)


def luck_answer(first: Tally, second: Tally | None = None) -> Json:
    """Return what one count tells, or two; keys in ``docs/reference/answers.md``.

    Parameters
    ----------
    first, second : Tally
        The second is asked whether it is the better; None for one count alone.
    """
    answer: Json = {"first": _told(first), "second": None, "apart": None}
    says = [tally_sentence(first)]
    if second is not None:
        answer["second"] = _told(second)
        answer["apart"] = apart = _apart(first, second)
        says += [tally_sentence(second), apart["sentence"]]
        if apart["would_take"]:
            says.append(apart["would_take"])
    return {**answer, "says": says, "assumes": _assumes(first)}


def tally_sentence(tally: Tally) -> str:
    """Return what a count tells, as a sentence with its range."""
    low, high = interval(tally)
    return (
        f"{tally.good} of {tally.baits} good: the true share is between {_percent(low)} and "
        f"{_percent(high)} (80 % range)."
    )


def apart_sentence(first: Tally, second: Tally, name: str = "the second") -> str:
    """Return whether the second, called `name`, has the better share of good baits."""
    sentence: str = _apart(first, second, name)["sentence"]
    return sentence


def alike_sentence(tally: Tally) -> str:
    """Return what is taken of baits of one shot, as a sentence; empty where each is its own."""
    like = tally.likeness
    if like is None or tally.per_shot <= 1:
        return ""
    narrow, wide = interval(tally.by_itself), interval(_one_fate(tally))
    known = (
        f"Guessed: baits of one shot are {like.value:.1f} alike (0 nothing in common, 1 one fate)"
        if like.origin.is_guess
        else f"By {like.source} baits of one shot are {like.value:.1f} alike (0 nothing in "
        f"common, 1 one fate; {like.low:.1f}–{like.high:.1f})"
    )
    return (
        f"{known}, so that {tally.baits} tell as much as {tally.counts_as:.0f} poured by "
        f"themselves. With nothing in common it would be {_percent(narrow[0])} to "
        f"{_percent(narrow[1])}, with one fate {_percent(wide[0])} to {_percent(wide[1])}."
    )


def _one_fate(tally: Tally) -> Tally:
    return Tally(
        good=tally.good, baits=tally.baits, per_shot=tally.per_shot, likeness=Estimate.exact(1.0)
    )


def _percent(value: float) -> str:
    return f"{100 * value:.0f} %"


def _told(tally: Tally) -> Json:
    return {
        "good": tally.good,
        "baits": tally.baits,
        "counts_as": round(tally.counts_as, 1),
        "share": figure(share(tally), 3),
        "ranges": [
            {
                "level": level,
                "method": method.value,
                "range": [round(each, 3) for each in interval(tally, level, method)],
            }
            for level in LEVELS
            for method in Method
        ],
    }


def _apart(first: Tally, second: Tally, name: str = "the second") -> Json:
    chance = chance_higher(first, second)
    low, high = difference(first, second)
    verdict = "better" if chance >= CERTAIN else "worse" if chance <= 1 - CERTAIN else "open"
    called = name[0].upper() + name[1:]
    words = {
        "better": f"{called} is better; the chance that it is not is {_small(1 - chance)}.",
        "worse": f"{called} is worse; the chance that it is not is {_small(chance)}.",
        "open": f"Cannot tell: {name} is better with a chance of {_percent(chance)}; it is "
        f"said from {_percent(CERTAIN)} on.",
    }
    shares = [each.good / each.baits for each in (first, second)]
    widened = max(first.design_effect, second.design_effect)
    needed = baits_needed(*shares, design_effect=widened)
    slices = slices_needed(APART, SPREAD)
    return {
        "chance_higher": round(chance, 4),
        "difference": [round(low, 3), round(high, 3)],
        "verdict": verdict,
        "baits_needed": needed,
        "slices_needed": slices,
        "slices_apart_mm": APART * 1e3,
        "slices_spread_mm": SPREAD * 1e3,
        "sentence": words[verdict],
        "would_take": _would_take(shares, needed, slices) if verdict == "open" else None,
    }


def _small(chance: float) -> str:
    return "below 0.1 %" if chance < 1e-3 else f"{100 * chance:.1f} %"


def _would_take(shares: list[float], needed: int | None, slices: int) -> str:
    if needed is None:
        counted = "Shares this close no number of baits tells apart."
    else:
        counted = (
            f"To tell {_percent(shares[0])} from {_percent(shares[1])} it would take about "
            f"{needed} baits of each."
        )
    return (
        f"{counted} Measure slices instead: {slices} of each, one a shot, tell lines "
        f"{APART * 1e3:g} mm apart in width, if slices of one run differ by {SPREAD * 1e3:g} mm "
        "(a guess)."
    )


def _assumes(tally: Tally) -> str:
    if tally.likeness is None:
        return (
            "Taken as if each bait were poured by itself. Baits of one shot share its push, heat "
            "and mould: say how many a shot makes, and the ranges widen."
        )
    return alike_sentence(tally)
