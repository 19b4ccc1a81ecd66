"""A made-up photo of a stepped chip on the card: its colours solved, its camera made up."""

from __future__ import annotations

import numpy as np

from partline.materials.supply import Colourant
from partline.physics.colorimetry import RGB_TO_XYZ
from partline.process.appearance import chip_colour
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.chip_side import chip_side
from partline.studies.photo_card import BLACK_HALF, CHIP_STEPS
from tests.studies.photo_scene import FINE, MARGIN, Camera, blank, jpeg, photograph

CAMERA = Camera(size=(2200, 1650), tilt=0.08, gain=(1.0, 0.9, 0.8), exposure=0.65,
                contrast=0.15, slope=(0.1, 0.05))  # fmt: skip


def chip_photo(
    true: Colourant, seed: int = 1, *, drops: float = 3.0, steps: int = 4, camera: Camera = CAMERA
) -> bytes:
    """A JPEG of a chip of a bottle, its first steps on their places; none for a bare card."""
    side, sheet = chip_side(true, drops=drops), blank()
    middle = round((BLACK_HALF.top + MARGIN) * FINE)
    for thickness, box in CHIP_STEPS[:steps]:
        columns = slice(*(round((x + MARGIN) * FINE) for x in (box.left, box.right)))
        top, bottom = (round((y + MARGIN) * FINE) for y in (box.top, box.bottom))
        for card, rows in ((CARD_WHITE, slice(top, middle)), (CARD_BLACK, slice(middle, bottom))):
            xyz = chip_colour(side, np.array([thickness]), backing=card)[0]
            sheet[rows, columns] = np.clip(np.linalg.solve(RGB_TO_XYZ, xyz), 0, 1)
    return jpeg(photograph(sheet, camera, np.random.default_rng(seed)))
