"""Densities of mixtures whose parts keep their own volume, and their growth with heat."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import Imbalance

Floats = NDArray[np.floating]

#: Temperature that cold densities are given at: 23 °C. [K]
REFERENCE_TEMPERATURE = 296.15


def mixture_density(shares: ArrayLike, densities: ArrayLike) -> Floats:
    r"""Density of a mixture of ideal volumes.

    .. math:: \rho = 1 / \sum_i w_i / \rho_i

    Parameters
    ----------
    shares : array_like, shape (..., parts)
        Mass shares, adding up to 1. [-]
    densities : array_like, shape (..., parts) or (parts,)
        Of the parts, at one temperature. [kg/m³]

    Returns
    -------
    density : ndarray, shape (...)
        [kg/m³]

    Raises
    ------
    Imbalance
        If the shares do not add up to 1 within 1e-9, or one is negative.

    Notes
    -----
    Real plastisol contracts by 0 to 1 % on mixing (from memory), which this leaves out.

    References
    ----------
    .. [1] Additivity of volumes (Amagat); any text of physical chemistry, from memory.

    Examples
    --------
    >>> round(float(mixture_density([0.9, 0.1], [1032.4, 2165.0])))
    1089
    """
    w = np.asarray(shares, dtype=float)
    if np.any(w < 0) or not np.allclose(w.sum(axis=-1), 1.0, rtol=0, atol=1e-9):
        total = float(np.sum(w, axis=-1).flat[0])
        raise Imbalance(f"Mass shares add up to {total:.6g}; they must add up to 1, none below 0.")
    density: Floats = 1.0 / np.sum(w / np.asarray(densities, dtype=float), axis=-1)
    return density


def expanded_density(density: ArrayLike, expansion: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Density at a temperature, from the cold density and a mean volumetric expansion.

    .. math:: \rho(T) = \rho_0 / (1 + \beta (T - T_0))

    Parameters
    ----------
    density : array_like, shape (...)
        At 23 °C. [kg/m³]
    expansion : array_like, shape (...)
        Mean volumetric expansion β between 23 °C and `temperature`. [1/K]
    temperature : array_like, shape (...)
        [K]

    Returns
    -------
    density : ndarray, shape (...)
        [kg/m³]

    Notes
    -----
    Meant for 23 to 200 °C with the mean expansion of a fused plastisol, 6.5e-4 to 7.5e-4 /K.

    References
    ----------
    .. [1] Definition of the mean coefficient of volumetric expansion.

    Examples
    --------
    >>> round(float(expanded_density(1016.0, 7e-4, 438.15)), 1)
    924.1
    """
    rise = np.asarray(temperature, dtype=float) - REFERENCE_TEMPERATURE
    return np.asarray(density, dtype=float) / (1.0 + np.asarray(expansion, dtype=float) * rise)
