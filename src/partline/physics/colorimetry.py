"""From a reflectance spectrum to what a person sees and what a screen shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.data.cie import D65, OBSERVER
from partline.errors import InputError, OutOfRange

Floats = NDArray[np.floating]
Flags = NDArray[np.bool_]

WEIGHTS: Floats = OBSERVER * D65[:, None] / np.sum(OBSERVER[:, 1] * D65)
"""Weight of each wavelength in X, Y, Z under D65, shape (31, 3); Y of a perfect reflector is 1."""

WHITE: Floats = WEIGHTS.sum(axis=0)
"""XYZ of a perfect reflector, summed over the same wavelengths as every colour, shape (3,). [-]"""

# Chromaticities of IEC 61966-2-1, Table 1; white is D65.
_PRIMARIES = np.array([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]])
_WHITE_POINT = np.array([0.3127, 0.3290])
_EDGE = 6 / 29
# XYZ to the cone-like responses of CAT16.
_CAT16 = np.array(
    [
        [0.401288, 0.650173, -0.051461],
        [-0.250268, 1.204414, 0.045854],
        [-0.002079, 0.048952, 0.953127],
    ]
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScreenColour:
    """Colours for a screen, and which of them the screen cannot show.

    Parameters
    ----------
    rgb : ndarray, shape (..., 3)
        Encoded sRGB in 0 to 1, clipped. [-]
    is_clipped : ndarray of bool, shape (...)
        True where the colour lies outside the screen's range and had to be clipped.
    """

    rgb: Floats
    is_clipped: Flags


def light_weights(power: ArrayLike) -> Floats:
    """Weight of each wavelength in X, Y, Z under a light.

    Parameters
    ----------
    power : ndarray, shape (..., wavelengths)
        Relative spectral power at `partline.data.cie.WAVELENGTHS`, on any scale. [-]

    Returns
    -------
    weights : ndarray, shape (..., wavelengths, 3)
        Y of a perfect reflector is 1. [-]

    Raises
    ------
    OutOfRange
        If a power is negative, or there is no light at all.
    """
    light = np.asarray(power, dtype=float)
    bright = light @ OBSERVER[:, 1]
    if not (np.all(light >= 0) and np.all(bright > 0)):
        raise OutOfRange("A light needs power at some wavelength, and none below 0.", low=0.0)
    return OBSERVER * light[..., None] / bright[..., None, None]


def reflectance_to_xyz(reflectance: ArrayLike, weights: ArrayLike = WEIGHTS) -> Floats:
    """Tristimulus values under a light, D65 by default, for the CIE 1931 2° observer.

    Parameters
    ----------
    reflectance : ndarray, shape (..., wavelengths)
        Reflectance or radiance factor at `partline.data.cie.WAVELENGTHS`. [-]
    weights : ndarray, shape (wavelengths, 3)
        Of the light, from `light_weights`. [-]

    Returns
    -------
    xyz : ndarray, shape (..., 3)
        Tristimulus values; Y is 1 for a perfect reflector. [-]

    Raises
    ------
    InputError
        If the last axis is not the wavelength grid.

    References
    ----------
    .. [1] CIE 015:2018 Colorimetry, section 7.1 (summation; from memory).
    """
    spectrum = np.asarray(reflectance, dtype=float)
    if spectrum.shape[-1:] != (len(WEIGHTS),):
        raise InputError(
            f"A spectrum needs {len(WEIGHTS)} values, 400 to 700 nm by 10 nm; "
            f"this one has shape {spectrum.shape}."
        )
    return spectrum @ np.asarray(weights, dtype=float)


def luminance(reflectance: ArrayLike) -> Floats:
    """Luminance factor Y under D65: how light a surface looks beside a perfect reflector.

    Parameters
    ----------
    reflectance : ndarray, shape (..., wavelengths)
        Reflectance or radiance factor at `partline.data.cie.WAVELENGTHS`. [-]

    Returns
    -------
    luminance : ndarray, shape (...)
        Y, 1 for a perfect reflector. [-]
    """
    return reflectance_to_xyz(reflectance)[..., 1]


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = WHITE) -> Floats:
    r"""CIELAB coordinates relative to a white.

    .. math::
        L^*=116f(Y/Y_n)-16,\ a^*=500[f(X/X_n)-f(Y/Y_n)],\ b^*=200[f(Y/Y_n)-f(Z/Z_n)]

    Parameters
    ----------
    xyz : ndarray, shape (..., 3)
        Tristimulus values. [-]
    white : ndarray, shape (3,)
        Tristimulus values of white, on the same scale. By default a perfect reflector summed
        over the same 31 wavelengths, so that white has exactly a* = b* = 0. [-]

    Returns
    -------
    lab : ndarray, shape (..., 3)
        L* (0 to 100 for reflecting surfaces), a* and b*. [-]

    References
    ----------
    .. [1] ISO/CIE 11664-4:2019, Eqs. (1)–(6) (from memory).
    """
    ratio = np.asarray(xyz, dtype=float) / np.asarray(white, dtype=float)
    f = np.where(ratio > _EDGE**3, np.cbrt(ratio), ratio / (3 * _EDGE**2) + 4 / 29)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def adapted_xyz(
    xyz: ArrayLike, white: ArrayLike, shown: ArrayLike = WHITE, degree: float = 1.0
) -> Floats:
    """Corresponding colours: what looks under another light as these look under theirs.

    Parameters
    ----------
    xyz : ndarray, shape (..., 3)
        Tristimulus values under the first light. [-]
    white : ndarray, shape (..., 3)
        Of the first light. [-]
    shown : ndarray, shape (3,)
        White of the light they are to be shown under. [-]
    degree : float
        How far the eye has got used to the first light: 1 wholly, 0 to its brightness alone. [-]

    Returns
    -------
    xyz : ndarray, shape (..., 3)
        Tristimulus values under the second light; with `degree` 1 white becomes white. [-]

    Raises
    ------
    OutOfRange
        If the degree lies outside 0 to 1, or a white is so pure in colour that the model has no
        response to it.

    Notes
    -----
    A rule for lights that are nearly white. Far from white, as in deep water, it is a sketch of
    what an eye does, and a fish's eye is another.

    References
    ----------
    .. [1] C. Li et al., "Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS," Color Res.
       Appl. 42 (2017) 703, Eqs. for CAT16 (from memory).
    """
    if not 0 <= degree <= 1:
        raise OutOfRange(
            f"The degree of adaptation is {degree:g}; it must lie in 0 to 1.",
            low=0.0, high=1.0, field="degree",
        )  # fmt: skip
    first, second = np.asarray(white, dtype=float), np.asarray(shown, dtype=float)
    before, after = first @ _CAT16.T, second @ _CAT16.T
    if not np.all(before > 0):
        raise OutOfRange("This light is too pure in colour for an eye to get used to it.", low=0.0)
    gain = degree * after / before + (1.0 - degree) * second[1] / first[..., 1:2]
    cones = np.asarray(xyz, dtype=float) @ _CAT16.T * gain
    return cones @ np.linalg.inv(_CAT16).T


def _rgb_to_xyz_matrix() -> Floats:
    """Matrix from linear sRGB to XYZ with white at Y = 1, from the primaries."""
    columns = np.column_stack([_PRIMARIES, 1 - _PRIMARIES.sum(axis=1)]).T
    white = np.append(_WHITE_POINT, 1 - _WHITE_POINT.sum()) / _WHITE_POINT[1]
    return columns * np.linalg.solve(columns, white)


RGB_TO_XYZ: Floats = _rgb_to_xyz_matrix()
"""Linear sRGB to XYZ, shape (3, 3); its rows sum to the white of sRGB. [-]"""

XYZ_TO_RGB: Floats = np.linalg.inv(RGB_TO_XYZ)
"""XYZ to linear sRGB, shape (3, 3). [-]"""


def xyz_to_srgb(xyz: ArrayLike, white: ArrayLike = WHITE) -> ScreenColour:
    """Screen colours in sRGB; what cannot be shown is clipped and said so.

    Parameters
    ----------
    xyz : ndarray, shape (..., 3)
        Tristimulus values. [-]
    white : ndarray, shape (3,)
        What the screen shows as its white. By default a perfect reflector; the step from it to
        the standard's white is a factor within 0.3 % in each of X, Y, Z. [-]

    Returns
    -------
    colour : ScreenColour
        Encoded values, and where they were clipped by more than half a step of 8 bits.

    References
    ----------
    .. [1] IEC 61966-2-1:1999, Eqs. (1)–(5) (from memory).
    """
    scaled = np.asarray(xyz, dtype=float) / np.asarray(white, dtype=float) * RGB_TO_XYZ.sum(axis=1)
    linear = scaled @ XYZ_TO_RGB.T
    low = 12.92 * linear
    high = 1.055 * np.maximum(linear, 0.0031308) ** (1 / 2.4) - 0.055
    encoded = np.where(linear <= 0.0031308, low, high)
    shown = np.clip(encoded, 0.0, 1.0)
    return ScreenColour(rgb=shown, is_clipped=np.any(np.abs(encoded - shown) > 0.5 / 255, axis=-1))


def srgb_to_xyz(rgb: ArrayLike, white: ArrayLike = WHITE) -> Floats:
    """Tristimulus values of a screen colour: `xyz_to_srgb` backwards where nothing is clipped.

    Parameters
    ----------
    rgb : ndarray, shape (..., 3)
        Encoded sRGB in 0 to 1. [-]
    white : ndarray, shape (3,)
        What the screen's white stands for. [-]

    Returns
    -------
    xyz : ndarray, shape (..., 3)
        Tristimulus values. [-]

    References
    ----------
    .. [1] IEC 61966-2-1:1999, Eqs. (6)–(9) (from memory).
    """
    encoded = np.asarray(rgb, dtype=float)
    high = ((np.maximum(encoded, 0.04045) + 0.055) / 1.055) ** 2.4
    linear = np.where(encoded <= 0.04045, encoded / 12.92, high)
    return linear @ RGB_TO_XYZ.T * np.asarray(white, dtype=float) / RGB_TO_XYZ.sum(axis=1)
