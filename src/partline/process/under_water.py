"""The light that a bait stands in under water, as a picture needs it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import OBSERVER
from partline.errors import OutOfRange
from partline.physics.colorimetry import reflectance_to_xyz
from partline.physics.illuminant import Illuminant, illuminant_power, illuminant_weights
from partline.physics.water_column import WaterOptics
from partline.physics.water_sight import (
    DARKEST,
    downwelling,
    open_water_radiance,
    through_water,
)
from partline.process.rendering import Surroundings

Floats = NDArray[np.floating]


@dataclass(frozen=True, kw_only=True, eq=False)
class Depths:
    """A bait's surroundings at a depth, and how dim it is there.

    Parameters
    ----------
    light : Surroundings
        For a picture; what is behind the bait is the open water.
    brightness : float
        Light there against just below the surface. [-]
    open_water : float
        Y of the open water beside the bait, a white thing there being 1. [-]
    """

    light: Surroundings
    brightness: float
    open_water: float


def at_depth(
    optics: WaterOptics,
    depth: float,
    distance: float,
    illuminant: Illuminant,
    *,
    adapts: bool,
) -> Depths:
    """Return the light that a bait stands in, seen on the level.

    Parameters
    ----------
    optics : WaterOptics
        The water, alike at all depths.
    depth, distance : float
        From the surface; from the eye to the bait. [m]
    illuminant : Illuminant
        The light above the water.
    adapts : bool
        Whether the eye has got used to the colour of the light at that depth; to its dimness it
        has either way.

    Raises
    ------
    OutOfRange
        If no light is left to see by.

    Notes
    -----
    As in `partline.physics.water_sight.seen_under_water`, but the open water also lights the
    bait from behind.
    """
    light = downwelling(optics.diffuse, depth)
    power = illuminant_power(illuminant)
    brightness = float(np.sum(power * light * OBSERVER[:, 1]) / np.sum(power * OBSERVER[:, 1]))
    if brightness < DARKEST:
        raise OutOfRange(
            f"At {depth:g} m in this water no light is left to see by.",
            unit="m", field="depth", remedy="Choose a smaller depth or a clearer water.",
        )  # fmt: skip
    surface = illuminant_weights(illuminant)
    behind = open_water_radiance(optics)
    kept = np.exp(-optics.beam * distance)
    veil = through_water(np.zeros_like(light), light * behind, optics, distance)
    white = reflectance_to_xyz(light, surface) if adapts else surface.sum(axis=0) * brightness
    whole = Surroundings(
        weights=surface * (light * kept)[:, None] / brightness,
        back=behind,
        veil=veil @ surface / brightness,
        white=white / brightness,
        degree=1.0,
    )
    return Depths(
        light=whole,
        brightness=brightness,
        open_water=float((whole.back @ whole.weights + whole.veil)[1]),
    )
