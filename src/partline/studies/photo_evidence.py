"""What figures read off photos say of a look: on which side of a limit, and whether they moved.

A figure that lies within its own doubt of a limit says nothing: then the eye is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import erf, hypot, sqrt
from typing import Final

import numpy as np

from partline.errors import InputError
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.studies.photo_card import MM
from partline.studies.verdict import DISTINCT

#: Half a range of 95 % over half one of 80 %: beyond it a figure has moved for certain enough.
CERTAIN: Final = 1.9600 / HALF_RANGE
#: Difference in days from which on something can have crept. [d]
LATER: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """Where one answer gives way to the other.

    Parameters
    ----------
    value : float
        [the figure's unit]
    origin : Origin
        Where the limit comes from.
    source : str
        In a few words.
    """

    value: float
    origin: Origin
    source: str


#: A line narrower than this is crisp. [m]
CRISP: Final = Limit(value=1.0 * MM, origin=Origin.PRACTICE, source="common practice, no source")
#: A step of lightness smaller than this is none: where “barely” ends. [ΔL*, as ΔE00]
STEP: Final = Limit(
    value=DISTINCT[1].below,
    origin=DISTINCT[1].origin,
    source="acceptable to half of observers, Paravina et al. 2015, from memory",
)
#: A line that grew by less has not grown, for all that matters. [m]
GROWN: Final = Limit(value=0.5 * MM, origin=Origin.PRACTICE, source="common practice, no source")
#: Back and belly that came nearer by less look the same as before. [ΔE00]
FADED: Final = STEP


def chance_below(figure: Estimate, limit: float) -> float:
    """Return the chance that the true figure lies below a limit. [-]

    Parameters
    ----------
    figure : Estimate
        Its range may be lopsided: each end stands for its own side.
    limit : float
        [the figure's unit]

    Examples
    --------
    >>> from partline.quantities.estimate import Estimate, Origin
    >>> line = Estimate(value=2.4, low=2.2, high=2.6, origin=Origin.MEASURED)
    >>> round(chance_below(line, 2.6), 3), round(chance_below(line, 2.4), 3)
    (0.9, 0.5)
    """
    half = figure.high - figure.value if limit > figure.value else figure.value - figure.low
    if half <= 0.0:
        return 0.5 if limit == figure.value else float(limit > figure.value)
    return 0.5 * (1 + erf((limit - figure.value) / (half / HALF_RANGE) / sqrt(2)))


def is_below(figure: Estimate, limit: float) -> bool | None:
    """Whether a figure lies below a limit; None where the limit lies within its range."""
    if figure.high < limit:
        return True
    return False if figure.low > limit else None


def change(before: Estimate, after: Estimate) -> Estimate:
    """Return by how much a figure changed, with the range of both readings together.

    Parameters
    ----------
    before, after : Estimate
        Of two photos, independent of each other. [the figure's unit]

    Returns
    -------
    Estimate
        After less before, its central 80 % range.
    """
    value = after.value - before.value
    low = value - hypot(after.value - after.low, before.high - before.value)
    high = value + hypot(after.high - after.value, before.value - before.low)
    return Estimate(value=value, low=low, high=high, origin=Origin.COMPUTED)


def at_certain(figure: Estimate) -> Estimate:
    """Return a figure with its central 95 % range instead of 80 %."""
    return replace(
        figure,
        low=figure.value - CERTAIN * (figure.value - figure.low),
        high=figure.value + CERTAIN * (figure.high - figure.value),
    )


def has_moved(difference: Estimate) -> bool:
    """Whether a difference is one beyond doubt: no difference lies outside its 95 % range."""
    return is_below(at_certain(difference), 0.0) is not None


def pooled(figures: Sequence[Estimate]) -> Estimate:
    """Return the mean of figures of several slices or baits of one run on one day.

    Parameters
    ----------
    figures : sequence of Estimate
        At least one. [one unit]

    Returns
    -------
    Estimate
        Its range holds how each was read and how far they lie apart.

    Raises
    ------
    InputError
        If there is none.
    """
    if not figures:
        raise InputError("No figure was given to take the mean of.")
    if len(figures) == 1:
        return figures[0]
    values = np.array([each.value for each in figures])
    apart = float(values.std(ddof=1)) * HALF_RANGE
    mean, count = float(values.mean()), len(figures)
    below = hypot(_middling([each.value - each.low for each in figures]), apart) / sqrt(count)
    above = hypot(_middling([each.high - each.value for each in figures]), apart) / sqrt(count)
    return replace(
        figures[0], value=mean, low=mean - below, high=mean + above, count=count,
        source=f"mean of {count}",
    )  # fmt: skip


def _middling(halves: list[float]) -> float:
    return float(np.sqrt(np.mean(np.square(halves))))


def line_got_worse(first: Estimate, last: Estimate) -> bool | None:
    """Whether a line that was crisp on the day is wider now; None where the eye is to say.

    Parameters
    ----------
    first, last : Estimate
        Its width on the first day, and now. [m]

    Returns
    -------
    bool or None
        A line that was not crisp on the day was not fine then, so it is no creep.
    """
    if is_below(first, CRISP.value) is False:
        return False
    difference = change(first, last)
    if has_moved(difference) and difference.value > 0:
        return True if is_below(first, CRISP.value) else None
    grown = is_below(at_certain(difference), GROWN.value)
    return False if grown else None


def colours_got_worse(first: Estimate, last: Estimate) -> bool | None:
    """Whether back and belly that read as two on the day have come nearer; None: ask the eye.

    Parameters
    ----------
    first, last : Estimate
        Back against belly on the first day, and now. [ΔE00]
    """
    if is_below(first, STEP.value):
        return False
    difference = change(first, last)
    if has_moved(difference) and difference.value < 0:
        return True if is_below(first, STEP.value) is False else None
    faded = is_below(at_certain(difference), -FADED.value)
    return False if faded is False else None
