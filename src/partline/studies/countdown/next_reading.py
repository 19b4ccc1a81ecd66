"""When the next reading would tell most about a moment that is waited for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partline.quantities.estimate import HALF_RANGE
from partline.studies.countdown.likelihood import reading_noise
from partline.studies.countdown.posterior import Posterior

#: Soonest and latest that a reading is asked for, and the raster between: a maker stirs and
#: reads in 15 s, and a minute unread is long, common practice. [s]
SOONEST, LATEST, RASTER = 15.0, 60.0, 5.0
#: A reading is wanted so long before the moment itself. [s]
BEFORE = 5.0
#: A sooner reading is preferred when it narrows within this share of the best. [-]
ABOUT_AS_GOOD = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """A reading worth taking.

    Parameters
    ----------
    at : float
        [s]
    width : float
        Of the 80 % range of the moment waited for, as it is. [s]
    width_after : float
        What is expected of it after the reading. [s]
    """

    at: float
    width: float
    width_after: float


def next_reading(
    posterior: Posterior, temperature: float, now: float, between: float
) -> NextReading:
    """Return when a reading would narrow most when a temperature is reached.

    Parameters
    ----------
    posterior : Posterior
        What is known.
    temperature : float
        That is waited for. [K]
    now : float
        [s]
    between : float
        Half of the 80 % range of the difference of two readings. [K]

    Returns
    -------
    reading : NextReading
        15 to 60 s from now; 15 s from now where the moment is nearer than that.

    Notes
    -----
    The variance that a reading y leaves of a moment x, Var x − Cov(x, y)²/(Var y + noise²): exact
    for straight courses and normal doubts, and near enough to choose by.
    """
    moments = posterior.moments(temperature)
    low = float(posterior.quantiles(moments)[0])
    latest = max(now + SOONEST, min(now + LATEST, low - BEFORE))
    times = np.append(np.arange(now + SOONEST, latest, RASTER), latest)
    read = posterior.temperatures(times)
    weight = posterior.weight
    x = moments - weight @ moments
    y = read - (read @ weight)[:, None]
    variance = float(weight @ x**2)
    told = (y * x) @ weight
    left = variance - told**2 / ((y**2) @ weight + reading_noise(between) ** 2)
    left = np.maximum(left, 0.0)
    best = left.min()
    chosen = int(np.argmax(left <= best + ABOUT_AS_GOOD * (variance - best)))
    both = 2 * HALF_RANGE * np.sqrt([variance, left[chosen]])
    return NextReading(at=float(times[chosen]), width=float(both[0]), width_after=float(both[1]))
