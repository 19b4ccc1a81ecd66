"""The outline of a slice as it was traced: made alike on both flanks and without hollows.

A mould's section is the same on both flanks and never hollow. What was tapped seldom is: each
tap is off a little, and a slice is not always. So the outline is changed as little as that asks
for, and by how much is told.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

Floats = NDArray[np.floating]

#: A section has at least so many points a flank.
FEWEST = 4
#: A point is left out where that moves the outline by less than this share of its size: far
#: less than a tap does, and it leaves forty points at most. [-]
UNSEEN = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class TracedOutline:
    """An outline that is alike on both flanks and never hollow.

    Parameters
    ----------
    flank : ndarray, shape (points, 2)
        One flank, across from the middle and up from the line, from the highest point to the
        lowest. [pixel]
    filled : float
        Deepest hollow that was filled: how far a tapped point lies inside. [pixel]
    evened : float
        Furthest that a flank was moved to be like the other. [pixel]
    miss : float
        Root mean square distance of the tapped points from it. [pixel]
    gap : float
        How far a bend between two points may lie outside the straight line that joins them, in
        the mean along the outline. [pixel]
    """

    flank: Floats
    filled: float
    evened: float
    miss: float
    gap: float


def outline_of(across: Floats, up: Floats) -> TracedOutline:
    """Return the outline of points tapped round a slice.

    Parameters
    ----------
    across, up : ndarray, shape (points,)
        Along the line where the halves meet, and above it; in any order. [pixel]

    Notes
    -----
    Hollows are filled by the convex hull. At every height the hull is then shifted to the
    middle: that keeps its area and both halves, and is convex again (Steiner's symmetrisation;
    from memory).
    """
    points = np.stack([across - (across.max() + across.min()) / 2, up], axis=1)
    hull = points[ConvexHull(points).vertices]
    unseen = UNSEEN * float(np.ptp(points, axis=0).max())
    flank = _filled_up(_thinned(_even_flank(hull), unseen))
    whole = np.concatenate([flank, flank[::-1] * [-1.0, 1.0]])
    return TracedOutline(
        flank=flank,
        filled=float(_distance(points, hull).max()),
        evened=float(_distance(hull, whole).max()),
        miss=float(np.sqrt(np.mean(_distance(points, whole) ** 2))),
        gap=_gap(hull),
    )


def _even_flank(hull: Floats) -> Floats:
    """Return one flank of a convex outline evened out, from the top's middle to the floor's."""
    levels = np.unique(hull[:, 1])[::-1]
    start, end = hull, np.roll(hull, -1, axis=0)
    drop = end[:, 1] - start[:, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(drop == 0, 0.0, (levels[:, None] - start[:, 1]) / drop)
    across = start[:, 0] + share * (end[:, 0] - start[:, 0])
    is_met = (share >= 0) & (share <= 1) & ((drop != 0) | (start[:, 1] == levels[:, None]))
    # A level side has its other end where the next side begins.
    right = np.where(is_met, across, -np.inf).max(axis=1)
    left = np.where(is_met, across, np.inf).min(axis=1)
    flank = np.stack([(right - left) / 2, levels], axis=1)
    top, floor = np.array([[[0.0, levels[0]]], [[0.0, levels[-1]]]])
    flank = np.concatenate([top, flank, floor])
    is_new = np.append(True, np.any(np.diff(flank, axis=0) != 0, axis=1))  # a pointed end is not
    return flank[is_new]


def _thinned(flank: Floats, unseen: float) -> Floats:
    """Return a flank without the points that say least; its ends and its widest stay."""
    kept = flank
    while len(kept) > FEWEST:
        lost = _heights(kept)
        lost[kept[1:-1, 0].argmax()] = np.inf
        least = int(lost.argmin())
        if lost[least] > unseen:
            break
        kept = np.delete(kept, least + 1, axis=0)
    return kept


def _filled_up(flank: Floats) -> Floats:
    """Return a flank of as many points as a section has at least: sides are halved for it."""
    while len(flank) < FEWEST:
        longest = int(np.hypot(*np.diff(flank, axis=0).T).argmax())
        middle = (flank[longest] + flank[longest + 1]) / 2
        flank = np.insert(flank, longest + 1, middle, axis=0)
    return flank


def _heights(flank: Floats) -> Floats:
    """Return how far each inner point lies off the line between its neighbours."""
    before, here, behind = flank[:-2], flank[1:-1], flank[2:]
    way, to = behind - before, here - before
    cross = np.abs(way[:, 0] * to[:, 1] - way[:, 1] * to[:, 0])
    return np.asarray(cross / np.maximum(np.hypot(*way.T), 1e-300))


def _distance(points: Floats, outline: Floats) -> Floats:
    """Return how far points lie from a closed outline, shape (points,)."""
    start, way = outline, np.roll(outline, -1, axis=0) - outline
    to = points[:, None, :] - start[None, :, :]
    length = np.maximum((way**2).sum(axis=1), 1e-300)
    share = np.clip((to * way).sum(axis=-1) / length, 0.0, 1.0)
    off = to - share[..., None] * way
    return np.asarray(np.hypot(off[..., 0], off[..., 1]).min(axis=1))


def _gap(hull: Floats) -> float:
    """Return how far a curve through a convex outline's points bulges beyond it, in the mean.

    A curve that turns evenly from one side's direction to the next bulges by an eighth of a
    side's length times what it turns there; of a circle that is its sagitta.
    """
    way = np.roll(hull, -1, axis=0) - hull
    length, turn = np.hypot(*way.T), np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    bend = np.mod(np.roll(turn, -1) - turn, 2 * np.pi)  # at the end of each side
    bulge = length * (bend + np.roll(bend, 1)) / 2 / 8
    return float((bulge * length).sum() / length.sum())
