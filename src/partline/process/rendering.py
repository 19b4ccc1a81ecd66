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
from partline.materials.mould import Mould, Station
from partline.physics.colorimetry import adapted_xyz, xyz_to_srgb
from partline.physics.illuminant import Illuminant, illuminant_weights
from partline.process.appearance import Sightings, media_of, sightings, solver_for
from partline.process.card import CARD_BLACK, CARD_WHITE, GREY
from partline.process.cavity import profile
from partline.process.optics import SideOptics
from partline.process.sight import from_back, from_belly, from_side

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Thicknesses a picture is solved at, along each axis of its table; evenly spaced in the root.
TABLE = 20
#: Directions a hemisphere: for the figures shown, and for their ranges.
FIGURE_NODES, ROUGH_NODES = 8, 4
#: Directions a hemisphere in a picture: ΔE00 0.3 in the median from the exact slab.
PICTURE_NODES = 4


class View(StrEnum):
    """Where the bait is looked at from."""

    BACK = "back"
    SIDE = "side"
    BELLY = "belly"
    THREE_QUARTER = "three-quarter"

    @property
    def angle(self) -> float:
        """Of the eye about the bait's length: 0 above the back, π below the belly. [rad]"""
        return ANGLES[self]


ANGLES = {
    View.BACK: 0.0,
    View.THREE_QUARTER: np.pi / 4,
    View.SIDE: np.pi / 2,
    View.BELLY: np.pi,
}


#: The views that every renderer offers.
VIEWS = (View.BACK, View.SIDE, View.BELLY)


class Backdrop(StrEnum):
    """What lies behind and under the bait."""

    PALE = "pale"
    DARK = "dark"
    GREY = "grey"

    @property
    def reflectance(self) -> float:
        """Of the card. [-]"""
        return {Backdrop.PALE: CARD_WHITE, Backdrop.DARK: CARD_BLACK, Backdrop.GREY: GREY}[self]


class Quality(StrEnum):
    """How a look was come by, the roughest first."""

    SLAB = "slab"
    SECTIONS = "sections"
    PREVIEW = "preview"
    FINAL = "final"


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """How a picture is taken.

    Parameters
    ----------
    angle : float
        Of the eye about the bait's length: 0 above the back, π/2 at the flank, π below. [rad]
    backdrop : Backdrop
        Card behind.
    illuminant : Illuminant
        Light from all round.
    adapts : bool
        Whether the eye has got used to that light; a screen then shows white as white.
    has_gloss : bool
        Whether the skin mirrors the light in front.
    """

    angle: float = View.SIDE.angle
    backdrop: Backdrop = Backdrop.PALE
    illuminant: Illuminant = Illuminant.DAYLIGHT
    adapts: bool = True
    has_gloss: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Surroundings:
    """Light that a bait stands in, as a picture needs it.

    Parameters
    ----------
    weights : ndarray, shape (wavelengths, 3)
        From radiance, that of the light in front being 1, to X, Y, Z at the eye. [-]
    back : ndarray, shape (wavelengths,)
        Radiance of the half space behind. [-]
    veil : ndarray, shape (3,)
        XYZ that what lies between bait and eye adds. [-]
    white : ndarray, shape (3,)
        XYZ that the eye takes for white, if it adapts. [-]
    degree : float
        How far it does, 0 to 1. [-]
    """

    weights: Floats
    back: Floats
    veil: Floats
    white: Floats
    degree: float


def in_air(setting: Setting) -> Surroundings:
    """Return the light of a setting in air, before a card."""
    weights = illuminant_weights(setting.illuminant)
    return Surroundings(
        weights=weights,
        back=np.full(WAVELENGTHS.size, setting.backdrop.reflectance),
        veil=np.zeros(3),
        white=weights.sum(axis=0),
        degree=float(setting.adapts),
    )


def shown(
    bait: Floats, cover: Floats, gloss: Floats, light: Surroundings, *, has_gloss: bool
) -> Floats:
    """Return a screen's picture of a bait before what is behind it.

    Parameters
    ----------
    bait : ndarray, shape (rows, columns, 3)
        Mean XYZ of the part of each pixel that the bait fills. [-]
    cover, gloss : ndarray, shape (rows, columns)
        Share that it fills; share of the light in front that its skin mirrors. [-]
    light : Surroundings
        The light.
    has_gloss : bool
        Whether the skin's mirroring is shown.

    Returns
    -------
    srgb : ndarray, shape (rows, columns, 3)
        0 to 1. [-]
    """
    behind = light.back @ light.weights
    lit = bait + gloss[..., None] * light.weights.sum(axis=0) if has_gloss else bait
    seen = cover[..., None] * lit + (1 - cover[..., None]) * behind + light.veil
    return xyz_to_srgb(adapted_xyz(seen, light.white, degree=light.degree)).rgb


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

    def noisier(self, error: float, usual: float) -> PictureError:
        """Return the same for a table whose standard error is above the usual one.

        Parameters
        ----------
        error, usual : float
            Of a cube root of light: this table's, and that of the tables the figures were
            measured with. [-]
        """
        lightness = 116.0 * max(error**2 - usual**2, 0.0) ** 0.5
        return PictureError(
            median=float(np.hypot(self.median, 0.6745 * lightness)),
            high=float(np.hypot(self.high, 1.96 * lightness)),
            source=self.source,
        )

    @property
    def eighty_percent(self) -> float:
        """Bound that 80 % of colours lie within, for log-normal errors. [ΔE00]"""
        if self.median <= 0:
            return 0.0
        return float(self.median * (self.high / self.median) ** (0.8416 / 1.6449))


class Renderer(Protocol):
    """What any renderer offers."""

    @property
    def quality(self) -> Quality:
        """How it comes by what it shows."""
        ...

    @property
    def is_provisional(self) -> bool:
        """Whether a better picture is to follow; shown on screen, card and JSON."""
        ...

    @property
    def error(self) -> PictureError:
        """How far its colours may be off."""
        ...

    def picture(
        self,
        sides: Sequence[SideOptics],
        mould: Mould,
        setting: Setting,
        light: Surroundings | None = None,
    ) -> Floats:
        """Return sRGB of one view, shape (rows, columns, 3), 0 to 1, nose at the left. [-]"""
        ...

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
        """Return what is seen of stations; `is_rough` for the many draws behind a range."""
        ...


def pictures(
    renderer: Renderer, sides: Sequence[SideOptics], mould: Mould
) -> dict[tuple[View, Backdrop], Floats]:
    """Return the usual views before a pale and a dark card, by daylight.

    Parameters
    ----------
    renderer : Renderer
        Whichever is at hand.
    sides : sequence of SideOptics
        Back and belly, or the whole.
    mould : Mould
        With at least one station.

    Returns
    -------
    dict of ndarray, shape (rows, columns, 3)
        sRGB from 0 to 1, nose at the left, back up in the side view. [-]
    """
    return {
        (view, backdrop): renderer.picture(
            sides, mould, Setting(angle=view.angle, backdrop=backdrop)
        )
        for view in VIEWS
        for backdrop in (Backdrop.PALE, Backdrop.DARK)
    }


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
    error: PictureError = PictureError(
        median=5.1,
        high=16.5,
        source="slab pictures of five bodies against path tracing: benchmarks/bench_look.py",
    )

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
