"""The stop of a cup that is emptied on the way, and the shots that fit before it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partline.errors import OutOfRange
from partline.quantities.estimate import Estimate, Origin
from partline.studies.countdown.events import Draw
from partline.studies.countdown.history import CupHistory, course_of
from partline.studies.countdown.posterior import TENTHS, Posterior

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """The draws to come.

    Parameters
    ----------
    first : float
        Moment of the next draw. [s]
    every : float
        From draw to draw: seconds a shot times shots a draw. [s]
    mass : float
        Out of this cup, a draw. [kg]
    draws : int
        How many are wanted.
    shots_per_draw : int
        Shots pushed from one filling of the syringes.
    """

    first: float
    every: float
    mass: float
    draws: int
    shots_per_draw: int = 1

    def __post_init__(self) -> None:
        """Refuse a schedule that nobody can pour."""
        if not (self.every > 0 and self.mass >= 0 and self.draws >= 0 and self.shots_per_draw > 0):
            raise OutOfRange(
                "Draws need some seconds between them, and a mass and a count not below 0.",
                low=0.0,
            )

    @property
    def moments(self) -> Floats:
        """When each draw is due. [s], shape (draws,)."""
        return self.first + self.every * np.arange(self.draws)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotsLeft:
    """How many shots a cup still allows.

    Parameters
    ----------
    middle, low, high : int
        As the 80 % range has it, in whole shots.
    stop : Estimate
        When the cup falls to the stop while it is drawn from so. [s]
    is_emptied : bool
        Whether what is wanted ends before the stop does.
    """

    middle: int
    low: int
    high: int
    stop: Estimate
    is_emptied: bool


def emptied(posterior: Posterior, history: CupHistory, schedule: Schedule) -> Posterior:
    """Return what is known of a cup that is going to be drawn from.

    Parameters
    ----------
    posterior : Posterior
        From this history.
    history : CupHistory
        Of the cup, with its mass.
    schedule : Schedule
        Draws still to come, all later than the last reading.
    """
    to_come = tuple(Draw(at=float(at), mass=schedule.mass) for at in schedule.moments)
    planned = replace(history, draws=(*history.draws, *to_come))
    return replace(posterior, course=course_of(planned, posterior.course.anchor))


def shots_left(
    posterior: Posterior, history: CupHistory, stop: float, schedule: Schedule
) -> ShotsLeft:
    """Return how many of the draws to come are made before the stop.

    Parameters
    ----------
    posterior : Posterior
        From this history.
    history : CupHistory
        Of the cup; without a mass its cooling is taken not to change.
    stop : float
        Lower end of the working band. [K]
    schedule : Schedule
        Draws still to come.

    Returns
    -------
    left : ShotsLeft
        A draw counts when the cup is at the stop or above at its moment.
    """
    drawn = emptied(posterior, history, schedule)
    moments = drawn.moments(stop)
    made = np.searchsorted(schedule.moments, moments, side="right") * schedule.shots_per_draw
    order = np.argsort(made)
    share = np.cumsum(posterior.weight[order])
    low, middle, high = made[order][np.minimum(np.searchsorted(share, TENTHS), made.size - 1)]
    ends = drawn.quantiles(moments)
    return ShotsLeft(
        middle=int(middle),
        low=int(low),
        high=int(high),
        stop=Estimate(
            value=float(ends[1]),
            low=float(ends[0]),
            high=float(ends[2]),
            origin=Origin.COMPUTED,
            source=f"{posterior.count} reading(s), the cup emptied by {schedule.draws} draw(s)",
            narrows="a reading, just stirred",
            count=posterior.count,
        ),
        is_emptied=bool(middle >= schedule.draws * schedule.shots_per_draw),
    )
