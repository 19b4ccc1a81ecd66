"""Heat from a warm surface to still air and to the room around it.

References
----------
.. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapters 9, 13
   (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange
from partline.quantities.constants import (
    GAS_CONSTANT,
    STANDARD_GRAVITY,
    STANDARD_PRESSURE,
    STEFAN_BOLTZMANN,
)

Floats = NDArray[np.floating]
Booleans = NDArray[np.bool_]

#: Temperatures that the laws of air's properties are good to 1.5 % in. [K]
AIR_LOW, AIR_HIGH = 250.0, 500.0
#: Molar mass of dry air, from memory. [kg/mol]
AIR_MOLAR_MASS = 0.0289652


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """What dry air does to heat at one temperature.

    Parameters
    ----------
    temperature : ndarray, shape (...)
        [K]
    conductivity : ndarray, shape (...)
        [W/(m·K)]
    viscosity : ndarray, shape (...)
        Kinematic. [m²/s]
    diffusivity : ndarray, shape (...)
        Of heat. [m²/s]
    """

    temperature: Floats
    conductivity: Floats
    viscosity: Floats
    diffusivity: Floats

    @property
    def prandtl(self) -> Floats:
        """Prandtl number. [-]."""
        return np.asarray(self.viscosity / self.diffusivity)


def air(temperature: ArrayLike, pressure: ArrayLike = STANDARD_PRESSURE) -> Air:
    """Conductivity, viscosity and diffusivity of dry air.

    Parameters
    ----------
    temperature : float or ndarray, shape (...)
        250 to 500 K. [K]
    pressure : float or ndarray, shape (...)
        [Pa]

    Returns
    -------
    air : Air
        Its properties.

    Raises
    ------
    OutOfRange
        If the temperature is outside 250 to 500 K or the pressure is not above 0.

    Notes
    -----
    Sutherland's laws for viscosity and conductivity, Dixon's for the specific heat, and an ideal
    gas: within 1.5 % of the tables, once both are at one pressure. Moisture is left out, under
    1 % in a room.

    References
    ----------
    .. [1] F. M. White, Viscous Fluid Flow, 2nd ed., 1991, section 1-3 (from memory).
    .. [2] J. C. Dixon, The Shock Absorber Handbook, 2nd ed., 2007, appendix B (from memory).
    """
    kelvin, pascal = np.asarray(temperature, dtype=float), np.asarray(pressure, dtype=float)
    if not np.all((kelvin >= AIR_LOW) & (kelvin <= AIR_HIGH)):
        raise OutOfRange(
            "The properties of air are known here from 250 to 500 K.",
            low=AIR_LOW,
            high=AIR_HIGH,
            unit="K",
        )
    if not np.all(pascal > 0):
        raise OutOfRange("A pressure must be above 0 Pa.", low=0.0, unit="Pa")
    warmth = (kelvin / 273.0) ** 1.5
    dynamic = 1.716e-5 * warmth * (273 + 111) / (kelvin + 111)
    conductivity = 0.0241 * warmth * (273 + 194) / (kelvin + 194)
    specific_heat = 1002.5 + 275e-6 * (kelvin - 200) ** 2
    density = pascal * AIR_MOLAR_MASS / (GAS_CONSTANT * kelvin)
    return Air(
        temperature=kelvin,
        conductivity=np.asarray(conductivity),
        viscosity=np.asarray(dynamic / density),
        diffusivity=np.asarray(conductivity / (density * specific_heat)),
    )


def churchill_chu_plate(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Nusselt number of an upright plate in still air.

    .. math:: \mathrm{Nu} = \left\{0.825 + \frac{0.387\,\mathrm{Ra}^{1/6}}
        {[1 + (0.492/\mathrm{Pr})^{9/16}]^{8/27}}\right\}^2

    Parameters
    ----------
    rayleigh : float or ndarray, shape (...)
        Rayleigh number over the height. [-]
    prandtl : float or ndarray, shape (...)
        Prandtl number. [-]

    Returns
    -------
    nusselt : ndarray, shape (...)
        Mean over the plate. [-]

    Notes
    -----
    For Ra up to 1e12.

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323 (from
       memory).
    """
    reduced = (1 + (0.492 / np.asarray(prandtl, dtype=float)) ** (9 / 16)) ** (8 / 27)
    return np.asarray((0.825 + 0.387 * np.asarray(rayleigh, float) ** (1 / 6) / reduced) ** 2)


def churchill_chu_cylinder(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Nusselt number of a long lying cylinder in still air.

    .. math:: \mathrm{Nu} = \left\{0.60 + \frac{0.387\,\mathrm{Ra}^{1/6}}
        {[1 + (0.559/\mathrm{Pr})^{9/16}]^{8/27}}\right\}^2

    Parameters
    ----------
    rayleigh : float or ndarray, shape (...)
        Rayleigh number over the diameter. [-]
    prandtl : float or ndarray, shape (...)
        Prandtl number. [-]

    Returns
    -------
    nusselt : ndarray, shape (...)
        Mean round the cylinder. [-]

    Notes
    -----
    For Ra from 1e-5 to 1e12.

    References
    ----------
    .. [1] S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049 (from
       memory).
    """
    reduced = (1 + (0.559 / np.asarray(prandtl, dtype=float)) ** (9 / 16)) ** (8 / 27)
    return np.asarray((0.60 + 0.387 * np.asarray(rayleigh, float) ** (1 / 6) / reduced) ** 2)


def mcadams_free(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Nusselt number of a level plate that warm air can rise from.

    .. math:: \mathrm{Nu} = \max(0.54\,\mathrm{Ra}^{1/4},\ 0.15\,\mathrm{Ra}^{1/3})

    Parameters
    ----------
    rayleigh : float or ndarray, shape (...)
        Rayleigh number over area by perimeter. [-]
    prandtl : float or ndarray, shape (...)
        Prandtl number, near that of air; it does not enter. [-]

    Returns
    -------
    nusselt : ndarray, shape (...)
        Mean over the plate. [-]

    Notes
    -----
    For Ra from 1e4 to 1e11. The printed ranges meet at 1e7; the two laws cross at 4.7e6, where
    this changes over, so that there is no step. It is at most 7 % above the printed law between.

    References
    ----------
    .. [1] W. H. McAdams, Heat Transmission, 3rd ed., 1954, section 7, with the length of R. J.
       Goldstein et al. 1973 (from memory).
    """
    driven = np.asarray(rayleigh, dtype=float) * np.ones_like(np.asarray(prandtl, dtype=float))
    return np.asarray(np.maximum(0.54 * driven ** (1 / 4), 0.15 * driven ** (1 / 3)))


def mcadams_covered(rayleigh: ArrayLike, prandtl: ArrayLike) -> Floats:
    r"""Nusselt number of a level plate that keeps warm air below it.

    .. math:: \mathrm{Nu} = 0.27\,\mathrm{Ra}^{1/4}

    Parameters
    ----------
    rayleigh : float or ndarray, shape (...)
        Rayleigh number over area by perimeter. [-]
    prandtl : float or ndarray, shape (...)
        Prandtl number, near that of air; it does not enter. [-]

    Returns
    -------
    nusselt : ndarray, shape (...)
        Mean over the plate. [-]

    Notes
    -----
    For Ra from 1e5 to 1e10.

    References
    ----------
    .. [1] W. H. McAdams, Heat Transmission, 3rd ed., 1954, section 7 (from memory).
    """
    driven = np.asarray(rayleigh, dtype=float) * np.ones_like(np.asarray(prandtl, dtype=float))
    return np.asarray(0.27 * driven ** (1 / 4))


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """A way for a surface to stand in still air, with the law for it.

    Parameters
    ----------
    law : callable
        Nusselt number from Rayleigh and Prandtl numbers. [-] to [-]
    low, high : float
        Rayleigh numbers that the law is for. [-]
    """

    law: Callable[[ArrayLike, ArrayLike], Floats]
    low: float
    high: float


#: An upright plate, or an upright cylinder that `is_wide_cylinder`; its length is the height.
UPRIGHT = Face(law=churchill_chu_plate, low=0.0, high=1e12)
#: A lying cylinder; its length is the diameter.
LYING_CYLINDER = Face(law=churchill_chu_cylinder, low=1e-5, high=1e12)
#: A warm face looking up, or a cold one looking down; its length is area over perimeter.
FREE = Face(law=mcadams_free, low=1e4, high=1e11)
#: A warm face looking down, or a cold one looking up; its length is area over perimeter.
COVERED = Face(law=mcadams_covered, low=1e5, high=1e10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Convection:
    """What still air carries off a surface.

    Parameters
    ----------
    rayleigh : ndarray, shape (...)
        Rayleigh number. [-]
    nusselt : ndarray, shape (...)
        Nusselt number. [-]
    conductance : ndarray, shape (...)
        Of the surface. [W/(m²·K)]
    is_covered : ndarray of bool, shape (...)
        Whether the law is meant for this Rayleigh number. Outside it the conductance is told
        all the same; whoever shows it says so.
    """

    rayleigh: Floats
    nusselt: Floats
    conductance: Floats
    is_covered: Booleans


def rayleigh_number(surface: ArrayLike, ambient: ArrayLike, length: ArrayLike) -> Floats:
    r"""How strongly warm air rises, :math:`g\,|T_s - T_a|\,L^3/(T_f\,\nu\,\alpha)`.

    Parameters
    ----------
    surface, ambient : float or ndarray, shape (...)
        Temperatures of surface and room. [K]
    length : float or ndarray, shape (...)
        L, as the face has it. [m]

    Returns
    -------
    rayleigh : ndarray, shape (...)
        [-]

    Raises
    ------
    OutOfRange
        If the mean of the temperatures is outside 250 to 500 K or the length is not above 0.

    Notes
    -----
    Air at standard pressure and at the mean T_f of the two temperatures, as an ideal gas.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, eq. 9.25
       (from memory).
    """
    warm, room = np.asarray(surface, dtype=float), np.asarray(ambient, dtype=float)
    wide = np.asarray(length, dtype=float)
    if not np.all(wide > 0):
        raise OutOfRange("A length must be above 0 m.", low=0.0, unit="m")
    film = air((warm + room) / 2)
    lift = STANDARD_GRAVITY * np.abs(warm - room) / film.temperature
    return np.asarray(lift * wide**3 / (film.viscosity * film.diffusivity))


def natural_convection(
    face: Face, surface: ArrayLike, ambient: ArrayLike, length: ArrayLike
) -> Convection:
    """Heat that still air carries off a surface.

    Parameters
    ----------
    face : Face
        How the surface stands: `UPRIGHT`, `LYING_CYLINDER`, `FREE` or `COVERED`.
    surface, ambient : float or ndarray, shape (...)
        Temperatures of surface and room. [K]
    length : float or ndarray, shape (...)
        As the face has it. [m]

    Returns
    -------
    convection : Convection
        With its conductance, and whether the law is meant for it.

    Raises
    ------
    OutOfRange
        If the mean of the temperatures is outside 250 to 500 K or the length is not above 0.

    Notes
    -----
    In a room without draught: a fan or an open window carries off several times as much.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, section 9.6
       (from memory); the laws name their own.
    """
    rayleigh = rayleigh_number(surface, ambient, length)
    film = air((np.asarray(surface, dtype=float) + np.asarray(ambient, dtype=float)) / 2)
    nusselt = face.law(rayleigh, film.prandtl)
    return Convection(
        rayleigh=rayleigh,
        nusselt=nusselt,
        conductance=np.asarray(nusselt * film.conductivity / np.asarray(length, dtype=float)),
        is_covered=np.asarray((rayleigh >= face.low) & (rayleigh <= face.high)),
    )


def is_wide_cylinder(
    diameter: ArrayLike, surface: ArrayLike, ambient: ArrayLike, length: ArrayLike
) -> Booleans:
    r"""Whether an upright cylinder loses heat as a plate: :math:`D/L \ge 35/\mathrm{Gr}^{1/4}`.

    Parameters
    ----------
    diameter : float or ndarray, shape (...)
        D. [m]
    surface, ambient : float or ndarray, shape (...)
        Temperatures of surface and room. [K]
    length : float or ndarray, shape (...)
        Height L. [m]

    Returns
    -------
    is_wide : ndarray of bool, shape (...)
        A thinner one loses more than the law of plates says. [-]

    Raises
    ------
    OutOfRange
        If a length is not above 0, or the mean of the temperatures is outside 250 to 500 K.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, section
       9.6.1 (from memory).
    """
    wide, high = np.asarray(diameter, dtype=float), np.asarray(length, dtype=float)
    if not np.all(wide > 0):
        raise OutOfRange("A diameter must be above 0 m.", low=0.0, unit="m")
    rayleigh = rayleigh_number(surface, ambient, length)
    film = air((np.asarray(surface, dtype=float) + np.asarray(ambient, dtype=float)) / 2)
    return np.asarray(wide / high * (rayleigh / film.prandtl) ** (1 / 4) >= 35)


def grey_exchange(
    surface: ArrayLike,
    ambient: ArrayLike,
    emissivity: ArrayLike,
    other_emissivity: ArrayLike = 1.0,
    area_ratio: ArrayLike = 0.0,
) -> Floats:
    r"""Heat radiated from a grey surface to another that encloses or faces it.

    .. math:: q = \frac{\sigma\,(T_s^4 - T_a^4)}{1/\epsilon + (A/A_2)(1/\epsilon_2 - 1)}

    Parameters
    ----------
    surface, ambient : float or ndarray, shape (...)
        Temperatures of the surface and of what it sees. [K]
    emissivity, other_emissivity : float or ndarray, shape (...)
        Of the surface, and of what it sees. [-]
    area_ratio : float or ndarray, shape (...)
        Area over that of what it sees: 0 for a small body in a large room, 1 between close
        plates. [-]

    Returns
    -------
    flux : ndarray, shape (...)
        Net, per area of the surface; negative where it is warmed. [W/m²]

    Raises
    ------
    OutOfRange
        If a temperature is below 0 K, an emissivity is not above 0 and at most 1, or the area
        ratio is outside 0 to 1.

    Notes
    -----
    For a surface that does not see itself, and even temperatures.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, table 13.3
       (from memory).
    """
    warm, room = np.asarray(surface, dtype=float), np.asarray(ambient, dtype=float)
    return _grey_factor(emissivity, other_emissivity, area_ratio, warm, room) * (warm**4 - room**4)


def _grey_factor(
    emissivity: ArrayLike,
    other_emissivity: ArrayLike,
    area_ratio: ArrayLike,
    surface: Floats,
    ambient: Floats,
) -> Floats:
    """Flux over the difference of fourth powers, once everything is possible."""
    own, other = np.asarray(emissivity, dtype=float), np.asarray(other_emissivity, dtype=float)
    ratio = np.asarray(area_ratio, dtype=float)
    if not (np.all(surface >= 0) and np.all(ambient >= 0)):
        raise OutOfRange("A temperature cannot be below 0 K.", low=0.0, unit="K")
    if not all(np.all((each > 0) & (each <= 1)) for each in (own, other)):
        raise OutOfRange("An emissivity must be above 0 and at most 1.", low=0.0, high=1.0)
    if not np.all((ratio >= 0) & (ratio <= 1)):
        raise OutOfRange("The smaller area must be that of the surface.", low=0.0, high=1.0)
    return np.asarray(STEFAN_BOLTZMANN / (1 / own + ratio * (1 / other - 1)))


def radiative_conductance(
    surface: ArrayLike,
    ambient: ArrayLike,
    emissivity: ArrayLike,
    other_emissivity: ArrayLike = 1.0,
    area_ratio: ArrayLike = 0.0,
) -> Floats:
    r"""Heat radiated per degree of difference, to be added to what air carries off.

    .. math:: h_r = \epsilon\sigma\,(T_s + T_a)(T_s^2 + T_a^2)

    Parameters
    ----------
    surface, ambient : float or ndarray, shape (...)
        Temperatures of the surface and of what it sees. [K]
    emissivity, other_emissivity : float or ndarray, shape (...)
        Of the surface, and of what it sees. [-]
    area_ratio : float or ndarray, shape (...)
        As for `grey_exchange`. [-]

    Returns
    -------
    conductance : ndarray, shape (...)
        Finite for equal temperatures too. [W/(m²·K)]

    Raises
    ------
    OutOfRange
        As for `grey_exchange`.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, eq. 1.9
       (from memory).
    """
    warm, room = np.asarray(surface, dtype=float), np.asarray(ambient, dtype=float)
    factor = _grey_factor(emissivity, other_emissivity, area_ratio, warm, room)
    return np.asarray(factor * (warm + room) * (warm**2 + room**2))


def surface_conductance(
    face: Face, surface: ArrayLike, ambient: ArrayLike, length: ArrayLike, emissivity: ArrayLike
) -> Floats:
    """Heat that a surface in a large still room loses, per degree of difference.

    Parameters
    ----------
    face : Face
        How the surface stands: `UPRIGHT`, `LYING_CYLINDER`, `FREE` or `COVERED`.
    surface, ambient : float or ndarray, shape (...)
        Temperatures of surface and room. [K]
    length : float or ndarray, shape (...)
        As the face has it. [m]
    emissivity : float or ndarray, shape (...)
        Of the surface. [-]

    Returns
    -------
    conductance : ndarray, shape (...)
        Convection and radiation together. [W/(m²·K)]

    Raises
    ------
    OutOfRange
        As for `natural_convection` and `grey_exchange`.

    Notes
    -----
    Air and walls of one temperature. Whether the law of convection is meant for the case is
    told by `natural_convection`.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, section 1.2
       (from memory).
    """
    carried = natural_convection(face, surface, ambient, length).conductance
    return np.asarray(carried + radiative_conductance(surface, ambient, emissivity))
