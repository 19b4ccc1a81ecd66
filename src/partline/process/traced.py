"""Pictures and figures of a bait from light traced through its true shape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Mould, Station
from partline.physics.colorimetry import WEIGHTS, WHITE, adapted_xyz, xyz_to_lab
from partline.physics.colour_difference import ciede2000
from partline.physics.response import EVERY, Body, Columns, Response
from partline.physics.response.grid import tabled_scattering
from partline.physics.response.interpolation import edges
from partline.process.appearance import Sightings, halves_hiding
from partline.process.card import GREY
from partline.process.frame import Frame, Sights, frame, strips
from partline.process.glints import (
    Depths,
    FlakeColours,
    FlakeKind,
    body_depths,
    draw_flakes,
    flake_colours,
    singled_out,
    strew,
)
from partline.process.optics import SideOptics
from partline.process.rendering import (
    FIGURE_NODES,
    ROUGH_NODES,
    PictureError,
    Quality,
    Setting,
    Surroundings,
    View,
    in_air,
    shown,
)

Floats = NDArray[np.floating]
Integers = NDArray[np.integer]

#: Views kept ready.
MOST_FRAMES = 10
#: Flakes lie as chance will have it, and in the same places every time that a bait is drawn.
SEED = 1
#: Middle part of a view, or of a half seen from the side, that a figure is the mean of. [-]
MIDDLE = 0.6
#: Stations are looked at no nearer to an end than this share of the length. [-]
EDGE = 0.01
#: Angle that a spot is seen from and its half: above the line, below it, or all that is seen.
SPOTS = (
    (View.BACK.angle, None),
    (View.BELLY.angle, None),
    (View.SIDE.angle, 0),
    (View.SIDE.angle, 1),
)
#: Places from the line outwards that its width is read at, dense beside it, as shares. [-]
LINE_STEPS = np.linspace(0.0, 1.0, 25)[1:] ** 2
#: Places at each end that stand for the half's own colour.
ENDS_OF_LINE = 3
#: Halves that differ by less have no line to speak of. [ΔE00]
TOO_ALIKE = 1.8
#: Wavelengths left between two that a range is drawn at; the figures themselves use all.
COARSER = 2


def transport(
    sides: Sequence[SideOptics],
    factors: Sequence[Floats] | None = None,
    members: Sequence[Integers] | None = None,
) -> tuple[Floats, Floats]:
    """Absorption and reduced scattering of both halves, draw by draw.

    Parameters
    ----------
    sides : sequence of SideOptics
        Back and belly, or the whole, which stands for both.
    factors, members : sequence of ndarray, shape (draws, parts), optional
        As in `partline.process.appearance.media_of`.

    Returns
    -------
    absorption, reduced : ndarray, shape (draws, wavelengths, 2)
        μa and μs(1 − g). [1/m]
    """
    absorption, reduced = [], []
    for number, side in enumerate(sides):
        factor = np.ones((1, len(side.names))) if factors is None else factors[number]
        which = np.zeros(factor.shape, dtype=np.intp) if members is None else members[number]
        total_a: Floats = np.zeros(1)
        total_s: Floats = np.zeros(1)
        for part, spectra in enumerate(side.members):
            chosen = spectra.of(which[:, part])
            amount = factor[:, part, None]
            total_a = total_a + amount * chosen.absorption
            total_s = total_s + amount * chosen.scattering * (1 - chosen.anisotropy[:, None])
        absorption.append(total_a)
        reduced.append(total_s)
    pair = (0, len(sides) - 1)
    return (
        np.stack([absorption[i] for i in pair], axis=-1),
        np.stack([reduced[i] for i in pair], axis=-1),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plastic:
    """What a pair of media does to light in a body, for its table.

    Parameters
    ----------
    absorption, reduced : ndarray, shape (points, 2)
        μa and μs(1 − g), times the body's reference length. [-]
    """

    absorption: Floats
    reduced: Floats

    @property
    def extinction(self) -> Floats:
        """What takes light out of a line of sight. [-]

        Scattering counts as the tables' own kind does, so that what is left unscattered and what
        the table holds add up.
        """
        return self.absorption + tabled_scattering(self.reduced)


@dataclass(frozen=True, kw_only=True, eq=False)
class TracedRenderer:
    """Light traced through the bait's true shape.

    Parameters
    ----------
    body : Body
        Shape and size of the bait.
    response : Response
        Of that shape.
    quality : Quality
        How well the response is known.
    error : PictureError
        How far its colours may be off.
    pixel : float
        Size of a pixel on the bait. [m]

    Notes
    -----
    Left out: light of a glowing colour, how a pearl shifts with the angle, and light that leaves
    the body and enters it again. Every part scatters as one of the same transport length does,
    with the mean cosine that plastics of that haze usually have.
    """

    body: Body
    response: Response
    quality: Quality
    error: PictureError
    pixel: float = 0.2e-3
    _frames: dict[float, Frame] = field(default_factory=dict, init=False)
    _depths: dict[tuple[float, bool], Depths] = field(default_factory=dict, init=False)
    _last: dict[bytes, Floats] = field(default_factory=dict, init=False)
    _profiles: dict[bytes, Sights] = field(default_factory=dict, init=False)
    _spots: dict[tuple[float, ...], tuple[Sights, ...]] = field(default_factory=dict, init=False)

    @property
    def is_provisional(self) -> bool:
        """Whether a better picture is to follow."""
        return self.quality is not Quality.FINAL

    def frame(self, angle: float) -> Frame:
        """Return the pixels of the view from an angle; kept for the next time."""
        key = round(angle, 4)
        if key not in self._frames:
            if len(self._frames) >= MOST_FRAMES:
                self._frames.pop(next(iter(self._frames)))
            response = self.response
            self._frames[key] = frame(self.body, response.places, key, response.index, self.pixel)
        return self._frames[key]

    def depths(self, angle: float, *, is_one: bool) -> Depths:
        """Return how deep the view from an angle looks into each half; kept for the next time."""
        key = (round(angle, 4), is_one)
        if key not in self._depths:
            if len(self._depths) >= MOST_FRAMES:
                self._depths.pop(next(iter(self._depths)))
            found = body_depths(self.body, key[0], self.response.index, self.pixel)
            self._depths[key] = found.as_one() if is_one else found
        return self._depths[key]

    def flakes(
        self,
        sides: Sequence[SideOptics],
        kinds: Sequence[FlakeKind],
        angles: Sequence[float],
        light: Surroundings,
    ) -> FlakeColours | None:
        """Return how bright single flakes look in some views of a recipe; None without flake.

        Parameters
        ----------
        sides, kinds
            Of the recipe.
        angles : sequence of float
            Of the views that are to be drawn. [rad]
        light : Surroundings
            As for the pictures.
        """
        if not kinds:
            return None
        views = [self.depths(angle, is_one=len(sides) == 1) for angle in angles]
        index = float(np.mean([side.index for side in sides]))
        return flake_colours(
            sides,
            singled_out(kinds, views),
            views,
            back=light.back,
            outside=max(round(index / self.response.index, 3), 1.0),
            weights=light.weights,
        )

    def plastic(self, absorption: Floats, reduced: Floats) -> Plastic:
        """Return media, shape (points, 2) [1/m], in the body's own units."""
        unit = self.body.reference
        return Plastic(absorption=absorption * unit, reduced=reduced * unit)

    def scattered(self, plastic: Plastic, back: Floats, columns: Columns = EVERY) -> Floats:
        """Return the scattered light of lines of sight, shape (points, columns). [-]"""
        both = self._looked_up(plastic, columns)
        return both[..., 0] + back[:, None] * both[..., 1]

    def _looked_up(self, plastic: Plastic, columns: Columns) -> Floats:
        """Return a table's answer; the last one whole is kept, for every view asks for it."""
        if not isinstance(columns, slice):
            return self.response.light(plastic.reduced, plastic.absorption, columns)
        key = plastic.absorption.tobytes() + plastic.reduced.tobytes()
        found = self._last.get(key)
        if found is None:
            found = self.response.light(plastic.reduced, plastic.absorption, columns)
            self._last.clear()
            self._last[key] = found
        return found

    def xyz(self, sides: Sequence[SideOptics], angle: float, light: Surroundings) -> Floats:
        """Return XYZ of a view without gloss and card, shape (rows, columns, 3). [-]"""
        absorption, reduced = transport(sides)
        plastic = self.plastic(absorption[0], reduced[0])
        drawn = self.frame(angle)
        seen = drawn.sights.gather(
            self.scattered(plastic, light.back), plastic.extinction, light.back, light.weights
        )
        return seen.reshape(*drawn.cover.shape, 3)

    def picture(
        self,
        sides: Sequence[SideOptics],
        mould: Mould,  # noqa: ARG002 (its body is known; other renderers need it)
        setting: Setting,
        light: Surroundings | None = None,
        flakes: FlakeColours | None = None,
    ) -> Floats:
        """Return one view, from any angle.

        Parameters
        ----------
        sides : sequence of SideOptics
            Back and belly, or the whole.
        mould : Mould
            The one that the body was made of.
        setting : Setting
            How the picture is taken.
        light : Surroundings, optional
            In place of the setting's own.
        flakes : FlakeColours, optional
            To draw flakes one by one; a haze of the same mean colour when left out.

        Returns
        -------
        srgb : ndarray, shape (rows, columns, 3)
            0 to 1, nose at the left. [-]
        """
        light = light or in_air(setting)
        drawn = self.frame(setting.angle)
        bait = self.xyz(sides, setting.angle, light)
        if flakes is not None:
            depths = self.depths(setting.angle, is_one=len(sides) == 1)
            bait = draw_flakes(bait, strew(depths, flakes.cuts, SEED), flakes)
        return shown(bait, drawn.cover, drawn.gloss, light, has_gloss=setting.has_gloss)

    def spots(self, positions: tuple[float, ...]) -> tuple[Sights, ...]:
        """Return the back, the belly, the upper and the lower half of stations.

        Parameters
        ----------
        positions : tuple of float
            Shares of the length; too near to an end, the nearest that light was traced at. [-]

        Returns
        -------
        spots : tuple of Sights
            Each with one place a station: the middle of what is seen.
        """
        positions = tuple(float(np.clip(each, EDGE, 1 - EDGE)) for each in positions)
        if positions not in self._spots:
            places, index = self.response.places, self.response.index
            at = np.array(positions)
            spots = []
            for angle, half in SPOTS:
                low, line, high = edges(self.body, at, angle).T
                if half == 0:
                    low = line
                elif half == 1:
                    high = line
                middle, reach = (low + high) / 2, MIDDLE * (high - low) / 2
                spots.append(
                    strips(self.body, places, angle, index, at, (middle - reach, middle + reach))
                )
            self._spots[positions] = tuple(spots)
        return self._spots[positions]

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
        """Return what is seen of stations, over grey and by daylight.

        Parameters
        ----------
        sides, stations, factors, members, thicker
            As in `partline.process.appearance.sightings`.
        is_rough : bool
            Every second wavelength only, for the many draws behind a range.

        Returns
        -------
        Sightings
            Means over the middle of each view, gloss left out; hiding as on the card.
        """
        step = COARSER if is_rough else 1
        absorption, reduced = (each[:, ::step] for each in transport(sides, factors, members))
        weights = WEIGHTS[::step] * (WHITE / WEIGHTS[::step].sum(axis=0))
        spots = self.spots(tuple(station.position for station in stations))
        seen = {
            pair: self._pairs(spots, absorption[..., pair], reduced[..., pair], weights, thicker)
            for pair in ((0, 1), (0, 0), (1, 1))
        }
        hiding = halves_hiding(
            sides, stations, factors, members=members, thicker=thicker,
            nodes=ROUGH_NODES if is_rough else FIGURE_NODES,
        )  # fmt: skip
        made = seen[0, 1]
        return Sightings(
            back=made[0],
            belly=made[1],
            upper=made[2],
            lower=made[3],
            back_alone=seen[0, 0][0],
            belly_alone=seen[1, 1][1],
            back_hiding=hiding[0],
            belly_hiding=hiding[1],
        )

    def differences(
        self, sides: Sequence[SideOptics], station: Station, light: Surroundings
    ) -> tuple[float, float]:
        """Return how different back and belly, and the halves from the side, look in a light.

        Parameters
        ----------
        sides : sequence of SideOptics
            Back and belly.
        station : Station
            Where to look.
        light : Surroundings
            In which; the eye gets used to it as far as that says.

        Returns
        -------
        back_belly, side : float
            [ΔE00]
        """
        absorption, reduced = transport(sides)
        spots = self.spots((station.position,))
        found = self._pairs(spots, absorption, reduced, light.weights, None, light.back)
        seen = [
            xyz_to_lab(adapted_xyz(each[0, 0] + light.veil, light.white, degree=light.degree))
            for each in found
        ]
        return float(ciede2000(seen[0], seen[1])), float(ciede2000(seen[2], seen[3]))

    def line_widths(
        self, sides: Sequence[SideOptics], stations: Sequence[Station], strength: float = 1.0
    ) -> Floats:
        """Return how wide the line looks from the side, by light alone, shape (stations,). [m]

        From 10 to 90 % of the way from one half's colour to the other's, by daylight over grey;
        not a number where the halves hardly differ. What plastic mixes at the line comes on top.
        `strength` multiplies what both plastics do to light, for the range.
        """
        absorption, reduced = (strength * each for each in transport(sides))
        back = np.full(absorption.shape[1], GREY)
        plastic = self.plastic(absorption[0], reduced[0])
        scattered = self.scattered(plastic, back)
        return np.array(
            [self._line_width(station, scattered, plastic, back) for station in stations]
        )

    def _line_width(
        self, station: Station, scattered: Floats, plastic: Plastic, back: Floats
    ) -> float:
        angle, places = View.SIDE.angle, self.response.places
        at = float(np.clip(station.position, EDGE, 1 - EDGE))
        low, line, high = edges(self.body, np.array([at]), angle)[0]
        steps = np.concatenate([
            line - (line - low) * MIDDLE * LINE_STEPS[::-1],
            line + (high - line) * MIDDLE * LINE_STEPS,
        ])  # fmt: skip
        if steps.tobytes() not in self._profiles:
            self._profiles[steps.tobytes()] = strips(
                self.body, places, angle, self.response.index, np.full(steps.size, at),
                (steps - 1e-6, steps + 1e-6),
            )  # fmt: skip
        sights = self._profiles[steps.tobytes()]
        lab = xyz_to_lab(sights.gather(scattered, plastic.extinction, back, WEIGHTS))
        ends = lab[:ENDS_OF_LINE].mean(axis=0), lab[-ENDS_OF_LINE:].mean(axis=0)
        if ciede2000(*ends) < TOO_ALIKE:
            return float("nan")
        way = ends[1] - ends[0]
        share = np.maximum.accumulate((lab - ends[0]) @ way / (way @ way))
        begin, end = np.interp((0.1, 0.9), share, steps)
        return float((end - begin) * self.body.reference)

    def _pairs(
        self,
        spots: tuple[Sights, ...],
        absorption: Floats,
        reduced: Floats,
        weights: Floats,
        thicker: Floats | None,
        back: Floats | None = None,
    ) -> list[Floats]:
        """XYZ of every spot, shape (draws, stations, 3) each."""
        draws, count = len(absorption), spots[0].mean.shape[0]
        back = np.full(absorption.shape[1], GREY) if back is None else back
        columns = np.unique(np.concatenate([spot.traced.indices for spot in spots]))
        scale = np.ones((draws, 1)) if thicker is None else thicker
        if np.all(scale == scale[:, :1]):
            scale = scale[:, :1]
        found = [np.empty((draws, count, 3)) for _ in spots]
        for place in range(scale.shape[1]):
            size = scale[:, place, None, None]
            plastic = self.plastic(absorption * size, reduced * size)
            flat = Plastic(
                absorption=plastic.absorption.reshape(-1, 2),
                reduced=plastic.reduced.reshape(-1, 2),
            )
            light = self.scattered(flat, np.tile(back, draws), columns)
            light = light.reshape(draws, back.size, columns.size)
            which = slice(None) if scale.shape[1] == 1 else slice(place, place + 1)
            for spot, into in zip(spots, found, strict=True):
                few = spot.of(columns)
                for draw in range(draws):
                    into[draw, which] = few.gather(
                        light[draw], plastic.extinction[draw], back, weights
                    )[which]
        return found
