"""What an infrared thermometer reads, and how warm the thing is that it looks at.

References
----------
.. [1] M. Planck, 1901: radiation of a black body (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.numerics.quadrature import gauss
from partline.quantities.constants import SECOND_RADIATION, STEFAN_BOLTZMANN

Floats = NDArray[np.floating]

#: The band that hand thermometers look in. [m]
BAND_LOW, BAND_HIGH = 8e-6, 14e-6
#: Temperatures that are told apart. [K]
COLDEST, HOTTEST = 150.0, 1500.0
#: Nodes over the band: 32 leave an error below 1e-12.
NODES = 32
#: Halvings that bring 150 to 1500 K below 1e-12 K.
HALVINGS = 51


def band_power(temperature: ArrayLike, low: float = BAND_LOW, high: float = BAND_HIGH) -> Floats:
    r"""Power that a black surface radiates within a band of wavelengths.

    .. math:: W = \int \frac{2\pi h c^2}{\lambda^5}\,
        \frac{\mathrm{d}\lambda}{e^{c_2/(\lambda T)} - 1}

    Parameters
    ----------
    temperature : float or ndarray, shape (...)
        150 to 1500 K. [K]
    low, high : float
        Ends of the band, up to an octave apart and not below 2 µm. [m]

    Returns
    -------
    power : ndarray, shape (...)
        [W/m²]

    Raises
    ------
    OutOfRange
        If the temperature is outside 150 to 1500 K, or the band is empty, wider than an octave,
        or below 2 µm.

    Notes
    -----
    As if the thermometer were equally sensitive throughout its band; its maker knows how it is.

    References
    ----------
    .. [1] M. Planck, 1901 (from memory). The factor is that of the Stefan–Boltzmann law,
       :math:`2\pi hc^2 = 15\,\sigma c_2^4/\pi^4`.

    Examples
    --------
    >>> round(float(band_power(300.0)), 1)
    172.6
    """
    kelvin = np.asarray(temperature, dtype=float)
    if not np.all((kelvin >= COLDEST) & (kelvin <= HOTTEST)):
        raise OutOfRange(
            "An infrared reading is understood from 150 to 1500 K.",
            low=COLDEST,
            high=HOTTEST,
            unit="K",
        )
    if not 2e-6 <= low < high <= 2 * low:
        raise OutOfRange("A band lies above 2 µm and within an octave.", low=2e-6, unit="m")
    wavelength, weight = gauss(NODES, low, high)
    factor = 15 * STEFAN_BOLTZMANN * SECOND_RADIATION**4 / np.pi**4
    spectral = (
        factor / wavelength**5 / np.expm1(SECOND_RADIATION / (wavelength * kelvin[..., None]))
    )
    return np.asarray(np.sum(weight * spectral, axis=-1))


def band_temperature(power: ArrayLike, low: float = BAND_LOW, high: float = BAND_HIGH) -> Floats:
    """Temperature of a black surface that radiates so much within a band.

    Parameters
    ----------
    power : float or ndarray, shape (...)
        [W/m²]
    low, high : float
        Ends of the band. [m]

    Returns
    -------
    temperature : ndarray, shape (...)
        150 to 1500 K, to 1e-9 K. [K]

    Raises
    ------
    OutOfRange
        If the power is not that of 150 to 1500 K, or the band is not one of `band_power`.

    Notes
    -----
    By halving: the power rises with the temperature everywhere.

    References
    ----------
    .. [1] The inverse of `band_power`.
    """
    wanted = np.asarray(power, dtype=float)
    least, most = band_power([COLDEST, HOTTEST], low, high)
    if not np.all((wanted >= least) & (wanted <= most)):
        raise OutOfRange(
            "No temperature from 150 to 1500 K radiates so.",
            low=float(least),
            high=float(most),
            unit="W/m²",
            remedy="Look at emissivity and surroundings: bare metal cannot be read.",
        )
    colder, hotter = np.full(wanted.shape, COLDEST), np.full(wanted.shape, HOTTEST)
    for _ in range(HALVINGS):
        middle = (colder + hotter) / 2
        is_colder = band_power(middle, low, high) < wanted
        colder, hotter = np.where(is_colder, middle, colder), np.where(is_colder, hotter, middle)
    return np.asarray((colder + hotter) / 2)


def infrared_reading(
    temperature: ArrayLike,
    emissivity: ArrayLike,
    ambient: ArrayLike,
    set_emissivity: ArrayLike = 0.95,
) -> Floats:
    r"""Temperature that an infrared thermometer shows of a surface.

    .. math:: \epsilon_s W(T_r) + (1 - \epsilon_s) W(T_a) = \epsilon W(T) + (1 - \epsilon) W(T_a)

    Parameters
    ----------
    temperature : float or ndarray, shape (...)
        Of the surface, T. [K]
    emissivity : float or ndarray, shape (...)
        Of the surface within the band, ε. [-]
    ambient : float or ndarray, shape (...)
        Of what the surface mirrors, and of the thermometer, T_a. [K]
    set_emissivity : float or ndarray, shape (...)
        What the thermometer is set to, ε_s. [-]

    Returns
    -------
    reading : ndarray, shape (...)
        T_r. [K]

    Raises
    ------
    OutOfRange
        If an emissivity is not above 0 and at most 1, or a temperature, the reading included, is
        outside 150 to 1500 K.

    Notes
    -----
    For an opaque surface that fills the spot, seen nearly straight on in 8 to 14 µm, through
    neither glass nor fumes.

    References
    ----------
    .. [1] The balance of band powers as handbooks of thermography give it (from memory).

    Examples
    --------
    >>> round(float(infrared_reading(448.15, 0.90, 296.15)) - 273.15, 1)
    169.2
    """
    return _seen(temperature, emissivity, ambient, set_emissivity)


def surface_temperature(
    reading: ArrayLike,
    emissivity: ArrayLike,
    ambient: ArrayLike,
    set_emissivity: ArrayLike = 0.95,
) -> Floats:
    """Temperature of a surface that an infrared thermometer has read.

    Parameters
    ----------
    reading : float or ndarray, shape (...)
        What it shows. [K]
    emissivity : float or ndarray, shape (...)
        Of the surface within the band. [-]
    ambient : float or ndarray, shape (...)
        Of what the surface mirrors, and of the thermometer. [K]
    set_emissivity : float or ndarray, shape (...)
        What the thermometer is set to. [-]

    Returns
    -------
    temperature : ndarray, shape (...)
        [K]

    Raises
    ------
    OutOfRange
        As for `infrared_reading`.

    Notes
    -----
    The balance of `infrared_reading` reads the same from both ends.

    References
    ----------
    .. [1] The inverse of `infrared_reading`.
    """
    return _seen(reading, set_emissivity, ambient, emissivity)


def bulk_temperature(
    reading: ArrayLike,
    emissivity: ArrayLike,
    ambient: ArrayLike,
    set_emissivity: ArrayLike = 0.95,
    skin: ArrayLike = 0.0,
) -> Floats:
    """Temperature of a melt below the skin that an infrared thermometer has read.

    Parameters
    ----------
    reading : float or ndarray, shape (...)
        What it shows. [K]
    emissivity : float or ndarray, shape (...)
        Of the skin within the band. [-]
    ambient : float or ndarray, shape (...)
        Of what the skin mirrors, and of the thermometer. [K]
    set_emissivity : float or ndarray, shape (...)
        What the thermometer is set to. [-]
    skin : float or ndarray, shape (...)
        How much colder the skin is than the melt: 0 just after stirring. [K]

    Returns
    -------
    bulk : ndarray, shape (...)
        [K]

    Raises
    ------
    OutOfRange
        As for `infrared_reading`, or if the skin is warmer than the melt.

    Notes
    -----
    A skin left alone is 5 to 20 K colder: common practice, no source. A melt can be far hotter
    than its reading: stir first, and stay below the label's ceiling.

    References
    ----------
    .. [1] `surface_temperature`, and the difference added.
    """
    colder = np.asarray(skin, dtype=float)
    if not np.all(colder >= 0):
        raise OutOfRange("A skin cannot be warmer than the melt.", low=0.0, unit="K")
    return surface_temperature(reading, emissivity, ambient, set_emissivity) + colder


def _seen(
    temperature: ArrayLike, emissivity: ArrayLike, ambient: ArrayLike, assumed: ArrayLike
) -> Floats:
    """Temperature at which the assumed emissivity sends what the true one does."""
    true, taken = np.asarray(emissivity, dtype=float), np.asarray(assumed, dtype=float)
    if not all(np.all((each > 0) & (each <= 1)) for each in (true, taken)):
        raise OutOfRange("An emissivity must be above 0 and at most 1.", low=0.0, high=1.0)
    mirrored = band_power(ambient)
    return band_temperature(mirrored + true / taken * (band_power(temperature) - mirrored))
