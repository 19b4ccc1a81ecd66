"""What lies in a pocket: found by how it stands out from the printed grey, or shown by a tap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.physics.colorimetry import xyz_to_lab
from partline.studies.photo.finding import FoundCard
from partline.studies.photo.flat import Flat
from partline.studies.photo.library import vision
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo.tone import Calibration
from partline.studies.photo_card import MM, POCKETS, Box, Pocket

Floats = NDArray[np.floating]
Flags = NDArray[np.bool_]

#: The pocket's printed outline is kept out. [m]
OUTLINE = 1.2 * MM
#: Ring along the outline that is taken for bare ground. [m]
RING = 2.0 * MM
#: A thing differs from the ground by so many spreads of the ground itself, within limits; a
#: shadow only darkens it. [-], [CIELAB]
SPREADS, LEAST_APART, MOST_APART = 5.0, 3.0, 6.0
SHADOW = 9.0
#: Gaps narrower than this are closed, specks narrower than this are dropped. [m]
GAP, SPECK = 1.2 * MM, 1.6 * MM
#: Smallest thing that is measured. [m²]
SMALLEST = {Pocket.BACK: 150 * MM**2, Pocket.BELLY: 150 * MM**2, Pocket.SLICE: 20 * MM**2,
            Pocket.SPRUE: 8 * MM**2}  # fmt: skip
NAMES = {Pocket.BACK: "bait, back up,", Pocket.BELLY: "bait, belly up,", Pocket.SLICE: "slice",
         Pocket.SPRUE: "sprue slice"}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pointed:
    """A maker's own word on where a thing is, in pixels of the photo as a screen shows it.

    Parameters
    ----------
    tap : tuple of float or None
        A place on the thing. [pixel]
    outline : ndarray, shape (points, 2), or None
        Round it. [pixel]
    """

    tap: tuple[float, float] | None = None
    outline: Floats | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thing:
    """A bait or a slice in its pocket.

    Parameters
    ----------
    box : Box
        The part of the card that was looked at.
    light : ndarray, shape (rows, columns, 3)
        Of that part, linear. [-]
    codes : ndarray of uint8, shape (rows, columns, 3)
        As the photo has them.
    x, y : ndarray, shape (columns,) and (rows,)
        Places of the pixels on the card. [m]
    inside : ndarray of bool, shape (rows, columns)
        Which pixels are the thing.
    ground : ndarray, shape (3,)
        Light of the bare ground round it. [-]
    """

    box: Box
    light: Floats
    codes: NDArray[np.uint8]
    x: Floats
    y: Floats
    inside: Flags
    ground: Floats

    @property
    def pixel(self) -> float:
        """Side of a pixel. [m]"""
        return float(self.x[1] - self.x[0])

    def within(self, depth: float) -> Flags:
        """Return which pixels lie at least so deep inside the thing. [m]"""
        cv2 = vision()
        padded = np.pad(self.inside, 1).astype(np.uint8)
        away = cv2.distanceTransform(padded, cv2.DIST_L2, 5)[1:-1, 1:-1]
        return away * self.pixel >= depth

    @property
    def points(self) -> Floats:
        """Places of all pixels, shape (rows, columns, 2). [m]"""
        return np.stack(np.meshgrid(self.x, self.y), axis=-1)


def find_thing(
    flat: Flat,
    calibration: Calibration,
    primaries: Floats,
    pocket: Pocket,
    *,
    card: FoundCard,
    pointed: Pointed | None = None,
) -> Thing:
    """Find what lies in a pocket.

    Parameters
    ----------
    flat : Flat
        The card from above.
    calibration : Calibration
        What its codes mean.
    primaries : ndarray, shape (3, 3)
        Of the photo. [-]
    pocket : Pocket
        Which of the card's places.
    card : FoundCard
        To find where the maker pointed.
    pointed : Pointed or None
        The maker's correction.

    Raises
    ------
    PhotoRefused
        If nothing is found there.
    """
    box = POCKETS[pocket].inset(OUTLINE)
    codes = flat.cut(box)
    x, y = flat.places(box)
    light = calibration.light(codes, np.stack(np.meshgrid(x, y), axis=-1))
    ground = _ground(light, flat.density)
    pointed = pointed or Pointed()
    tap = None if pointed.tap is None else _at(pointed.tap, card, x, y, pocket)
    if pointed.outline is not None:
        inside = _drawn(pointed.outline, card, x, y)
    else:
        inside = _standing_out(light, ground, primaries, flat.density)
        inside = _one_piece(inside, tap)
    size = float(np.count_nonzero(inside)) / flat.density**2
    if size < SMALLEST[pocket]:
        raise _nothing(pocket, is_shown=pointed.outline is not None or tap is not None)
    return Thing(box=box, light=light, codes=codes, x=x, y=y, inside=inside, ground=ground)


def _nothing(pocket: Pocket, *, is_shown: bool) -> PhotoRefused:
    where = f"No {NAMES[pocket].rstrip(',')} was found in the card’s “{pocket.value}” pocket"
    if is_shown:
        return PhotoRefused(
            Reason.NOTHING_THERE,
            f"{where} where you showed one.",
            remedy="Draw its outline with some points round it, inside the pocket.",
        )
    return PhotoRefused(
        Reason.NOTHING_THERE,
        f"{where}: nothing there stands out from the printed grey.",
        remedy="Lay it inside the pocket’s outline; if it lies there, tap its outline.",
    )


def ground_levels(flat: Flat, calibration: Calibration) -> list[float]:
    """Return the light of the bare ground in every pocket of printed grey. [-]"""
    levels = []
    for pocket in SMALLEST:
        box = POCKETS[pocket].inset(OUTLINE)
        x, y = flat.places(box)
        thin = np.s_[::2, ::2]
        places = np.stack(np.meshgrid(x, y), axis=-1)[thin]
        light = calibration.light(flat.cut(box)[thin], places)
        levels.append(float(_ground(light, flat.density / 2).mean()))
    return levels


def _ground(light: Floats, density: float) -> Floats:
    return np.median(light[_ring(light.shape[0], light.shape[1], density)], axis=0)


def _ring(rows: int, columns: int, density: float) -> Flags:
    """Return which pixels lie along a pocket's outline."""
    width = max(round(RING * density), 2)
    edge = np.ones((rows, columns), dtype=bool)
    edge[width:-width, width:-width] = False
    return edge


def _at(
    tap: tuple[float, float], card: FoundCard, x: Floats, y: Floats, pocket: Pocket
) -> tuple[int, int]:
    """Return the row and column of a tap."""
    place = card.places(np.array(tap, dtype=float))
    if not POCKETS[pocket].holds(float(place[0]), float(place[1])):
        raise PhotoRefused(
            Reason.NOTHING_THERE,
            f"That tap is outside the card’s “{pocket.value}” pocket.",
            remedy="Tap the thing itself, inside its pocket.",
        )
    return int(np.argmin(np.abs(y - place[1]))), int(np.argmin(np.abs(x - place[0])))


def _drawn(outline: Floats, card: FoundCard, x: Floats, y: Floats) -> Flags:
    cv2 = vision()
    places = card.places(np.asarray(outline, dtype=float).reshape(-1, 2))
    pixel = x[1] - x[0]
    corners = np.round((places - [x[0], y[0]]) / pixel).astype(np.int32)
    mask = np.zeros((len(y), len(x)), dtype=np.uint8)
    cv2.fillPoly(mask, [corners], 1)
    return mask.astype(bool)


def _standing_out(light: Floats, ground: Floats, primaries: Floats, density: float) -> Flags:
    """Return where the light is no bare and no shaded ground."""
    cv2 = vision()
    soft = cv2.GaussianBlur(light.astype(np.float32), (0, 0), max(0.15 * MM * density, 0.6))
    white = primaries.sum(axis=1)
    lab = xyz_to_lab(soft @ primaries.T, white) - xyz_to_lab(primaries @ ground, white)
    ring = lab[_ring(light.shape[0], light.shape[1], density)]
    grain = 1.4826 * np.median(np.abs(ring - np.median(ring, axis=0)), axis=0)
    least, coloured = np.clip(
        SPREADS * np.array([grain[0], np.hypot(grain[1], grain[2])]), LEAST_APART, MOST_APART
    )
    colour = np.hypot(lab[..., 1], lab[..., 2])
    apart = (colour > coloured) | (lab[..., 0] > least) | (lab[..., 0] < -SHADOW)

    def disc(size: float) -> NDArray[np.uint8]:
        side = 2 * max(round(size * density / 2), 1) + 1
        return cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))

    closed = cv2.morphologyEx(apart.astype(np.uint8), cv2.MORPH_CLOSE, disc(GAP))
    return cv2.morphologyEx(closed, cv2.MORPH_OPEN, disc(SPECK)).astype(bool)


def _one_piece(inside: Flags, tap: tuple[int, int] | None) -> Flags:
    """Return the largest piece, or the one that was tapped, holes filled."""
    cv2 = vision()
    count, pieces, facts, _ = cv2.connectedComponentsWithStats(inside.astype(np.uint8))
    if count < 2:
        return np.zeros_like(inside)
    chosen = 1 + int(np.argmax(facts[1:, cv2.CC_STAT_AREA]))
    if tap is not None:
        chosen = int(pieces[tap])
        if chosen == 0:
            return np.zeros_like(inside)
    outer, _ = cv2.findContours(
        (pieces == chosen).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE
    )
    filled = np.zeros(inside.shape, dtype=np.uint8)
    cv2.drawContours(filled, outer, -1, 1, cv2.FILLED)
    return filled.astype(bool)
