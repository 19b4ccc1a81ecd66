r"""Heat on its way through a solid: slab, cylinder, sphere, and a solid without an end.

All of it is told as a share :math:`\theta = (T - T_a)/(T_0 - T_a)`: 1 while everything is as warm
as at the start, 0 once it is as warm as what lies around it.

References
----------
.. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., 1959 (from memory).
.. [2] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapter 5
   (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq
from scipy.special import erf, erfcx, j0, j1, jn_zeros, spherical_jn

from partline.errors import OutOfRange

Floats = NDArray[np.floating]

#: Shortest time that the series are summed for; before it they need more than 2000 terms. [-]
SHORTEST_FOURIER = 1e-6
#: Exponent past which a term is lost in the rounding of the sum. [-]
LOST = 37.0
#: Halvings that bring an interval of length π below the rounding of its ends.
HALVINGS = 60
#: Distance, in diffusion lengths, past which nothing has been felt to the last digit. [-]
UNTOUCHED = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A body that heat leaves along one direction only.

    Parameters
    ----------
    even : callable
        Shape of a mode along the way out: 1 in the middle. [-] to [-]
    odd : callable
        Less its slope. [-] to [-]
    bend : int
        0 flat, 1 round, 2 round both ways.
    zeros : callable
        How many to the first zeros of `even`. [-] to [-]
    """

    even: Callable[[Floats], Floats]
    odd: Callable[[Floats], Floats]
    bend: int
    zeros: Callable[[int], Floats]


#: A wide plate that is cooled from both faces; its size is half its thickness.
SLAB = Shape(even=np.cos, odd=np.sin, bend=0, zeros=lambda count: np.pi * np.arange(0.5, count))
#: A long round bar; its size is the radius.
CYLINDER = Shape(even=j0, odd=j1, bend=1, zeros=lambda count: jn_zeros(0, count))
#: A ball; its size is the radius.
SPHERE = Shape(
    even=lambda x: spherical_jn(0, x),
    odd=lambda x: spherical_jn(1, x),
    bend=2,
    zeros=lambda count: np.pi * np.arange(1.0, count + 1),
)


def fourier_number(diffusivity: ArrayLike, time: ArrayLike, size: ArrayLike) -> Floats:
    r"""Time against the time that heat needs through the body, :math:`\alpha t/L^2`.

    Parameters
    ----------
    diffusivity : float or ndarray, shape (...)
        Thermal diffusivity α. [m²/s]
    time : float or ndarray, shape (...)
        Since the surroundings changed. [s]
    size : float or ndarray, shape (...)
        Half the thickness of a slab, radius of a cylinder or sphere, L. [m]

    Returns
    -------
    fourier : ndarray, shape (...)
        [-]

    Raises
    ------
    OutOfRange
        If the diffusivity or the size is not above 0, or the time is below 0.
    """
    spread, passed, wide = (np.asarray(each, dtype=float) for each in (diffusivity, time, size))
    if not (np.all(spread > 0) and np.all(passed >= 0) and np.all(wide > 0)):
        raise OutOfRange("Diffusivity and size must be above 0, and time not below 0.", low=0.0)
    return np.asarray(spread * passed / wide**2)


def biot_number(conductance: ArrayLike, size: ArrayLike, conductivity: ArrayLike) -> Floats:
    r"""Resistance inside a body against that at its surface, :math:`hL/k`.

    Parameters
    ----------
    conductance : float or ndarray, shape (...)
        Of the surface, h; infinite where the surface is held at a temperature. [W/(m²·K)]
    size : float or ndarray, shape (...)
        Half the thickness of a slab, radius of a cylinder or sphere, L. [m]
    conductivity : float or ndarray, shape (...)
        Of the body, k. [W/(m·K)]

    Returns
    -------
    biot : ndarray, shape (...)
        [-]

    Raises
    ------
    OutOfRange
        If one of them is not above 0.
    """
    passed, wide, inside = (
        np.asarray(each, dtype=float) for each in (conductance, size, conductivity)
    )
    if not (np.all(passed > 0) and np.all(wide > 0) and np.all(inside > 0)):
        raise OutOfRange("Conductance, size and conductivity must be above 0.", low=0.0)
    return np.asarray(passed * wide / inside)


def eigenvalues(shape: Shape, biot: ArrayLike, count: int) -> Floats:
    r"""First roots :math:`\zeta_n` of :math:`\zeta\,\Phi_1(\zeta) = \mathrm{Bi}\,\Phi_0(\zeta)`.

    Parameters
    ----------
    shape : Shape
        Slab, cylinder or sphere.
    biot : float or ndarray, shape (...)
        Biot number, infinite for a held surface. [-]
    count : int
        How many roots.

    Returns
    -------
    roots : ndarray, shape (..., count)
        Rising. [-]

    Raises
    ------
    OutOfRange
        If the Biot number is not above 0, or no root is asked for.

    Notes
    -----
    Φ₀ and Φ₁ are cos and sin for a slab, J₀ and J₁ for a cylinder, and the spherical j₀ and j₁
    for a sphere. Exactly one root lies between two zeros of Φ₀, and the difference of the two
    sides changes its sign there once, so that halving the interval cannot fail. Good to ten
    digits for Bi of 1e-12 and up; a body that loses less is lumped.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., 1959, sections
       3.11, 7.7 and 9.4 (from memory).
    """
    given = np.asarray(biot, dtype=float)[..., None]
    if not np.all(given > 0) or count < 1:
        raise OutOfRange("A Biot number must be above 0, for one root or more.", low=0.0)
    inside, outside = 1 / (1 + given), 1 / (1 + 1 / given)  # finite for an infinite Biot number
    high = np.broadcast_to(shape.zeros(count), (*given.shape[:-1], count))
    low = np.concatenate([np.zeros((*high.shape[:-1], 1)), high[..., :-1]], axis=-1)
    sign = (-1.0) ** np.arange(count)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        past = inside * middle * shape.odd(middle) - outside * shape.even(middle)
        is_past = sign * past > 0
        low, high = np.where(is_past, low, middle), np.where(is_past, middle, high)
    return np.asarray((low + high) / 2)


def amplitudes(shape: Shape, roots: ArrayLike) -> Floats:
    r"""Amplitude :math:`C_n` of each mode in a body that is evenly warm at the start.

    .. math:: C_n = \frac{2\Phi_1}{\zeta_n(\Phi_0^2 + \Phi_1^2) + (1 - m)\,\Phi_0\Phi_1}

    Parameters
    ----------
    shape : Shape
        Slab (m = 0), cylinder (1) or sphere (2).
    roots : ndarray, shape (..., count)
        From `eigenvalues`. [-]

    Returns
    -------
    amplitudes : ndarray, shape (..., count)
        [-]

    Notes
    -----
    The textbook's three formulas in one, which does not lose its digits for a small root.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, section 5.5
       and 5.6 (from memory): 4 sin ζ/(2ζ + sin 2ζ) for a slab.
    """
    zeta = np.asarray(roots, dtype=float)
    even, odd = shape.even(zeta), shape.odd(zeta)
    return np.asarray(2 * odd / (zeta * (even**2 + odd**2) + (1 - shape.bend) * even * odd))


def temperature_share(
    shape: Shape, fourier: ArrayLike, biot: ArrayLike, place: ArrayLike = 0.0
) -> Floats:
    r"""Share of the first warmth that is left at a place of a cooling body.

    .. math:: \theta = \sum_n C_n\, e^{-\zeta_n^2\,\mathrm{Fo}}\, \Phi_0(\zeta_n r/L)

    Parameters
    ----------
    shape : Shape
        Slab, cylinder or sphere.
    fourier : float or ndarray, shape (...)
        Fourier number: 0, or at least 1e-6. [-]
    biot : float or ndarray, shape (...)
        Biot number, infinite for a held surface. [-]
    place : float or ndarray, shape (...)
        Way from the middle over the size, 0 to 1. [-]

    Returns
    -------
    share : ndarray, shape (...)
        [-]

    Raises
    ------
    OutOfRange
        If the Fourier number is below 0, or between 0 and 1e-6; if the Biot number is not above
        0; or if the place is outside the body.

    Notes
    -----
    For constant properties, an evenly warm body, and surroundings that stay as they are from
    the start on. As many terms as still reach the last digit: 3 at Fo = 1, 200 at 1e-4; all
    are held at once for each value asked.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., 1959 (from
       memory).

    Examples
    --------
    >>> round(float(temperature_share(CYLINDER, 0.2, 1.0)), 3)
    0.87
    """
    where = np.asarray(place, dtype=float)
    if not np.all((where >= 0) & (where <= 1)):
        raise OutOfRange("A place must lie in the body, 0 to 1.", low=0.0, high=1.0)
    return _sum_modes(shape, fourier, biot, lambda roots: shape.even(roots * where[..., None]))


def mean_temperature_share(shape: Shape, fourier: ArrayLike, biot: ArrayLike) -> Floats:
    r"""Share of the first heat that is still in a cooling body.

    .. math:: \bar\theta = \sum_n C_n\, e^{-\zeta_n^2\,\mathrm{Fo}}\,
        (m + 1)\,\Phi_1(\zeta_n)/\zeta_n

    Parameters
    ----------
    shape : Shape
        Slab (m = 0), cylinder (1) or sphere (2).
    fourier : float or ndarray, shape (...)
        Fourier number: 0, or at least 1e-6. [-]
    biot : float or ndarray, shape (...)
        Biot number, infinite for a held surface. [-]

    Returns
    -------
    share : ndarray, shape (...)
        Mean over the volume. [-]

    Raises
    ------
    OutOfRange
        If the Fourier number is below 0, or between 0 and 1e-6; or if the Biot number is not
        above 0.

    Notes
    -----
    As for `temperature_share`.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., 1959 (from
       memory).
    """
    return _sum_modes(
        shape, fourier, biot, lambda roots: (shape.bend + 1) * shape.odd(roots) / roots
    )


def _sum_modes(
    shape: Shape, fourier: ArrayLike, biot: ArrayLike, seen: Callable[[Floats], Floats]
) -> Floats:
    """Sum the modes, each as it is seen."""
    passed = np.asarray(fourier, dtype=float)
    if not np.all((passed == 0) | (passed >= SHORTEST_FOURIER)):
        message = "The Fourier number must be 0, or at least 1e-6: before that only the skin cools"
        raise OutOfRange(
            f"{message}.", low=SHORTEST_FOURIER, remedy="Ask for a solid without an end instead."
        )
    shortest = np.min(passed, where=passed > 0, initial=1.0)
    count = int(np.sqrt(LOST / shortest) / np.pi) + 2
    roots = eigenvalues(shape, biot, count)
    fading = amplitudes(shape, roots) * np.exp(-(roots**2) * passed[..., None])
    total = np.sum(fading * seen(roots), axis=-1)
    return np.where(passed == 0, 1.0, total)


def cooling_fourier(shape: Shape, share: float, biot: float, place: float = 0.0) -> float:
    """Fourier number after which a share of the first warmth is left at a place.

    Parameters
    ----------
    shape : Shape
        Slab, cylinder or sphere.
    share : float
        Wanted share, above 0 and below 1. [-]
    biot : float
        Biot number, infinite for a held surface. [-]
    place : float
        Way from the middle over the size, 0 to 1. [-]

    Returns
    -------
    fourier : float
        Times size² over diffusivity it is a time. [-]

    Raises
    ------
    OutOfRange
        If the share is not between 0 and 1, or is reached before Fo = 1e-6.

    Notes
    -----
    Every place cools without a turn, so that there is one answer; found to 12 digits.

    References
    ----------
    .. [1] The series of `temperature_share`.
    """
    if not 0 < share < 1:
        raise OutOfRange("A share of warmth must lie between 0 and 1.", low=0.0, high=1.0)

    def left(fourier: float) -> float:
        return float(temperature_share(shape, fourier, biot, place)) - share

    if left(SHORTEST_FOURIER) <= 0:
        raise OutOfRange("This place has cooled before a time can be told.", low=SHORTEST_FOURIER)
    latest = 0.1
    while left(latest) > 0:
        latest *= 2
    return float(brentq(left, SHORTEST_FOURIER, latest, xtol=1e-15, rtol=1e-12))


def lumped_time_constant(
    mass: ArrayLike, specific_heat: ArrayLike, conductance: ArrayLike, area: ArrayLike
) -> Floats:
    r"""Time constant of a body that is equally warm throughout, :math:`mc/(hA)`.

    Parameters
    ----------
    mass : float or ndarray, shape (...)
        [kg]
    specific_heat : float or ndarray, shape (...)
        [J/(kg·K)]
    conductance : float or ndarray, shape (...)
        Of the surface. [W/(m²·K)]
    area : float or ndarray, shape (...)
        That heat leaves through. [m²]

    Returns
    -------
    time_constant : ndarray, shape (...)
        After which 1/e of the first warmth is left. [s]

    Raises
    ------
    OutOfRange
        If one of them is not above 0.

    Notes
    -----
    Within 5 % for Bi below 0.1, of the volume over the area as size.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, eq. 5.7
       (from memory).
    """
    given = [np.asarray(each, dtype=float) for each in (mass, specific_heat, conductance, area)]
    if not all(np.all(each > 0) for each in given):
        raise OutOfRange("Mass, specific heat, conductance and area must be above 0.", low=0.0)
    heavy, heat, passed, wide = given
    return np.asarray(heavy * heat / (passed * wide))


def lumped_share(time: ArrayLike, time_constant: ArrayLike) -> Floats:
    r"""Share of the first warmth left in a body equally warm throughout, :math:`e^{-t/\tau}`.

    Parameters
    ----------
    time : float or ndarray, shape (...)
        Since the surroundings changed. [s]
    time_constant : float or ndarray, shape (...)
        τ. [s]

    Returns
    -------
    share : ndarray, shape (...)
        [-]

    Raises
    ------
    OutOfRange
        If the time is below 0 or the time constant is not above 0.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, eq. 5.6
       (from memory).
    """
    passed, constant = np.asarray(time, dtype=float), np.asarray(time_constant, dtype=float)
    if not (np.all(passed >= 0) and np.all(constant > 0)):
        raise OutOfRange("Time must not be below 0, and a time constant above 0.", low=0.0)
    return np.asarray(np.exp(-passed / constant))


def semi_infinite_share(
    depth: ArrayLike,
    time: ArrayLike,
    diffusivity: ArrayLike,
    conductivity: ArrayLike = 1.0,
    conductance: ArrayLike = np.inf,
) -> Floats:
    r"""Share of the first warmth left below the surface of a solid without an end.

    .. math:: \theta = \operatorname{erf} a + e^{2ab + b^2}\operatorname{erfc}(a + b),\quad
        a = \frac{x}{2\sqrt{\alpha t}},\quad b = \frac{h\sqrt{\alpha t}}{k}

    Parameters
    ----------
    depth : float or ndarray, shape (...)
        Below the surface, x. [m]
    time : float or ndarray, shape (...)
        Since the surroundings changed, t. [s]
    diffusivity : float or ndarray, shape (...)
        α. [m²/s]
    conductivity : float or ndarray, shape (...)
        k; without effect where the surface is held. [W/(m·K)]
    conductance : float or ndarray, shape (...)
        Of the surface, h; infinite where the surface is held at a temperature. [W/(m²·K)]

    Returns
    -------
    share : ndarray, shape (...)
        [-]

    Raises
    ------
    OutOfRange
        If depth, time or conductance is below 0, or diffusivity or conductivity is not above 0.

    Notes
    -----
    For a thick body as long as its far side has felt nothing: αt below a 16th of its thickness
    squared leaves 0.995 of the first warmth there.

    References
    ----------
    .. [1] H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., 1959, sections
       2.4 and 2.7 (from memory).
    """
    deep, passed, spread, inside, surface = (
        np.asarray(each, dtype=float)
        for each in (depth, time, diffusivity, conductivity, conductance)
    )
    if not all(np.all(each >= 0) for each in (deep, passed, surface)):
        raise OutOfRange("Depth, time and conductance must not be below 0.", low=0.0)
    if not (np.all(spread > 0) and np.all(inside > 0)):
        raise OutOfRange("Diffusivity and conductivity must be above 0.", low=0.0)
    reach = np.sqrt(np.maximum(spread * passed, np.finfo(float).tiny))
    untouched = np.minimum(deep / (2 * reach), UNTOUCHED)
    # erfcx keeps exp and erfc from running away from each other.
    warmed = np.exp(-(untouched**2)) * erfcx(untouched + surface / inside * reach)
    return np.asarray(erf(untouched) + warmed)


def thermal_effusivity(
    conductivity: ArrayLike, density: ArrayLike, specific_heat: ArrayLike
) -> Floats:
    r"""How strongly a solid imposes its temperature where it is touched, :math:`\sqrt{k\rho c}`.

    Parameters
    ----------
    conductivity : float or ndarray, shape (...)
        [W/(m·K)]
    density : float or ndarray, shape (...)
        [kg/m³]
    specific_heat : float or ndarray, shape (...)
        [J/(kg·K)]

    Returns
    -------
    effusivity : ndarray, shape (...)
        [W·s^½/(m²·K)]

    Raises
    ------
    OutOfRange
        If one of them is not above 0.
    """
    given = [np.asarray(each, dtype=float) for each in (conductivity, density, specific_heat)]
    if not all(np.all(each > 0) for each in given):
        raise OutOfRange("Conductivity, density and specific heat must be above 0.", low=0.0)
    return np.asarray(np.sqrt(given[0] * given[1] * given[2]))


def contact_temperature(
    temperature: ArrayLike,
    effusivity: ArrayLike,
    other_temperature: ArrayLike,
    other_effusivity: ArrayLike,
) -> Floats:
    r"""Temperature at once taken by the faces of two thick solids that touch.

    .. math:: T_c = \frac{e_1 T_1 + e_2 T_2}{e_1 + e_2}

    Parameters
    ----------
    temperature, other_temperature : float or ndarray, shape (...)
        Of the two before they touch. [K]
    effusivity, other_effusivity : float or ndarray, shape (...)
        Of the two. [W·s^½/(m²·K)]

    Returns
    -------
    contact : ndarray, shape (...)
        [K]

    Raises
    ------
    OutOfRange
        If a temperature or an effusivity is not above 0.

    Notes
    -----
    For perfect contact, while neither has felt its far side. A real contact starts between this
    and its own temperature. Skin on hot plastic burns at once: this is no measure of what can
    be touched safely.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, eq. 5.63
       (from memory).
    """
    given = [
        np.asarray(each, dtype=float)
        for each in (temperature, effusivity, other_temperature, other_effusivity)
    ]
    if not all(np.all(each > 0) for each in given):
        raise OutOfRange("Temperatures and effusivities must be above 0.", low=0.0)
    own, strong, other, other_strong = given
    return np.asarray((strong * own + other_strong * other) / (strong + other_strong))
