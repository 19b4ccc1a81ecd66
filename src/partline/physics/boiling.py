"""Where water boils: at a pressure, and at a height above the sea."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange

Floats = NDArray[np.floating]

#: Coefficients n1 to n10 of region 4, in MPa and K. [1]
_N = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
    -0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
    -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip
#: Triple and critical point of water, between which it boils. [Pa]
LEAST_PRESSURE, MOST_PRESSURE = 611.213, 22.064e6
#: Pressure at the sea in the standard atmosphere. [Pa]
SEA = 101_325.0
#: Heights that the troposphere of the standard covers. [m]
LOWEST, HIGHEST = -2000.0, 11_000.0


def boiling_temperature(pressure: ArrayLike) -> Floats:
    r"""Boiling temperature of water at a pressure.

    .. math::
        T_s = \tfrac12\Bigl[n_{10} + D - \sqrt{(n_{10}+D)^2 - 4(n_9 + n_{10}D)}\Bigr],\quad
        \beta = p^{1/4}

    Parameters
    ----------
    pressure : float or ndarray, shape (...)
        Of the air over the water, p. [Pa]

    Returns
    -------
    temperature : ndarray, shape (...)
        [K]

    Raises
    ------
    OutOfRange
        If the pressure does not lie between the triple and the critical point.

    Notes
    -----
    Pure water: a tenth of a gram of salt in 100 g moves it by 0.02 K. A pot boils a little hotter
    at its floor; the thermometer belongs into rolling water.

    References
    ----------
    .. [1] IAPWS R7-97(2012), "Revised Release on the IAPWS Industrial Formulation 1997,"
       eq. (31), coefficients of table 34 (from memory; a test holds its table 36).

    Examples
    --------
    >>> round(float(boiling_temperature(0.1e6)), 3)
    372.756
    """
    given = np.asarray(pressure, dtype=float)
    if not np.all((given >= LEAST_PRESSURE) & (given <= MOST_PRESSURE)):
        raise OutOfRange(
            "Water boils between its triple and its critical point only.",
            low=LEAST_PRESSURE, high=MOST_PRESSURE, unit="Pa",
        )  # fmt: skip
    beta = (given / 1e6) ** 0.25
    e = beta**2 + _N[2] * beta + _N[5]
    f = _N[0] * beta**2 + _N[3] * beta + _N[6]
    g = _N[1] * beta**2 + _N[4] * beta + _N[7]
    d = 2 * g / (-f - np.sqrt(f**2 - 4 * e * g))
    both = _N[9] + d
    return np.asarray((both - np.sqrt(both**2 - 4 * (_N[8] + _N[9] * d))) / 2)


def air_pressure(height: ArrayLike) -> Floats:
    r"""Air pressure at a height above the sea, in the standard atmosphere.

    .. math:: p = 101325\,\mathrm{Pa}\,(1 - 0.0065\,h/288.15)^{5.25588}

    Parameters
    ----------
    height : float or ndarray, shape (...)
        Geopotential height h. [m]

    Returns
    -------
    pressure : ndarray, shape (...)
        [Pa]

    Raises
    ------
    OutOfRange
        If the height lies outside the troposphere.

    Notes
    -----
    Weather moves it by some 15 hPa either way, which moves boiling by 0.4 K.

    References
    ----------
    .. [1] ISO 2533:1975, "Standard Atmosphere" (form from memory; a test holds its printed
       pressures at 1000 and 2000 m).

    Examples
    --------
    >>> round(float(air_pressure(1000.0)))
    89875
    """
    given = np.asarray(height, dtype=float)
    if not np.all((given >= LOWEST) & (given <= HIGHEST)):
        raise OutOfRange(
            "The standard atmosphere is used from 2 km below to 11 km above the sea.",
            low=LOWEST, high=HIGHEST, unit="m",
        )  # fmt: skip
    return np.asarray(SEA * (1 - 0.0065 * given / 288.15) ** 5.25588)
