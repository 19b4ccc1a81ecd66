r"""Forecasts of how many baits of a run will be good, and a proper score for each.

A forecast is a distribution over the count of good baits out of so many. It is scored by the
ranked probability score, which is proper: nobody can do better than to say what they believe.

.. math:: \text{RPS} = \frac{1}{n} \sum_{k=0}^{n-1} [F(k) - 1\{y \le k\}]^2

0 is a sure and right forecast, 1 a sure and wholly wrong one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.stats import betabinom, binom

from partline.errors import InputError, OutOfRange

Floats = NDArray[np.floating]

#: Baits that one forecast may be about.
MOST = 5_000
#: A count without a run behind it is held to be half good, half bad, with this weight (Jeffreys).
JEFFREYS = 0.5
#: What a run that came out well is expected to be like: this many baits' worth of the bench's
#: own reject share. A guess.
WORTH = 10.0
#: Baits of one run share its fate: so much of a run's count tells of the next one's. A guess. [-]
SHARES_FATE = 0.5
#: Chance that a pour nobody has made yet is spoiled by something nobody thought of. A guess. [-]
UNTRIED = 0.3
#: Chance that the right change, made once, is enough. A guess that waits for cases. [-]
SUFFICES = 0.75


class Forecaster(StrEnum):
    """Who foretells."""

    OURS = "this tool"
    LAST = "same as last time"
    THUMB = "rule of thumb"


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """A mixture of beta laws about the share of good baits.

    Parameters
    ----------
    weights : tuple of float
        Adding up to 1. [-]
    good, bad : tuple of float
        Of each beta law, above 0. [-]
    """

    weights: tuple[float, ...]
    good: tuple[float, ...]
    bad: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse what is no mixture."""
        sizes = {len(self.weights), len(self.good), len(self.bad)}
        if len(sizes) != 1 or not np.isclose(sum(self.weights), 1.0):
            raise InputError("A belief is a mixture: weights that add up to 1, a law for each.")
        if not (min(self.weights) >= 0 and min(*self.good, *self.bad) > 0):
            raise InputError("Weights are not below 0, and the laws' counts are above it.")

    @property
    def mean(self) -> float:
        """Expected share of good baits. [-]"""
        parts = zip(self.weights, self.good, self.bad, strict=True)
        return sum(w * a / (a + b) for w, a, b in parts)

    def counts(self, baits: int) -> Floats:
        """Return the chance of each count of good baits, shape (baits + 1,). [-]"""
        if not 1 <= baits <= MOST:
            raise OutOfRange(
                f"A forecast is about 1 to {MOST} baits; {baits} were asked for.",
                low=1, high=MOST, given=str(baits),
            )  # fmt: skip
        k = np.arange(baits + 1)
        parts = zip(self.weights, self.good, self.bad, strict=True)
        return np.asarray(sum(w * betabinom.pmf(k, baits, a, b) for w, a, b in parts))


def same_as_last(good: int, moulded: int) -> Belief:
    """Return the belief of habit: the next run is like the last.

    Parameters
    ----------
    good, moulded : int
        Of the last run; 0 and 0 where there is none.
    """
    if not 0 <= good <= moulded:
        raise InputError("No more baits are good than were moulded.")
    return Belief(weights=(1.0,), good=(good + JEFFREYS,), bad=(moulded - good + JEFFREYS,))


def like_last(good: int, moulded: int) -> Belief:
    """Return the tool's own belief that the next run is like the last, as far as runs are alike.

    Parameters
    ----------
    good, moulded : int
        Of the last run.
    """
    return (
        same_as_last(good, moulded)
        if moulded == 0
        else Belief(
            weights=(1.0,),
            good=(SHARES_FATE * good + JEFFREYS,),
            bad=(SHARES_FATE * (moulded - good) + JEFFREYS,),
        )
    )


def untried(usual: Belief) -> Belief:
    """Return the belief about a pour that nobody has made: as usual, or spoiled by anything."""
    return Belief(
        weights=(*((1 - UNTRIED) * w for w in usual.weights), UNTRIED),
        good=(*usual.good, JEFFREYS),
        bad=(*usual.bad, 1.0),
    )


def as_usual(reject_share: float) -> Belief:
    """Return the belief that a run comes out as the bench's runs should.

    Parameters
    ----------
    reject_share : float
        Of the bench, 0 to 1. [-]
    """
    share = min(max(reject_share, 0.01), 0.99)
    return Belief(weights=(1.0,), good=((1 - share) * WORTH,), bad=(share * WORTH,))


def after_change(
    last: Belief, usual: Belief, action_share: float, suffices: float = SUFFICES
) -> Belief:
    """Return the belief after a change was made for a verdict.

    Parameters
    ----------
    last : Belief
        That the run is like the last, should the change miss.
    usual : Belief
        That it comes out as it should.
    action_share : float
        How likely the action was to answer what happened, 0 to 1. [-]
    suffices : float
        Chance that the right change, made once, is enough. [-]
    """
    if not 0 <= action_share <= 1:
        raise OutOfRange("A share lies between 0 and 1.", low=0.0, high=1.0)
    helps = action_share * suffices
    return Belief(
        weights=(*(helps * w for w in usual.weights), *((1 - helps) * w for w in last.weights)),
        good=(*usual.good, *last.good),
        bad=(*usual.bad, *last.bad),
    )


def thumb(reject_share: float, baits: int) -> Floats:
    """Return the rule of thumb's chances: each bait is good but for the bench's reject share.

    Parameters
    ----------
    reject_share : float
        0 to 1. [-]
    baits : int
        Out of so many.

    Returns
    -------
    chances : ndarray, shape (baits + 1,)
        Of each count of good baits. [-]
    """
    share = min(max(reject_share, 0.01), 0.99)
    return np.asarray(binom.pmf(np.arange(baits + 1), baits, 1 - share))


def ranked_probability_score(chances: Floats, good: int) -> float:
    """Return the score of a forecast; the smaller the better. [-]

    Parameters
    ----------
    chances : ndarray, shape (baits + 1,)
        Of each count of good baits. [-]
    good : int
        That came out.

    References
    ----------
    .. [1] E. S. Epstein, J. Appl. Meteorol. 8 (1969) 985; T. Gneiting and A. E. Raftery, J. Am.
       Stat. Assoc. 102 (2007) 359 (both from memory).
    """
    baits = len(chances) - 1
    if not 0 <= good <= baits:
        raise OutOfRange(
            f"{good} good baits of {baits} cannot be.", low=0, high=baits, given=str(good)
        )
    below = np.cumsum(chances)[:-1]
    came = np.arange(baits) >= good
    return float(np.mean((below - came) ** 2))


def interval(chances: Floats, share: float = 0.8) -> tuple[int, int]:
    """Return the ends of a forecast's central range, as counts.

    Parameters
    ----------
    chances : ndarray, shape (baits + 1,)
        Of each count of good baits. [-]
    share : float
        That lies within, 0 to 1. [-]
    """
    below = np.cumsum(chances)
    tail = (1 - share) / 2
    low, high = (int(np.searchsorted(below, each)) for each in (tail, 1 - tail))
    return low, min(high, len(chances) - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How a forecaster has done.

    Parameters
    ----------
    who : Forecaster
        Which.
    runs : int
        Scored.
    mean : float
        Of its scores; the smaller the better. [-]
    better : float or None
        Chance that it truly does better than the tool, by the runs so far; None for the tool
        itself and before two runs. [-]
    """

    who: Forecaster
    runs: int
    mean: float
    better: float | None


def scoreboard(
    scores: Mapping[Forecaster, Sequence[float]], rng: np.random.Generator
) -> list[Score]:
    """Return how the forecasters have done over the same runs.

    Parameters
    ----------
    scores : mapping of Forecaster to sequence of float
        One score a run, the same runs for all. [-]
    rng : numpy.random.Generator
        For the resampling of runs.

    Raises
    ------
    InputError
        If they were not scored on the same runs.
    """
    counts = {len(each) for each in scores.values()}
    if len(counts) != 1 or Forecaster.OURS not in scores:
        raise InputError("Forecasters are compared on the same runs, the tool among them.")
    (runs,) = counts
    ours = np.asarray(scores[Forecaster.OURS], dtype=float)
    found = []
    for who, told in scores.items():
        theirs = np.asarray(told, dtype=float)
        better = None
        if who is not Forecaster.OURS and runs > 1:
            drawn = rng.integers(0, runs, size=(4000, runs))
            gap = (ours - theirs)[drawn].mean(axis=1)
            better = float(np.mean(gap > 0) + 0.5 * np.mean(gap == 0))
        mean = float(theirs.mean()) if runs else float("nan")
        found.append(Score(who=who, runs=runs, mean=mean, better=better))
    return found
