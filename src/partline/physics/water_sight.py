"""What is seen of a thing in water, at a depth and from a distance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.data.cie import OBSERVER
from partline.errors import InputError, OutOfRange
from partline.physics.colorimetry import WHITE, adapted_xyz, light_weights, reflectance_to_xyz
from partline.physics.illuminant import Illuminant, illuminant_power
from partline.physics.water_column import MEAN_COSINE, WaterOptics

Floats = NDArray[np.floating]

#: Share of the surface's light below which there is nothing to see by. [-]
DARKEST = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sight:
    """A thing in water, as radiance and as colour.

    Radiance is told against a perfect white just below the surface, at each wavelength.

    Parameters
    ----------
    radiance : ndarray, shape (..., wavelengths)
        Of the thing, with the veil of water before it. [-]
    veil : ndarray, shape (wavelengths,)
        Of the open water beside it. [-]
    light : ndarray, shape (wavelengths,)
        From above at that depth, against just below the surface. [-]
    brightness : float
        Y of a perfect white down there, against one just below the surface. [-]
    contrast : ndarray, shape (...)
        Luminance of the thing over that of the open water, less 1: 0 is out of sight. [-]
    cast : ndarray, shape (..., 3)
        XYZ with the water's colour in it: the eye is used to the dimness and not to the colour;
        Y of a perfect white down there is 1. [-]
    adapted : ndarray, shape (..., 3)
        XYZ as for an eye that has got used to the light at that depth. [-]
    veil_cast, veil_adapted : ndarray, shape (3,)
        The same two of the open water. [-]
    """

    radiance: Floats
    veil: Floats
    light: Floats
    brightness: float
    contrast: Floats
    cast: Floats
    adapted: Floats
    veil_cast: Floats
    veil_adapted: Floats


def downwelling(attenuation: ArrayLike, depth: float) -> Floats:
    r"""Light from above at a depth, :math:`\exp(-K_d z)`.

    Parameters
    ----------
    attenuation : ndarray, shape (wavelengths,)
        Diffuse attenuation Kd, alike at all depths. [1/m]
    depth : float
        z, from just below the surface. [m]

    Returns
    -------
    light : ndarray, shape (wavelengths,)
        Share of the light just below the surface. [-]

    Raises
    ------
    OutOfRange
        If the depth is below 0.
    """
    if not (np.isfinite(depth) and depth >= 0):
        raise OutOfRange(
            f"A depth of {depth:g} m was given; it is counted downwards from the surface, 0 or "
            "more.",
            low=0.0, unit="m", field="depth",
        )  # fmt: skip
    return np.exp(-np.asarray(attenuation, dtype=float) * depth)


def open_water_radiance(optics: WaterOptics, cosine: float = 0.0) -> Floats:
    r"""Radiance of endless water, against a perfect white at the same depth.

    .. math:: \rho_w = \frac{b_b}{2\mu_0\,(a + b_b - K_d\cos\theta)}

    Parameters
    ----------
    optics : WaterOptics
        The water.
    cosine : float
        Of the angle between the look and straight up, cos θ: 0 level, −1 straight down, 0.5 at
        most upwards. [-]

    Returns
    -------
    radiance : ndarray, shape (wavelengths,)
        [-]

    Raises
    ------
    OutOfRange
        If the look goes up so far that the water's own surface would be in it.

    Notes
    -----
    One large turn of the light, small turns counted as none. Looking straight down it gives 0.27
    times bb/(a + bb), where the light that comes up is known to be 0.33 times that, over π/Q of
    0.6 to 0.9. A factor of two, mostly by how much goes backwards.

    References
    ----------
    .. [1] H. R. Gordon, Appl. Opt. 12 (1973) 2803: quasi-single scattering (from memory).
    .. [2] A. Morel and L. Prieur, Limnol. Oceanogr. 22 (1977) 709: 0.33 (from memory).
    """
    if not -1 <= cosine <= 0.5:
        raise OutOfRange(
            f"A cosine of {cosine:g} was given; −1 looks straight down, 0 is level, and beyond "
            "0.5 the surface comes into sight.",
            low=-1.0, high=0.5, field="cosine",
        )  # fmt: skip
    lost = optics.absorption + optics.backscattering
    return optics.backscattering / (2.0 * MEAN_COSINE * (lost - _gain(optics, cosine)))


def _gain(optics: WaterOptics, cosine: float) -> Floats:
    """Return how the veil changes along the look: light gets less downwards. [1/m]"""
    # Kd above the loss by quasi-single scattering would let the veil of an upward look run away.
    slope = np.minimum(optics.diffuse, (optics.absorption + optics.backscattering) / MEAN_COSINE)
    return slope * cosine


def through_water(
    radiance: ArrayLike, veil: ArrayLike, optics: WaterOptics, distance: float, cosine: float = 0.0
) -> Floats:
    r"""Radiance of a thing with water between it and the eye.

    .. math:: L = L_0 e^{-cd} + L_w\,(1 - e^{-(c - K_d\cos\theta) d})

    Parameters
    ----------
    radiance : ndarray, shape (..., wavelengths)
        Of the thing close by, L₀. [-]
    veil : ndarray, shape (wavelengths,)
        Of the open water at the eye's depth, L_w, on the same scale. [-]
    optics : WaterOptics
        The water.
    distance : float
        d; 0 for a thing held to the eye. [m]
    cosine : float
        As in `open_water_radiance`; 0 is a level look. [-]

    Returns
    -------
    radiance : ndarray, shape (..., wavelengths)
        [-]

    Raises
    ------
    OutOfRange
        If the distance is below 0.

    References
    ----------
    .. [1] S. Q. Duntley, "The visibility of submerged objects," 1952, and J. Opt. Soc. Am. 53
       (1963) 214 (from memory); level, it is Koschmieder's law of 1924.
    """
    if not (np.isfinite(distance) and distance >= 0):
        raise OutOfRange(
            f"A viewing distance of {distance:g} m was given; it must be 0 or more.",
            low=0.0, unit="m", field="distance",
        )  # fmt: skip
    kept = np.exp(-optics.beam * distance)
    # The difference between thing and water fades as the beam does, whatever the look.
    behind = np.asarray(veil, dtype=float) * (
        -np.expm1(-(optics.beam - _gain(optics, cosine)) * distance)
    )
    return np.asarray(radiance, dtype=float) * kept + behind


def seen_under_water(
    reflectance: ArrayLike,
    optics: WaterOptics,
    depth: float,
    distance: float,
    illuminant: Illuminant = Illuminant.DAYLIGHT,
) -> Sight:
    """Look of a thing in water, on the level and at its own depth.

    Parameters
    ----------
    reflectance : ndarray, shape (..., wavelengths)
        Radiance factor of the thing, with water and not air at its skin. [-]
    optics : WaterOptics
        The water, alike at all depths.
    depth : float
        Of thing and eye, from the surface. [m]
    distance : float
        From the eye to the thing. [m]
    illuminant : Illuminant
        The light above the water.

    Returns
    -------
    sight : Sight
        At depth 0 and distance 0 its radiance is the reflectance itself.

    Raises
    ------
    InputError
        If the last axis is not the wavelength grid.
    OutOfRange
        If the depth or the distance is below 0, or so great that no light is left to tell of.

    Notes
    -----
    The thing is lit as if all light came from above onto its face. The colour that the surface
    takes off the light, the bottom, and waves are left out.
    """
    spectra = np.asarray(reflectance, dtype=float)
    power = illuminant_power(illuminant)
    if spectra.shape[-1:] != power.shape:
        raise InputError(
            f"A spectrum needs {power.size} values, 400 to 700 nm by 10 nm; this one has shape "
            f"{spectra.shape}."
        )
    light = downwelling(optics.diffuse, depth)
    brightness = float(np.sum(power * light * OBSERVER[:, 1]) / np.sum(power * OBSERVER[:, 1]))
    if brightness < DARKEST:
        raise OutOfRange(
            f"At {depth:g} m in this water no light is left to see by.",
            unit="m", field="depth", remedy="Choose a smaller depth or a clearer water.",
        )  # fmt: skip
    veil = light * open_water_radiance(optics)
    radiance = through_water(spectra * light, veil, optics, distance)
    surface = light_weights(power)
    thing, water = (reflectance_to_xyz(each, surface) for each in (radiance, veil))
    white = reflectance_to_xyz(light, surface)
    above = surface.sum(axis=0)
    cast = [adapted_xyz(each / brightness, above, WHITE) for each in (thing, water)]
    used = [adapted_xyz(each / brightness, white / brightness, WHITE) for each in (thing, water)]
    return Sight(
        radiance=radiance,
        veil=veil,
        light=light,
        brightness=brightness,
        contrast=thing[..., 1] / water[1] - 1.0,
        cast=cast[0],
        adapted=used[0],
        veil_cast=cast[1],
        veil_adapted=used[1],
    )
