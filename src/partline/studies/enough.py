"""How many baits or slices it would take to tell two runs apart."""

from __future__ import annotations

from math import asin, ceil, sqrt

from scipy.special import ndtri
from scipy.stats import nct
from scipy.stats import t as student

from partline.errors import OutOfRange
from partline.studies.luck import CERTAIN

#: How often a difference that is there should be found. [-]
FOUND = 0.80
#: More baits than this nobody pours to find out. [-]
MOST_BAITS = 1_000_000
#: More slices than this nobody cuts. [-]
MOST_SLICES = 10_000


def baits_needed(first: float, second: float, *, design_effect: float = 1.0) -> int | None:
    """Return the baits of each run that would tell two shares of good ones apart.

    Parameters
    ----------
    first, second : float
        True shares, 0 to 1. [-]
    design_effect : float
        How many baits tell as much as one poured by itself; see `partline.studies.luck.Tally`.
        [-]

    Returns
    -------
    int or None
        Of each run; None where the shares are equal, which no number tells apart, or so close
        that a million would not.

    Raises
    ------
    OutOfRange
        If a share is not within 0 to 1, or the design effect is below 1.

    Notes
    -----
    So many that the higher share is said to be it with a chance of `CERTAIN`, four times in
    five. By the normal distribution of the angle whose sine squared is the share, good from
    about ten baits on.

    References
    ----------
    .. [1] J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed., Erlbaum
       1988, 6.4 (from memory).
    """
    for name, each in (("first", first), ("second", second)):
        if not 0 <= each <= 1:
            message = f"A share of {each:g} is none; it is 0 to 1."
            raise OutOfRange(message, low=0, high=1, field=name, given=f"{each:g}")
    if not design_effect >= 1:
        message = f"Baits cannot tell {1 / design_effect:g} times as much as by themselves."
        raise OutOfRange(message, low=1, field="design_effect")
    apart = abs(2.0 * asin(sqrt(second)) - 2.0 * asin(sqrt(first)))
    steps = float(ndtri(CERTAIN) + ndtri(FOUND))
    if apart <= steps * sqrt(2.0 * design_effect / MOST_BAITS):
        return None
    # The twelve digits take the rounding of the angles off before it is rounded up.
    return ceil(round(2.0 * (steps / apart) ** 2 * design_effect, 12))


def slices_needed(difference: float, spread: float) -> int:
    """Return the slices of each run that would tell two line widths apart.

    Parameters
    ----------
    difference : float
        Of the mean widths. [m]
    spread : float
        Standard deviation from slice to slice of one run, measuring error and all. [m]

    Returns
    -------
    int
        Of each run, at least 2: one alone says nothing of the spread.

    Raises
    ------
    OutOfRange
        If there is no difference, or no spread, or it would take more than ten thousand.

    Notes
    -----
    So many that a one-sided t test of two samples with a level of 1 − `CERTAIN` finds it four
    times in five. One slice of each shot: slices of one shot are alike.

    References
    ----------
    .. [1] J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed., Erlbaum
       1988, 2.4 (from memory).
    """
    for name, each in (("difference", difference), ("spread", spread)):
        if not each > 0:
            message = f"A {name} of {each * 1e3:g} mm tells nothing; it is above 0."
            raise OutOfRange(message, low=0, unit="mm", field=name)
    effect = difference / spread
    guess = int(2.0 * (float(ndtri(CERTAIN) + ndtri(FOUND)) / effect) ** 2)
    if guess > MOST_SLICES:
        message = f"It would take about {guess} slices of each; nobody cuts so many."
        raise OutOfRange(message, high=MOST_SLICES, field="difference")
    count = max(guess, 2)  # the normal distribution's, a little too few: never too many
    while _found(effect, count) < FOUND:
        count += 1
    return count


def _found(effect: float, count: int) -> float:
    """Return how often so many slices of each find an effect. [-]"""
    free = 2 * count - 2
    limit = float(student.ppf(CERTAIN, free))
    return float(nct.sf(limit, free, effect * sqrt(count / 2.0)))
