"""What comes out of a hidden bench's mould: state of every bait, and whether it is good.

The line mixes where the jet at the gate is past a threshold that is this bench's own, more near
the gate than far from it; a jet that folds marbles the whole bait; the thinner melt wraps round
the stiffer one; what the block held comes first; dye moves later. Shot and run add their chance.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, pi

import numpy as np
from numpy.typing import NDArray

from partline.studies.diagnosis import Cause
from tests.journeys.hidden_bench.light import Seen
from tests.journeys.hidden_bench.truth import Habits, Truth

Floats = NDArray[np.floating]
#: Of the gate [m], what a shot takes [m³], the hot plastic [kg/m³], and the middle of a band [K].
GATE, SHOT, DENSITY, MIDDLE = 7e-3, 57e-6, 925.0, 436.15
#: Widest line that still reads as two, and narrowest there is. [m]
WIDEST, NARROWEST = 2.0e-3, 0.5e-3
#: Lightness step that reads as two. [L*]
STEP = 12.0
#: Colder than this a shot may not fill. [K]
FILLS = 416.15
#: A run of which fewer are good is spoiled. [-]
GOOD_RUN = 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """What was really done.

    Parameters
    ----------
    warmth : ndarray, shape (shots, 2)
        Of cup A and cup B at each draw, true. [K]
    push : ndarray, shape (shots,)
        Strokes. [s]
    cavities : int
        Baits of a shot.
    """

    warmth: Floats
    push: Floats
    cavities: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Baits:
    """Every bait of a run.

    Parameters
    ----------
    light : Seen
        What light does to all of them.
    near, far : ndarray, shape (baits,)
        Share of the line that is mixed near the gate and far from it. [-]
    folded : ndarray of bool, shape (baits,)
        Whether its jet folded.
    wrapped : ndarray, shape (baits,)
        Share of the one colour round the other. [-]
    stale : ndarray, shape (baits,)
        Swirl of what the block held. [-]
    halo : float
        Of the dye after a week. [m]
    purged : bool
        Whether the maker pushed out as much as the trade's custom.
    swapped : bool
        Whether they lie upside down.
    shot : ndarray of int, shape (baits,)
        Which, from 0.
    harm : dict of Cause to ndarray, shape (baits,)
        Chance that each cause alone spoils it. [-]
    other : ndarray, shape (baits,)
        Chance that something else does. [-]
    """

    light: Seen
    near: Floats
    far: Floats
    folded: NDArray[np.bool_]
    wrapped: Floats
    stale: Floats
    halo: float
    purged: bool
    swapped: bool
    shot: NDArray[np.integer]
    harm: dict[Cause, Floats]
    other: Floats

    @property
    def main(self) -> Cause:
        """The cause that spoils most."""
        return max(self.harm, key=lambda cause: float(self.harm[cause].mean()))

    def worst(self, *, day: float) -> tuple[Cause, float]:
        """Return the cause that spoils most by a day, and what share it spoils."""
        found = {
            cause: float(each.mean())
            for cause, each in self.harm.items()
            if day >= 1 or cause is not Cause.CREPT
        }
        main = max(found, key=lambda cause: found[cause])
        return main, found[main]

    def good(self, rng: np.random.Generator) -> tuple[int, int]:
        """Return how many are good on the day and a week later."""
        fate = rng.random((len(self.harm) + 1, self.shot.size))
        spoiled = fate[-1] < self.other
        crept = spoiled.copy()
        for row, (cause, chance) in zip(fate, self.harm.items(), strict=False):
            hit = row < chance
            crept |= hit
            if cause is not Cause.CREPT:
                spoiled |= hit
        return int((~spoiled).sum()), int((~crept).sum())


def poured(
    truth: Truth, habits: Habits, pour: Pour, light: Seen, rng: np.random.Generator
) -> Baits:
    """Return the baits of a run."""
    shots = pour.push.size
    run = np.exp(truth.scatter * rng.standard_normal(3))
    each = np.exp(0.12 * rng.standard_normal((2, shots)))
    thin = truth.viscosity * np.exp(-(pour.warmth - MIDDLE) / truth.thinning)
    thin[:, 0] *= exp(truth.uneven / 2)
    thin[:, 1] *= exp(-truth.uneven / 2)
    # While the stroke lasts the barrel cools it: the later a cavity fills, the calmer.
    place = (np.arange(pour.cavities) + 0.5) / pour.cavities
    cooled = np.exp(np.outer(pour.push, place) * truth.barrel / truth.thinning)
    flow = SHOT / pour.push
    jet = 4 * DENSITY * flow / (pi * GATE * thin.min(axis=1))
    reynolds = ((jet * run[0] * each[0])[:, None] / cooled).ravel()
    ratio = np.abs(np.log(thin[:, 0] / thin[:, 1])) * run[1] * each[1]
    mixed = _risen(reynolds / truth.critical, truth.steepness)
    folded = rng.random(reynolds.size) < _risen(reynolds / truth.folding, 4.0)
    wrapped = np.repeat(_risen(ratio / truth.wraps, 2.5), pour.cavities)
    number = np.repeat(np.arange(shots), pour.cavities)
    held = max(truth.stale * run[2] - habits.purged, 0.0) / truth.stale
    stale = np.where(number == 0, held, 0.0)
    swapped = not habits.marked and bool(rng.random() < truth.confuses)
    halo = truth.moves * float(run[2]) if habits.is_dye else 0.0
    baits = Baits(
        light=light, near=np.minimum(1.4 * mixed, 1.0), far=0.6 * mixed, folded=folded,
        wrapped=wrapped, stale=stale, halo=halo, purged=habits.purged >= 5e-3,
        swapped=swapped, shot=number, harm={},
        other=1 - (1 - truth.reject) * (1 - _short(pour, truth)),
    )  # fmt: skip
    baits.harm.update(_harm(baits, truth))
    return baits


def _risen(x: Floats, power: float) -> Floats:
    return np.asarray(x**power / (1 + x**power))


def _short(pour: Pour, truth: Truth) -> Floats:
    """Return the chance that a tail stays short: too cool when its cavity fills."""
    cool = pour.warmth.min(axis=1) - truth.barrel * pour.push - FILLS + 4.0
    return np.repeat(1 / (1 + np.exp(cool / 1.2)), pour.cavities)


def _past(amount: Floats | float, limit: float, width: float) -> Floats:
    """Return the chance that a maker calls an amount too much."""
    return np.asarray(1 / (1 + np.exp(-(np.asarray(amount) - limit) / width)))


def _harm(baits: Baits, truth: Truth) -> dict[Cause, Floats]:
    every = np.ones(baits.shot.size)
    line = NARROWEST + 6e-3 * 0.5 * (baits.near + baits.far) + 3e-3 * baits.folded
    return {
        Cause.SEE_THROUGH: every * _past(truth.eye - baits.light.belly, 0.0, 0.012),
        Cause.MIXED: _past(line, WIDEST, 0.2e-3),
        Cause.NOT_PURGED: np.where(baits.stale > 0, _past(baits.stale, 0.3, 0.06), 0.0),
        Cause.WRAPPED: _past(baits.wrapped, 0.5, 0.06),
        Cause.CREPT: every * (_past(baits.halo, 1.5e-3, 0.2e-3) if baits.halo else 0.0),
        Cause.INVERTED: every * float(baits.swapped),
        Cause.TOO_ALIKE: every * _past(STEP - baits.light.step, 0.0, 1.0),
    }


def spread_of(values: Floats) -> float:
    """Return the standard deviation of the logarithms. [-]"""
    return float(np.std([log(value) for value in values]))
