"""The provisional picture: each pixel a slab as thick as its refracted line of sight."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from partline.materials.mould import Mould, Station
from partline.process.appearance import Sightings, media_of, sightings, solver_for
from partline.process.cavity import profile
from partline.process.optics import SideOptics
from partline.process.rendering import (
    FIGURE_NODES,
    ROUGH_NODES,
    VIEWS,
    PictureError,
    Quality,
    Setting,
    Surroundings,
    View,
    in_air,
    shown,
)
from partline.process.sight import from_back, from_belly, from_side

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Thicknesses a picture is solved at, along each axis of its table; evenly spaced in the root.
TABLE = 20
#: Directions a hemisphere in a picture: ΔE00 0.3 in the median from the exact slab.
PICTURE_NODES = 4
#: Of slab pictures from path tracing.
ERROR = PictureError(
    median=5.1,
    high=16.5,
    source="slab pictures of five bodies against path tracing: benchmarks/bench_look.py",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sightlines:
    """One view of one mould, whatever is poured into it.

    Parameters
    ----------
    blend : csr_array, shape (pixels, 2 × table × table)
        Weight of each table entry in each pixel: back over belly first, then belly over back.
    cover : ndarray, shape (rows, columns)
        Share of each pixel that the bait fills. [-]
    """

    blend: csr_array
    cover: Floats


def _deepest(mould: Mould) -> float:
    return max(max(station.width, station.height) for station in mould.stations) * 1.05


def _weights(depth: Floats, deepest: float) -> tuple[NDArray[np.intp], Floats]:
    """Lower table index of each depth and how far it lies towards the next."""
    place = np.sqrt(np.clip(depth / deepest, 0.0, 1.0)) * (TABLE - 1)
    lower = np.minimum(place.astype(np.intp), TABLE - 2)
    return lower, place - lower


@lru_cache(maxsize=64)
def _sightlines(mould: Mould, view: View, index: float, pixel: float) -> _Sightlines:
    columns = max(round(mould.length / pixel), 2)
    along = profile(mould, (np.arange(columns) + 0.5) / columns)
    half = along.half_width if view is not View.SIDE else np.maximum(
        along.back_half, along.belly_half
    )  # fmt: skip
    rows = 2 * int(np.ceil(half.max() / pixel)) + 4
    up = ((rows - 1) / 2 - np.arange(rows))[:, None] * pixel
    above, below = (half, half) if view is not View.SIDE else (along.back_half, along.belly_half)
    reach = np.where(up >= 0, above, below)
    cover = np.clip((reach - np.abs(up)) / pixel + 0.5, 0.0, 1.0) * (reach > 0)
    place = np.clip(up / np.maximum(reach, 1e-12), -1.0, 1.0)
    own, other = np.zeros_like(place), np.zeros_like(place)
    look = {View.BACK: from_back, View.BELLY: from_belly, View.SIDE: from_side}[view]
    for here, section in along.sections():
        own[:, here], other[:, here] = look(section, place[:, here], index)
    outside = cover == 0  # what no bait covers must not ask for table entries of its own
    own[outside] = other[outside] = 0.0
    belly_first = np.broadcast_to(up < 0 if view is View.SIDE else view is View.BELLY, place.shape)
    return _Sightlines(blend=_blend(own, other, belly_first, _deepest(mould)), cover=cover)


@lru_cache(maxsize=32)
def _used(mould: Mould, index: float, pixel: float) -> NDArray[np.intp]:
    """Table entries that some pixel of some view asks for: about half, no body is that deep."""
    asked = [_sightlines(mould, view, index, pixel).blend.indices for view in VIEWS]
    return np.unique(np.concatenate(asked)).astype(np.intp)


def _blend(
    own: Floats, other: Floats, belly_first: NDArray[np.bool_], deepest: float
) -> csr_array:
    """Bilinear weights of the table's colours in each pixel."""
    i, u = _weights(own.ravel(), deepest)
    j, v = _weights(other.ravel(), deepest)
    start = belly_first.ravel() * TABLE**2
    corners = [start + (i + di) * TABLE + (j + dj) for di in (0, 1) for dj in (0, 1)]
    weights = [(1 - u) * (1 - v), (1 - u) * v, u * (1 - v), u * v]
    pixels = own.size
    return csr_array(
        (
            np.stack(weights, axis=1).ravel(),
            np.stack(corners, axis=1).ravel(),
            np.arange(0, 4 * pixels + 1, 4),
        ),
        shape=(pixels, 2 * TABLE**2),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SlabRenderer:
    """The provisional picture: every pixel a slab along its refracted line of sight.

    Parameters
    ----------
    pixel : float
        Size of a pixel on the bait. [m]

    Notes
    -----
    Left out: light that enters through the flanks and wanders along the body, which makes real
    baits brighter at the edges; the skin's gloss; single flakes.
    """

    pixel: float = 0.2e-3
    quality: Quality = Quality.SLAB
    is_provisional: bool = True
    error: PictureError = ERROR

    def picture(
        self,
        sides: Sequence[SideOptics],
        mould: Mould,
        setting: Setting,
        light: Surroundings | None = None,
    ) -> Floats:
        """Return one view.

        Parameters
        ----------
        sides : sequence of SideOptics
            Back and belly, or the whole.
        mould : Mould
            With at least one station.
        setting : Setting
            Of other angles than those of `VIEWS`, the nearest of them is shown.
        light : Surroundings, optional
            In place of the setting's own.

        Returns
        -------
        srgb : ndarray, shape (rows, columns, 3)
            0 to 1, nose at the left, back up in the side view. [-]
        """
        light = light or in_air(setting)
        index = round(float(np.mean([side.index for side in sides])), 4)
        view = min(VIEWS, key=lambda each: abs(each.angle - setting.angle))
        lines = _sightlines(mould, view, index, self.pixel)
        table = _table(sides, _deepest(mould), _used(mould, index, self.pixel), light)
        bait = (lines.blend @ table).reshape(*lines.cover.shape, 3)
        none = np.zeros_like(lines.cover)
        return shown(bait, lines.cover, none, light, has_gloss=False)

    def sightings(
        self,
        sides: Sequence[SideOptics],
        stations: Sequence[Station],
        factors: Sequence[Floats] | None = None,
        *,
        members: Sequence[Integers] | None = None,
        thicker: Floats | None = None,
        is_rough: bool = False,
    ) -> Sightings:
        """Return slabs of the stations' thickness; see `partline.process.appearance`."""
        nodes = ROUGH_NODES if is_rough else FIGURE_NODES
        return sightings(sides, stations, factors, members=members, thicker=thicker, nodes=nodes)


def _table(
    sides: Sequence[SideOptics], deepest: float, used: NDArray[np.intp], light: Surroundings
) -> Floats:
    """XYZ of back over belly, then belly over back, at the used pairs of table depths."""
    solver = solver_for(sides, PICTURE_NODES)
    media = media_of(solver, sides)
    depth = deepest * np.linspace(0.0, 1.0, TABLE) ** 2
    belly_first, pair = np.divmod(used, TABLE**2)
    depths = depth[np.stack(np.divmod(pair, TABLE), axis=-1)]
    last = len(sides) - 1
    order = np.array([[0, last], [last, 0]])[belly_first]
    seen = solver.reflectance(media, order, depths, float(light.back.mean()))
    colours = np.zeros((2 * TABLE**2, 3))
    colours[used] = seen.normal @ light.weights
    return colours
