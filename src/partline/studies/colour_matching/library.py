"""Random recipes with their colours, kept: where a search begins."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from partline.process.composition import LOADING_BASIS
from partline.studies.colour_matching.problem import Problem

Floats = NDArray[np.floating]

#: Recipes in a library, and how they are seeded.
RECIPES, SEED = 20_000, 41
#: Loadings that are drawn, evenly in the logarithm. [drops in 100 g]
FEWEST, MOST = 0.5, 30.0
#: Libraries kept in memory: one is 4 MB for two sides and twelve bottles.
KEPT = 8


@dataclass(frozen=True, kw_only=True, eq=False)
class Library:
    """Recipes and what they look like to the model that searches.

    Parameters
    ----------
    share : ndarray, shape (recipes, cups, bottles)
        Mass share of each bottle, whatever the cup holds. [-]
    lab : ndarray, shape (recipes, cups, 3)
        CIELAB of each looked-for side.
    """

    share: Floats
    lab: Floats


def library_of(problem: Problem) -> Library:
    """Return the library of a problem, from memory where it was asked before.

    It hangs on the bottles, what stays in the cups, the limits and the model; on the cups'
    masses and on the wanted colours it does not.
    """
    return _drawn(_Asked(problem))


class _Asked:
    """A problem that equals another where both have the same library."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.key = (_digest(problem), problem.models.search)

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and self.key == other.key


def _digest(problem: Problem) -> str:
    fills = [cup.side.half for cup in problem.cups]
    digest = hashlib.sha256(problem.still.tobytes() if len(fills) == 1 else b"")
    for cup in problem.cups:
        for array in (cup.plain, cup.adds, cup.drop * cup.mass):
            digest.update(np.round(array, 12).tobytes())
    limits = problem.limits
    told = (limits.most_colourants, limits.most_drops, limits.most_share, fills)
    digest.update(repr(told).encode())
    return digest.hexdigest()


@lru_cache(maxsize=KEPT)
def _drawn(asked: _Asked) -> Library:
    problem = asked.problem
    rng = np.random.default_rng(SEED)
    cups, bottles = problem.drop.shape
    most = min(problem.limits.most_colourants, bottles)
    rank = rng.random((RECIPES, cups, bottles)).argsort(axis=-1).argsort(axis=-1)
    chosen = rank < rng.integers(1, most + 1, (RECIPES, cups, 1))
    loading = np.exp(rng.uniform(np.log(FEWEST), np.log(MOST), chosen.shape)) * chosen
    drops = loading * [[cup.mass / LOADING_BASIS] for cup in problem.cups]
    drops *= np.minimum(problem.room(drops), 1.0)[..., None]
    return Library(share=drops * problem.drop, lab=problem.lab(drops, problem.models.search))
