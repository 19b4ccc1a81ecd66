"""Where a slice begins and ends, finer than the mask that found it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression

from partline.studies.photo.things import Thing
from partline.studies.photo_card import MM

Floats = NDArray[np.floating]

#: A rim is looked for this far to both sides of the mask's edge. [m]
SOUGHT = 1.2 * MM


def rims(thing: Thing, middle: Floats, normal: Floats, reach: float) -> tuple[float, float]:
    """Return where the slice begins and ends along the line's normal, through its middle. [m]

    Parameters
    ----------
    thing : Thing
        The slice.
    middle : ndarray, shape (2,)
        What places are counted from. [m]
    normal : ndarray, shape (2,)
        Of length 1, from the back to the belly.
    reach : float
        Half the slice's size. [m]

    Notes
    -----
    A rim lies where the light is half way from the slice's to the ground's, which a photo's
    softness does not move; the mask that found the slice lies a little outside.
    """
    points = thing.points - middle
    down = points @ normal
    across = points @ np.array([normal[1], -normal[0]])
    strip = np.abs(across - np.median(across[thing.inside])) < 0.12 * reach + thing.pixel
    inner = thing.inside & strip
    top, bottom = float(down[inner].min()), float(down[inner].max())
    found: list[float] = []
    for rim, way in ((top, 1.0), (bottom, -1.0)):
        depth = way * (down - rim)
        near = strip & (depth > -SOUGHT) & (depth < min(2 * SOUGHT, 0.4 * (bottom - top)))
        core = np.median(thing.light[near & (depth > SOUGHT)], axis=0)
        to_core = core - thing.ground
        size = float(to_core @ to_core)
        if size < 2e-3 or np.count_nonzero(near) < 40:
            found.append(rim)
            continue
        share = (thing.light[near] - thing.ground) @ to_core / size
        order = np.argsort(depth[near])
        rising = isotonic_regression(share[order]).x
        found.append(rim + way * float(np.interp(0.5, rising, depth[near][order])))
    return found[0], found[1]
