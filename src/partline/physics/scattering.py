"""How small bodies in a clear gel scatter: phase-function moments, their mixing, and flake."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import InputError, OutOfRange

Floats = NDArray[np.floating]


def henyey_greenstein_moments(anisotropy: ArrayLike, orders: int) -> Floats:
    r"""Legendre moments :math:`\chi_k = g^k` of the Henyey–Greenstein phase function.

    Parameters
    ----------
    anisotropy : float or ndarray, shape (..., wavelengths)
        Mean cosine of the scattering angle, in −1 to 1. [-]
    orders : int
        Number of moments, from order 0. [-]

    Returns
    -------
    moments : ndarray, shape (..., orders, wavelengths)
        Moments; the first is 1. [-]

    Raises
    ------
    OutOfRange
        If an anisotropy lies outside −1 to 1.

    References
    ----------
    .. [1] L. G. Henyey and J. L. Greenstein, Astrophys. J. 93 (1941) 70, Eq. (2); moments from
       memory, as in every text on radiative transfer.
    """
    g = np.atleast_1d(np.asarray(anisotropy, dtype=float))
    if not np.all(np.abs(g) <= 1):
        raise OutOfRange(
            "An anisotropy lies outside −1 to 1; it is a mean cosine.",
            low=-1.0, high=1.0, field="anisotropy",
        )  # fmt: skip
    steps = np.repeat(g[..., None, :], orders, axis=-2)
    steps[..., 0, :] = 1.0
    return np.multiply.accumulate(steps, axis=-2)


def mixed_moments(scattering: ArrayLike, moments: ArrayLike) -> Floats:
    r"""Moments of a mixture, :math:`\sum s_i\chi_i/\sum s_i`: each part by what it scatters.

    Parameters
    ----------
    scattering : ndarray, shape (parts, ..., wavelengths)
        Scattering coefficient of each part as it stands in the mixture. [1/m]
    moments : ndarray, shape (parts, ..., orders, wavelengths)
        Moments of each part. [-]

    Returns
    -------
    moments : ndarray, shape (..., orders, wavelengths)
        Moments of the mixture; those of isotropic scattering where nothing scatters. [-]

    Raises
    ------
    InputError
        If the two arrays do not speak of the same parts.
    """
    strength = np.asarray(scattering, dtype=float)[..., None, :]
    chi = np.asarray(moments, dtype=float)
    if strength.shape[0] != chi.shape[0]:
        raise InputError(
            f"Scattering is given for {strength.shape[0]} parts and moments for {chi.shape[0]}."
        )
    total = strength.sum(axis=0)
    isotropic = (np.arange(chi.shape[-2]) == 0).astype(float)[:, None]
    mean = np.sum(strength * chi, axis=0) / np.where(total > 0, total, 1.0)
    return np.where(total > 0, mean, isotropic)


def delta_scaled(
    absorption: Floats, scattering: Floats, moments: Floats
) -> tuple[Floats, Floats, Floats]:
    r"""Cut the forward peak off a phase function: delta-M scaling with :math:`f = \chi_M`.

    .. math::
        \mu_t' = \mu_a + (1-f)\mu_s,\quad a' = (1-f)\mu_s/\mu_t',\quad
        \chi_k' = (\chi_k - f)/(1-f)

    Parameters
    ----------
    absorption, scattering : ndarray, shape (..., wavelengths)
        Coefficients :math:`\mu_a` and :math:`\mu_s`. [1/m]
    moments : ndarray, shape (..., orders, wavelengths)
        Moments; the last one is :math:`\chi_M` and goes into the peak. [-]

    Returns
    -------
    extinction, albedo, moments : ndarray, shape (..., wavelengths), once (..., orders - 1, wavelengths)
        Scaled extinction [1/m], albedo [-] and moments [-].

    References
    ----------
    .. [1] W. J. Wiscombe, J. Atmos. Sci. 34 (1977) 1408 (from memory).
    """  # noqa: E501 (a shape is one word)
    peak = moments[..., -1, :]
    kept = 1 - peak
    scattered = kept * scattering
    extinction = absorption + scattered
    albedo = scattered / np.where(extinction > 0, extinction, 1.0)
    divisor = np.where(kept > 0, kept, 1.0)[..., None, :]
    return extinction, albedo, (moments[..., :-1, :] - peak[..., None, :]) / divisor


def flake_coefficients(
    volume_fraction: ArrayLike, thickness: ArrayLike, reflectance: ArrayLike
) -> tuple[Floats, Floats]:
    r"""Absorption and scattering of flake: opaque thin plates in random attitude.

    The mean shadow of a convex body is a quarter of its surface, so that a plate shows half its
    area on average whatever its outline: :math:`\kappa = \varphi/(2t)`,
    :math:`\mu_s = \kappa\rho`, :math:`\mu_a = \kappa(1-\rho)`.

    Parameters
    ----------
    volume_fraction : float or ndarray, shape (...)
        Volume share :math:`\varphi` of flake in the bait. [-]
    thickness : float or ndarray, shape (...)
        Film thickness :math:`t`. [m]
    reflectance : float or ndarray, shape (...)
        Share :math:`\rho` of the light that a flake throws back. [-]

    Returns
    -------
    absorption, scattering : ndarray, shape (...)
        Coefficients to be added to the gel's; the scattering is isotropic in the mean. [1/m]

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or a thickness is not positive.

    Notes
    -----
    Valid while flakes are far apart against their size (some per cent by volume), large against
    the wavelength, and thin against their width: edges are left out. The forward diffraction of
    a flake counts as unscattered.

    References
    ----------
    .. [1] A. Cauchy, 1841: mean projected area of a convex body = S/4 (from memory).
    """
    share = np.asarray(volume_fraction, dtype=float)
    film = np.asarray(thickness, dtype=float)
    mirror = np.asarray(reflectance, dtype=float)
    if not (np.all(share >= 0) and np.all(share <= 1)):
        raise OutOfRange("A flake share lies outside 0 to 1.", low=0.0, high=1.0)
    if not (np.all(mirror >= 0) and np.all(mirror <= 1)):
        raise OutOfRange("A flake reflectance lies outside 0 to 1.", low=0.0, high=1.0)
    if not np.all(film > 0):
        raise OutOfRange("A flake's film thickness must be above 0 m.", low=0.0, unit="m")
    shadow = share / (2 * film)
    return shadow * (1 - mirror), shadow * mirror
