"""One made-up photo with everything on it: two baits and a slice, for tests of the doors."""

from __future__ import annotations

from functools import cache

import numpy as np

from partline.studies.photo_card import MM
from tests.process.shed import drops, two_colours
from tests.studies.photo_baits import baits_of
from tests.studies.photo_scene import Camera, Slice, blank, rgb_of, take

LAID = Slice(
    back=rgb_of(np.array([38.0, 14, 24])), belly=rgb_of(np.array([82.0, 0, 9])), line=0.9 * MM
)


@cache
def laid_photo() -> bytes:
    """A JPEG of 2200 × 1650 pixels."""
    baits = baits_of("reed-130", two_colours((drops("Peat", 9),), (drops("Chalk", 5),)))
    sheet = LAID.lay(baits.lay(blank()))
    camera = Camera(size=(2200, 1650), tilt=0.08, gain=(1.0, 0.92, 0.85), exposure=0.65)
    return take(sheet, camera, np.random.default_rng(3))
