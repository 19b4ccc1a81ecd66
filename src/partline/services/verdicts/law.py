"""What the laws of light foretell of a recipe in a mould, as odds of a cause before any look."""

from __future__ import annotations

from math import erf, sqrt

from partline.quantities.estimate import Estimate
from partline.services.look import LookAnswer
from partline.studies.diagnosis import Cause

#: Half a range of 80 % in standard deviations.
HALF_RANGE = 1.2816
#: A half that hides so much less than is wanted is taken to be the fault. A guess. [-]
THIN_BY = 0.1
#: Two halves are too alike below it: "close" of the words for differences. [ΔE00]
ALIKE = 1.8
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
        how little back and belly differ. Causes of the hand are left as they are. [-]
    """
    widest = answer.look.at_widest
    found: dict[Cause, float] = {}
    if len(widest.halves) > 1:
        thinnest = min((half.hiding for half in widest.halves), key=lambda each: each.value)
        enough = _chance_above(thinnest, answer.look.wanted - THIN_BY)
        found[Cause.SEE_THROUGH] = _odds(1 - enough)
    if widest.back_belly is not None:
        found[Cause.TOO_ALIKE] = _odds(1 - _chance_above(widest.back_belly.value, ALIKE))
    return found
