"""A chip in steps on the card: the light that each step sends over white and over black."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.physics.colorimetry import xyz_to_lab
from partline.studies.photo.contrast import part_of
from partline.studies.photo.measure import CardPhoto
from partline.studies.photo.quality import check_part
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo_card import BLACK_HALF, CHIP_STEPS, MM, Box

Floats = NDArray[np.floating]

#: Kept off a step's edges and off the border of the halves. [m]
EDGE = 3.0 * MM
#: A place that differs from the bare card by less than this, over white and black, is bare. The
#: black is printed, so that its bare look is that of the ink beside. [CIELAB]
BARE = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChipStep:
    """One thickness of a chip.

    Parameters
    ----------
    thickness : float
        That is printed beside its place; what the chip really has there is for a caliper. [m]
    over_white, over_black : ndarray, shape (3,)
        X, Y, Z against a perfect white, Y of which is 1. [-]
    doubt_white, doubt_black : ndarray, shape (3,)
        Standard deviation of these; all steps of one photo share most of it. [-]
    place_white, place_black : ndarray, shape (3,)
        The part of that doubt which is of this place alone. [-]
    """

    thickness: float
    over_white: Floats
    over_black: Floats
    doubt_white: Floats
    doubt_black: Floats
    place_white: Floats
    place_black: Floats


def read_chip(photo: CardPhoto) -> tuple[ChipStep, ...]:
    """Read the steps of a chip that cover their places.

    Parameters
    ----------
    photo : CardPhoto
        From `read_card_photo`.

    Returns
    -------
    tuple of ChipStep
        Thinnest first; places that are bare are left out.

    Raises
    ------
    PhotoRefused
        If every place is bare, or a step is clipped or mirrors a lamp.
    """
    bare = [_bare(photo, is_black=is_black) for is_black in (False, True)]
    steps = []
    for thickness, box in CHIP_STEPS:
        line = BLACK_HALF.top
        upper = Box(left=box.left, top=box.top, width=box.width, height=line - box.top)
        lower = Box(left=box.left, top=line, width=box.width, height=box.bottom - line)
        (white, *white_doubt), (black, *black_doubt) = (
            _reading(photo, half.inset(EDGE), f"chip’s step of {thickness / MM:.0f} mm")
            for half in (upper, lower)
        )
        if max(_apart(photo, white, bare[0]), _apart(photo, black, bare[1])) < BARE:
            continue
        steps.append(
            ChipStep(
                thickness=thickness, over_white=white, over_black=black,
                doubt_white=white_doubt[0], doubt_black=black_doubt[0],
                place_white=white_doubt[1], place_black=black_doubt[1],
            )
        )  # fmt: skip
    if not steps:
        raise PhotoRefused(
            Reason.NOTHING_THERE,
            "No chip was found: all places of the card’s chip pocket look like the bare card.",
            remedy="Lay the chip with its steps on the places of their thickness.",
        )
    return tuple(steps)


def _reading(photo: CardPhoto, box: Box, name: str) -> tuple[Floats, Floats, Floats]:
    """Return X, Y, Z of a place, their standard deviation, and the place's own part of it."""
    codes = photo.flat.cut(box)
    places = np.stack(np.meshgrid(*photo.flat.places(box)), axis=-1).reshape(-1, 2)
    codes = codes.reshape(-1, 3)
    calibration = photo.calibration
    part = part_of(codes, calibration.light(codes, places), places, places[:, 0])
    check_part(part, name, calibration)

    def light(values: Floats) -> Floats:
        return calibration.light(part.codes, part.places, values).mean(axis=0) @ photo.primaries.T

    middle = light(calibration.values)
    moved = [
        (light(calibration.values + way) - light(calibration.values - way)) / 2
        for way in calibration.directions
    ]
    pieces = calibration.light(part.codes, part.places) @ photo.primaries.T
    own = pieces.var(axis=0, ddof=1) / len(pieces)
    return middle, np.sqrt(np.sum(np.square(moved), axis=0) + own), np.sqrt(own)


def _bare(photo: CardPhoto, *, is_black: bool) -> Floats:
    """Return X, Y, Z of the bare half, left and right of the places for a chip."""
    half = BLACK_HALF if is_black else Box(
        left=BLACK_HALF.left, top=CHIP_STEPS[0][1].top, width=BLACK_HALF.width,
        height=BLACK_HALF.top - CHIP_STEPS[0][1].top,
    )  # fmt: skip
    found = []
    for left in (half.left + MM, half.right - 6 * MM):
        box = Box(left=left, top=half.top + 2 * MM, width=5 * MM, height=half.height - 4 * MM)
        places = np.stack(np.meshgrid(*photo.flat.places(box)), axis=-1)
        light = photo.calibration.light(photo.flat.cut(box), places)
        found.append(np.median(light.reshape(-1, 3), axis=0))
    return np.mean(found, axis=0) @ photo.primaries.T


def _apart(photo: CardPhoto, first: Floats, second: Floats) -> float:
    white = photo.primaries.sum(axis=1)
    return float(np.linalg.norm(xyz_to_lab(first, white) - xyz_to_lab(second, white)))
