"""What the laws of light foretell of a recipe in a mould, as odds of a cause before any look."""

from __future__ import annotations

from math import erf, sqrt

import numpy as np

from partline.physics.colorimetry import srgb_to_xyz, xyz_to_lab
from partline.quantities.estimate import HALF_RANGE, Estimate
from partline.services.look import LookAnswer
from partline.services.verdicts.evidence import Evidence
from partline.studies.diagnosis import LOOKS, Cause

#: A half that hides so much less than is wanted is taken to be the fault. A guess. [-]
THIN_BY = 0.1
#: Halves whose lightness differs by less read as one, and how sharply so. Guesses. [L*]
LIGHTNESS_GAP, GAP_SPREAD = 15.0, 4.0
#: A fall of the cup by which a first shot may well be the only one that mixes, and how often it
#: then is. Guesses. [K], [-]
FALL, ONLY_FIRST = 8.0, 0.6
#: No law is trusted further than this. A guess. [-]
SUREST = 4.0


def _chance_above(value: Estimate, limit: float) -> float:
    """Return the chance that a quantity is above a limit, by its range. [-]"""
    spread = max((value.high - value.low) / (2 * HALF_RANGE), 1e-3)
    return 0.5 * (1 + erf((value.value - limit) / spread / sqrt(2)))


def _odds(chance: float) -> float:
    """Return odds for a chance, bounded: a law knows its own side of the matter only. [-]"""
    return min(max(chance / max(1 - chance, 1e-9), 1 / SUREST), SUREST)


def law_odds(answer: LookAnswer) -> dict[Cause, float]:
    """Return the odds that the predicted look gives to the causes it knows of.

    Parameters
    ----------
    answer : LookAnswer
        Of the recipe that was poured, in its mould.

    Returns
    -------
    odds : dict of Cause to float
        See-through by how much less than wanted a half hides at the widest station; too alike by
        how little the halves' own lightness differs. Causes of the hand are left as they are. [-]
    """
    widest = answer.look.at_widest
    found: dict[Cause, float] = {}
    if len(widest.halves) > 1:
        thinnest = min((half.hiding for half in widest.halves), key=lambda each: each.value)
        enough = _chance_above(thinnest, answer.look.wanted - THIN_BY)
        found[Cause.SEE_THROUGH] = _odds(1 - enough)
        gap = lightness_gap(answer)
        over = (gap - LIGHTNESS_GAP) / GAP_SPREAD
        found[Cause.TOO_ALIKE] = _odds(0.5 * (1 - erf(over / sqrt(2))))
    return found


def foretold_looks(known: Evidence) -> dict[tuple[str, Cause], float]:
    """Return chances of looks that the record foretells for this very run. [-]

    A jet at the gate goes with the inverse square of the viscosity, so that a shot drawn warmer
    than those after it may be the only one that mixes: the larger the fall, the likelier.

    Parameters
    ----------
    known : Evidence
        What the record tells.
    """
    table = LOOKS["first_only"].chance(Cause.MIXED)
    share = min(max(known.fall, 0.0) / FALL, 1.0)
    return {("first_only", Cause.MIXED): table + share * (ONLY_FIRST - table)}


def lightness_gap(answer: LookAnswer) -> float:
    """Return how far the halves' own colours are apart in lightness, at the widest. [L*]"""
    lightness = [
        float(xyz_to_lab(srgb_to_xyz(np.asarray(half.own_colour)))[0])
        for half in answer.look.at_widest.halves
    ]
    return max(lightness) - min(lightness)
