"""How far a predicted difference may be off: what is in doubt about bottles and mould, drawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Station
from partline.physics.colour_difference import ciede2000
from partline.process.optics import SideOptics
from partline.process.traced import transport
from partline.quantities.estimate import Estimate
from partline.studies.colour_matching.problem import Cup, Problem
from partline.studies.colour_matching.wanted import WantedLook
from partline.studies.narrowing import drawn_words, measurement
from partline.studies.uncertainty import Draws, draw_doubts, most_to_blame, ranged

Floats = NDArray[np.floating]
Lab = tuple[float, float, float]


def differences(
    sides: Sequence[SideOptics], problem: Problem, station: Station, *, draws: int
) -> list[tuple[Lab, Estimate]]:
    """Return CIELAB and ΔE00 from what is wanted, one a looked-for side.

    Parameters
    ----------
    sides : sequence of SideOptics
        Of the whole bait, as it is to be poured.
    problem : Problem
        The match.
    station : Station
        Whose thickness may be in doubt.
    draws : int
        A power of two.

    Notes
    -----
    Where the wanted look was computed, its own bottles are drawn together with these, so that a
    bottle that stands in both moves both; the model's own error is then left out, since both
    looks are computed alike.
    """
    likes = list({id(cup.wanted.like): cup.wanted.like for cup in problem.cups
                  if cup.wanted.like}.values())  # fmt: skip
    drawn = draw_doubts([*sides, *(each for like in likes for each in like)], [station],
                        draws=draws)  # fmt: skip
    every = drawn.and_as_written()
    sure = problem.models.figures.lab(*transport(sides))[0]
    ends = np.cumsum([len(sides), *(len(like) for like in likes)])
    seen = _looks(problem, sides, every, 0)
    theirs = {
        id(like): _looks(problem, like, every, int(start))
        for like, start in zip(likes, ends, strict=False)
    }
    return [
        _difference(problem, cup, (sure[view], seen[:, view]), theirs, drawn)
        for cup, view in zip(problem.cups, problem.views, strict=True)
    ]


def _looks(problem: Problem, sides: Sequence[SideOptics], every: Draws, start: int) -> Floats:
    """Return CIELAB of both views in every draw; the last one as written."""
    end = start + len(sides)
    absorption, reduced = transport(sides, every.factors[start:end], every.members[start:end])
    # A section that grows as a whole is one whose coefficients grow.
    grown = every.thicker[:, 0, None, None]
    return problem.models.search.lab(absorption * grown, reduced * grown)


def _difference(
    problem: Problem,
    cup: Cup,
    looks: tuple[Floats, Floats],
    theirs: dict[int, Floats],
    drawn: Draws,
) -> tuple[Lab, Estimate]:
    wanted: WantedLook = cup.wanted
    sure, seen = looks
    goal = np.array(wanted.lab)
    like = theirs.get(id(wanted.like)) if wanted.like else None
    goals = goal if like is None else goal + like[:-1, wanted.view] - like[-1, wanted.view]
    value = float(ciede2000(sure, goal))
    samples = ciede2000(sure + seen[:-1] - seen[-1], goals)
    own = problem.models.figures.error.eighty_percent if like is None else 0.0
    blamed = most_to_blame(samples, drawn.standard, drawn.doubts)
    bottles = {each.name: each for each in problem.bottles}
    said = "; the picture's own error" if like is None else "; both looks drawn together"
    lightness, a, b = (float(each) for each in sure)
    return (lightness, a, b), ranged(
        value,
        samples,
        picture_error=float(np.hypot(own, wanted.doubt)),
        source=drawn_words(drawn.doubts, samples.size) + said,
        narrows="" if blamed is None else measurement(blamed, bottles),
    )
