"""The countdown of one cup: what is known, asked for what the bench shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.process.cup import Cup
from partline.quantities.estimate import Estimate
from partline.studies.countdown.emptying import Schedule, ShotsLeft, shots_left
from partline.studies.countdown.events import Reading
from partline.studies.countdown.fitting import fit
from partline.studies.countdown.history import BETWEEN_READINGS, TYPICAL, CupHistory
from partline.studies.countdown.next_reading import NextReading, next_reading
from partline.studies.countdown.posterior import Posterior

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True)
class Countdown:
    """A cup's history with what it tells.

    Parameters
    ----------
    history : CupHistory
        Of the cup.
    posterior : Posterior
        After all its readings.
    now : float
        On the history's clock. [s]
    """

    history: CupHistory
    posterior: Posterior
    now: float

    def temperature(self, times: ArrayLike) -> Floats:
        """Return low, middle and high of what a reading would show, just stirred.

        Parameters
        ----------
        times : float or ndarray, shape (times,)
            [s]

        Returns
        -------
        temperature : ndarray, shape (3, times)
            [K]
        """
        return self.posterior.temperature_at(times)

    def crossing(self, temperature: float) -> Estimate:
        """Return when the cup falls to a temperature [K] of its thermometer. [s]"""
        return self.posterior.crossing(temperature)

    def time_constant(self) -> Estimate:
        """Return the time constant at the history's mass. [s]"""
        return self.posterior.time_constant()

    def next_reading(self, temperature: float) -> NextReading:
        """Return when a reading would narrow most when a temperature [K] is reached."""
        return next_reading(self.posterior, temperature, self.now, self.history.between)

    def shots_left(self, stop: float, schedule: Schedule) -> ShotsLeft:
        """Return the shots that fit before the stop [K], the cup emptying on the way."""
        return shots_left(self.posterior, self.history, stop, schedule)


def countdown(history: CupHistory, now: float) -> Countdown:
    """Return the countdown of a cup.

    Parameters
    ----------
    history : CupHistory
        With one reading at least since the cup was last heated, or a forecast.
    now : float
        On the history's clock. [s]

    Returns
    -------
    countdown : Countdown
        Asked for temperatures, moments, shots and the next reading.

    Raises
    ------
    InputError
        If there is no reading and no forecast since the last heat.
    """
    return Countdown(history=history, posterior=fit(history), now=now)


def history_of(
    cup: Cup,
    mass: float,
    room: float,
    readings: tuple[Reading, ...],
    *,
    between: float = BETWEEN_READINGS,
) -> CupHistory:
    """Return a history whose time constant is first taken from the vessel and its filling.

    Parameters
    ----------
    cup : Cup
        The vessel in terms of heat.
    mass : float
        Of the plastic at the first reading. [kg]
    room : float
        [K]
    readings : tuple of Reading
        So far.
    between : float
        How far two readings may be apart by the thermometer's fault, 80 %. [K]
    """
    return CupHistory(
        room=room,
        readings=readings,
        time_constant=cup.likely_time_constant(mass, TYPICAL, room),
        mass=mass,
        cup=cup,
        between=between,
    )
