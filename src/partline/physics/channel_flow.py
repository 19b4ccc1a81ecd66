"""Slow steady flow along straight channels: tube, slit and elliptic duct."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.errors import OutOfRange

Floats = NDArray[np.floating]


def tube_flow(bore: ArrayLike, viscosity: ArrayLike, pressure_gradient: ArrayLike) -> Floats:
    r"""Flow through a round tube.

    .. math:: Q = \frac{\pi D^4}{128\,\eta}\,G

    Parameters
    ----------
    bore : float or ndarray, shape (...)
        Inner diameter D. [m]
    viscosity : float or ndarray, shape (...)
        η; where it is infinite nothing flows. [Pa·s]
    pressure_gradient : float or ndarray, shape (...)
        Fall of pressure along the tube G, over its length. [Pa/m]

    Returns
    -------
    flow : ndarray, shape (...)
        Volume in time, with the sign of the fall. [m³/s]

    Raises
    ------
    OutOfRange
        If the bore or the viscosity is not above 0.

    Notes
    -----
    Exact for a Newtonian liquid in laminar flow (`reynolds_number` below 2,000) that is fully
    developed: some 0.6 bores and a twentieth of a bore times Re behind the mouth. One viscosity
    over the section.

    References
    ----------
    .. [1] Hagen and Poiseuille; White, Viscous Fluid Flow, 3rd ed., McGraw-Hill 2006, section 3-3
       (from memory).

    Examples
    --------
    >>> round(float(tube_flow(4e-3, 1.0, 39.8e3 / 50e-3)) * 1e6, 2)
    5.0
    """
    (diameter,), thick = _lengths(bore), _thick(viscosity)
    return np.asarray(np.pi * diameter**4 / (128.0 * thick) * np.asarray(pressure_gradient))


def slit_flow(
    clearance: ArrayLike, width: ArrayLike, viscosity: ArrayLike, pressure_gradient: ArrayLike
) -> Floats:
    r"""Flow between wide parallel plates.

    .. math:: Q = \frac{b h^3}{12\,\eta}\,G

    Parameters
    ----------
    clearance : float or ndarray, shape (...)
        Distance h of the plates. [m]
    width : float or ndarray, shape (...)
        Of the plates across the flow, b. [m]
    viscosity : float or ndarray, shape (...)
        η; where it is infinite nothing flows. [Pa·s]
    pressure_gradient : float or ndarray, shape (...)
        Fall of pressure along the slit G, over its length. [Pa/m]

    Returns
    -------
    flow : ndarray, shape (...)
        Volume in time, with the sign of the fall. [m³/s]

    Raises
    ------
    OutOfRange
        If a length or the viscosity is not above 0.

    Notes
    -----
    Side walls are left out: a rectangle ten times wider than high passes 6 % less, a square
    58 % less. Laminar, Newtonian, fully developed.

    References
    ----------
    .. [1] White, Viscous Fluid Flow, 3rd ed., McGraw-Hill 2006, section 3-2 (from memory).

    Examples
    --------
    >>> float(slit_flow(2e-3, 12e-3, 1.0, 1e6)) * 1e6
    8.0
    """
    high, wide = _lengths(clearance, width)
    return np.asarray(wide * high**3 / (12.0 * _thick(viscosity)) * np.asarray(pressure_gradient))


def elliptic_flow(
    clearance: ArrayLike, width: ArrayLike, viscosity: ArrayLike, pressure_gradient: ArrayLike
) -> Floats:
    r"""Flow through an elliptic duct.

    .. math:: Q = \frac{\pi}{64\,\eta}\,\frac{b^3 h^3}{b^2 + h^2}\,G

    Parameters
    ----------
    clearance, width : float or ndarray, shape (...)
        The ellipse's two axes h and b, whole; either may be the longer. [m]
    viscosity : float or ndarray, shape (...)
        η; where it is infinite nothing flows. [Pa·s]
    pressure_gradient : float or ndarray, shape (...)
        Fall of pressure along the duct G, over its length. [Pa/m]

    Returns
    -------
    flow : ndarray, shape (...)
        Volume in time, with the sign of the fall. [m³/s]

    Raises
    ------
    OutOfRange
        If an axis or the viscosity is not above 0.

    Notes
    -----
    Exact for laminar, Newtonian, fully developed flow with one viscosity over the section.

    References
    ----------
    .. [1] White, Viscous Fluid Flow, 3rd ed., McGraw-Hill 2006, section 3-3 (from memory).

    Examples
    --------
    >>> round(float(elliptic_flow(4e-3, 4e-3, 1.0, 39.8e3 / 50e-3)) * 1e6, 2)
    5.0
    """
    high, wide = _lengths(clearance, width)
    shape = (wide * high) ** 3 / (wide**2 + high**2)
    return np.asarray(np.pi * shape / (64.0 * _thick(viscosity)) * np.asarray(pressure_gradient))


def reynolds_number(
    density: ArrayLike, speed: ArrayLike, hydraulic_diameter: ArrayLike, viscosity: ArrayLike
) -> Floats:
    r"""Reynolds number: the push of a moving liquid over its friction.

    .. math:: \mathrm{Re} = \rho v D / \eta

    Parameters
    ----------
    density : float or ndarray, shape (...)
        Of the liquid as it flows, ρ. [kg/m³]
    speed : float or ndarray, shape (...)
        Mean over the section, v; for a tube 4Q/(πD²). [m/s]
    hydraulic_diameter : float or ndarray, shape (...)
        D, four times the section over its wetted edge; a tube's bore, twice a slit's clearance.
        [m]
    viscosity : float or ndarray, shape (...)
        η. [Pa·s]

    Returns
    -------
    reynolds_number : ndarray, shape (...)
        Never below 0, whichever way it flows. [-]

    Raises
    ------
    OutOfRange
        If the density, the diameter or the viscosity is not above 0.

    Notes
    -----
    A definition, for any liquid of one viscosity. Up to about 3 at a gate friction rules and slow
    flow may be assumed; laminar flow in a tube ends near 2,000.

    References
    ----------
    .. [1] Reynolds, Phil. Trans. R. Soc. 174 (1883) 935 (from memory).

    Examples
    --------
    >>> round(float(reynolds_number(940.0, 3.0, 4e-3, 1.0)), 1)
    11.3
    """
    rho = np.asarray(density, dtype=float)
    if not np.all(rho > 0):
        raise OutOfRange("A density must be above 0.", low=0.0, unit="kg/m³")
    (wide,), thick = _lengths(hydraulic_diameter), _thick(viscosity)
    return np.asarray(rho * np.abs(np.asarray(speed, dtype=float)) * wide / thick)


def _lengths(*given: ArrayLike) -> list[Floats]:
    lengths = [np.asarray(each, dtype=float) for each in given]
    if not all(np.all(each > 0) for each in lengths):
        raise OutOfRange("The sizes of a channel must be above 0.", low=0.0, unit="m")
    return lengths


def _thick(viscosity: ArrayLike) -> Floats:
    thick = np.asarray(viscosity, dtype=float)
    if not np.all(thick > 0):
        raise OutOfRange("A viscosity must be above 0.", low=0.0, unit="Pa·s")
    return thick
