"""The line where the halves meet in a slice: where it lies, how it leans, how wide it is."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import ndtr

from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.studies.photo.refusal import PhotoRefused, Reason
from partline.studies.photo.rims import rims
from partline.studies.photo.sharpness import Softness, width_of_step
from partline.studies.photo.things import Thing
from partline.studies.photo_card import MM

Floats = NDArray[np.floating]
Flags = NDArray[np.bool_]

#: The slice's rim is left out: it is rounded, shaded and mixed with the ground. [m]
RIM = 0.6 * MM
#: Share of a small slice's own size that is left out at most. [-]
LARGEST_RIM = 0.08
#: Light above this in its weakest channel was mirrored, not sent back by plastic. [-]
MIRRORED = 0.92
#: Most pixels that the fit looks at.
MOST = 6000
#: 10 to 90 % of a Gaussian step, in spreads.
TEN_TO_NINETY = 2.5631
#: The line is cut into pieces this long to see how its width varies. [m]
PIECE, FEWEST_PIECES = 2.0 * MM, 4
#: Least share of the colours' whole variation that a step explains. [-]
STEP_SHARE = 0.55
#: A cut face stands above the card, so that it is seen larger: as `slice_section.CARD`. [-]
ABOVE = 0.015
#: How exactly a slice is laid to the arrow. Common practice, no source. [rad]
LAID = np.radians(2.0)
#: How exactly an outline is told. [m]
OUTLINE = 0.2 * MM


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seam:
    """The line in a slice.

    Parameters
    ----------
    depth : Estimate
        Share of the height that lies on the back's side, through the slice's middle. [-]
    tilt : Estimate
        Of the line against the pocket's level; positive falls to the right. [rad]
    width : Estimate
        10 to 90 % of the step of light, the camera's own softness taken out. [m]
    height : Estimate
        Of the slice through its middle, along the line's normal. [m]
    above, below : ndarray of bool, shape (rows, columns)
        Pixels of the back's half and of the belly's, well away from the line.
    """

    depth: Estimate
    tilt: Estimate
    width: Estimate
    height: Estimate
    above: Flags
    below: Flags


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Face:
    """A slice's face as the fit sees it: where each pixel lies and how far it is to the belly."""

    places: Floats  # (pixels, 2), from the middle [m]
    value: Floats  # (pixels,), light along the colours' main way [-]
    middle: Floats  # (2,) [m]
    reach: float  # half the size [m]


def find_seam(thing: Thing, softness: Softness) -> Seam:
    """Find and measure the line in a slice.

    Parameters
    ----------
    thing : Thing
        The slice, laid with its back to the arrow.
    softness : Softness
        Of the photo.

    Raises
    ------
    PhotoRefused
        If no straight line parts the slice in two colours.
    """
    face, kept = _face(thing)
    fitted = _fit(face)
    angle, offset, spread, first, second = fitted
    normal = np.array([-np.sin(angle), np.cos(angle)])  # from the back to the belly
    away = face.places @ normal - offset
    values = (face.value - first) / (second - first)
    _check(values, away, spread, face)
    widths, offsets = _by_pieces(face, values, away, angle, spread)
    width = _width(widths, softness, angle)
    depth, height = _depth(thing, face, normal, offset, offsets)
    clear = max(0.9 * TEN_TO_NINETY * spread / 2, 0.5 * MM)
    distance = (thing.points - face.middle) @ normal - offset
    return Seam(
        depth=depth,
        tilt=_about(angle, float(np.hypot(_tilt_spread(offsets, face), LAID)), len(offsets)),
        width=width,
        height=height,
        above=kept & (distance < -clear),
        below=kept & (distance > clear),
    )


def _face(thing: Thing) -> tuple[_Face, Flags]:
    size = float(np.sqrt(np.count_nonzero(thing.inside))) * thing.pixel
    kept = thing.within(min(RIM, LARGEST_RIM * size))
    light = thing.light[kept]
    kept = kept.copy()
    is_gloss = light.min(axis=1) > MIRRORED
    if is_gloss.mean() < 0.2:
        kept[kept] = ~is_gloss
        light = light[~is_gloss]
    places = thing.points[kept]
    middle = (places.max(axis=0) + places.min(axis=0)) / 2
    centred = light - light.mean(axis=0)
    # The way from one half's colour to the other's: where the top and the bottom differ, else
    # where the colours spread most.
    down = places[:, 1] - middle[1]
    top, bottom = down < np.quantile(down, 0.25), down > np.quantile(down, 0.75)
    way = light[bottom].mean(axis=0) - light[top].mean(axis=0)
    length = float(np.linalg.norm(way))
    if length < 1e-4:
        raise _no_line()
    value = centred @ (way / length)
    face = _Face(places=places - middle, value=value, middle=middle, reach=size / 2)
    return face, kept


def _no_line() -> PhotoRefused:
    return PhotoRefused(
        Reason.NO_LINE,
        "No straight line that parts this slice in two colours was found: the halves are too "
        "alike, mixed all through, or the slice lies on its side.",
        remedy="Lay it with the back to the arrow and cut it square; if one half is as grey as "
        "the card, draw the slice’s outline.",
    )


def _fit(face: _Face) -> Floats:
    """Fit angle, offset, spread and both levels of a smeared straight step, robustly."""
    step = max(len(face.value) // MOST, 1)
    places, value = face.places[::step], face.value[::step]
    low, high = np.quantile(value, [0.1, 0.9])
    noise = max(1.4826 * float(np.median(np.abs(np.diff(value)))) / np.sqrt(2), 2e-3)
    reach = face.reach

    def miss(unknown: Floats) -> Floats:
        angle, offset, log_spread, first, second = unknown
        away = places @ np.array([-np.sin(angle), np.cos(angle)]) - offset * reach
        share = ndtr(away / (reach * np.exp(log_spread)))
        return (value - first - (second - first) * share) / noise

    best = None
    for angle in (0.0, 0.35, -0.35):
        for offset in (0.0, 0.35, -0.35):
            start = np.array([angle, offset, np.log(0.08), low, high])
            found = least_squares(miss, start, loss="soft_l1", max_nfev=60, bounds=(
                [-1.2, -1.0, np.log(1e-3), -2, -2], [1.2, 1.0, np.log(0.8), 2, 2]))  # fmt: skip
            if best is None or found.cost < best.cost:
                best = found
        if best is not None and angle == 0.0 and _explains(best.fun, value, noise) > 0.95:
            break
    assert best is not None
    angle, offset, log_spread, first, second = best.x
    return np.array([angle, offset * reach, reach * np.exp(log_spread), first, second])


def _explains(miss: Floats, value: Floats, noise: float) -> float:
    """Share of the variation that a step explains, outliers aside."""
    left = np.median(np.abs(miss)) * noise
    whole = np.median(np.abs(value - np.median(value)))
    return float(1.0 - (left / max(whole, 1e-9)) ** 2)


def _check(values: Floats, away: Floats, spread: float, face: _Face) -> None:
    modelled = ndtr(away / spread)
    left = float(np.mean(np.minimum(np.abs(values - modelled), 1.0) ** 2))
    whole = float(np.var(np.clip(values, -1, 2)))
    shares = np.mean(away < 0), np.mean(away > 0)
    if left > (1 - STEP_SHARE) * whole or min(shares) < 0.05 or spread > 0.45 * face.reach:
        raise _no_line()


def _by_pieces(
    face: _Face, values: Floats, away: Floats, angle: float, spread: float
) -> tuple[Floats, Floats]:
    """Return the width of the step and its place in pieces along the line. [m]"""
    along = face.places @ np.array([np.cos(angle), np.sin(angle)])
    low, high = np.quantile(along, [0.06, 0.94])
    count = int(np.clip((high - low) / PIECE, FEWEST_PIECES, 12))
    edges = np.linspace(low, high, count + 1)
    widths, offsets = [], []
    for start, end in pairwise(edges):
        taken = (along >= start) & (along < end)
        found = _one_piece(away[taken], values[taken], spread)
        if found is not None:
            widths.append(found[0])
            offsets.append([(start + end) / 2, found[1]])
    if len(widths) < 3:
        raise _no_line()
    return np.array(widths), np.array(offsets)


def _one_piece(away: Floats, values: Floats, spread: float) -> tuple[float, float] | None:
    """Return width and place of the step in one piece; None where it runs out of the slice."""
    if len(away) < 60 or away.min() > -2 * spread or away.max() < 2 * spread:
        return None

    def miss(unknown: Floats) -> Floats:
        place, log_spread, first, step = unknown
        return first + step * ndtr((away - place) / np.exp(log_spread)) - values

    start = np.array([0.0, np.log(spread), 0.0, 1.0])
    found = least_squares(miss, start, loss="soft_l1", f_scale=0.05, x_scale=[1e-4, 0.1, 0.1, 0.1],
                          max_nfev=60)  # fmt: skip
    place, log_spread, first, step = found.x
    own = float(np.exp(log_spread))
    if not 0.4 < step < 2.5 or abs(place) > 4 * spread + MM:
        return None
    order = np.argsort(away)
    reach = np.abs(away[order] - place) < max(4 * own, 1.5 * MM)
    where, seen = away[order][reach], (values[order][reach] - first) / step
    if len(where) < 40:
        return TEN_TO_NINETY * own, float(place)
    # A law-free width beside the fitted one: where they agree the fit is the less noisy.
    free = width_of_step(where, seen)
    fitted = TEN_TO_NINETY * own
    return (fitted if abs(free - fitted) < 0.35 * fitted else free), float(place)


def _width(widths: Floats, softness: Softness, angle: float) -> Estimate:
    """Take the camera's softness out of the seen width, and say what is left open."""
    seen = float(np.median(widths))
    spread = 1.4826 * float(np.median(np.abs(widths - seen))) / np.sqrt(len(widths)) * 1.2533
    own = softness.along(angle)
    # A softness differs from edge to edge; the slice lies nearer to the lens than the card.
    doubt = own * float(np.hypot(softness.spread, 0.12))

    def left(total: float, camera: float) -> float:
        return float(np.sqrt(max(total**2 - camera**2, 0.0)))

    value = left(seen, own)
    reach = HALF_RANGE * float(np.hypot(spread, 0.02 * seen))
    low = left(max(seen - reach, 0.0), own + HALF_RANGE * doubt)
    high = left(seen + reach, max(own - HALF_RANGE * doubt, 0.0))
    return Estimate(
        value=value,
        low=min(low, value),
        high=max(high, value),
        origin=Origin.MEASURED,
        source=f"10 to 90 % of the step in {len(widths)} places along the line, the photo’s own "
        f"{own / MM:.2f} mm taken out",
        narrows="a photo taken nearer and sharper",
        count=len(widths),
    )


def _depth(
    thing: Thing, face: _Face, normal: Floats, offset: float, offsets: Floats
) -> tuple[Estimate, Estimate]:
    """Return where the line lies between back and belly, and the slice's height."""
    top, bottom = rims(thing, face.middle, normal, face.reach)
    height = float(bottom - top)
    share = float(np.clip((offset - top) / height, 0.0, 1.0))
    rough = float(np.std(offsets[:, 1])) / np.sqrt(len(offsets))
    doubt = float(np.hypot(OUTLINE, rough)) / height
    return (
        _about(share, doubt, len(offsets), low=0.0, high=1.0),
        _about(height, float(np.hypot(OUTLINE * 1.4, ABOVE * height)), 1, low=0.0),
    )


def _tilt_spread(offsets: Floats, face: _Face) -> float:
    """Return the standard error of the line's angle from how its pieces stray. [rad]"""
    along = offsets[:, 0] - offsets[:, 0].mean()
    stray = float(np.std(offsets[:, 1]))
    lever = float(np.sqrt(np.sum(along**2)))
    return stray / lever if lever > 0 else 1.0 * face.reach


def _about(
    value: float, spread: float, count: int, *, low: float = -np.inf, high: float = np.inf
) -> Estimate:
    return Estimate(
        value=value,
        low=min(max(value - HALF_RANGE * spread, low), value),
        high=max(min(value + HALF_RANGE * spread, high), value),
        origin=Origin.MEASURED,
        source="read from one photo on the printed card",
        narrows="a second slice",
        count=count,
    )
