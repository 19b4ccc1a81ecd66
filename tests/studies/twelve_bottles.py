"""Twelve invented bottles, a round bait, and hidden recipes to find again."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from partline.materials.shelf import Shelf
from partline.process.recipe import Half, Recipe
from partline.records.exchange import read_file, read_shelf
from partline.studies.colour_matching import Bait, Limits, Matching, WantedLook, match_look
from partline.studies.colour_matching.problem import Problem, problem_of
from tests.process.shed import mould, two_colours

Floats = NDArray[np.floating]
HALVES = (Half.BACK, Half.BELLY)
CUPS = {Half.BACK: 0.160, Half.BELLY: 0.136}


@cache
def twelve() -> Shelf:
    """The shelf of the benchmark."""
    path = Path(__file__).parents[2] / "benchmarks" / "twelve-bottles.toml"
    return read_shelf(read_file(path))


def bait(recipe: Recipe | None = None, cups: dict[Half, float] | None = None) -> Bait:
    """A bait of two sides without colour."""
    return Bait(
        recipe=recipe or two_colours((), ()),
        mould=mould(),
        shelf=twelve(),
        cups=CUPS if cups is None else cups,
    )


def wanted(lab: Floats) -> dict[Half, WantedLook]:
    """A target of both sides, shape (2, 3)."""
    return {
        half: WantedLook(lab=(float(each[0]), float(each[1]), float(each[2])))
        for half, each in zip(HALVES, lab, strict=True)
    }


def problem(lab: Floats, limits: Limits | None = None) -> Problem:
    """The search for a target."""
    asked = bait()
    return problem_of(
        asked.recipe, asked.shelf, asked.shelf.colourants, wanted=wanted(lab), cups=asked.cups,
        limits=limits or Limits(), models=asked.light(),
    )  # fmt: skip


def hidden_look(seed: int, most: int = 30) -> Floats:
    """CIELAB of both views of a seeded recipe of one to four bottles a side, shape (2, 3)."""
    rng, start = np.random.default_rng(seed), problem(np.full((2, 3), 50.0))
    drops = np.zeros((1, 2, 12))
    for row, per_100_g in zip(drops[0], start.per_100_g[:, 0], strict=True):
        chosen = rng.choice(12, rng.integers(1, 5), replace=False)
        row[chosen] = np.round(np.exp(rng.uniform(0, np.log(most / per_100_g), chosen.size)))
    return start.lab(drops, start.models.figures)[0]


def matched(lab: Floats, limits: Limits | None = None, draws: int = 4) -> Matching:
    """The answer to a target."""
    return match_look(bait(), wanted(lab), limits or Limits(), draws=draws)
