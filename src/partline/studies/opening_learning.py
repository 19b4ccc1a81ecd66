r"""How long a mould needs before it is opened, from openings that were long enough or were not.

No opening measures the time that was needed. It only tells on which side of it the mould was
opened: :math:`y`, the logarithm of the time it stayed shut over the time that the law computes for
that shot, was long enough or was not. With :math:`m` the logarithm of what this mould needs over
what the law says,

.. math:: P(\text{long enough}) = \epsilon + (1 - 2 \epsilon)\, \Phi\!\left(\frac{y - m}{s}\right)

and of a spoiled one the rest. :math:`s` holds how far openings scatter and how well the law knows
that shot; :math:`\epsilon` is for a bait that was bent otherwise, or a mark that was forgotten:
an opening far shorter than anybody would think enough is rather held for such a slip.
Before any run :math:`m` is normal about 0. Long openings therefore tell next to nothing, and short
ones that went well pull the factor down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot, log

import numpy as np
from scipy.special import ndtr

from partline.errors import InputError
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin

#: How far openings scatter about what a mould needs: a late tap, a warmer wall. A guess. [-]
SCATTER = 0.1
#: Share of openings that tell the wrong way: bent by a hand, or never marked. A guess. [-]
SLIP = 0.03
#: Half of the range that is looked at, in standard deviations, and its steps.
REACH, STEPS = 6.0, 2401


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """What one run tells of the time that a mould needs.

    Parameters
    ----------
    run : str
        Its code.
    ratio : float
        Time that the mould stayed shut, over the computed; above 0. [-]
    doubt : float
        Standard deviation of the logarithm of the computed time, beside what all shots into this
        mould share. [-]
    is_enough : bool
        Whether it was long enough.
    count : int
        Openings behind it.
    """

    run: str
    ratio: float
    doubt: float
    is_enough: bool
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedOpening:
    """The factor on the computed time, before and after the runs.

    Parameters
    ----------
    before, after : Estimate
        What this mould needs, over the computed time. [-]
    next_run : Estimate
        What the next opening is to be expected to need, scatter included. [-]
    bounds : tuple of Bound
        That it rests on.
    """

    before: Estimate
    after: Estimate
    next_run: Estimate
    bounds: tuple[Bound, ...]


def learn_opening(
    before: Estimate, bounds: Sequence[Bound], *, narrows: str = ""
) -> LearnedOpening:
    """Return what a mould needs over the computed time, after some runs.

    Parameters
    ----------
    before : Estimate
        What is thought without any run; positive, its range that of a log-normal. [-]
    bounds : sequence of Bound
        At most one of each kind from a run: openings of one run are not independent.
    narrows : str
        The measurement that would narrow it most.

    Returns
    -------
    LearnedOpening
        Without bounds, what was thought before.

    Raises
    ------
    InputError
        If a ratio is not above 0, a doubt is negative, or a run tells of one side twice.

    Notes
    -----
    An opening that was long enough never raises the factor, one that was not never lowers it,
    whatever else was told: each likelihood is monotone in it.

    References
    ----------
    .. [1] A. Gelman and others, Bayesian Data Analysis, 3rd ed., sections 8.7 and 16.1 (censored
       data, probit; from memory).
    """
    if not before.low > 0 or any(not each.ratio > 0 or each.doubt < 0 for each in bounds):
        raise InputError("A time over the computed one is above 0, and its doubt not below it.")
    if len({(each.run, each.is_enough) for each in bounds}) < len(bounds):
        raise InputError("A run tells once what was long enough, and once what was not.")
    spread = max(log(before.high / before.low) / (2 * HALF_RANGE), 1e-6)
    if not bounds:
        return LearnedOpening(before=before, after=before, next_run=_scattered(before), bounds=())
    steps = np.linspace(-REACH, REACH, STEPS)
    m = log(before.value) + spread * steps
    heights = -0.5 * steps**2
    for each in bounds:
        away = (log(each.ratio) - m) / hypot(each.doubt, SCATTER)
        enough = ndtr(away if each.is_enough else -away)
        heights += np.log(SLIP + (1 - 2 * SLIP) * enough)
    weights = np.exp(heights - heights.max())
    below = np.cumsum(weights) - 0.5 * weights
    low, middle, high = np.exp(np.interp([0.1, 0.5, 0.9], below / weights.sum(), m))
    runs = len({each.run for each in bounds})
    after = Estimate(
        value=float(middle), low=float(low), high=float(high), origin=Origin.MEASURED,
        source=f"{runs} run{'' if runs == 1 else 's'}, each from one side", narrows=narrows,
        count=sum(each.count for each in bounds),
    )  # fmt: skip
    return LearnedOpening(
        before=before, after=after, next_run=_scattered(after), bounds=tuple(bounds)
    )


def _scattered(known: Estimate) -> Estimate:
    """Return what one opening may need, about what the mould needs. [-]"""
    down = hypot(log(known.value / known.low), HALF_RANGE * SCATTER)
    up = hypot(log(known.high / known.value), HALF_RANGE * SCATTER)
    return Estimate(
        value=known.value, low=known.value * exp(-down), high=known.value * exp(up),
        origin=known.origin, source=f"{known.source}, and its scatter", narrows=known.narrows,
        count=known.count,
    )  # fmt: skip
