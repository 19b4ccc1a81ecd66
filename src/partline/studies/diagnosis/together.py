"""Two causes at once: whether a pair explains what was seen where no single cause does."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from partline.studies.diagnosis.cause import ANSWERS, Cause

Floats = NDArray[np.floating]

#: All pairs together are so likely, beside the single causes. A guess. [-]
PAIRS: Final = 0.5
#: A pair is told of where it is so many times as likely as any single cause. A guess. [-]
PLAINLY: Final = 2.0
#: Looks that say yes only where every cause at work does: a line is crisp if nothing smears it.
OF_ALL: Final = frozenset({"sprue_crisp", "belly_crisp", "first_only", "worse_later"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Two causes that explain together what no single one does.

    Parameters
    ----------
    pair : tuple of Cause
        The surer one first.
    presence : ndarray, shape (causes,)
        Chance that each cause is at work, alone or with another. [-]
    """

    pair: tuple[Cause, Cause]
    presence: Floats


def together(
    keys: tuple[str, ...], answers: tuple[bool, ...], yes: Floats, weights: Floats, prior: Floats
) -> Together | None:
    """Return the pair of causes that explains what was seen; None where a single one does.

    Parameters
    ----------
    keys, answers : tuple
        Looks that were taken, and what was seen.
    yes : ndarray, shape (looks, causes)
        Chance of a yes under each cause alone. [-]
    weights : ndarray, shape (looks,)
        What each look's logarithm counts. [-]
    prior : ndarray, shape (causes,)
        Of each cause alone. [-]
    """
    answers_of = [ANSWERS[cause] for cause in Cause]
    # Two causes with one answer need not be told apart, nor told as two.
    pairs = [
        (i, j)
        for i, j in combinations(range(len(Cause)), 2)
        if min(prior[i], prior[j]) > 0 and answers_of[i] is not answers_of[j]
    ]
    if not keys or not pairs:
        return None
    before = np.array([prior[i] * prior[j] for i, j in pairs])
    before = PAIRS * before / before.sum()
    both = np.array([_both(keys, yes[:, i], yes[:, j]) for i, j in pairs]).T
    alone = (1 - PAIRS) * prior * _likelihood(yes, answers, weights)
    paired = before * _likelihood(both, answers, weights)
    if paired.max() < PLAINLY * alone.max():
        return None
    presence = alone.copy()
    for (i, j), weight in zip(pairs, paired, strict=True):
        presence[[i, j]] += weight
    presence /= alone.sum() + paired.sum()
    best = sorted(pairs[int(paired.argmax())], key=lambda place: -presence[place])
    causes = tuple(Cause)
    return Together(pair=(causes[best[0]], causes[best[1]]), presence=presence)


def _both(keys: tuple[str, ...], first: Floats, second: Floats) -> Floats:
    """Return the chance of a yes under two causes, each acting by itself, shape (looks,)."""
    is_all = np.array([key in OF_ALL for key in keys])
    return np.where(is_all, first * second, 1 - (1 - first) * (1 - second))


def _likelihood(yes: Floats, answers: tuple[bool, ...], weights: Floats) -> Floats:
    seen = np.array(answers)[:, None]
    return np.asarray(np.exp(weights @ np.log(np.where(seen, yes, 1 - yes))))
