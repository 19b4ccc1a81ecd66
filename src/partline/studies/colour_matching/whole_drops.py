"""From amounts that fit to whole drops that fit: every combination near a point, ranked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from partline.studies.colour_matching.continuous import score
from partline.studies.colour_matching.problem import Problem

Floats = NDArray[np.floating]

#: Combinations that are looked at after ranking, and partners kept of each in the other cup.
LOOKED_AT, PARTNERS = 24, 3
#: Loadings of a bottle that is not in the cup yet, beside a single drop of it; the last alone
#: where there are more bottles than the other figure. [drops in 100 g], [-]
GUESTS, MANY = (2.5, 1.0), 16
#: What a side misses beyond this ranks no combination: it may be out of reach. [ΔE00]
FAR = 4.0
#: Combinations of one cup that are ranked at most.
RANKED = 1500
#: Steps of an amount that are tried beside single drops, as shares of it. [-]
STEPS = (0.06, 0.2)


@dataclass(frozen=True, kw_only=True, eq=False)
class Found:
    """Whole-drop recipes near one point.

    Parameters
    ----------
    drops : ndarray, shape (recipes, cups, bottles)
        Whole.
    lab : ndarray, shape (recipes, cups, 3)
        To the model that searches, shifted as the point was.
    off : ndarray, shape (recipes, cups)
        From what is wanted. [ΔE00]
    looks : int
        Candidates that were looked at for it.
    """

    drops: Floats
    lab: Floats
    off: Floats
    looks: int

    @property
    def best(self) -> int:
        """Row of the best one."""
        return int(score(self.off).argmin())


@dataclass(frozen=True, kw_only=True, eq=False)
class _Row:
    """Contents of one cup, and how each moves all looks from the point's."""

    drops: Floats
    moves: Floats


def near(problem: Problem, point: Floats, shift: Floats) -> Found:
    """Look at the most promising whole-drop recipes near a point.

    Every amount is moved by itself first; combinations are ranked as if their moves added up,
    and the best of them are looked at.

    Parameters
    ----------
    problem : Problem
        The match.
    point : ndarray, shape (cups, bottles)
        Drops, whole or not.
    shift : ndarray, shape (cups, 3)
        What a better model adds to CIELAB here.
    """
    model = problem.models.search
    changes = _changes(problem, point)
    cups, bottles, values = (np.array(each) for each in zip(*changes, strict=True))
    moved = np.repeat(point[None], len(changes) + 1, axis=0)
    moved[1 + np.arange(len(changes)), cups, bottles] = values
    lab = problem.lab(moved, model) + shift
    there = _in_metric(problem, lab - problem.wanted)
    moves = there[1:] - there[0]
    rows = [_row(problem, point, place, changes, (there[0], moves)) for place in range(len(point))]
    best = _ranked(_held(there[0], len(point)), rows)
    seen = problem.lab(best, model) + shift
    looks = len(moved) + len(best)
    return Found(drops=best, lab=seen, off=problem.difference(seen), looks=looks)


def _held(here: Floats, cups: int) -> Floats:
    """Return what is missing, of each side `FAR` at most: one out of reach is not all."""
    sides = here.reshape(cups, -1)
    far = np.linalg.norm(sides, axis=1, keepdims=True)
    return (sides * np.minimum(1.0, FAR / np.maximum(far, FAR))).ravel()


def _in_metric(problem: Problem, off: Floats) -> Floats:
    return np.einsum("cij,ncj->nci", problem.metric, off).reshape(len(off), -1)


def _changes(problem: Problem, point: Floats) -> list[tuple[int, int, float]]:
    """Return cup, bottle and amount of each change that is tried by itself."""
    found: list[tuple[int, int, float]] = []
    most = problem.limits.most_colourants
    for cup, row in enumerate(point):
        held = np.flatnonzero(row > 0)
        for bottle in held:
            low, high = int(np.floor(row[bottle])), int(np.ceil(row[bottle]))
            wide = [max(1, round(share * low)) for share in STEPS]
            tried = {low, high, *(low - step for step in wide), *(high + step for step in wide)}
            tried |= {low - 1, high + 1}
            found += [(cup, int(bottle), float(each)) for each in sorted(tried) if each >= 0]
        if len(held) <= most:
            found += [
                (cup, int(bottle), amount)
                for bottle in np.flatnonzero(row == 0)
                for amount in _guests(problem, cup)
            ]
    return found


def _guests(problem: Problem, cup: int) -> list[float]:
    """Return the drops of a bottle not in the cup yet that are tried."""
    per_100_g = float(problem.per_100_g[cup, 0])
    tried = [max(1.0, float(round(each / per_100_g))) for each in GUESTS]
    return tried[-1:] if len(problem.bottles) > MANY else sorted({1.0, *tried})


def _row(
    problem: Problem,
    point: Floats,
    cup: int,
    changes: list[tuple[int, int, float]],
    from_here: tuple[Floats, Floats],
) -> _Row:
    """Combine the changes of one cup; a guest comes alone."""
    here, moves = from_here
    own = [number for number, change in enumerate(changes) if change[0] == cup]
    drops: Floats = point[cup][None]
    total: Floats = np.zeros((1, moves.shape[1]))
    held = np.flatnonzero(point[cup] > 0)
    for bottle in held:
        options = [number for number in own if changes[number][1] == bottle]
        drops = np.repeat(drops, len(options), axis=0)
        drops[:, bottle] = np.tile([changes[each][2] for each in options], len(total))
        total = (total[:, None] + moves[options]).reshape(-1, total.shape[1])
        drops, total = _kept(drops, total, here)
    guests = [number for number in own if point[cup, changes[number][1]] == 0]
    room = (drops > 0).sum(axis=1) < problem.limits.most_colourants
    more, extra = [drops], [total]
    for number in guests:
        added = drops[room].copy()
        added[:, changes[number][1]] = changes[number][2]
        more.append(added)
        extra.append(total[room] + moves[number])
    drops, total = np.concatenate(more), np.concatenate(extra)
    few = (drops > 0).sum(axis=1) <= problem.limits.most_colourants
    fits = few & (problem.room_of(drops, cup) >= 1 - 1e-9)
    if not fits.any():  # at the edge of a limit, less of everything
        return _Row(drops=np.floor(point[cup])[None], moves=np.zeros((1, moves.shape[1])))
    drops, total = _kept(drops[fits], total[fits], here)
    return _Row(drops=drops, moves=total)


def _kept(drops: Floats, total: Floats, here: Floats) -> tuple[Floats, Floats]:
    """Keep combinations to a number that can be ranked: those that should come nearest alone."""
    if len(drops) <= RANKED:
        return drops, total
    near = np.argpartition(((here + total) ** 2).sum(axis=1), RANKED)[:RANKED]
    return drops[near], total[near]


def _ranked(here: Floats, rows: list[_Row]) -> Floats:
    """Return whole recipes, shape (recipes, cups, bottles), those first that should fit best."""
    first = rows[0]
    if len(rows) == 1:
        off = np.linalg.norm(here + first.moves, axis=1)
        return first.drops[np.argsort(off)[:LOOKED_AT], None]
    second = rows[1]
    tree = cKDTree(second.moves)
    count = min(PARTNERS, len(second.moves))
    off, partner = tree.query(-(here + first.moves), k=count)
    off, partner = off.reshape(-1, count), partner.reshape(-1, count)
    order = np.argsort(off.ravel())[:LOOKED_AT]
    i, j = order // count, partner.ravel()[order]
    return np.stack([first.drops[i], second.drops[j]], axis=1)
