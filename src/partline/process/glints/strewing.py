"""Flakes strewn at random into the plastic that a view looks into, and which shows where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter

from partline.errors import OutOfRange
from partline.physics.flake import mirrored_cosine, tilted
from partline.process.glints import kernel
from partline.process.glints.cut import Cut, FlakeKind, rounded_down
from partline.process.glints.kernel import Entries
from partline.process.glints.view import Depths

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Most flakes of a kind that are drawn one by one; so many and more are a haze to the eye.
MOST_FLAKES = 100_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strewn:
    """Flakes in a view, and which of them shows where. Whatever the colours.

    Parameters
    ----------
    depths : Depths
        The view.
    cuts : tuple of Cut
        What was strewn.
    entries : Entries
        Each pixel that a flake shows in, the flake, and how much of the pixel it fills; and the
        share of every pixel in which the line of sight meets none.
    depth : ndarray, shape (flakes,)
        In its half, along the line of sight, nearest first. [m]
    kind : ndarray of int, shape (flakes,)
        Its place in `cuts`.
    mirrored : ndarray, shape (flakes,)
        `mirrored_cosine` of its attitude. [-]
    luck : ndarray, shape (flakes,)
        What it happens to mirror, even in 0 to 1. [-]
    """

    depths: Depths
    cuts: tuple[Cut, ...]
    entries: Entries
    depth: Floats
    kind: Integers
    mirrored: Floats
    luck: Floats

    @property
    def covered(self) -> float:
        """Mean share of the view's pixels, where there is plastic, that flakes fill. [-]"""
        inside = self.depths.own.ravel() > 0
        return float(1 - self.entries.bare[inside].mean()) if inside.any() else 0.0


def _radius(cut: Cut) -> float:
    """Half the largest width of a flake. [m]"""
    return float(np.hypot(*cut.corners.T).max())


def _block(cut: Cut, depths: Depths) -> tuple[float, float, float]:
    """Width, height and depth of the block that flakes of a cut are strewn in. [m]"""
    margin = 2 * _radius(cut)
    rows, columns = depths.own.shape
    deepest = float(depths.reach[cut.side].max())
    return columns * depths.pixel + margin, rows * depths.pixel + margin, deepest


def expected_flakes(cut: Cut, depths: Depths) -> float:
    """Return how many flakes of a cut would have to be strewn for a view, in the mean."""
    width, height, deep = _block(cut, depths)
    return cut.number * width * height * deep


def singled_out(kinds: Sequence[FlakeKind], views: Sequence[Depths]) -> tuple[FlakeKind, ...]:
    """Return as many of each kind as can be drawn one by one in every view.

    Parameters
    ----------
    kinds : sequence of FlakeKind
        Of both halves.
    views : sequence of Depths
        All views that are to be drawn.

    Returns
    -------
    drawn : tuple of FlakeKind
        The rest of each kind stays in the mean picture as a haze, as fine flakes are to the eye.
    """
    drawn = []
    for kind in kinds:
        expected = max(expected_flakes(kind.cut, view) for view in views)
        share = min(1.0, MOST_FLAKES / max(expected, 1.0))
        number = kind.cut.number if share == 1.0 else rounded_down(share * kind.cut.number)
        less = number / kind.cut.number if kind.cut.number else 1.0
        cut = replace(kind.cut, number=number)
        drawn.append(replace(kind, cut=cut, extinction=less * kind.extinction))
    return tuple(drawn)


class _Scattered(NamedTuple):
    """Flakes of one cut: outlines in pixels (flakes, 6, 2), and each flake's own figures."""

    corners: Floats
    depth: Floats
    mirrored: Floats
    luck: Floats


def _scattered(cut: Cut, depths: Depths, seed: tuple[int, int, int]) -> _Scattered:
    """Strew the flakes of one cut; those that no pixel looks at are left out.

    Each flake has a load at which it comes in, so that with more of it the first ones stay.
    """
    width, height, deep = _block(cut, depths)
    mean = cut.number * width * height * deep
    # Ten standard deviations above the mean: never too few.
    drawn = np.random.default_rng(seed).random((ceil(mean + 10 * sqrt(mean) + 20), 8))
    comes_in = np.cumsum(-np.log1p(-drawn[:, 0]))
    drawn = drawn[: np.searchsorted(comes_in, mean, side="right")]
    rows, columns = depths.own.shape
    row = rows / 2 + (drawn[:, 2] - 0.5) * height / depths.pixel
    column = columns / 2 + (drawn[:, 1] - 0.5) * width / depths.pixel
    near = _deepest_near(depths, cut.side, ceil(_radius(cut) / depths.pixel))
    here = (
        np.clip(row, 0, rows - 1).astype(np.intp),
        np.clip(column, 0, columns - 1).astype(np.intp),
    )
    seen = np.flatnonzero(drawn[:, 3] * deep < near[here])
    _, _, _, depth, cosine, azimuth, spin, luck = drawn[seen].T
    outline = tilted(cut.corners, cosine, 2 * np.pi * azimuth, 2 * np.pi * spin) / depths.pixel
    outline += np.stack([column[seen], row[seen]], axis=-1)[:, None]
    # Outlines of fewer corners repeat their last one: an edge without length covers nothing.
    corners = np.take(outline, range(6), axis=1, mode="clip")
    return _Scattered(corners, depth * deep, mirrored_cosine(cosine), luck)


@lru_cache(maxsize=32)
def _deepest_near(depths: Depths, side: int, pixels: int) -> Floats:
    """Depth of a side within so many pixels, and one for rounding, of each, (rows, columns)."""
    return np.asarray(maximum_filter(depths.reach[side], 2 * pixels + 3, mode="nearest"))


@lru_cache(maxsize=16)
def strew(depths: Depths, cuts: tuple[Cut, ...], seed: int) -> Strewn:
    """Strew flakes into the plastic of a view; the last few are kept.

    Parameters
    ----------
    depths : Depths
        The view. Kept results are found again by this very object.
    cuts : tuple of Cut
        What to strew.
    seed : int
        Same seed, same flakes, 0 or more. With a higher load those already there stay.

    Returns
    -------
    Strewn
        Exact areas; within a pixel, a flake hides its share of what lies behind.

    Raises
    ------
    OutOfRange
        If there are more flakes than can be drawn one by one (see `singled_out`), or the seed is
        negative.

    Notes
    -----
    Places, depths and attitudes are random and independent: how flow lines flakes up with the
    skin and the line, how they sink, and that they do not cut through each other or the skin, is
    left out.
    """
    if seed < 0:
        raise OutOfRange(f"The seed is {seed}; it must be 0 or more.", low=0.0, field="seed")
    for cut in cuts:
        _refuse_too_many(cut, depths)
    made = [_scattered(cut, depths, _stream(cuts, place, seed)) for place, cut in enumerate(cuts)]
    if not made:
        made = [_Scattered(np.zeros((0, 6, 2)), *[np.zeros(0)] * 3)]
    sizes = [each.depth.size for each in made]
    corners, depth, mirrored, luck = (np.concatenate(each) for each in zip(*made, strict=True))
    nearest = np.argsort(depth)
    kind = np.repeat(np.arange(len(made)), sizes)[nearest]
    side = np.array([cut.side for cut in cuts] or [0])[kind]
    most = sum(
        size * (ceil(2 * _radius(cut) / depths.pixel) + 1) ** 2
        for size, cut in zip(sizes, cuts, strict=False)
    )
    return Strewn(
        depths=depths,
        cuts=cuts,
        entries=_shown(depths, corners[nearest], depth[nearest], side, most),
        depth=depth[nearest],
        kind=kind,
        mirrored=mirrored[nearest],
        luck=luck[nearest],
    )


def _stream(cuts: tuple[Cut, ...], place: int, seed: int) -> tuple[int, int, int]:
    """Seed of one cut: by its side and its place in that side, so that the other may change."""
    side = cuts[place].side
    return seed, side, sum(cut.side == side for cut in cuts[:place])


def _refuse_too_many(cut: Cut, depths: Depths) -> None:
    expected = expected_flakes(cut, depths)
    if expected > MOST_FLAKES:
        raise OutOfRange(
            f"About {expected:,.0f} flakes of {cut.size * 1e3:.3g} mm would have to be drawn; at "
            f"most {MOST_FLAKES:,} can be. Leave the rest in the mean: `singled_out` does.",
            low=0.0, high=float(MOST_FLAKES), field="cuts",
        )  # fmt: skip


def _shown(depths: Depths, corners: Floats, depth: Floats, side: Integers, most: int) -> Entries:
    """Return what each flake shows in each pixel, and what stays bare."""
    pixel, flake, cover = np.empty(most, np.int32), np.empty(most, np.int32), np.empty(most)
    bare = np.ones(depths.own.size)
    room = Entries(pixel, flake, cover, bare)
    found = kernel.lay(corners, depth, side, depths.reach, room)
    entries = Entries(pixel[:found].copy(), flake[:found].copy(), cover[:found].copy(), bare)
    kernel.hide(entries, side, depths.first.ravel().astype(np.int64))
    return entries
