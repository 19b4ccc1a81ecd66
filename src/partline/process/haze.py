"""The haze that salt and bubbles bring into a plastic."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.physics.dispersion import plastic_index, salt_index
from partline.physics.grain import Haze, cloud_haze
from partline.quantities.estimate import Estimate, Origin

Floats = NDArray[np.floating]

#: Refractive index of air in a bubble. [-]
AIR_INDEX = 1.0003
#: Spread of the logarithm of sizes: four grains in five within a factor 1.57 of the label's, as
#: between two neighbouring sieves (common practice, no source); bubbles as much. [-]
SIZE_SPREAD = 0.35
#: Haze of real salt against that of round wetted grains: a cube is no sphere.
SALT_DOUBT = Estimate.within(
    1.0, 1.0, Origin.DEFAULT, source="cubes taken as spheres: a factor of two",
    narrows="a chip of the salted plastic on the printed card",
)  # fmt: skip
#: Bubbles left in a plastic that was stirred fast or not rested: clear plastic has next to none.
BUBBLE_SHARE = Estimate(
    value=0.003, low=0.0005, high=0.02, origin=Origin.DEFAULT,
    source="share of the volume in badly degassed plastic: a guess",
    narrows="weighing a cured bait in air and in water",
)  # fmt: skip
#: How large they are.
BUBBLE_SIZE = Estimate(
    value=150e-6, low=50e-6, high=500e-6, origin=Origin.DEFAULT,
    source="bubbles that a hot plastic holds back: a guess", narrows="a close-up beside a ruler",
)  # fmt: skip


def salt_haze(volume_share: float, grain: float, index: float) -> Haze:
    """Return the haze of salt in a fused plastic.

    Parameters
    ----------
    volume_share : float
        Of the salt. [-]
    grain : float
        Median size by mass. [m]
    index : float
        Of the plastic at 589 nm. [-]

    Returns
    -------
    haze : Haze
        Scattering [1/m] and mean cosine [-], shape (wavelengths,). Grains are taken as spheres
        wetted all round; a cube may be off by a factor of two, and an air film about a loose
        grain outweighs the grain.

    Raises
    ------
    OutOfRange
        If the share or the grain cannot be.
    """
    whole = _salt(grain, index)
    return Haze(volume_share * whole.scattering, whole.anisotropy)


def bubble_haze(volume_share: float, diameter: float, index: float) -> Haze:
    """Return the haze of air bubbles in a fused plastic.

    Parameters
    ----------
    volume_share : float
        Of the air; see `BUBBLE_SHARE`. [-]
    diameter : float
        Median by volume; see `BUBBLE_SIZE`. [m]
    index : float
        Of the plastic at 589 nm. [-]

    Returns
    -------
    haze : Haze
        Scattering [1/m] and mean cosine [-], shape (wavelengths,).

    Raises
    ------
    OutOfRange
        If the share or the size cannot be.
    """
    medium = plastic_index(index, WAVELENGTHS)
    return cloud_haze(volume_share, diameter, AIR_INDEX / medium, _inside(medium), SIZE_SPREAD)


@lru_cache(maxsize=64)
def _salt(grain: float, index: float) -> Haze:
    """Return the haze of salt for a whole unit of volume share, kept: a slider asks often."""
    medium = plastic_index(index, WAVELENGTHS)
    return cloud_haze(1.0, grain, salt_index(WAVELENGTHS) / medium, _inside(medium), SIZE_SPREAD)


def _inside(medium: Floats) -> Floats:
    return WAVELENGTHS / medium


def one_cosine(haze: Haze) -> tuple[Floats, float]:
    """Return a haze with one mean cosine for all wavelengths.

    Parameters
    ----------
    haze : Haze
        Of one cloud.

    Returns
    -------
    scattering : ndarray, shape (wavelengths,)
        Moved so that what is turned away, μs(1 − g), is the same at every wavelength. [1/m]
    anisotropy : float
        The mean by what is scattered. [-]
    """
    if not np.any(haze.scattering > 0):
        return haze.scattering, 0.0
    mean = float(np.average(haze.anisotropy, weights=haze.scattering))
    return haze.scattering * (1.0 - haze.anisotropy) / (1.0 - mean), mean
