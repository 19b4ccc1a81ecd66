"""How refractive indices change with the colour of the light."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange

Floats = NDArray[np.floating]

# Fraunhofer's lines D, F and C, that an Abbe number is told with. [m]
LINE_D, LINE_F, LINE_C = 589.3e-9, 486.13e-9, 656.27e-9


def salt_index(wavelength: ArrayLike) -> Floats:
    r"""Refractive index of sodium chloride at room temperature.

    .. math:: n^2 - 1 = 0.00055 + \sum_i B_i\lambda^2/(\lambda^2 - C_i^2)

    Parameters
    ----------
    wavelength : float or ndarray, shape (...)
        In air, 0.2 to 30 µm. [m]

    Returns
    -------
    index : ndarray, shape (...)
        [-]

    References
    ----------
    .. [1] H. H. Li, J. Phys. Chem. Ref. Data 5 (1976) 329: coefficients as held by a public
       refractive-index database (seen; not the paper).

    Examples
    --------
    >>> float(salt_index(589.3e-9))
    1.5441
    """
    strengths = np.array([0.198, 0.48398, 0.38696, 0.25998, 0.08796, 3.17064, 0.30038])
    resonances = np.array([0.050, 0.100, 0.128, 0.158, 40.50, 60.98, 120.34])
    squared = (np.asarray(wavelength, dtype=float)[..., None] * 1e6) ** 2
    terms = strengths * squared / (squared - resonances**2)
    index: Floats = np.sqrt(1.00055 + terms.sum(axis=-1))
    return index


def plastic_index(index: ArrayLike, wavelength: ArrayLike, abbe: float = 50.0) -> Floats:
    r"""Refractive index of a fused plastic at each wavelength, from one at the D line.

    .. math:: n(\lambda) = n_D + B(\lambda^{-2} - \lambda_D^{-2}),\quad n_F - n_C = (n_D-1)/V

    Parameters
    ----------
    index : float or ndarray, shape (...)
        At 589 nm. [-]
    wavelength : float or ndarray, shape (...)
        400 to 700 nm. [m]
    abbe : float
        Abbe number V. Unplasticised sheet has 47 (computed from Zhang et al. 2020); nobody has
        told one of a soft plastisol, so 50 is a guess within 40 to 60. [-]

    Returns
    -------
    index : ndarray, shape (...)
        [-]

    References
    ----------
    .. [1] Cauchy's formula with two terms; definition of the Abbe number.
    """
    line = np.asarray(index, dtype=float)
    slope = (line - 1.0) / abbe / (LINE_F**-2 - LINE_C**-2)
    return line + slope * (np.asarray(wavelength, dtype=float) ** -2.0 - LINE_D**-2)


def water_index(
    wavelength: ArrayLike, temperature: ArrayLike = 293.15, density: ArrayLike = 998.2
) -> Floats:
    r"""Refractive index of water, about 1.34 in the blue and 1.33 in the red.

    Parameters
    ----------
    wavelength : float or ndarray, shape (...)
        0.2 to 1.9 µm. [m]
    temperature : float or ndarray, shape (...)
        261 to 773 K; 20 °C by default. [K]
    density : float or ndarray, shape (...)
        Of the water. [kg/m³]

    Returns
    -------
    index : ndarray, shape (...)
        Against vacuum; salt of the sea adds about 0.006. [-]

    Raises
    ------
    OutOfRange
        If a wavelength lies outside what the formula was made for.

    References
    ----------
    .. [1] IAPWS R9-97, "Release on the Refractive Index of Ordinary Water Substance as a Function
       of Wavelength, Temperature and Pressure," 1997, Eq. (1) and Table 1 (from memory).

    Examples
    --------
    >>> float(water_index(589e-9))
    1.3334
    """
    micrometres = np.asarray(wavelength, dtype=float) * 1e6
    if not (np.all(micrometres >= 0.2) and np.all(micrometres <= 1.9)):
        raise OutOfRange(
            "The index of water is known from 0.2 to 1.9 µm.", low=2e-7, high=1.9e-6, unit="m"
        )
    squared = (micrometres / 0.589) ** 2
    heat = np.asarray(temperature, dtype=float) / 273.15
    mass = np.asarray(density, dtype=float) / 1000.0
    total = (
        0.244257733
        + 9.74634476e-3 * mass
        - 3.73234996e-3 * heat
        + 2.68678472e-4 * squared * heat
        + 1.58920570e-3 / squared
        + 2.45934259e-3 / (squared - 0.2292020**2)
        + 0.900704920 / (squared - 5.432937**2)
        - 1.66626219e-2 * mass**2
    )
    refraction = mass * total
    index: Floats = np.sqrt((1.0 + 2.0 * refraction) / (1.0 - refraction))
    return index
