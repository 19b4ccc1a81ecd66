"""The thermometer of a practice bench: mis-set, fogging, late, noisy and rounded."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.physics.infrared import infrared_reading
from partline.process.practice_bench.hidden import Hidden

Floats = NDArray[np.floating]


def plain_reading(hidden: Hidden, surface: ArrayLike, clock: float) -> Floats:
    """Return what it reads of a surface without noise and rounding.

    Parameters
    ----------
    hidden : Hidden
        The true bench.
    surface : float or ndarray, shape (cups,)
        [K]
    clock : float
        Since the bench was set up. [s]

    Returns
    -------
    reading : ndarray, shape (cups,)
        [K]
    """
    seen = hidden.seen * np.exp(-hidden.drift * clock)
    return infrared_reading(surface, seen, hidden.room, hidden.setting)


def shown(hidden: Hidden, reading: ArrayLike, rng: np.random.Generator) -> Floats:
    """Return what its display shows: with noise, in whole steps of °C. [K], shape (cups,)."""
    celsius = np.asarray(reading, dtype=float) - 273.15
    rough = celsius + hidden.noise * rng.standard_normal(hidden.noise.shape)
    return np.asarray(np.round(rough / hidden.step) * hidden.step + 273.15)
