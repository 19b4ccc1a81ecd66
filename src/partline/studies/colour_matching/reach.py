"""Whether the shelf reaches a colour and, if not, which bottle would bring it nearer."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partline.materials.shelf import Shelf
from partline.studies.colour_matching.continuous import fit, score
from partline.studies.colour_matching.ideal import ideal_bottles
from partline.studies.colour_matching.library import Library, library_of
from partline.studies.colour_matching.problem import Problem, cup_of
from partline.studies.verdict import DISTINCT, Distinct

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: A worse side beyond this is out of reach: the limit of what half of observers accept. [ΔE00]
REACHED = next(each.below for each in DISTINCT if each.word == Distinct.BARELY)
#: What is tried of a bottle that is not owned. [drops in 100 g]
TRIED = (1.5, 8.0)
#: Of all kinds, then of the best few: how many, beside how many recipes, steps towards a fit.
FIRST, THEN = (None, 1, 3), (3, 3, 6)
#: It must bring the look this much nearer, and by this share, to be named. [ΔE00], [-]
NEARER, SHARE = 0.5, 0.1
#: A limit holds a recipe back where so many times its colour would break it. [-]
HELD = 1.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """One bottle that would bring the wanted look nearer.

    Parameters
    ----------
    bottle : str
        In plain words, such as “a clear red”.
    difference : tuple of float
        Predicted then, one a looked-for side, before rounding to whole drops. [ΔE00]
    """

    bottle: str
    difference: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far the shelf reaches.

    Parameters
    ----------
    is_within : bool
        Whether the best recipe's sides stay within `REACHED`, or within what is in doubt about
        the colour that was wanted.
    is_held : bool
        Whether the nearest recipe is held back by a limit on drops or grams.
    help : Help or None
        Where it is out of reach and one kind of bottle would help.
    """

    is_within: bool
    is_held: bool = False
    help: Help | None = None


def reach_of(problem: Problem, shelf: Shelf, drops: Floats, off: Floats) -> Reach:
    """Return how far the shelf reaches.

    Parameters
    ----------
    problem : Problem
        The match.
    shelf : Shelf
        What the recipe is poured from.
    drops : ndarray, shape (cups, bottles)
        The nearest recipe.
    off : ndarray, shape (cups,)
        By how much it misses. [ΔE00]
    """
    near_enough = np.maximum([cup.wanted.doubt for cup in problem.cups], REACHED)
    if np.all(off <= near_enough):
        return Reach(is_within=True)
    return Reach(
        is_within=False, is_held=_is_held(problem, drops), help=_help(problem, shelf, off)
    )


def _is_held(problem: Problem, drops: Floats) -> bool:
    """Whether some cup has no room for a tenth more of its colour, or for one more drop."""
    more = drops * HELD
    one = drops + (drops == drops.max(axis=1, keepdims=True))
    return bool((problem.room(np.maximum(more, one)[None]) < 1.0).any())


def _help(problem: Problem, shelf: Shelf, off: Floats) -> Help | None:
    """Try every kind of bottle beside recipes that have room for one more, the best ones again."""
    kinds = ideal_bottles()
    bottles = (*problem.bottles, *kinds)
    cups = tuple(cup_of(cup.side, cup.mass, cup.wanted, bottles, shelf) for cup in problem.cups)
    wider = replace(problem, bottles=bottles, cups=cups)
    left = np.arange(len(kinds))
    drops = np.zeros((len(kinds), *wider.drop.shape))
    for count, beside, steps in (FIRST, THEN):
        left = left[:count]
        begin = _begin(problem, left, len(kinds), beside, off > REACHED / 2)
        wanted = np.repeat(problem.wanted[None], len(begin), axis=0)
        fitted = fit(wider, begin, wanted, steps=steps)
        scores = score(wider.difference(fitted.lab)).reshape(len(left), -1)
        rows = np.arange(len(left)) * scores.shape[1] + scores.argmin(axis=1)
        order = np.argsort(scores.min(axis=1))
        left, drops = left[order], fitted.drops[rows[order]]
    exact = wider.difference(wider.lab(drops, problem.models.polish))
    first = int(score(exact).argmin())
    now, then = float(score(off)), float(score(exact[first]))
    if now - then < max(NEARER, SHARE * now):
        return None
    return Help(
        bottle=kinds[int(left[first])].name,
        difference=tuple(float(each) for each in exact[first]),
    )


def _begin(
    problem: Problem, kinds: Integers, among: int, beside: int, off: NDArray[np.bool_]
) -> Floats:
    """Return starts kind by kind, each with some of that kind in every cup that is off."""
    owned = _with_room(problem, library_of(problem), beside)
    count = problem.drop.shape[1]
    begin = np.zeros((len(kinds), len(owned), len(TRIED), len(off), count + among))
    begin[..., :count] = owned[None, :, None]
    for place, kind in enumerate(kinds):
        for tried, amount in enumerate(TRIED):
            drops = amount / problem.per_100_g[:, 0]
            begin[place, :, tried, :, count + kind] = np.where(off, drops, 0.0)
    return begin.reshape(-1, len(off), count + among)


def _with_room(problem: Problem, library: Library, beside: int) -> Floats:
    """Return the nearest recipes, in drops, that have room for one bottle more in every cup."""
    drops = library.share / problem.drop
    few = ((drops > 0).sum(axis=-1) < problem.limits.most_colourants).all(axis=-1)
    if not few.any():
        return np.zeros((1, *problem.drop.shape))
    off = score(problem.difference(library.lab[few]))
    return drops[few][np.argsort(off)[:beside]]
