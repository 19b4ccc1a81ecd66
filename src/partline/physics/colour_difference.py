"""How different two colours look."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.floating]


def ciede2000(first: ArrayLike, second: ArrayLike) -> Floats:
    r"""Colour difference :math:`\Delta E_{00}` with all parametric factors 1.

    Parameters
    ----------
    first, second : ndarray, shape (..., 3)
        CIELAB coordinates; they broadcast against each other. [-]

    Returns
    -------
    difference : ndarray, shape (...)
        Colour difference; about 1 is just seen side by side. [-]

    Notes
    -----
    Made for differences up to about 5; larger ones say "very different" and little more. At
    hues exactly 180° apart the mean hue jumps, a property of the formula.

    References
    ----------
    .. [1] ISO/CIE 11664-6:2014.
    .. [2] G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21; equation numbers in the
       body are theirs (from memory).

    Examples
    --------
    >>> ciede2000([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485]).round(4).item()
    2.0425
    """
    l1, a1, b1 = np.moveaxis(np.asarray(first, dtype=float), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(second, dtype=float), -1, 0)
    mean_chroma = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    stretch = 1 + (1 - _saturation(mean_chroma)) / 2  # Eqs. (3)-(5)
    chroma1, hue1 = _chroma_and_hue(stretch * a1, b1)
    chroma2, hue2 = _chroma_and_hue(stretch * a2, b2)
    is_grey = chroma1 * chroma2 == 0

    turn = np.where(is_grey, 0.0, (hue2 - hue1 + 180) % 360 - 180)  # Eq. (10)
    lightness_step = l2 - l1
    chroma_step = chroma2 - chroma1
    hue_step = 2 * np.sqrt(chroma1 * chroma2) * np.sin(np.radians(turn) / 2)  # Eq. (11)

    chroma = (chroma1 + chroma2) / 2
    hue = _mean_hue(hue1, hue2, is_grey)
    from_mid_grey = ((l1 + l2) / 2 - 50) ** 2
    lightness_scale = 1 + 0.015 * from_mid_grey / np.sqrt(20 + from_mid_grey)  # Eq. (18)
    lightness_part = lightness_step / lightness_scale
    chroma_part = chroma_step / (1 + 0.045 * chroma)  # Eq. (19)
    hue_part = hue_step / (1 + 0.015 * chroma * _hue_weight(hue))  # Eq. (20)
    # Eqs. (16), (17), (21): blue hues are turned against chroma.
    angle = 60 * np.exp(-(((hue - 275) / 25) ** 2))
    rotation = -2 * _saturation(chroma) * np.sin(np.radians(angle))
    total = lightness_part**2 + chroma_part**2 + hue_part**2 + rotation * chroma_part * hue_part
    return np.sqrt(np.maximum(total, 0.0))


def _saturation(chroma: Floats) -> Floats:
    """√(C⁷/(C⁷ + 25⁷)): 0 for greys, 1 for strong colours."""
    seventh = chroma**7
    return np.sqrt(seventh / (seventh + 25.0**7))


def _chroma_and_hue(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Chroma and hue angle in degrees, 0 to 360; Eqs. (6), (7)."""
    return np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360


def _mean_hue(hue1: Floats, hue2: Floats, is_grey: NDArray[np.bool_]) -> Floats:
    """Mean of two hues the short way round; their sum when one colour is grey; Eq. (14)."""
    total = hue1 + hue2
    is_near = np.abs(hue1 - hue2) <= 180
    across = np.where(total < 360, total + 360, total - 360)
    return np.where(is_grey, total, np.where(is_near, total, across) / 2)


def _hue_weight(hue: Floats) -> Floats:
    """T of Eq. (15): how hue steps count at this hue."""
    return (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )
