"""Yellowing of a plastisol by the heat that it has been given."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange
from partline.quantities.constants import GAS_CONSTANT

Floats = NDArray[np.floating]

#: Temperature at which a second of heat is a second of exposure: 177 °C. [K]
REFERENCE_TEMPERATURE = 450.0
#: Wavelength that the yellow is told at. [m]
YELLOW_AT = 440e-9


def exposure_dose(
    temperature: ArrayLike, time: ArrayLike, activation_energy: float = 120e3
) -> Floats:
    r"""Exposure to heat, as the time at 450 K that would do the same.

    .. math:: D = \int \exp[-(E/R)(1/T - 1/450\,\mathrm{K})]\,\mathrm{d}t

    Parameters
    ----------
    temperature : ndarray, shape (..., times)
        Of the plastic, as read. [K]
    time : ndarray, shape (times,)
        Of each reading, rising. [s]
    activation_energy : float
        E; about 120 kJ/mol for plasticised PVC losing hydrogen chloride. [J/mol]

    Returns
    -------
    dose : ndarray, shape (...)
        [s]

    Raises
    ------
    InputError
        If there is not one time for each temperature, or they do not rise.
    OutOfRange
        If a temperature is not above absolute zero.

    Notes
    -----
    Straight lines between readings, of the rate and not of the temperature: read often while it
    heats fast.

    References
    ----------
    .. [1] Arrhenius's law; the energy is from memory.

    Examples
    --------
    >>> float(exposure_dose([450.0, 450.0], [0.0, 600.0]))
    600.0
    """
    kelvin, moments = np.asarray(temperature, dtype=float), np.asarray(time, dtype=float)
    if moments.ndim != 1 or kelvin.shape[-1:] != moments.shape or np.any(np.diff(moments) < 0):
        raise InputError("Heat needs one rising time for each temperature.")
    if not np.all(kelvin > 0):
        raise OutOfRange("A temperature must be above 0 K.", low=0.0, unit="K")
    rate = np.exp(-activation_energy / GAS_CONSTANT * (1 / kelvin - 1 / REFERENCE_TEMPERATURE))
    dose: Floats = np.trapezoid(rate, moments, axis=-1)
    return dose


def yellowing_absorption(
    dose: ArrayLike, wavelength: ArrayLike, scale: float, decay: float
) -> Floats:
    r"""Absorption that heat has added: strongest in the blue, so that the plastic turns yellow.

    .. math:: \mu_a = s\,D\,\exp[-(\lambda - 440\,\mathrm{nm})/\delta]

    Parameters
    ----------
    dose : float or ndarray, shape (...)
        Exposure D. [s]
    wavelength : ndarray, shape (wavelengths,)
        [m]
    scale : float
        What a second adds at 440 nm, s; learned from the maker's own scrap. [1/(m·s)]
    decay : float
        How fast it falls with the wavelength, δ. [m]

    Returns
    -------
    absorption : ndarray, shape (..., wavelengths)
        To be added to the fresh plastic's. [1/m]

    Raises
    ------
    OutOfRange
        If the dose or the scale is below 0, or the decay is not above 0.

    Notes
    -----
    A straight line in the dose, for light yellow: brown and black plastic, in which the loss
    feeds itself, are outside it. No measured yellowness of a soft plastisol was found.

    References
    ----------
    .. [1] Ours: the shape is that of the long tail of polyenes of many lengths (from memory).
    """
    given = np.asarray(dose, dtype=float)
    if not (np.all(given >= 0) and scale >= 0 and decay > 0):
        raise OutOfRange(
            "A heat dose and its yellowing cannot be below 0, and the yellow must fade.", low=0.0
        )
    shape = np.exp(-(np.asarray(wavelength, dtype=float) - YELLOW_AT) / decay)
    return scale * given[..., None] * shape
