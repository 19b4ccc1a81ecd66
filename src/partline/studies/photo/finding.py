"""The card in a photo: markers found, and the way from the card's plan to the photo's pixels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from partline.studies.photo.library import vision
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo_card import (
    CELLS,
    HEIGHT,
    MM,
    WIDTH,
    marker_boxes,
    marker_ids,
)

Floats = NDArray[np.floating]
Bytes = NDArray[np.uint8]

#: Markers are looked for in copies this large, the second for a photo out of focus; their
#: corners are then set in the photo itself. [pixel]
SEARCHED = (1800, 700)
#: Where no marker is read and sharp edges take more than the photo's side over this, it is
#: blurred; a card that fills it has edges half as wide where they are just sharp enough.
SOFT_EDGES = 450
#: Phones' lenses bend straight lines by about this much, as a share of half the diagonal; common
#: practice, no source. [-]
LENS = 0.02
#: Least sharpness of place that a line of a fraction of a millimetre needs. [pixel/m]
COARSEST = 5.0 / MM
#: Largest lean of the view against square above; beyond it the bait's height shifts what is
#: seen, and one end of the card lies out of focus. [rad]
MOST_TILT = np.radians(25.0)
#: Corners that miss a flat card by more than this are a card that is not flat. [m]
MOST_MISS = 0.6 * MM

_NO_CARD = "Lay bait or slice on the printed photo card and take the whole card, all four corners."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundCard:
    """Where the card lies in a photo.

    Parameters
    ----------
    onto : ndarray, shape (3, 3)
        From the card's places [m] to places of an ideal lens [pixel].
    centre : ndarray, shape (2,)
        Of the lens. [pixel]
    reach : float
        Half the photo's diagonal. [pixel]
    bend : float
        How the lens bends straight lines: radius times ``1 + bend · (radius/reach)²``. [-]
    number : int or None
        Which print this is; None where the fifth marker is covered.
    density : float
        Pixels a metre in the middle of the card. [pixel/m]
    tilt : float
        Of the view against square above the card. [rad]
    miss : float
        Root mean square distance of the markers' corners from where they should be. [m]
    """

    onto: Floats
    centre: Floats
    reach: float
    bend: float
    number: int | None
    density: float
    tilt: float
    miss: float

    def pixels(self, places: Floats) -> Floats:
        """Return where places on the card [m], shape (..., 2), are in the photo. [pixel]"""
        ideal = _through(self.onto, places) - self.centre
        square = np.sum(ideal**2, axis=-1, keepdims=True) / self.reach**2
        return ideal * (1.0 + self.bend * square) + self.centre

    def places(self, pixels: Floats) -> Floats:
        """Return which places on the card [m] are at pixels of the photo, shape (..., 2)."""
        ideal = _unbent(np.asarray(pixels, dtype=float), self.centre, self.reach, self.bend)
        return _through(np.linalg.inv(self.onto), ideal)


def find_card(codes: Bytes) -> FoundCard:
    """Find the card in a photo.

    Parameters
    ----------
    codes : ndarray of uint8, shape (rows, columns, 3)
        Upright or not: the card says which way it lies.

    Returns
    -------
    FoundCard
        Large enough in the photo, flat, and seen nearly from above.

    Raises
    ------
    PhotoRefused
        If a corner is missing, or the card is too small, bent or seen aslant.
    """
    cv2 = vision()
    grey = cv2.cvtColor(codes, cv2.COLOR_RGB2GRAY)
    corners: dict[int, Floats] = {}
    for size in SEARCHED:
        corners = _markers(cv2, grey, size) | corners
        if all(marker in corners for marker in corner_ids()):
            break
    if not all(marker in corners for marker in corner_ids()) and _is_soft(cv2, grey):
        raise PhotoRefused(
            Reason.BLUR,
            "This photo is blurred all over, so that the card’s markers cannot be read.",
            remedy="Tap the card to focus, hold still or rest your elbows, add light, wipe the "
            "lens.",
        )
    number = _checked(corners)
    ids = marker_ids(number or 1)
    boxes = [box for marker, box in zip(ids, marker_boxes(), strict=True) if marker in corners]
    ids = tuple(marker for marker in ids if marker in corners)
    ideal = np.concatenate([box.corners for box in boxes])
    seen = np.concatenate([corners[marker] for marker in ids])
    card = _fitted(ideal, seen, codes.shape, number)
    _check_view(card)
    return card


def _markers(cv2: Any, grey: Bytes, size: int) -> dict[int, Floats]:
    """Return the corners of each marker in the photo. [pixel]"""
    shrink = min(1.0, size / max(grey.shape))
    small = cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50), cv2.aruco.DetectorParameters()
    )
    found, ids, _ = detector.detectMarkers(small)
    if ids is None:
        return {}
    corners: dict[int, Floats] = {}
    for quad, marker in zip(found, ids.ravel(), strict=True):
        if int(marker) in corners and int(marker) < len(corner_ids()):
            raise PhotoRefused(
                Reason.NO_CARD,
                "This photo shows two photo cards, or one card and its mirror image.",
                remedy="Take one card alone.",
            )
        place = ((quad.reshape(4, 2) + 0.5) / shrink - 0.5).astype(np.float32)
        cell = float(np.min(np.linalg.norm(np.roll(place, 1, axis=0) - place, axis=1))) / CELLS
        window = max(2, round(0.4 * cell))
        criteria = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.01)
        better = cv2.cornerSubPix(grey, place.reshape(-1, 1, 2), (window,) * 2, (-1, -1), criteria)
        corners[int(marker)] = better.reshape(4, 2).astype(float)
    return corners


def _is_soft(cv2: Any, grey: Bytes) -> bool:
    """Whether even the steepest edges of a photo take many pixels from dark to light."""
    small = cv2.GaussianBlur(grey, (0, 0), 0.7).astype(np.float32)
    steps = np.hypot(cv2.Sobel(small, -1, 1, 0), cv2.Sobel(small, -1, 0, 1)) / 8
    whole = float(np.quantile(small[::8, ::8], 0.98) - np.quantile(small[::8, ::8], 0.02))
    steepest = float(np.quantile(steps[::2, ::2], 0.998))
    return whole / max(steepest, 1e-3) > max(grey.shape) / SOFT_EDGES


def corner_ids() -> tuple[int, ...]:
    """Return the markers at the card's corners, clockwise from the upper left."""
    return marker_ids(1)[:4]


def _checked(corners: dict[int, Floats]) -> int | None:
    """Return the card's number; refuse a card that is not whole."""
    missing = [
        name
        for marker, name in zip(
            corner_ids(), ("upper left", "upper right", "lower right", "lower left"),
            strict=True,
        )
        if marker not in corners
    ]  # fmt: skip
    if len(missing) >= 3:
        message = "No photo card was found in this photo; its black squares tell place and size."
        raise PhotoRefused(Reason.NO_CARD, message, remedy=_NO_CARD)
    if missing:
        raise PhotoRefused(
            Reason.NO_CARD,
            f"The card’s {' and '.join(missing)} marker cannot be read: cut off, covered, glared "
            "over or blurred.",
            remedy=_NO_CARD,
        )
    others = [marker for marker in corners if marker >= len(corner_ids())]
    return others[0] - 3 if len(others) == 1 else None


def _fitted(ideal: Floats, seen: Floats, shape: tuple[int, ...], number: int | None) -> FoundCard:
    centre = (np.array([shape[1], shape[0]], dtype=float) - 1) / 2
    reach = float(np.hypot(*centre))

    def cost(bend: float) -> float:
        _, miss = _homography(ideal, _unbent(seen, centre, reach, bend))
        # A corner is set to about a fifth of a pixel; a lens is weighed against that.
        return float(np.sum(miss**2) / 0.2**2 + (bend / LENS) ** 2)

    bend = float(minimize_scalar(cost, bounds=(-0.15, 0.15), method="bounded").x)
    onto, miss = _homography(ideal, _unbent(seen, centre, reach, bend))
    slope = _slope(onto, np.array([WIDTH / 2, HEIGHT / 2]))
    long, short = np.linalg.svd(slope, compute_uv=False)
    density = float(np.sqrt(long * short))
    return FoundCard(
        onto=onto,
        centre=centre,
        reach=reach,
        bend=bend,
        number=number,
        density=density,
        tilt=float(np.arccos(np.clip(short / long, 0.0, 1.0))),
        miss=float(np.sqrt(np.mean(np.sum(miss**2, axis=1))) / density),
    )


def _check_view(card: FoundCard) -> None:
    if card.density < COARSEST:
        raise PhotoRefused(
            Reason.TOO_SMALL,
            f"The card is small in this photo: {card.density * MM:.1f} pixels a millimetre, at "
            f"least {COARSEST * MM:.0f} are needed to see the line.",
            remedy="Go nearer until the card fills the picture, or choose the photo in its full "
            "size instead of one sent by a messenger.",
        )
    if card.tilt > MOST_TILT:
        raise PhotoRefused(
            Reason.TILT,
            f"The card is seen {np.degrees(card.tilt):.0f}° aslant; at most "
            f"{np.degrees(MOST_TILT):.0f}° are read, for a bait stands up from the card and "
            "shows its flank.",
            remedy="Hold the phone level, straight above the card’s middle.",
        )
    if card.miss > MOST_MISS:
        raise PhotoRefused(
            Reason.BENT,
            f"The card is not flat: its markers miss each other by {card.miss / MM:.1f} mm.",
            remedy="Tape the card onto a flat board and take it again.",
        )


# ---- geometry ------------------------------------------------------------------------------


def _homography(ideal: Floats, seen: Floats) -> tuple[Floats, Floats]:
    """Return the plane's map of least squares, and by how much each corner misses it."""
    onto, _ = vision().findHomography(ideal / MM, seen, 0)
    onto = onto @ np.diag([1 / MM, 1 / MM, 1.0])
    return onto, _through(onto, ideal) - seen


def _through(onto: Floats, places: Floats) -> Floats:
    ahead = np.concatenate([places, np.ones((*places.shape[:-1], 1))], axis=-1) @ onto.T
    return ahead[..., :2] / ahead[..., 2:]


def _unbent(pixels: Floats, centre: Floats, reach: float, bend: float) -> Floats:
    """Undo the lens: a few fixed-point steps, the bend being small."""
    seen = pixels - centre
    ideal = seen
    for _ in range(8):
        square = np.sum(ideal**2, axis=-1, keepdims=True) / reach**2
        ideal = seen / (1.0 + bend * square)
    return ideal + centre


def _slope(onto: Floats, place: Floats) -> Floats:
    """Return the derivative of pixels by places, shape (2, 2). [pixel/m]"""
    step = MM
    ahead = [_through(onto, place + step * axis) for axis in np.eye(2)]
    behind = [_through(onto, place - step * axis) for axis in np.eye(2)]
    return np.column_stack([(a - b) / (2 * step) for a, b in zip(ahead, behind, strict=True)])
