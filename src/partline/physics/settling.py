"""How fast grains and flakes sink through a thick liquid."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.quantities.constants import STANDARD_GRAVITY

Floats = NDArray[np.floating]

#: How strongly a crowd of grains hinders itself, for a Reynolds number below 0.2. [-]
HINDRANCE = 4.65


def stokes_settling(diameter: ArrayLike, excess: ArrayLike, viscosity: ArrayLike) -> Floats:
    r"""Sinking speed of a single ball in a thick liquid.

    .. math:: v = \frac{\Delta\rho\, g\, d^2}{18\,\eta}

    Parameters
    ----------
    diameter : float or ndarray, shape (...)
        Of the ball, or of one as heavy and as large as the grain, d. [m]
    excess : float or ndarray, shape (...)
        Density of the grain less that of the liquid, Δρ; below 0 it rises. [kg/m³]
    viscosity : float or ndarray, shape (...)
        Of the liquid, η. [Pa·s]

    Returns
    -------
    speed : ndarray, shape (...)
        Downwards. [m/s]

    Raises
    ------
    OutOfRange
        If the diameter or the viscosity is not above 0.

    Notes
    -----
    For a Reynolds number below about 0.2, far from walls: grains of 0.3 mm in a melt of 0.1 Pa·s
    are at 1e-3. A cube sinks some 8 % slower than the ball of its volume (from memory).

    References
    ----------
    .. [1] G. G. Stokes, Trans. Cambridge Phil. Soc. 9 (1851) 8 (from memory).

    Examples
    --------
    >>> round(float(stokes_settling(100e-6, 1230.0, 0.3)) * 60e3, 2)
    1.34
    """
    wide, thick = _above_nought(diameter, viscosity)
    heavier = np.asarray(excess, dtype=float)
    return np.asarray(heavier * STANDARD_GRAVITY * wide**2 / (18.0 * thick))


def plate_settling(
    diameter: ArrayLike, thickness: ArrayLike, excess: ArrayLike, viscosity: ArrayLike
) -> Floats:
    r"""Sinking speed of a thin round plate in a thick liquid, mean over all its attitudes.

    .. math:: v = \frac{\pi\,\Delta\rho\, g\, d\, t}{24\,\eta}

    Parameters
    ----------
    diameter : float or ndarray, shape (...)
        Across the plate, d. [m]
    thickness : float or ndarray, shape (...)
        Of the plate, t; well below the diameter. [m]
    excess : float or ndarray, shape (...)
        Density of the plate less that of the liquid, Δρ; below 0 it rises. [kg/m³]
    viscosity : float or ndarray, shape (...)
        Of the liquid, η. [Pa·s]

    Returns
    -------
    speed : ndarray, shape (...)
        Downwards. [m/s]

    Raises
    ------
    OutOfRange
        If a size or the viscosity is not above 0.

    Notes
    -----
    Weight against the drag 12 η R v of a disk of radius R that keeps whatever attitude it was
    stirred into: 16 η R v face on, 32/3 edge on. A plate with corners counts as a disk as wide.

    References
    ----------
    .. [1] J. Happel and H. Brenner, Low Reynolds Number Hydrodynamics, 1965, section 5-10 (from
       memory).

    Examples
    --------
    >>> round(float(plate_settling(0.4e-3, 25e-6, 465.0, 0.3)) * 60e3, 2)
    1.19
    """
    wide, thin, thick = _above_nought(diameter, thickness, viscosity)
    heavier = np.asarray(excess, dtype=float)
    return np.asarray(np.pi * heavier * STANDARD_GRAVITY * wide * thin / (24.0 * thick))


def hindered_share(volume_fraction: ArrayLike) -> Floats:
    r"""Speed of a crowd of grains over that of a single one, :math:`(1 - \varphi)^{4.65}`.

    Parameters
    ----------
    volume_fraction : float or ndarray, shape (...)
        Share φ of the volume that is grains. [-]

    Returns
    -------
    share : ndarray, shape (...)
        1 for a single grain. [-]

    Raises
    ------
    OutOfRange
        If the volume share is outside 0 to 1.

    Notes
    -----
    For grains of one size up to a share of about 0.4 and a Reynolds number below 0.2. The
    thickening that grains cause is already in it: the viscosity is that of the liquid alone.

    References
    ----------
    .. [1] J. F. Richardson and W. N. Zaki, Trans. Inst. Chem. Eng. 32 (1954) 35 (from memory).

    Examples
    --------
    >>> round(float(hindered_share(0.1)), 3)
    0.613
    """
    crowded = np.asarray(volume_fraction, dtype=float)
    if not np.all((crowded >= 0) & (crowded <= 1)):
        raise OutOfRange("The volume share of grains must lie in 0 to 1.", low=0.0, high=1.0)
    return np.asarray((1.0 - crowded) ** HINDRANCE)


def _above_nought(*given: ArrayLike) -> list[Floats]:
    found = [np.asarray(each, dtype=float) for each in given]
    if not all(np.all(each > 0) for each in found):
        raise OutOfRange("Sizes and viscosity must be above 0.", low=0.0)
    return found
