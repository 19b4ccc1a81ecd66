"""How likely a reading is of a melt that warm: noise, a skin where nobody stirred, a slip."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import log_ndtr, logsumexp

from partline.quantities.estimate import HALF_RANGE

Floats = NDArray[np.floating]

#: How often a reading is a slip (the rim, the stirrer, a wrong digit), a default. [-]
SLIP = 0.03
#: How far off a slip is, as standard deviation, a default. [K]
SLIP_SIZE = 12.0
#: Scatter of a reading just stirred, as standard deviation: right after a stir the surface loses
#: about half a degree a second to its skin (2.6 kW/m² out of a melt that churns heat along with
#: 1 W/(m·K)), and nobody reads at the same second; a default. [K]
FRESH = 0.35
#: Mean difference between a melt and its skin once that has formed: the custom says 5 to 20 K,
#: common practice, no source. [K]
SKIN = 9.0
#: Time in which a skin forms, a default. [s]
SKIN_TIME = 40.0
#: A reading so soon after a stir is what *just stirred* means, for the band as for the cup: what
#: skin it has by then is in both, and its scatter in `FRESH`. Common practice, no source. [s]
JUST_STIRRED = 6.0
#: Skin of a cup nobody knows the last stir of is that of one left alone so long. [s]
UNKNOWN_STIR = 60.0


def reading_noise(between: float) -> float:
    """Return the standard deviation of one reading [K].

    Parameters
    ----------
    between : float
        Half of the 80 % range of the difference of two readings. [K]

    Notes
    -----
    Only what differs from reading to reading: a thermometer's absolute error is in the band as
    in the readings, and cancels in when the one reaches the other.
    """
    return float(np.hypot(between / HALF_RANGE / np.sqrt(2), FRESH))


def mean_skin(since_stir: float | None) -> float:
    """Return how much colder its skin is on average than that of a melt just stirred [K]."""
    age = UNKNOWN_STIR if since_stir is None else since_stir
    return SKIN * -float(np.expm1(-max(age - JUST_STIRRED, 0.0) / SKIN_TIME))


def reading_likelihood(
    reading: ArrayLike,
    melt: ArrayLike,
    between: float,
    since_stir: float | None,
    slip: float = SLIP,
) -> Floats:
    """Return the logarithm of a reading's likelihood.

    Parameters
    ----------
    reading : float or ndarray, shape (...)
        [K]
    melt : float or ndarray, shape (...)
        What the thermometer would read of the melt, just stirred and without noise. [K]
    between : float
        Half of the 80 % range of the difference of two readings. [K]
    since_stir : float or None
        [s]
    slip : float
        How often a reading is a slip. [-]

    Returns
    -------
    logarithm : ndarray, shape (...)
        [-]

    Notes
    -----
    A skin is at most as warm as the melt, and by an exponential law colder, so that a reading
    of an unstirred cup says much about how cold the melt is at least and little about how warm.
    """
    off = np.asarray(reading, dtype=float) - np.asarray(melt, dtype=float)
    noise, skin = reading_noise(between), mean_skin(since_stir)
    if skin < 0.05 * noise:
        honest = -0.5 * (off / noise) ** 2 - np.log(noise * np.sqrt(2 * np.pi))
    else:  # an exponential law folded with the noise
        honest = (
            off / skin
            + 0.5 * (noise / skin) ** 2
            - np.log(skin)
            + log_ndtr(-(off / noise + noise / skin))
        )
    wild = -0.5 * (off / SLIP_SIZE) ** 2 - np.log(SLIP_SIZE * np.sqrt(2 * np.pi))
    both = np.stack([np.log1p(-slip) + honest, np.log(slip) + wild])
    return np.asarray(logsumexp(both, axis=0))
