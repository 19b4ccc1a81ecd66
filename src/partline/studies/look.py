"""The predicted look of a bait: every number with its range, its word and where it comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Mould, Station
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant
from partline.physics.colorimetry import xyz_to_srgb
from partline.process.appearance import Sightings
from partline.process.cavity import half_thickness
from partline.process.composition import Composition, compose
from partline.process.optics import USUAL, Condition, SideOptics, side_optics
from partline.process.recipe import Half, Recipe
from partline.process.rendering import PictureError, Quality, Renderer
from partline.process.slab_renderer import SlabRenderer
from partline.quantities.estimate import Estimate
from partline.quantities.note import Note
from partline.studies.loading import Need, need
from partline.studies.narrowing import drawn_words, measurement
from partline.studies.uncertainty import (
    DRAWS,
    Draws,
    central_range,
    draw_doubts,
    most_to_blame,
    ranged,
)
from partline.studies.verdict import Distinct, Hides, distinct, hides

Floats = NDArray[np.floating]

#: What stands where no better renderer is at hand.
SLABS = SlabRenderer()
#: Where the figures come from, by how the look was come by.
SOURCES = {
    Quality.SLAB: "slab of the station's thickness",
    Quality.SECTIONS: "ready tables of like sections",
    Quality.PREVIEW: "light traced through the bait's shape, first pass",
    Quality.FINAL: "light traced through the bait's shape",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfLook:
    """One half at one station.

    Parameters
    ----------
    half : Half
        Which one.
    thickness : float
        Of the half; of the whole section for a one-colour bait. [m]
    hiding : Estimate
        Share of the card's step that it hides by itself. [-]
    word : Hides
        What that means against what is wanted.
    see_through : Estimate or None
        How far the other half changes its colour; None for a one-colour bait. [ΔE00]
    colour : tuple of float
        What its side of the bait looks like over grey: sRGB, 0 to 1. [-]
    own_colour : tuple of float
        The same were the whole body of its plastic: sRGB, 0 to 1. [-]
    """

    half: Half
    thickness: float
    hiding: Estimate
    word: Hides
    see_through: Estimate | None
    colour: tuple[float, float, float]
    own_colour: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How different two views of one station are.

    Parameters
    ----------
    value : Estimate
        [ΔE00]
    verdict : Distinct
        Its word.
    station : str
        Where.
    """

    value: Estimate
    verdict: Distinct
    station: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StationLook:
    """Everything seen of one station.

    Parameters
    ----------
    station : Station
        The mould's.
    halves : tuple of HalfLook
        Back and belly, or the whole.
    back_belly, side : Difference or None
        Back view against belly view; upper half against lower half from the side. None for a
        one-colour bait.
    """

    station: Station
    halves: tuple[HalfLook, ...]
    back_belly: Difference | None
    side: Difference | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """The whole predicted look.

    Parameters
    ----------
    stations : tuple of StationLook
        Nose to tail.
    widest : int
        Index of the station that stands for the bait's colour.
    wanted : float
        Hiding asked of each half at the widest station. [-]
    needs : tuple of Need or None
        One a half: the loading that would reach it.
    picture_error : PictureError
        Of the renderer behind the numbers.
    quality : Quality
        How it was come by.
    is_provisional : bool
        Whether a better picture is to follow.
    notes : tuple of Note
        What the prediction leaves out.
    """

    stations: tuple[StationLook, ...]
    widest: int
    wanted: float
    needs: tuple[Need | None, ...]
    picture_error: PictureError
    quality: Quality
    is_provisional: bool
    notes: tuple[Note, ...]

    @property
    def at_widest(self) -> StationLook:
        """The station that stands for the bait's colour."""
        return self.stations[self.widest]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Samples:
    """Figures without doubt, and drawn, for turning into estimates.

    The last of `drawn` is the recipe as written, solved in as few directions as the draws: what
    it is off by is the solver's, and must not pass for doubt about a bottle.
    """

    sure: Sightings
    drawn: Sightings
    draws: Draws
    colourants: dict[str, Colourant]
    error: float
    source: str

    def narrows(self, samples: Floats, *, is_colour: bool) -> str:
        """Return the measurement to make first; say so where the picture's error weighs more."""
        measurement = self._measurement(samples)
        low, high = central_range(samples)
        if not is_colour or high - low > 2 * self.error:
            return measurement
        picture = "the picture's own error weighs most"
        return f"{picture}; after it, {measurement}" if measurement else picture

    def _measurement(self, samples: Floats) -> str:
        doubt = most_to_blame(samples, self.draws.standard, self.draws.doubts)
        return "" if doubt is None else measurement(doubt, self.colourants)

    def estimate(self, figure: str, place: int, *, is_colour: bool) -> Estimate:
        sure = float(getattr(self.sure, figure)[0, place])
        drawn: Floats = getattr(self.drawn, figure)[:, place]
        samples = drawn[:-1] + (sure - drawn[-1])
        return ranged(
            sure,
            samples,
            picture_error=self.error if is_colour else 0.0,
            ceiling=np.inf if is_colour else 1.0,
            source=(
                f"{self.source if is_colour else SOURCES[Quality.SLAB]}; "
                f"{drawn_words(self.draws.doubts, samples.size)}"
                + ("; the picture's own error" if is_colour else "")
            ),
            narrows=self.narrows(samples, is_colour=is_colour),
        )

    def difference(self, figure: str, place: int, station: Station) -> Difference:
        value = self.estimate(figure, place, is_colour=True)
        return Difference(value=value, verdict=distinct(value.value), station=station.name)


def _srgb(xyz: Floats) -> tuple[float, float, float]:
    red, green, blue = xyz_to_srgb(xyz).rgb
    return float(red), float(green), float(blue)


def _half(samples: _Samples, half: Half, place: int, station: Station, wanted: float) -> HalfLook:
    name = "belly" if half is Half.BELLY else "back"
    hiding = samples.estimate(f"{name}_hiding", place, is_colour=False)
    through = (
        None
        if half is Half.WHOLE
        else samples.estimate(f"{name}_see_through", place, is_colour=True)
    )
    view: Floats = getattr(samples.sure, name)
    alone: Floats = getattr(samples.sure, f"{name}_alone")
    return HalfLook(
        half=half,
        thickness=half_thickness(station, half),
        hiding=hiding,
        word=hides(hiding.value, wanted),
        see_through=through,
        colour=_srgb(view[0, place]),
        own_colour=_srgb(alone[0, place]),
    )


def _station(samples: _Samples, recipe: Recipe, place: int, station: Station) -> StationLook:
    halves = tuple(
        _half(samples, side.half, place, station, recipe.wanted.hiding) for side in recipe.sides
    )
    two = recipe.is_two_colour
    return StationLook(
        station=station,
        halves=halves,
        back_belly=samples.difference("back_belly", place, station) if two else None,
        side=samples.difference("side", place, station) if two else None,
    )


def _samples(
    sides: Sequence[SideOptics],
    plastics: Sequence[Composition],
    stations: Sequence[Station],
    *,
    draws: int,
    renderer: Renderer,
) -> _Samples:
    drawn = draw_doubts(sides, stations, draws=draws)
    every = drawn.and_as_written()
    return _Samples(
        sure=renderer.sightings(sides, stations),
        drawn=renderer.sightings(
            sides,
            stations,
            every.factors,
            members=every.members,
            thicker=every.thicker,
            is_rough=True,
        ),
        draws=drawn,
        colourants={
            part.supply.name: part.supply
            for plastic in plastics
            for part in plastic.loadings
            if isinstance(part.supply, Colourant)
        },
        error=renderer.error.eighty_percent,
        source=SOURCES[renderer.quality],
    )


def predict_look(
    recipe: Recipe,
    mould: Mould,
    shelf: Shelf,
    *,
    renderer: Renderer = SLABS,
    draws: int = DRAWS,
    condition: Condition = USUAL,
) -> Look:
    """Predict what a recipe looks like at a mould's real thickness.

    Parameters
    ----------
    recipe, mould, shelf
        What is poured, into what, from which supplies.
    renderer : Renderer
        Whose own error widens every colour difference.
    draws : int
        Draws behind each range, a power of two.
    condition : Condition
        Heat and bubbles of the pour.

    Returns
    -------
    Look
        With a range on every number.

    Raises
    ------
    InputError
        If a supply is not on the shelf, or the loadings leave too little plastisol.
    """
    plastics = [compose(side, shelf) for side in recipe.sides]
    sides = [side_optics(plastic, condition) for plastic in plastics]
    stations = mould.stations
    samples = _samples(sides, plastics, stations, draws=draws, renderer=renderer)
    needs = tuple(
        need(plastic, side, stations, wanted=recipe.wanted.hiding, half=each.half)
        for plastic, side, each in zip(plastics, sides, recipe.sides, strict=True)
    )
    notes = dict.fromkeys(note for side in sides for note in side.notes)
    return Look(
        stations=tuple(
            _station(samples, recipe, place, station) for place, station in enumerate(stations)
        ),
        widest=stations.index(mould.widest),
        wanted=recipe.wanted.hiding,
        needs=needs,
        picture_error=renderer.error,
        quality=renderer.quality,
        is_provisional=renderer.is_provisional,
        notes=tuple(notes),
    )
