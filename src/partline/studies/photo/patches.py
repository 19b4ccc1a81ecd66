"""Places on the card whose print is known: what the photo shows there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.studies.photo.flat import Flat
from partline.studies.photo_card import (
    BLACK_HALF,
    CELLS,
    GREY_STEPS,
    MM,
    STEP_REFLECTANCES,
    WHITE_HALF,
    WHITE_SPOTS,
    Box,
    marker_boxes,
)

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

PAPER, INK = 0, len(STEP_REFLECTANCES) - 1
#: Kept off the edges of a patch, so that a soft photo does not mix in its neighbour. [m]
EDGE = 2.0 * MM
#: The same within the narrow border of a marker. [m]
NARROW = 0.75 * MM


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patches:
    """What a photo shows of the card's known places.

    Parameters
    ----------
    codes : ndarray, shape (patches, 3)
        Median of each channel, 0 to 255. [-]
    places : ndarray, shape (patches, 2)
        Middle of each. [m]
    levels : ndarray of int, shape (patches,)
        Which of `STEP_REFLECTANCES` each is printed for.
    """

    codes: Floats
    places: Floats
    levels: Integers


def read_patches(flat: Flat) -> Patches:
    """Read all known places of the card."""
    codes, places, levels = [], [], []
    for level, box in _known():
        pixels = flat.cut(box).reshape(-1, 3)
        if len(pixels) == 0:
            continue
        codes.append(np.median(pixels, axis=0))
        places.append(box.middle)
        levels.append(level)
    return Patches(codes=np.array(codes), places=np.array(places), levels=np.array(levels))


def _known() -> Iterator[tuple[int, Box]]:
    for box in WHITE_SPOTS:
        yield PAPER, box
    for step in GREY_STEPS:
        yield STEP_REFLECTANCES.index(step.reflectance), step.box.inset(EDGE)
    for box in marker_boxes():
        for strip in _border(box):
            yield INK, strip
    yield from _halves()


def _border(marker: Box) -> Iterator[Box]:
    """Give the four sides of a marker's black border."""
    cell = marker.width / CELLS
    thin, long = cell - 2 * NARROW, marker.width - 2 * cell
    for offset in (NARROW, marker.width - cell + NARROW):
        yield Box(left=marker.left + offset, top=marker.top + cell, width=thin, height=long)
        yield Box(left=marker.left + cell, top=marker.top + offset, width=long, height=thin)


def _halves() -> Iterator[tuple[int, Box]]:
    """Give what of the chip's pocket a chip leaves bare."""
    for level, half in ((PAPER, WHITE_HALF), (INK, BLACK_HALF)):
        for left in (half.left + MM, half.right - 6 * MM):
            yield level, Box(left=left, top=half.top + 2 * MM, width=5 * MM,
                             height=half.height - 4 * MM)  # fmt: skip
