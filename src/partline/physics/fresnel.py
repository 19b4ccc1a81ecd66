"""Reflection of unpolarised light at a smooth surface, seen from the denser side."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.numerics.quadrature import gauss

Floats = NDArray[np.floating]


def critical_cosine(index: float) -> float:
    r"""Cosine below which light inside is totally reflected, :math:`\sqrt{1-1/n^2}`.

    Parameters
    ----------
    index : float
        Refractive index of the inside over that of the outside, at least 1. [-]

    Returns
    -------
    cosine : float
        Cosine of the critical angle, measured from the normal; 0 for equal indices. [-]
    """
    return float(np.sqrt(max(0.0, 1 - 1 / index**2)))


def fresnel_reflectance(cosine: ArrayLike, index: float) -> Floats:
    r"""Unpolarised Fresnel reflectance for light that meets the surface from inside.

    .. math::
        r = \tfrac12\left[\left(\frac{n\mu-\nu}{n\mu+\nu}\right)^2 +
            \left(\frac{\mu-n\nu}{\mu+n\nu}\right)^2\right],\qquad
        \nu = \sqrt{1-n^2(1-\mu^2)}

    Parameters
    ----------
    cosine : float or ndarray, shape (...)
        Cosine :math:`\mu` of the angle inside, from the normal, in 0 to 1. [-]
    index : float
        Refractive index :math:`n` of the inside over that of the outside. [-]

    Returns
    -------
    reflectance : ndarray, shape (...)
        Share of the power that stays inside; 1 beyond the critical angle. [-]

    Notes
    -----
    Valid for surfaces smooth against the wavelength and media that absorb little within one
    wavelength. Light from outside along the same ray has the same reflectance.

    References
    ----------
    .. [1] M. Born and E. Wolf, Principles of Optics, 7th ed., 1999, section 1.5.2 (from memory).
    """
    inside = np.asarray(cosine, dtype=float)
    square = 1 - index**2 * (1 - inside**2)
    outside = np.sqrt(np.maximum(square, 0.0))
    tiny = np.finfo(float).tiny  # both terms of a denominator vanish only at grazing, n = 1
    across = (index * inside - outside) / (index * inside + outside + tiny)
    along = (inside - index * outside) / (inside + index * outside + tiny)
    return np.where(square <= 0, 1.0, (across**2 + along**2) / 2)


def diffuse_reflectance_outside(index: float) -> float:
    """Share of diffuse light from outside that the surface throws back: the skin's gloss.

    Parameters
    ----------
    index : float
        Refractive index of the inside over that of the outside, at least 1. [-]

    Returns
    -------
    reflectance : float
        Hemispherical reflectance of the bare surface for diffuse light. [-]

    Notes
    -----
    The Fresnel reflectance weighted with 2ν over the outer cosines ν, by 64 Gauss points.

    References
    ----------
    .. [1] S. Q. Duntley, J. Opt. Soc. Am. 32 (1942) 61, closed form (from memory): 0.0919 for
       n = 1.5.
    """
    outer, weight = gauss(64)
    inner = np.sqrt(1 - (1 - outer**2) / index**2)
    return float(np.sum(2 * outer * weight * fresnel_reflectance(inner, index)))


def diffuse_reflectance_inside(index: float) -> float:
    r"""Share of diffuse light from inside that the surface keeps, the k₂ of Saunderson.

    Parameters
    ----------
    index : float
        Refractive index of the inside over that of the outside, at least 1. [-]

    Returns
    -------
    reflectance : float
        Hemispherical reflectance for diffuse light from inside, total reflection included. [-]

    Notes
    -----
    By reciprocity :math:`1 - r_i = (1 - r_o)/n^2`.
    """
    return 1 - (1 - diffuse_reflectance_outside(index)) / index**2
