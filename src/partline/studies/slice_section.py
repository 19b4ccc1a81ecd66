"""A section from a sliced bait's photo: points that somebody tapped in, sizes with doubt out.

The points are places in the picture. A length tapped along the card's scale turns them into
metres; the line where the halves meet says what lies across and what from back to belly. Three
shapes of a mould's station are then fitted by least squares, and the nearest is told, beside the
outline itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.stats import chi2

from partline.errors import InputError
from partline.materials.mould import SectionPoint, SectionShape
from partline.studies.traced_outline import TracedOutline, outline_of

Floats = NDArray[np.floating]
Outline = Callable[[Floats, Floats, Floats], Floats]

#: Fewest points that an outline of four sizes can be fitted to and judged by; most that are read.
FEWEST, MOST = 5, 400
#: A slice this flat against its length is a line. [-]
FLAT = 0.03
#: Four times out of five a size read on the card is off by no more than this: the cut face lies
#: nearer to the camera than the card, and the camera is not square above. Common practice, no
#: source; 3 mm nearer at 300 mm is 1 %, 10° off square is 1.5 %. [-]
CARD = 0.015
#: Width and height this alike make a round section of an elliptic one. [-]
ROUND = 0.03
#: Taps alone make a shape miss its own outline by more than is allowed for once in so many. [-]
SELDOM = 0.01
#: Sizes of a shape that are fitted.
FITTED = 4
#: Of a normal deviate, four out of five lie within so many standard deviations. [-]
FOUR_OF_FIVE = 1.2816
#: A half thinner than this share of the whole is no half: the line misses the slice. [-]
THINNEST = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceSection:
    """One section of a bait.

    Parameters
    ----------
    width : float
        Flank to flank, along the line where the halves meet. [m]
    back_half, belly_half : float
        Thickness above and below that line. [m]
    shape : SectionShape
        Nearest of a station's outlines.
    doubt : float
        Share that the sizes may be too large or too small by, four times out of five. [-]
    miss : float
        Root mean square distance of the points from that outline. [m]
    is_alike : bool
        Whether the points lie on that shape as near as they were tapped and as close as they
        stand; sizes are the points' own if not.
    points : tuple of SectionPoint
        The outline itself, alike on both flanks and never hollow.
    points_doubt : float
        As `doubt`, of the outline itself. [-]
    filled, evened : float
        Deepest hollow that was filled in it, and furthest that a flank was moved to be like the
        other. [m]
    """

    width: float
    back_half: float
    belly_half: float
    shape: SectionShape
    doubt: float
    miss: float
    is_alike: bool
    points: tuple[SectionPoint, ...]
    points_doubt: float
    filled: float
    evened: float

    @property
    def height(self) -> float:
        """Back to belly. [m]"""
        return self.back_half + self.belly_half

    @property
    def back_share(self) -> float:
        """Share of the height above the line. [-]"""
        return self.back_half / self.height


def section_of_slice(
    outline: Floats,
    *,
    scale: Floats,
    length: float,
    line: Floats,
    back: Floats,
    tap: float,
) -> SliceSection:
    """Return the section of a slice from points tapped in its photo.

    Parameters
    ----------
    outline : ndarray, shape (points, 2)
        Round the slice in order, either way; the last is joined to the first. [pixel]
    scale : ndarray, shape (2, 2)
        Two marks of the card. [pixel]
    length : float
        Between those two marks. [m]
    line : ndarray, shape (2, 2)
        Two places on the line where the halves meet. [pixel]
    back : ndarray, shape (2,)
        Any place on the back's side of that line. [pixel]
    tap : float
        Four taps out of five lie within this of where they were meant. [pixel]

    Raises
    ------
    InputError
        If the points are too few, lie on one line or cross, the scale has no length, or the
        line does not part the slice; its field is the argument.

    Notes
    -----
    Square to the card and flat: a photo taken aslant shortens one way. `CARD` allows for 10°.
    """
    points = _outline(outline)
    metre = _metres_a_pixel(scale, length, tap)
    across, up = _along_the_line(points, line, back, tap)
    shape, sizes, miss = _nearest(across, up)
    itself = outline_of(across, up)
    tapped = np.array([np.ptp(across), up.max(), -up.min()])
    is_alike = miss <= max(_by_taps_alone(len(points), tap), itself.gap)
    if not is_alike:
        sizes = tapped
    width, back_half, belly_half = sizes * metre
    height = back_half + belly_half
    if shape is not SectionShape.FLAT_BOTTOMED:
        is_round = abs(width - height) <= ROUND * height
        shape = SectionShape.ROUND if is_round else SectionShape.ELLIPTIC
    return SliceSection(
        width=float(width),
        back_half=float(back_half),
        belly_half=float(belly_half),
        shape=shape,
        doubt=_doubt(scale, sizes, tap, miss),
        miss=float(miss * metre),
        is_alike=bool(is_alike),
        points=_in_metres(itself, metre),
        points_doubt=_doubt(scale, tapped, tap, float(np.hypot(itself.gap, itself.miss))),
        filled=itself.filled * metre,
        evened=itself.evened * metre,
    )


def _in_metres(itself: TracedOutline, metre: float) -> tuple[SectionPoint, ...]:
    return tuple(
        SectionPoint(across=float(across), up=float(up)) for across, up in itself.flank * metre
    )


def _by_taps_alone(count: int, tap: float) -> float:
    """Return how far points miss the shape they were tapped on, all but `SELDOM`. [pixel]"""
    free = count - FITTED
    return tap / FOUR_OF_FIVE * float(np.sqrt(chi2.isf(SELDOM, free) / count))


def _outline(points: Floats) -> Floats:
    """Return an outline that goes round something once; refuse any other."""
    if len(points) < FEWEST:
        raise InputError(
            f"{len(points)} points go round the slice; at least {FEWEST} are needed.",
            field="outline",
            remedy="Tap about twelve, close where it bends.",
        )
    if len(points) > MOST:
        raise InputError(
            f"{len(points)} points go round the slice; at most {MOST} are read.",
            field="outline",
            remedy="About twelve are enough.",
        )
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if spread[1] <= FLAT * spread[0]:
        raise InputError(
            "The points round the slice lie on one line: there is nothing inside.",
            field="outline",
            remedy="Take them back and tap all the way round the slice.",
        )
    crossing = _first_crossing(points)
    if crossing is not None:
        (a, b), (c, d) = crossing
        raise InputError(
            f"The outline crosses itself: from point {a} to {b} it cuts from point {c} to {d}.",
            field="outline",
            remedy=f"Take points back to {a}, then tap round the slice in order.",
        )
    return points


def _first_crossing(points: Floats) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """Return the first two sides of a closed outline that cross, as their points from 1."""
    count = len(points)
    start, end = points, np.roll(points, -1, axis=0)

    def side(at: Floats) -> Floats:
        """On which side of each stretch (first axis) each place (second axis) lies."""
        way, to = (end - start)[:, None, :], at[None, :, :] - start[:, None, :]
        return np.sign(way[..., 0] * to[..., 1] - way[..., 1] * to[..., 0])

    parted = side(start) * side(end) < 0
    crossing = np.triu(parted & parted.T)
    for first, second in np.argwhere(crossing):
        return (
            (int(first) + 1, int(first + 1) % count + 1),
            (int(second) + 1, int(second + 1) % count + 1),
        )
    return None


def _metres_a_pixel(scale: Floats, length: float, tap: float) -> float:
    if not length > 0:
        raise InputError(
            "The distance between the two marks of the card is zero.",
            field="distance",
            remedy="Read it on the card's scale, such as 20 mm.",
        )
    pixels = float(np.linalg.norm(scale[1] - scale[0]))
    if pixels <= 2 * tap:
        raise InputError(
            "The two marks of the card were tapped at one place: there is no scale.",
            field="scale",
            remedy="Tap two marks as far apart as the photo shows, such as 0 and 20 mm.",
        )
    return length / pixels


def _along_the_line(
    points: Floats, line: Floats, back: Floats, tap: float
) -> tuple[Floats, Floats]:
    """Return the points along the line where the halves meet, and above it. [pixel]"""
    way = line[1] - line[0]
    reach = float(np.linalg.norm(way))
    if reach <= 2 * tap:
        raise InputError(
            "The line where the halves meet was tapped at one place.",
            field="line",
            remedy="Tap its two ends, at both flanks of the slice.",
        )
    along = way / reach
    normal = np.array([-along[1], along[0]])
    above = float((back - line[0]) @ normal)
    if abs(above) <= tap:
        raise InputError(
            "The place tapped for the back lies on the line itself.",
            field="back",
            remedy="Tap well inside the back's colour.",
        )
    up = (points - line[0]) @ normal * np.sign(above)
    if min(up.max(), -up.min()) <= THINNEST * np.ptp(up):
        raise InputError(
            "The line where the halves meet does not cross the slice: all of it lies on one side.",
            field="line",
            remedy="Tap the line's two ends at both flanks of the slice.",
        )
    return (points - line[0]) @ along, up


def _nearest(across: Floats, up: Floats) -> tuple[SectionShape, Floats, float]:
    """Return the outline that misses the points least: its width and halves, and the miss.

    An outline is told by how far out a place lies in it: 1 on the outline, 0 in the middle. A
    point misses it by the distance to it along the ray from the middle.
    """
    middle, half = (across.max() + across.min()) / 2, np.ptp(across) / 2
    top, bottom = up.max(), -up.min()
    found = []
    for shape, begin, outline, sizes in (
        # A whole ellipse whose middle may lie off the line.
        (SectionShape.ELLIPTIC, (middle, half, (top - bottom) / 2, (top + bottom) / 2),
         _ellipse, _ellipse_sizes),
        # Two half ellipses that meet at the line, as a mould's two halves are often cut.
        (SectionShape.ELLIPTIC, (middle, half, top, bottom), _two_halves, _half_sizes),
        (SectionShape.FLAT_BOTTOMED, (middle, half, top, bottom), _flat_bottomed, _half_sizes),
    ):  # fmt: skip
        at = _fitted(outline, np.array(begin), half + top + bottom, (across, up))
        miss = float(np.sqrt(np.mean(outline(at, across, up) ** 2)))
        values = sizes(at)
        if np.all(values > 0):
            found.append((miss, shape, values))
    if not found:
        return SectionShape.ELLIPTIC, np.array([2 * half, top, bottom]), np.inf
    miss, shape, values = min(found, key=lambda each: each[0])
    return shape, values, miss


def _fitted(outline: Outline, begin: Floats, size: float, points: tuple[Floats, Floats]) -> Floats:
    """Return an outline's middle and sizes that miss the points least, all of sane size."""
    # Half widths and heights stay positive; only the middles may lie on either side of zero.
    is_size = np.array([False, True, outline is not _ellipse, True])
    low = np.where(is_size, 1e-3 * size, -np.inf)
    high = np.where(is_size, 10 * size, np.inf)
    fit = least_squares(lambda at: outline(at, *points), begin, bounds=(low, high))
    return np.asarray(fit.x)


def _from(far: Floats, x: Floats, y: Floats) -> Floats:
    """Return how far a place lies from an outline along its ray, from how far out it is."""
    return np.hypot(x, y) * (1 - 1 / np.maximum(far, 1e-9))


def _ellipse(at: Floats, across: Floats, up: Floats) -> Floats:
    middle, wide, off, tall = at
    x, y = across - middle, up - off
    return _from(np.hypot(x / wide, y / tall), x, y)


def _ellipse_sizes(at: Floats) -> Floats:
    _, wide, off, tall = at
    return np.array([2 * wide, off + tall, tall - off])


def _two_halves(at: Floats, across: Floats, up: Floats) -> Floats:
    middle, wide, above, below = at
    x, tall = across - middle, np.where(up >= 0, above, below)
    return _from(np.hypot(x / wide, up / tall), x, up)


def _flat_bottomed(at: Floats, across: Floats, up: Floats) -> Floats:
    middle, wide, above, below = at
    x = across - middle
    dome = np.hypot(x / wide, up / above)
    box = np.maximum(np.abs(x / wide), np.abs(up / below))
    return _from(np.where(up >= 0, dome, box), x, up)


def _half_sizes(at: Floats) -> Floats:
    _, wide, above, below = at
    return np.array([2 * wide, above, below])


def _doubt(scale: Floats, sizes: Floats, tap: float, miss: float) -> float:
    """Return how far all sizes may be off, by the one that is known worst. [-]

    A length is off by the taps at both of its ends, and by what the shape misses there; the
    scale and the card are off for all alike. The parts are independent and add in quadrature.
    """
    ends = np.sqrt(2.0) * tap
    missed = miss if np.isfinite(miss) else 0.0
    worst = np.hypot(ends, missed) / sizes.min()
    return float(np.sqrt(worst**2 + (ends / np.linalg.norm(scale[1] - scale[0])) ** 2 + CARD**2))
