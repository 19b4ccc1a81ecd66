"""What makes a photo unfit to measure by light: too bright, too dark, or a lamp mirrored in it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from partline.studies.photo.contrast import Part
from partline.studies.photo.library import vision
from partline.studies.photo.patches import PAPER, Patches
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo.things import Thing
from partline.studies.photo.tone import Calibration
from partline.studies.photo_card import MM

Floats = NDArray[np.floating]

#: A code from here on may mean any light above it. [0 to 255]
FULL = 252
#: Share of the paper that may be that bright, and of what is measured. [-]
FULL_PAPER, FULL_PART = 0.02, 0.05
#: Paper darker than this leaves too few codes for a dark bait. [0 to 255]
DARKEST_PAPER = 70
#: Patches brighter than the fit by more than this share of white are lit by something else. [-]
STRAY = 0.025
#: How many of them make a glare: one may be a speck or a crumb.
STRAYS = 2
#: Ground next to a thing may be brighter than the rest by this share of itself. [-]
UNEVEN_GROUND = 0.07
#: One pocket's ground may be brighter than another's by this share. [-]
UNLIKE_GROUND = 0.10
#: Pieces of ground are squares of this side. [m]
SQUARE = 4.0 * MM
#: No plastic sends back more than this in its weakest channel; light that does was mirrored. [-]
BRIGHTEST = 0.92
#: Most that the pieces of one part may differ in their weakest channel. [share of white]
UNEVEN_PART = 0.22
#: Share of a part that may mirror the lamp. [-]
MOST_GLOSS = 0.12

_LESS_LIGHT = (
    "Tap the card’s white to set the brightness, or turn the brightness down, and take it again."
)
_AWAY = (
    "Turn card and phone until no lamp or window mirrors in it: light from both sides, no flash."
)


def check_exposure(patches: Patches) -> None:
    """Refuse a photo whose paper is as bright as the camera can say, or nearly black.

    Raises
    ------
    PhotoRefused
        With the reason.
    """
    paper = patches.codes[patches.levels == PAPER]
    full = float(np.mean(paper.max(axis=1) >= FULL))
    if full > FULL_PAPER:
        raise PhotoRefused(
            Reason.CLIPPING,
            f"This photo is too bright: {_per_cent(full)} of the card’s white is as bright as the "
            f"camera can say; at most {_per_cent(FULL_PAPER)} may be, for beyond that colours are "
            "cut off.",
            remedy=_LESS_LIGHT,
        )
    middle = float(np.median(paper))
    if middle < DARKEST_PAPER:
        raise PhotoRefused(
            Reason.DARK,
            f"This photo is too dark: the card’s white comes out at {middle:.0f} of 255, at least "
            f"{DARKEST_PAPER} are needed to tell dark colours apart.",
            remedy="Add light from two sides, or tap the card to set the brightness.",
        )


def check_glare(patches: Patches, calibration: Calibration) -> None:
    """Refuse a photo in which light lies over the card's own prints.

    Raises
    ------
    PhotoRefused
        With where it lies.
    """
    light = calibration.light(patches.codes, patches.places)
    added = (light * (1 - np.exp(-calibration.misses))).min(axis=1)
    strays = added > STRAY + 0.06 * light.min(axis=1)
    if np.count_nonzero(strays) >= STRAYS:
        raise _glare(f"light lies over {np.count_nonzero(strays)} of the card’s prints")


def check_ground(thing: Thing, others: Sequence[float] = ()) -> None:
    """Refuse a pocket whose bare grey is lit unevenly: the thing in it is too.

    Parameters
    ----------
    thing : Thing
        In its pocket.
    others : sequence of float
        Light of the bare ground in all the card's pockets: one ink, one grey. [-]

    Raises
    ------
    PhotoRefused
        With the reason.
    """
    excess = float(thing.ground.mean()) / min(others, default=np.inf) - 1
    if excess > UNLIKE_GROUND:
        raise _glare(
            f"the printed grey of this pocket is {_per_cent(excess)} brighter than that of "
            f"another; at most {_per_cent(UNLIKE_GROUND)} is even light"
        )
    bare = ~_widened(thing)
    side = max(round(SQUARE / thing.pixel), 3)
    grey = thing.light.mean(axis=-1)
    levels = []
    for top in range(0, grey.shape[0] - side + 1, side):
        for left in range(0, grey.shape[1] - side + 1, side):
            place = np.s_[top : top + side, left : left + side]
            if np.count_nonzero(bare[place]) > 0.6 * side * side:
                levels.append(float(np.median(grey[place][bare[place]])))
    if len(levels) < 6:
        return
    brightest, usual = np.quantile(levels, 0.95), float(np.quantile(levels, 0.3))
    if brightest > (1 + UNEVEN_GROUND) * usual:
        raise _glare(
            "the printed grey round what is measured is up to "
            f"{_per_cent(brightest / usual - 1)} brighter than elsewhere in its pocket; at most "
            f"{_per_cent(UNEVEN_GROUND)} is even light"
        )


def check_part(part: Part, name: str, calibration: Calibration) -> None:
    """Refuse a part that is cut off at full brightness, or mirrors the lamp all over.

    Raises
    ------
    PhotoRefused
        With the reason.
    """
    if part.clipped > FULL_PART:
        raise PhotoRefused(
            Reason.CLIPPING,
            f"{_per_cent(part.clipped)} of the {name} is as bright as the camera can say; at most "
            f"{_per_cent(FULL_PART)} may be.",
            remedy=_LESS_LIGHT,
        )
    light = calibration.light(part.codes, part.places).min(axis=1)
    if np.median(light) > BRIGHTEST or np.ptp(light) > UNEVEN_PART:
        raise _glare(f"light lies over the {name}: parts of it are brighter than the card’s white "
                     "or far brighter than the rest")  # fmt: skip
    if part.gloss > MOST_GLOSS or len(part.codes) < 2:
        raise _glare(
            f"{_per_cent(part.gloss)} of the {name} mirrors a lamp; at most "
            f"{_per_cent(MOST_GLOSS)} may"
        )


def _widened(thing: Thing) -> NDArray[np.bool_]:
    """Return the thing with its shadow's darkest part."""
    cv2 = vision()
    side = 2 * max(round(1.5 * MM / thing.pixel), 1) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    return cv2.dilate(thing.inside.astype(np.uint8), disc).astype(bool)


def _glare(found: str) -> PhotoRefused:
    return PhotoRefused(Reason.GLARE, f"A lamp or window glares in this photo: {found}.",
                        remedy=_AWAY)  # fmt: skip


def _per_cent(share: float) -> str:
    return f"{share * 100:.0f} %"
