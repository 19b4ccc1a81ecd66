"""From the library to amounts that fit, not yet whole drops: damped Gauss–Newton, many at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.studies.colour_matching.library import Library
from partline.studies.colour_matching.problem import Problem

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Step of the logarithm of an amount that slopes are taken over. [-]
SLOPE = 0.04
#: Longest step of any logarithm at once, and parts of it that are tried. [-]
REACH, PARTS = 1.2, (1.0, 0.35)
#: Weight of a step's own length: where many amounts fit, the nearest is taken. [ΔE00²]
DAMPING = 0.02
#: Fewest drops that an amount is let sink to: what a cup can be given. Whole drops are tried
#: without that bottle as well.
LEAST = 1.0
#: Bottles of a side that make a simple recipe.
SIMPLE = 2
#: How much the better side counts beside the worse one. [-]
OTHER = 0.3
#: Beyond this the fit is good enough to be rounded. [ΔE00]
FITS = 0.05


def score(difference: Floats) -> Floats:
    """Return one figure for ΔE00 of all sides, shape (...): the worse side's, some of the other's.

    The other counts too: where one side cannot be had, the other is still to come right.

    Parameters
    ----------
    difference : ndarray, shape (..., cups)
        [ΔE00]
    """
    worse = difference.max(axis=-1)
    return worse + OTHER * (difference.sum(axis=-1) - worse)


def starts(problem: Problem, library: Library, count: int) -> Floats:
    """Return recipes to start from, shape (starts, cups, bottles), in drops of the actual cups.

    The nearest rows of the library, each set of bottles once; among them some of few bottles,
    which are easy to pour; and pairs of the nearest back and the nearest belly, since a view
    shows its own half above all.
    """
    off = problem.difference(library.lab)
    drops = library.share / problem.drop
    order = np.argsort(score(off))
    is_simple = (drops[order] > 0).sum(axis=-1).max(axis=-1) <= SIMPLE
    simple = _each_set_once(drops, order[is_simple][: 40 * count], max(count // 4, 1))
    chosen = _each_set_once(drops, order[: 40 * count], count)
    if off.shape[1] == 1:
        return drops[_once(simple, chosen)[:count]]
    few = max(count // 2, 2)
    backs, bellies = (
        _each_set_once(drops[:, place : place + 1], np.argsort(off[:, place])[:400], few)
        for place in (0, 1)
    )
    pairs = np.stack(
        [drops[np.repeat(backs, len(bellies)), 0], drops[np.tile(bellies, len(backs)), 1]], axis=1
    )
    seen = problem.difference(problem.lab(pairs, problem.models.search))
    best = np.argsort(score(seen))[: count // 2]
    whole = _once(simple, chosen)[: count - len(best)]
    return np.concatenate([drops[whole], pairs[best]])


def _once(first: Integers, then: Integers) -> Integers:
    """Return both, each row once, in their order."""
    return np.array(list(dict.fromkeys([*first.tolist(), *then.tolist()])), dtype=np.intp)


def _each_set_once(drops: Floats, order: Integers, count: int) -> Integers:
    """Return the first `count` of an order whose bottles are not those of an earlier one."""
    kept: list[int] = []
    sets: set[bytes] = set()
    for row in order:
        key = (drops[row] > 0).tobytes()
        if key not in sets:
            sets.add(key)
            kept.append(int(row))
        if len(kept) == count:
            break
    return np.array(kept, dtype=np.intp)


@dataclass(frozen=True, kw_only=True, eq=False)
class Fitted:
    """Amounts that fit, to the model that searches.

    Parameters
    ----------
    drops : ndarray, shape (starts, cups, bottles)
        Not whole.
    lab : ndarray, shape (starts, cups, 3)
        What that model says of them.
    """

    drops: Floats
    lab: Floats


def fit(problem: Problem, begin: Floats, wanted: Floats, *, steps: int) -> Fitted:
    """Move every start to where it looks as wanted, its bottles staying the same.

    Parameters
    ----------
    problem : Problem
        The match.
    begin : ndarray, shape (starts, cups, bottles)
        In drops of the cups.
    wanted : ndarray, shape (starts, cups, 3)
        CIELAB that each start is to have to the model that searches.
    steps : int
        At most.
    """
    model = problem.models.search
    drops = begin.copy()
    lab = problem.lab(drops, model)
    least = score(problem.difference(lab, wanted))
    for _ in range(steps):
        going = np.flatnonzero(least > FITS)
        if not going.size:
            break
        step = _steps(problem, drops[going], lab[going], wanted[going])
        tried = np.concatenate([drops[going] * np.exp(part * step) for part in PARTS])
        tried = np.where(tried > 0, np.maximum(tried, LEAST), 0.0)
        tried *= np.minimum(problem.room(tried), 1.0)[..., None]
        seen = problem.lab(tried, model)
        found = score(problem.difference(seen, np.tile(wanted[going], (len(PARTS), 1, 1))))
        found = found.reshape(len(PARTS), -1)
        part = found.argmin(axis=0)
        row = part * going.size + np.arange(going.size)
        better = found.min(axis=0) < least[going] - 1e-4
        won = going[better]
        drops[won], lab[won] = tried[row[better]], seen[row[better]]
        least[won] = found.min(axis=0)[better]
        if not won.size:
            break
    return Fitted(drops=drops, lab=lab)


def _steps(problem: Problem, drops: Floats, lab: Floats, wanted: Floats) -> Floats:
    """Return the step of ln drops that would bring each start there, were looks linear in it."""
    starts_, cups, bottles = np.nonzero(drops)
    moved = drops[starts_]
    moved[np.arange(starts_.size), cups, bottles] *= np.exp(SLOPE)
    slope = (problem.lab(moved, problem.models.search) - lab[starts_]) / SLOPE
    slope = np.einsum("cij,ncj->nci", problem.metric, slope).reshape(starts_.size, -1)
    missing = np.einsum("cij,ncj->nci", problem.metric, wanted - lab).reshape(len(drops), -1)
    out = np.zeros_like(drops)
    for start in range(len(drops)):
        own = np.flatnonzero(starts_ == start)
        j = slope[own].T
        weight = j @ j.T + DAMPING * np.eye(j.shape[0])
        step = j.T @ np.linalg.solve(weight, missing[start])
        step *= min(1.0, REACH / max(float(np.abs(step).max(initial=0.0)), 1e-9))
        out[start, cups[own], bottles[own]] = step
    return out
