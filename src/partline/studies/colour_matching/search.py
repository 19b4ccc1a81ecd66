"""The search: library, amounts that fit, whole drops, and the judgement of a better model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.studies.colour_matching.continuous import fit, score, starts
from partline.studies.colour_matching.library import library_of
from partline.studies.colour_matching.problem import Problem
from partline.studies.colour_matching.whole_drops import near

Floats = NDArray[np.floating]

#: Starts, steps of each towards a fit, and rounds of whole drops about each.
STARTS, STEPS, ROUNDS = 14, 10, 6
#: Recipes that the figures' model judges in the end.
JUDGED = 24
#: So many sets of bottles as near as this are enough; the other starts are left. [-], [ΔE00]
SETS, NEAR = 5, 0.15
#: Candidates looked at for whole drops, after which no further start is taken up.
LOOKS = 3000
#: What a gram of colour more in 100 g must bring nearer to be worth it. [ΔE00]
GRAM = 0.05
#: A round that gains less is the last one; below the second figure nothing is left to gain. [ΔE00]
GAIN, ENOUGH = 0.02, 0.08


@dataclass(frozen=True, kw_only=True, eq=False)
class Hits:
    """Whole-drop recipes, the best first.

    Parameters
    ----------
    drops : ndarray, shape (recipes, cups, bottles)
        In the actual cups.
    lab : ndarray, shape (recipes, cups, 3)
        To the model of the figures.
    off : ndarray, shape (recipes, cups)
        From what is wanted. [ΔE00]
    """

    drops: Floats
    lab: Floats
    off: Floats


def search(problem: Problem) -> Hits:
    """Find whole-drop recipes that look as wanted.

    Parameters
    ----------
    problem : Problem
        The match.

    Returns
    -------
    Hits
        At least one.
    """
    begin = starts(problem, library_of(problem), STARTS)
    wanted = np.repeat(problem.wanted[None], len(begin), axis=0)
    fitted = fit(problem, begin, wanted, steps=STEPS)
    shift = _shift(problem, fitted.drops, fitted.lab)
    again = fit(problem, fitted.drops, wanted - shift, steps=2)
    pool: dict[bytes, tuple[Floats, float]] = {}
    promising = np.argsort(score(problem.difference(again.lab + shift)))
    looks = 0
    for start in promising:
        looks += _descend(problem, again.drops[start], shift[start], pool)
        sets = {(drops > 0).tobytes() for drops, off in pool.values() if off < NEAR}
        if len(sets) >= SETS or looks > LOOKS:
            break
    return judged(problem, _distinct_best(pool))


def _shift(problem: Problem, drops: Floats, lab: Floats) -> Floats:
    """Return what the better model adds to the searching one's colours here."""
    return problem.lab(drops, problem.models.polish) - lab


def _descend(
    problem: Problem, point: Floats, shift: Floats, pool: dict[bytes, tuple[Floats, float]]
) -> int:
    """Go from a point to whole drops, and on from there while it helps; pool all that is seen.

    Returns how many candidates were looked at.
    """
    least, looks = np.inf, 0
    for _ in range(ROUNDS):
        found = near(problem, point, shift)
        looks += found.looks
        scores = score(found.off)
        for drops, each in zip(found.drops, scores, strict=True):
            pool[drops.tobytes()] = (drops, float(each))
        best = found.best
        if scores[best] > least - GAIN:
            break
        least, point = float(scores[best]), found.drops[best]
        if least < ENOUGH:
            break
        plain = found.lab[best] - shift
        shift = _shift(problem, point[None], plain[None])[0]
    return looks


def _distinct_best(pool: dict[bytes, tuple[Floats, float]]) -> Floats:
    """Return the most promising of the pool, several sets of bottles among them."""
    order = sorted(pool.values(), key=lambda each: each[1])
    chosen = order[: JUDGED // 2]
    sets = {(drops > 0).tobytes() for drops, _ in chosen}
    for drops, each in order[JUDGED // 2 :]:
        if len(chosen) == JUDGED:
            break
        if (key := (drops > 0).tobytes()) not in sets:
            sets.add(key)
            chosen.append((drops, each))
    return np.array([drops for drops, _ in chosen])


def judged(problem: Problem, drops: Floats) -> Hits:
    """Return recipes with what the model of the figures says of them, the best first.

    Of two that are as near, the one with less colour: it softens the plastic less.
    """
    lab = problem.lab(drops, problem.models.figures)
    off = problem.difference(lab)
    grams = 100 * (drops * problem.drop).sum(axis=-1).mean(axis=-1)
    order = np.argsort(score(off) + GRAM * grams)
    return Hits(drops=drops[order], lab=lab[order], off=off[order])
