r"""How a cup's lead on the room falls: faster with every draw, slower as it gets smaller.

Between two events the lead θ falls by

.. math:: \dot\theta = -\frac{\theta}{\tau\,s}\left(\frac{\theta}{\theta_r}\right)^n

s being the time constant at the mass of that stretch over the one at the reference mass, θᵣ the
lead that the time constant is told at, and n the bend: the heat lost for each degree grows a
little with the lead, since warm air rises faster and radiation grows with the fourth power. With
n = 0 it is Newton's cooling. A whole course, cold additions included, has the closed form

.. math:: \theta(t) = \theta_0\,A(t)
    \left[1 + n\left(\frac{\theta_0}{\theta_r}\right)^n\frac{S(t)}{\tau}\right]^{-1/n},
    \quad S = \int \frac{A^n}{s}\,\mathrm{d}t

with A the factor that everything cold has left of the lead since the anchor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.floating]

#: Lead on the room that time constants are told at. [K]
REFERENCE_LEAD = 140.0
#: Long before the anchor the closed form has no finite lead; it stops here. [-]
LEAST_BENT = -0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A clock for one cooling: runs of constant mass, and losses between them.

    Parameters
    ----------
    times : ndarray, shape (events + 1,)
        Moments at which a run begins; the first is -inf. [s]
    speeds : ndarray, shape (events + 1,)
        How fast the clock goes in each run: 1 at the reference mass, less by Aⁿ once something
        cold went in. [-]
    losses : ndarray, shape (events + 1,)
        Logarithm of the factor on the lead at each of `times`, 0 or below for cold. [-]
    anchor : float
        Where the clock shows 0. [s]
    bend : float
        Power n of the lead that the loss for each degree grows with; near 0 for Newton's law. [-]
    """

    times: Floats
    speeds: Floats
    losses: Floats
    anchor: float
    bend: float

    def clock(self, time: ArrayLike) -> Floats:
        """Return S, the time gone at the reference mass since the anchor.

        Parameters
        ----------
        time : float or ndarray, shape (...)
            [s]

        Returns
        -------
        clock : ndarray, shape (...)
            [s]
        """
        when = np.asarray(time, dtype=float)
        return np.asarray(self._run_clock(when) - self._run_clock(np.asarray(self.anchor)))

    def _run_clock(self, when: Floats) -> Floats:
        """Return the clock from a zero that is the same for every question."""
        total = self.speeds[0] * when
        for begun, change in zip(self.times[1:], np.diff(self.speeds), strict=True):
            total = total + change * np.maximum(when - begun, 0.0)
        return np.asarray(total)

    def loss(self, time: ArrayLike) -> Floats:
        """Return ln A since the anchor, losses of that very moment taken. [-]"""
        when = np.asarray(time, dtype=float)[..., None]
        taken = np.where((self.times > self.anchor) & (self.times <= when), self.losses, 0.0)
        given = np.where((self.times <= self.anchor) & (self.times > when), self.losses, 0.0)
        return np.asarray(taken.sum(axis=-1) - given.sum(axis=-1))

    def when(
        self, fall: ArrayLike, slowness: ArrayLike, lead: ArrayLike, since: float, pace: ArrayLike
    ) -> Floats:
        r"""Return when the lead has fallen by a factor :math:`e^{-f}` since the anchor.

        Parameters
        ----------
        fall : float or ndarray, shape (...)
            f; below 0 for a moment before the anchor. [-]
        slowness : float or ndarray, shape (...)
            Time constant at the reference mass and lead. [s]
        lead : float or ndarray, shape (...)
            On the room, at the anchor. [K]
        since : float
            Moment from which the clock goes `pace` times as fast. [s]
        pace : float or ndarray, shape (...)
            [-]

        Returns
        -------
        time : ndarray, shape (...)
            [s]
        """
        wanted, tau, warm, hurry = np.broadcast_arrays(
            *(np.asarray(each, dtype=float) for each in (fall, slowness, lead, pace))
        )
        stretch = tau / (warm / REFERENCE_LEAD) ** self.bend
        knots = np.unique(np.append(self.times[1:], [since, self.anchor]))
        answer = np.full(wanted.shape, np.nan)
        # In each run the clock is straight; the first run that reaches what is wanted has it.
        for begun, ended in zip([-np.inf, *knots], [*knots, np.inf], strict=True):
            point = begun if np.isfinite(begun) else ended - 1.0
            speed = self.speeds[np.searchsorted(self.times, point, side="right") - 1]
            needed = stretch * np.expm1(self.bend * (wanted + self.loss(point))) / self.bend
            missing = needed - self._hurried(point, since, hurry)
            # Within a loss's jump the wanted lead is behind already: it is that moment.
            found = np.maximum(point + missing / (speed * (hurry if point >= since else 1)), begun)
            answer = np.where(np.isnan(answer) & (found < ended), found, answer)
        return answer

    def fall(
        self, time: ArrayLike, slowness: ArrayLike, lead: ArrayLike, since: float, pace: ArrayLike
    ) -> Floats:
        """Return f at a time; the arguments are those of `when`. [-]"""
        when = np.asarray(time, dtype=float)
        passed = self._hurried(when, since, np.asarray(pace, dtype=float))
        strength = (np.asarray(lead, dtype=float) / REFERENCE_LEAD) ** self.bend
        bent = np.maximum(self.bend * strength * passed / np.asarray(slowness), LEAST_BENT)
        return np.asarray(np.log1p(bent) / self.bend - self.loss(when))

    def _hurried(self, when: float | Floats, since: float, pace: Floats) -> Floats:
        """Return the clock, going `pace` times as fast from `since` on."""
        before = self.clock(np.minimum(when, since))
        return np.asarray(
            before + pace * (self.clock(np.maximum(when, since)) - self.clock(since))
        )
