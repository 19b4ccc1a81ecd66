"""Kubelka–Munk with Saunderson's surfaces: a published check, not a model of the bait.

Two fluxes know no directions: for clear dyes in gel the colour is off by ΔE00 5.5 in the median
against `layered_media`. Nothing in the program uses this module; the tests do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TwoFluxLayer:
    """A layer without surfaces.

    Parameters
    ----------
    reflectance, transmittance : ndarray, shape (...)
        Over black, for diffuse light. [-]
    """

    reflectance: Floats
    transmittance: Floats


def kubelka_munk(
    absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike
) -> TwoFluxLayer:
    r"""Reflectance over black and transmittance of a two-flux layer.

    .. math::
        R_0=\frac{1}{a+b\coth bSX},\quad T=\frac{b}{a\sinh bSX+b\cosh bSX},\quad
        a=1+K/S,\ b=\sqrt{a^2-1}

    Parameters
    ----------
    absorption, scattering : float or ndarray, shape (...)
        Kubelka–Munk K and S, both above 0. [1/m]
    thickness : float or ndarray, shape (...)
        Layer thickness X, above 0. [m]

    Returns
    -------
    layer : TwoFluxLayer
        Reflectance over black and transmittance.

    References
    ----------
    .. [1] P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448 (from memory).
    """
    k, s, x = (np.asarray(value, dtype=float) for value in (absorption, scattering, thickness))
    a = 1 + k / s
    b = np.sqrt(a**2 - 1)
    fade = np.exp(-b * s * x)
    tangent, secant = (1 - fade**2) / (1 + fade**2), 2 * fade / (1 + fade**2)
    divisor = a * tangent + b
    return TwoFluxLayer(reflectance=tangent / divisor, transmittance=b * secant / divisor)


def stacked(upper: TwoFluxLayer, lower: TwoFluxLayer) -> TwoFluxLayer:
    r"""Two layers on each other: :math:`R_{12}=R_1+T_1^2R_2/(1-R_1R_2)`.

    Parameters
    ----------
    upper, lower : TwoFluxLayer
        The layers; each looks the same from both sides.

    Returns
    -------
    both : TwoFluxLayer
        Seen from above.

    References
    ----------
    .. [1] P. Kubelka, J. Opt. Soc. Am. 44 (1954) 330 (from memory).
    """
    between = 1 - upper.reflectance * lower.reflectance
    return TwoFluxLayer(
        reflectance=upper.reflectance + upper.transmittance**2 * lower.reflectance / between,
        transmittance=upper.transmittance * lower.transmittance / between,
    )


def saunderson(reflectance: ArrayLike, outer: float, inner: float) -> Floats:
    r"""Reflectance through a smooth surface: :math:`k_1+(1-k_1)(1-k_2)R/(1-k_2R)`.

    Parameters
    ----------
    reflectance : float or ndarray, shape (...)
        Reflectance R of the body without its surface. [-]
    outer, inner : float
        What the surface reflects from outside, k₁, and from inside, k₂. [-]

    Returns
    -------
    reflectance : ndarray, shape (...)
        Reflectance with the surface, gloss included. [-]

    References
    ----------
    .. [1] J. L. Saunderson, J. Opt. Soc. Am. 32 (1942) 727 (from memory).
    """
    body = np.asarray(reflectance, dtype=float)
    return outer + (1 - outer) * (1 - inner) * body / (1 - inner * body)
