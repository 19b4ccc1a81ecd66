"""What is known about a cooling cup after its readings, as weighted points to ask."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import Impossible
from partline.quantities.estimate import Estimate, Origin
from partline.studies.countdown.course import Course

Floats = NDArray[np.floating]

#: Ends and middle of a central 80 % range. [-]
TENTHS = (0.1, 0.5, 0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """Weighted points, each a way that the cup may be cooling.

    Parameters
    ----------
    warmth : ndarray, shape (points,)
        Reading of the melt, just stirred, at the anchor. [K]
    slowness : ndarray, shape (points,)
        Time constant at the reference mass. [s]
    pace : ndarray, shape (points,)
        How many times as fast the cup cools after the last reading. [-]
    weight : ndarray, shape (points,)
        Adding up to 1. [-]
    course : Course
        The clock of the cooling.
    last : float
        Moment of the last reading. [s]
    room : float
        [K]
    count : int
        Readings that it rests on.
    """

    warmth: Floats
    slowness: Floats
    pace: Floats
    weight: Floats
    course: Course
    last: float
    room: float
    count: int

    @property
    def lead(self) -> Floats:
        """On the room, at the anchor; never quite nothing. [K], shape (points,)."""
        return np.asarray(np.maximum(self.warmth - self.room, 1e-9))

    def temperatures(self, times: ArrayLike) -> Floats:
        """Return what a thermometer would read, just stirred and without noise, of each point.

        Parameters
        ----------
        times : float or ndarray, shape (times,)
            [s]

        Returns
        -------
        temperature : ndarray, shape (times, points)
            [K]
        """
        when = np.atleast_1d(np.asarray(times, dtype=float))[:, None]
        fall = self.course.fall(when, self.slowness, self.lead, self.last, self.pace)
        return np.asarray(self.room + self.lead * np.exp(-fall))

    def temperature_at(self, times: ArrayLike) -> Floats:
        """Return low, middle and high of what the melt would read. [K], shape (3, times)."""
        return np.stack([self.quantiles(row) for row in self.temperatures(times)], axis=1)

    def moments(self, temperature: float) -> Floats:
        """Return when each point falls to a temperature.

        Parameters
        ----------
        temperature : float
            Of the same thermometer as the readings. [K]

        Returns
        -------
        time : ndarray, shape (points,)
            Before the anchor where it was colder already. [s]

        Raises
        ------
        Impossible
            If the room is not colder than that.
        """
        if not temperature > self.room:
            raise Impossible(
                "No cup cools below the room it stands in.",
                nearest="Ask for a temperature above the room's.",
            )
        fall = np.log(self.lead / (temperature - self.room))
        return self.course.when(fall, self.slowness, self.lead, self.last, self.pace)

    def quantiles(self, values: Floats, shares: tuple[float, ...] = TENTHS) -> Floats:
        """Return the values below which these shares of the weight lie, shape (shares,)."""
        order = np.argsort(values)
        heavy = self.weight[order]
        return np.asarray(np.interp(shares, np.cumsum(heavy) - heavy / 2, values[order]))

    def crossing(self, temperature: float) -> Estimate:
        """Return when the cup reads a temperature [K], as middle and 80 % range. [s]"""
        low, middle, high = self.quantiles(self.moments(temperature))
        return Estimate(
            value=float(middle),
            low=float(low),
            high=float(high),
            origin=Origin.COMPUTED,
            source=f"{self.count} reading(s), cooling by air and radiation",
            narrows="a reading, just stirred",
            count=self.count,
        )

    def time_constant(self) -> Estimate:
        """Return the time constant at the reference mass. [s]"""
        low, middle, high = self.quantiles(self.slowness)
        return Estimate(
            value=float(middle),
            low=float(low),
            high=float(high),
            origin=Origin.MEASURED if self.count > 1 else Origin.COMPUTED,
            source=f"{self.count} reading(s)",
            narrows="a reading, just stirred",
            count=self.count,
        )

    def sample(self, shares: Floats, time: float) -> NDArray[np.intp]:
        """Return the points at these shares of the weight, coldest first at a time [s].

        Parameters
        ----------
        shares : ndarray, shape (draws,)
            0 to 1; evenly spread ones give equally likely points. [-]
        time : float
            [s]
        """
        order = np.argsort(self.temperatures(time)[0])
        found = np.searchsorted(np.cumsum(self.weight[order]), shares)
        return np.asarray(order[np.minimum(found, order.size - 1)])
