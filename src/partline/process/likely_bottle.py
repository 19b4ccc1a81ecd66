"""What a bottle of each clarity is likely to hold, before anything is read off a chip of it.

The family is smooth by make: the logarithm of absorption is a Gaussian process over wavelength,
scattering is a power law, forwardness one number. Its levels and spreads are defaults, set wide:
they stand for what is sold in general and for no bottle in particular.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.supply import Clarity

Floats = NDArray[np.floating]

#: Distance over which absorption keeps its level: dye bands and edges are wider. [m]
SMOOTHNESS = 35e-9
#: Middle of the visible, where power laws are anchored. [m]
MIDDLE = 550e-9
#: Part of the process's variance that its leading shapes must hold. [-]
KEPT = 0.999
PER_MM = 1e3


@dataclass(frozen=True, slots=True, kw_only=True)
class Likely:
    """Levels and spreads of one clarity, for a drop in every 100 g.

    Spreads are standard deviations.

    Parameters
    ----------
    absorption : float
        Middling absorption. [1/m]
    level, slope, bands : float
        Spread of the logarithm of absorption as a whole, of its fall from 400 to 700 nm, and of
        its bands. [-]
    scattering : float
        Middling scattering at 550 nm. [1/m]
    scatter : float
        Spread of its logarithm. [-]
    anisotropy : float
        Middling mean cosine. [-]
    forward : float
        Spread of ln((1 + g)/(1 − g)). [-]
    """

    absorption: float
    level: float
    slope: float
    bands: float
    scattering: float
    scatter: float
    anisotropy: float
    forward: float


#: Middling exponent of scattering against wavelength, and its spread. [-]
EXPONENT, EXPONENT_SPREAD = -0.9, 0.5
#: All defaults: no source; wide enough that a bottle outside the family is still covered.
LIKELY: MappingProxyType[Clarity, Likely] = MappingProxyType({
    Clarity.CLEAR: Likely(
        absorption=0.02 * PER_MM, level=1.6, slope=0.8, bands=2.1,
        scattering=0.002 * PER_MM, scatter=1.7, anisotropy=0.80, forward=0.7,
    ),
    Clarity.OPAQUE: Likely(
        absorption=0.008 * PER_MM, level=2.1, slope=0.8, bands=2.1,
        scattering=0.5 * PER_MM, scatter=1.35, anisotropy=0.62, forward=0.5,
    ),
    Clarity.PEARL: Likely(
        absorption=0.003 * PER_MM, level=1.9, slope=0.6, bands=1.7,
        scattering=0.12 * PER_MM, scatter=1.35, anisotropy=0.80, forward=0.55,
    ),
    Clarity.FLUORESCENT: Likely(
        absorption=0.02 * PER_MM, level=1.6, slope=1.2, bands=2.1,
        scattering=0.03 * PER_MM, scatter=1.35, anisotropy=0.65, forward=0.5,
    ),
})  # fmt: skip


@cache
def smooth_shapes() -> Floats:
    """Leading shapes of a smooth process over the table's wavelengths, shape (shapes, 31). [-]

    Weighted by independent standard normal numbers they add up to the process of unit variance
    whose correlation falls as exp(−½ (Δλ/`SMOOTHNESS`)²).
    """
    apart = (WAVELENGTHS[:, None] - WAVELENGTHS) / SMOOTHNESS
    variance, shapes = np.linalg.eigh(np.exp(-0.5 * apart**2))
    variance, shapes = variance[::-1], shapes[:, ::-1]
    held = np.cumsum(variance) / variance.sum()
    count = int(np.searchsorted(held, KEPT)) + 1
    return np.asarray((shapes[:, :count] * np.sqrt(variance[:count])).T)


@dataclass(frozen=True, kw_only=True)
class Family:
    """The constants of a bottle of one clarity as a function of standard normal numbers.

    Parameters
    ----------
    likely : Likely
        Its levels and spreads.

    Notes
    -----
    The numbers are, in order: level, slope and bands of absorption, level and exponent of
    scattering, forwardness.
    """

    likely: Likely

    @property
    def log_absorption(self) -> Floats:
        """How ln μa moves with each of its numbers, shape (numbers, wavelengths). [-]"""
        likely, ends = self.likely, np.linspace(-1.0, 1.0, WAVELENGTHS.size)
        return np.vstack([
            np.full_like(ends, likely.level), likely.slope * ends, likely.bands * smooth_shapes(),
        ])  # fmt: skip

    @property
    def log_scattering(self) -> Floats:
        """How ln μs moves with each of its two numbers, shape (2, wavelengths). [-]"""
        middle = np.log(WAVELENGTHS / MIDDLE)
        return np.vstack([np.full_like(middle, self.likely.scatter), EXPONENT_SPREAD * middle])

    @property
    def count(self) -> int:
        """Numbers that a bottle is made of."""
        return len(self.log_absorption) + 3

    @property
    def moves(self) -> tuple[Floats, Floats, Floats]:
        """How ln μa, ln μs and the number of forwardness move with every number of the family.

        Shapes (numbers, wavelengths) twice and (numbers,).
        """
        absorbing, scattering = self.log_absorption, self.log_scattering
        bands = len(absorbing)
        absorption = np.zeros((self.count, WAVELENGTHS.size))
        scatter, forward = np.zeros_like(absorption), np.zeros(self.count)
        absorption[:bands] = absorbing
        scatter[bands : bands + 2] = scattering
        forward[bands + 2] = 1.0
        return absorption, scatter, forward

    def of_lot(self, lot: int) -> Family:  # noqa: ARG002
        """Return the family of a reading's lot: all readings are of one."""
        return self

    def constants(self, numbers: Floats) -> tuple[Floats, Floats, Floats]:
        """Return absorption and scattering [1/m per drop in 100 g] and mean cosine [-].

        Parameters
        ----------
        numbers : ndarray, shape (members, numbers)
            Standard normal before anything is read. [-]

        Returns
        -------
        absorption, scattering : ndarray, shape (members, wavelengths)
        anisotropy : ndarray, shape (members,)
        """
        likely, bands = self.likely, len(self.log_absorption)
        middle = np.log(WAVELENGTHS / MIDDLE)
        absorption = likely.absorption * np.exp(numbers[:, :bands] @ self.log_absorption)
        scattering = likely.scattering * np.exp(
            EXPONENT * middle + numbers[:, bands : bands + 2] @ self.log_scattering
        )
        # ln((1 + g)/(1 − g)) = 2 artanh g: any number gives a cosine between −1 and 1.
        turned = 2 * np.arctanh(likely.anisotropy) + likely.forward * numbers[:, bands + 2]
        return absorption, scattering, np.tanh(turned / 2)


@cache
def family_of(clarity: Clarity) -> Family:
    """Return the family of a clarity."""
    return Family(likely=LIKELY[clarity])
