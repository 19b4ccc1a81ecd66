"""Spoiled baits to find the cause of, for a class: pretended, and always with one right answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.errors import ConvergenceError, OutOfRange
from partline.studies.diagnosis import LOOKS, Cause, verdict

#: Most baits of one exercise: no cause comes twice. [-]
MOST = len(Cause)
#: A month in the bag: when a bait that crept is looked at again. [d]
LATER = 30.0
#: Trials in which a bait that can be told is found with certainty, for every seed tried.
TRIALS = 2000
#: Line of a crisp and of a smeared cut, low and high. Common practice, no source. [m]
CRISP, SMEARED = (0.4e-3, 0.9e-3), (1.8e-3, 3.2e-3)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoiledBait:
    """One bait that somebody is to find the cause of.

    Parameters
    ----------
    cause : Cause
        The right answer.
    seen : dict of str to bool
        What every look would show, by its key.
    days : float
        After the pour. [d]
    over_band : float
        Start of the pour over the band's upper end; below 0 inside it. [K]
    push : float
        Of the stroke. [s]
    apart : float
        Cup A less cup B at the draw. [K]
    sprue_line, belly_line : float
        Width of the line in the cuts. [m]
    """

    cause: Cause
    seen: dict[str, bool]
    days: float
    over_band: float
    push: float
    apart: float
    sprue_line: float
    belly_line: float


def spoiled_baits(seed: int, count: int = 3) -> tuple[SpoiledBait, ...]:
    """Return baits of different causes, each of which all its looks together tell.

    Parameters
    ----------
    seed : int
        The same number gives the same baits. At least 0.
    count : int
        How many, 1 to 7.

    Raises
    ------
    OutOfRange
        If the number or the seed is outside these.
    ConvergenceError
        If no such bait comes up, which no seed tried has shown.

    Notes
    -----
    Looks are drawn from the chances that the verdict begins with, and drawn again until the
    verdict names the right cause at least twice as likely as the next: a bait with no answer
    teaches nothing. So what a class meets is clearer than what a bench shows.
    """
    if not 1 <= count <= MOST:
        raise OutOfRange(
            f"An exercise has 1 to {MOST} baits.", low=1, high=MOST, given=str(count)
        )  # fmt: skip
    if seed < 0:
        raise OutOfRange("An exercise has a number from 0 on.", low=0, given=str(seed))
    rng = np.random.default_rng([2071, seed])
    causes = rng.permutation(np.arange(len(Cause)))[:count]
    return tuple(_bait(tuple(Cause)[place], rng) for place in causes)


def _bait(cause: Cause, rng: np.random.Generator) -> SpoiledBait:
    days = LATER if cause is Cause.CREPT else 0.0
    for _ in range(TRIALS):
        seen = {key: bool(rng.random() < look.chance(cause)) for key, look in LOOKS.items()}
        seen["dark_down"] = cause is Cause.INVERTED  # as it is drawn
        if not days:
            seen["worse_later"] = False
        # No bait shows a crisp line and a ring in one cut, nor a crisp line without a step,
        # unless its colours are alike.
        if seen["belly_crisp"] and (seen["ring"] or seen["no_step"]) and cause is not _ALIKE:
            continue
        found = verdict(seen, day=days)
        if found.is_cause_told and found.causes[0].cause is cause:
            return _with_numbers(cause, seen, days, rng)
    message = f"No bait that tells of “{cause.value}” came up in {TRIALS} trials."
    raise ConvergenceError(message)


_ALIKE = Cause.TOO_ALIKE


def _with_numbers(
    cause: Cause, seen: dict[str, bool], days: float, rng: np.random.Generator
) -> SpoiledBait:
    """Return the bait with a record and lines that agree with its looks."""
    is_hot = seen["hot_or_fast"] and bool(rng.random() < 0.5)
    is_fast = seen["hot_or_fast"] and not is_hot

    def line(is_crisp: bool) -> float:
        return float(rng.uniform(*(CRISP if is_crisp else SMEARED)))

    return SpoiledBait(
        cause=cause,
        seen=seen,
        days=days,
        over_band=float(rng.uniform(5, 9) if is_hot else rng.uniform(-3, 1)),
        push=float(rng.uniform(1.8, 2.8) if is_fast else rng.uniform(5.5, 7.5)),
        apart=float(
            rng.choice([-1, 1]) * rng.uniform(*((6, 9) if seen["cups_apart"] else (0, 2)))
        ),
        sprue_line=line(seen["sprue_crisp"]),
        belly_line=line(seen["belly_crisp"]),
    )
