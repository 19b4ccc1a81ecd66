"""Is it luck? What so many good of so many baits tell of the share that would be good."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import betainc, betaincinv, betaln, ndtri

from partline.errors import OutOfRange
from partline.numerics.quadrature import gauss
from partline.quantities.estimate import Estimate, Origin

Floats = NDArray[np.floating]

#: Central share of a range unless said otherwise. [-]
LEVEL = 0.80
#: One share is said to be the higher from this chance on. [-]
CERTAIN = 0.95
#: How alike the baits of one shot are where nobody judged shots apart: half-way between nothing
#: in common and one fate for all. A guess that waits for shots judged apart. [-]
GUESSED_LIKENESS = 0.5
#: Half a good and half a bad bait, before anything was seen (Jeffreys).
_PRIOR = 0.5
#: Nodes of the rules over a share and over a likeness.
_NODES = 200
_LIKENESSES = 48


class Method(StrEnum):
    """How an interval is made."""

    JEFFREYS = "Jeffreys"
    EXACT = "exact"
    SCORE = "score"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """So many good of so many.

    Parameters
    ----------
    good, baits : int
        Counted; at least one bait.
    per_shot : float
        Baits of one shot, which share a push, a heat and a mould. [-]
    likeness : Estimate or None
        How alike the baits of one shot are, 0 (nothing in common) to 1 (one fate): the
        correlation inside a shot. None where each bait counts by itself. [-]

    Raises
    ------
    OutOfRange
        If there are no baits, more good than baits, or less than one bait in a shot.
    """

    good: int
    baits: int
    per_shot: float = 1.0
    likeness: Estimate | None = None

    def __post_init__(self) -> None:
        if self.baits < 1:
            message = "No bait was counted; luck is asked about at least one."
            raise OutOfRange(message, low=1, field="baits", given=str(self.baits))
        if not 0 <= self.good <= self.baits:
            raise OutOfRange(
                f"{self.good} of {self.baits} cannot be good; it is 0 to {self.baits}.",
                low=0, high=self.baits, field="good", given=str(self.good),
            )  # fmt: skip
        if not self.per_shot >= 1:
            message = f"A shot of {self.per_shot:g} baits is none; it makes at least one."
            raise OutOfRange(message, low=1, field="per_shot", given=str(self.per_shot))

    @property
    def design_effect(self) -> float:
        """How many baits tell as much as one poured by itself. [-]"""
        like = 0.0 if self.likeness is None else self.likeness.value
        return 1.0 + (min(self.per_shot, self.baits) - 1.0) * like

    @property
    def counts_as(self) -> float:
        """Baits poured by themselves that would tell as much. [-]"""
        return self.baits / self.design_effect

    @property
    def by_itself(self) -> Tally:
        """The same, were each bait poured by itself."""
        return replace(self, per_shot=1.0, likeness=None)

    @property
    def posterior(self) -> tuple[float, float]:
        """Both parameters of the beta distribution that the share follows. [-]"""
        good, all_ = self.good / self.design_effect, self.counts_as
        return good + _PRIOR, all_ - good + _PRIOR


def interval(
    tally: Tally, level: float = LEVEL, method: Method = Method.JEFFREYS
) -> tuple[float, float]:
    """Return the range that the share of good baits lies in.

    Parameters
    ----------
    tally : Tally
        Counted.
    level : float
        Share of the range, 0 to 1. [-]
    method : Method
        ``JEFFREYS``: equal tails of the beta distribution, its end at 0 or 1 where none or all
        were good. ``EXACT``: Clopper and Pearson's, never too narrow and mostly too wide.
        ``SCORE``: Wilson's, in closed form.

    Returns
    -------
    tuple of float
        Low and high. [-]

    Raises
    ------
    OutOfRange
        If the level is not between 0 and 1.

    Notes
    -----
    Where the baits of one shot are alike, all three count them as `Tally.counts_as`.

    References
    ----------
    .. [1] L. D. Brown, T. T. Cai and A. DasGupta, "Interval estimation for a binomial
       proportion," Statistical Science 16, 101 (2001) (from memory).
    """
    if not 0 < level < 1:
        raise OutOfRange(f"A range of {level:g} is none.", low=0, high=1, field="level")
    tail = (1.0 - level) / 2.0
    good, count = tally.good / tally.design_effect, tally.counts_as
    match method:
        case Method.JEFFREYS:
            low, high = (betaincinv(*tally.posterior, each) for each in (tail, 1.0 - tail))
        case Method.EXACT:
            low = betaincinv(good, count - good + 1.0, tail) if tally.good else 0.0
            bad = count - good
            high = betaincinv(good + 1.0, bad, 1.0 - tail) if tally.good < tally.baits else 1.0
        case _:
            low, high = _score(good / count, count, float(ndtri(1.0 - tail)))
    return (
        0.0 if tally.good == 0 else float(low),
        1.0 if tally.good == tally.baits else float(high),
    )


def _score(share: float, count: float, z: float) -> tuple[float, float]:
    middle = (share + z * z / (2.0 * count)) / (1.0 + z * z / count)
    spread = np.sqrt(share * (1.0 - share) / count + (z / (2.0 * count)) ** 2)
    half = z / (1.0 + z * z / count) * float(spread)
    return middle - half, middle + half


def share(tally: Tally) -> Estimate:
    """Return the share of baits that would be good were it poured for ever. [-]"""
    low, high = interval(tally)
    seen = tally.good / tally.baits
    return Estimate(
        value=min(max(seen, low), high),
        low=low,
        high=high,
        origin=Origin.MEASURED,
        source=f"{tally.good} of {tally.baits} good",
        narrows="more baits, or slices, which tell more each",
        count=tally.baits,
    )


def likeness(good: Sequence[int], baits: Sequence[int]) -> Estimate:
    """Return how alike the baits of one shot are, from shots judged apart.

    Parameters
    ----------
    good, baits : sequence of int, shape (shots,)
        Counted of each shot.

    Returns
    -------
    likeness : Estimate
        Correlation inside a shot, from anything between 0 and 1 beforehand; shots of one bait
        leave it there. [-]

    Raises
    ------
    OutOfRange
        If a shot is no tally, or there is none.

    Notes
    -----
    Shots are drawn from a beta distribution about the run's share, baits of a shot by that
    shot's own. The share is integrated out with Jeffreys' weight, in the angle whose sine
    squared it is, where that weight is even.

    References
    ----------
    .. [1] J. G. Skellam, "A probability distribution derived from the binomial distribution by
       regarding the probability of success as variable between the sets of trials," J. R.
       Statist. Soc. B 10, 257 (1948) (from memory).
    """
    shots = [Tally(good=one, baits=all_) for one, all_ in zip(good, baits, strict=True)]
    if not shots:
        message = "No shot was judged apart."
        raise OutOfRange(message, low=1, field="shots", given="0")
    alike, weights = gauss(_LIKENESSES)
    angle, angle_weights = gauss(_LIKENESSES, 0.0, np.pi / 2)
    mean = np.sin(angle) ** 2
    size = 1.0 / alike[:, None] - 1.0
    up, down = mean * size, (1.0 - mean) * size
    log = np.zeros_like(up)
    for shot, times in Counter((each.good, each.baits - each.good) for each in shots).items():
        log += times * (betaln(up + shot[0], down + shot[1]) - betaln(up, down))
    posterior = weights * (np.exp(log - np.max(log)) @ angle_weights)
    posterior /= posterior.sum()
    below = np.cumsum(posterior) - posterior / 2
    low, high = np.interp([(1 - LEVEL) / 2, (1 + LEVEL) / 2], below, alike)
    middle = float(posterior @ alike)
    return Estimate(
        value=middle,
        low=min(float(low), middle),
        high=max(float(high), middle),
        origin=Origin.MEASURED,
        source=f"{len(shots)} shots judged apart",
        narrows="judging more shots apart",
        count=len(shots),
    )


def guessed_likeness() -> Estimate:
    """Return how alike the baits of one shot are taken to be where no shot was judged apart."""
    return Estimate(
        value=GUESSED_LIKENESS,
        low=(1 - LEVEL) / 2,
        high=(1 + LEVEL) / 2,
        origin=Origin.DEFAULT,
        source="half-way between nothing in common and one fate for all",
        narrows="judging shots apart",
    )


def chance_higher(first: Tally, second: Tally) -> float:
    """Return the chance that the second's share of good baits is the higher one. [-]"""
    return chance_above(first.posterior, second.posterior)


def chance_above(first: tuple[float, float], second: tuple[float, float]) -> float:
    """Return the chance that a share of one beta distribution lies above one of another. [-]

    Parameters
    ----------
    first, second : tuple of float
        Both parameters of each. [-]

    Notes
    -----
    The second's distribution function is summed over the first's own distribution with a
    Gauss–Legendre rule; right to 1e-8 against the closed sum for whole parameters.

    References
    ----------
    .. [1] J. D. Cook, "Exact calculation of beta inequalities," UT MD Anderson Cancer Center
       Department of Biostatistics (2005) (from memory).
    """
    nodes, weights = _rule(first)
    return float(np.clip(1.0 - weights @ betainc(*second, nodes), 0.0, 1.0))


def difference(first: Tally, second: Tally, level: float = LEVEL) -> tuple[float, float]:
    """Return the range of the second's share less the first's.

    Parameters
    ----------
    first, second : Tally
        Counted apart from each other.
    level : float
        Share of the range. [-]

    Returns
    -------
    tuple of float
        Low and high, −1 to 1. [-]

    Notes
    -----
    Right to 0.001 for single baits, whose distribution is steep at its ends, and better for more.
    """
    ones, one_weights = _rule(first.posterior)
    others, other_weights = _rule(second.posterior)

    def above(gap: float, wanted: float) -> float:
        # Summed over either, and halved: the same whichever is called the first.
        below = betainc(*second.posterior, np.clip(ones + gap, 0.0, 1.0))
        over = betainc(*first.posterior, np.clip(others - gap, 0.0, 1.0))
        return float(one_weights @ below + 1.0 - other_weights @ over) / 2.0 - wanted

    tail = (1.0 - level) / 2.0
    low, high = (float(brentq(above, -1.0, 1.0, args=(each,))) for each in (tail, 1.0 - tail))
    return low, high


def _rule(posterior: tuple[float, float]) -> tuple[Floats, Floats]:
    """Return nodes and weights, summing to 1, of a beta distribution.

    Even steps of an angle whose sine squared is the chance below: dense at both ends, where a
    beta distribution of few baits is steep.
    """
    angle, weights = gauss(_NODES, 0.0, np.pi / 2)
    chance = np.sin(angle) ** 2
    return np.asarray(betaincinv(*posterior, chance)), weights * np.sin(2.0 * angle)
