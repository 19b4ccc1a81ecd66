"""The lights that a bait is looked at under."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.data.cie import D65, DAYLIGHT, LED_B1, LED_B5, WAVELENGTHS
from partline.errors import OutOfRange
from partline.physics.colorimetry import light_weights

Floats = NDArray[np.floating]

#: Colour temperature of an overcast sky: illuminant D75, with the second radiation constant as
#: it is known today. [K]
OVERCAST_TEMPERATURE = 7500.0 * 1.4388 / 1.4380
#: Colour temperature of open shade, lit by blue sky alone: a guess within 9,000 to 15,000. [K]
SHADE_TEMPERATURE = 11_000.0


class Illuminant(StrEnum):
    """A light, in plain words."""

    DAYLIGHT = "daylight"  # D65: sun and sky at noon
    OVERCAST = "overcast"  # D75
    SHADE = "shade"  # CIE daylight of 11 000 K
    LAMP = "lamp"  # A: a filament
    WARM_LED = "warm led"  # LED-B1
    COOL_LED = "cool led"  # LED-B5


def daylight_chromaticity(temperature: ArrayLike) -> Floats:
    r"""Chromaticity of a phase of daylight.

    .. math::
        x = a_0 + 10^3 a_1/T + 10^6 a_2/T^2 + 10^9 a_3/T^3,\quad y = -3x^2 + 2.870x - 0.275

    Parameters
    ----------
    temperature : float or ndarray, shape (...)
        Correlated colour temperature T, 4,000 to 25,000. [K]

    Returns
    -------
    chromaticity : ndarray, shape (..., 2)
        x and y for the 2° observer. [-]

    Raises
    ------
    OutOfRange
        If a temperature lies outside what the formula was made for.

    References
    ----------
    .. [1] CIE 015:2018, section 4.1.2, Eqs. (4.8)–(4.10) (from memory).

    Examples
    --------
    >>> daylight_chromaticity(6504.0).round(4).tolist()
    [0.3127, 0.3291]
    """
    kelvin = np.asarray(temperature, dtype=float)
    if not (np.all(kelvin >= 4000) and np.all(kelvin <= 25_000)):
        raise OutOfRange(
            "Daylight has a colour temperature of 4000 to 25,000 K; a lamp is no daylight.",
            low=4000.0, high=25_000.0, unit="K", field="temperature",
        )  # fmt: skip
    inverse = 1.0 / kelvin
    warm = 0.244063 + inverse * (0.09911e3 + inverse * (2.9678e6 - inverse * 4.6070e9))
    cool = 0.237040 + inverse * (0.24748e3 + inverse * (1.9018e6 - inverse * 2.0064e9))
    x = np.where(kelvin <= 7000, warm, cool)
    return np.stack([x, (-3.0 * x + 2.870) * x - 0.275], axis=-1)


def daylight_power(temperature: float) -> Floats:
    r"""Relative spectral power of a phase of daylight.

    .. math:: S = S_0 + M_1 S_1 + M_2 S_2

    Parameters
    ----------
    temperature : float
        Correlated colour temperature, 4,000 to 25,000. [K]

    Returns
    -------
    power : ndarray, shape (wavelengths,)
        At `partline.data.cie.WAVELENGTHS`; 100 at 560 nm. [-]

    References
    ----------
    .. [1] CIE 015:2018, section 4.1.2, Eqs. (4.11)–(4.13) (from memory); the components are the
       published table's.
    """
    x, y = daylight_chromaticity(temperature)
    scale = 0.0241 + 0.2562 * x - 0.7341 * y
    # The standard rounds both to three decimals, and so does its table of D65.
    first = np.round((-1.3515 - 1.7703 * x + 5.9114 * y) / scale, 3)
    second = np.round((0.0300 - 31.4424 * x + 30.0717 * y) / scale, 3)
    return DAYLIGHT @ np.array([1.0, first, second])


def filament_power() -> Floats:
    """Relative spectral power of illuminant A, a black body of about 2856 K; 100 at 560 nm.

    References
    ----------
    .. [1] CIE 015:2018, section 4.1.1, Eq. (4.1): 1.435e7 nm·K and 2848 K by definition (from
       memory).
    """
    nm = WAVELENGTHS * 1e9
    reference = np.expm1(1.435e7 / (2848.0 * 560.0))
    power: Floats = 100.0 * (560.0 / nm) ** 5 * reference / np.expm1(1.435e7 / (2848.0 * nm))
    return power


_POWERS: dict[Illuminant, Callable[[], Floats]] = {
    Illuminant.DAYLIGHT: lambda: D65,
    Illuminant.OVERCAST: lambda: daylight_power(OVERCAST_TEMPERATURE),
    Illuminant.SHADE: lambda: daylight_power(SHADE_TEMPERATURE),
    Illuminant.LAMP: filament_power,
    Illuminant.WARM_LED: lambda: LED_B1,
    Illuminant.COOL_LED: lambda: LED_B5,
}


@cache
def illuminant_power(illuminant: Illuminant) -> Floats:
    """Relative spectral power of a light.

    Parameters
    ----------
    illuminant : Illuminant
        Which light.

    Returns
    -------
    power : ndarray, shape (wavelengths,)
        At `partline.data.cie.WAVELENGTHS`, on a scale of its own. [-]
    """
    power = _POWERS[illuminant]()
    power.setflags(write=False)
    return power


@cache
def illuminant_weights(illuminant: Illuminant) -> Floats:
    """Weight of each wavelength in X, Y, Z under a light.

    Parameters
    ----------
    illuminant : Illuminant
        Which light.

    Returns
    -------
    weights : ndarray, shape (wavelengths, 3)
        For `partline.physics.colorimetry.reflectance_to_xyz`; their sum is the light's white. [-]
    """
    weights = light_weights(illuminant_power(illuminant))
    weights.setflags(write=False)
    return weights
