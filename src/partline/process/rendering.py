"""Pictures of the whole bait: how they are taken, and the seam where a renderer plugs in.

A renderer turns two sides' optics and a mould into colours of pixels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from partline.data.cie import WAVELENGTHS
from partline.materials.mould import Mould, Station
from partline.physics.colorimetry import adapted_xyz, xyz_to_srgb
from partline.physics.illuminant import Illuminant, illuminant_weights
from partline.process.appearance import Sightings
from partline.process.card import CARD_BLACK, CARD_WHITE, GREY
from partline.process.optics import SideOptics

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Directions a hemisphere: for the figures shown, and for their ranges.
FIGURE_NODES, ROUGH_NODES = 8, 4


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
