"""Pictures of the whole bait. The seam where a better renderer plugs in.

A renderer turns two sides' optics and a mould into colours of pixels. `SlabRenderer` is the
provisional one: each pixel is a slab as thick as its refracted line of sight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from partline.data.cie import WAVELENGTHS
from partline.materials.mould import Mould
from partline.physics.colorimetry import reflectance_to_xyz, xyz_to_srgb
from partline.process.appearance import media_of, solver_for
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.process.cavity import profile
from partline.process.optics import SideOptics
from partline.process.sight import from_back, from_belly, from_side

Floats = NDArray[np.floating]

#: Thicknesses a picture is solved at, along each axis of its table; evenly spaced in the root.
TABLE = 20
#: Directions a hemisphere in a picture: ΔE00 0.3 in the median from the exact slab.
PICTURE_NODES = 4


class View(StrEnum):
    """Where the bait is looked at from."""

    BACK = "back"
    SIDE = "side"
    BELLY = "belly"


class Backdrop(StrEnum):
    """What lies behind and under the bait."""

    PALE = "pale"
    DARK = "dark"

    @property
    def reflectance(self) -> float:
        """Of the card. [-]"""
        return CARD_WHITE if self is Backdrop.PALE else CARD_BLACK


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureError:
    """How far a renderer's colours lie from a path-traced bait.

    Parameters
    ----------
    median, high : float
        Middle and 95th percentile. [ΔE00]
    source : str
        How that was found.
    """

    median: float
    high: float
    source: str

    @property
    def eighty_percent(self) -> float:
        """Bound that 80 % of colours lie within, for log-normal errors. [ΔE00]"""
        if self.median <= 0:
            return 0.0
        return float(self.median * (self.high / self.median) ** (0.8416 / 1.6449))


class Renderer(Protocol):
    """What any renderer offers."""

    @property
    def is_provisional(self) -> bool:
        """Whether a better picture is to follow; shown on screen, card and JSON."""
        ...

    @property
    def error(self) -> PictureError:
        """How far its colours may be off."""
        ...

    def pictures(
        self, sides: Sequence[SideOptics], mould: Mould
    ) -> dict[tuple[View, Backdrop], Floats]:
        """Return sRGB of every view, shape (rows, columns, 3), 0 to 1, nose at the left. [-]"""
        ...


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
    asked = [_sightlines(mould, view, index, pixel).blend.indices for view in View]
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
    is_provisional: bool = True
    error: PictureError = PictureError(
        median=3.7,
        high=12.0,
        source="slab pictures of a 12 mm bait against path tracing, this project's own trials",
    )

    def pictures(
        self, sides: Sequence[SideOptics], mould: Mould
    ) -> dict[tuple[View, Backdrop], Floats]:
        """Return every view over every backdrop.

        Parameters
        ----------
        sides : sequence of SideOptics
            Back and belly, or the whole.
        mould : Mould
            With at least one station.

        Returns
        -------
        dict of ndarray, shape (rows, columns, 3)
            sRGB from 0 to 1, nose at the left, back up in the side view. [-]
        """
        index = round(float(np.mean([side.index for side in sides])), 4)
        table = _table(sides, _deepest(mould), _used(mould, index, self.pixel))
        drawn = {}
        for view in View:
            lines = _sightlines(mould, view, index, self.pixel)
            for backdrop in Backdrop:
                bait = (lines.blend @ table[backdrop]).reshape(*lines.cover.shape, 3)
                cover = lines.cover[:, :, None]
                drawn[view, backdrop] = cover * bait + (1 - cover) * _bare(backdrop)
        return drawn


def _bare(backdrop: Backdrop) -> Floats:
    grey = np.full((1, WAVELENGTHS.size), backdrop.reflectance)
    return xyz_to_srgb(reflectance_to_xyz(grey)).rgb[0]


def _table(
    sides: Sequence[SideOptics], deepest: float, used: NDArray[np.intp]
) -> dict[Backdrop, Floats]:
    """Colours of back over belly, then belly over back, at the used pairs of table depths."""
    solver = solver_for(sides, PICTURE_NODES)
    media = media_of(solver, sides)
    depth = deepest * np.linspace(0.0, 1.0, TABLE) ** 2
    belly_first, pair = np.divmod(used, TABLE**2)
    depths = depth[np.stack(np.divmod(pair, TABLE), axis=-1)]
    last = len(sides) - 1
    order = np.array([[0, last], [last, 0]])[belly_first]
    colours: dict[Backdrop, Floats] = {}
    for backdrop in Backdrop:
        seen = solver.reflectance(media, order, depths, backdrop.reflectance)
        colours[backdrop] = np.zeros((2 * TABLE**2, 3))
        colours[backdrop][used] = xyz_to_srgb(reflectance_to_xyz(seen.normal)).rgb
    return colours


#: The renderer in use: behind every picture, and behind the error in every colour difference.
#: A better one takes its place here.
RENDERER: Renderer = SlabRenderer()
