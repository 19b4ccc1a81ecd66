"""The water that a bait is looked at in, in a maker's words, and what is seen of it there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partline.data.cie import WAVELENGTHS
from partline.data.water import JERLOV
from partline.errors import OutOfRange
from partline.physics.illuminant import Illuminant
from partline.physics.water_column import (
    WaterOptics,
    lake_of_clarity,
    sea_optics,
    sea_particles,
    secchi_depth,
)
from partline.physics.water_sight import Sight, seen_under_water
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.note import Note

Floats = NDArray[np.floating]

#: Contrast of a white disk to the eye's threshold, as a logarithm.
SECCHI_COUPLING = Estimate(
    value=8.7, low=8.0, high=9.4, origin=Origin.MEMORY,
    source="Secchi depth × (c + Kd): Preisendorfer, Limnol. Oceanogr. 31 (1986) 909",
)  # fmt: skip
#: How much more, or less, a lake may absorb against what it throws than its word says.
MAKE_UP = Estimate.within(
    1.0, 1.0, Origin.DEFAULT, source="what a colour word says of a lake",
    narrows="a bottle of the water held against white paper",
)  # fmt: skip
#: Scattering of a sea against the rule for one of that clarity.
SEA_PARTICLES = Estimate(
    value=1.0, low=0.4, high=1.5, origin=Origin.MEMORY,
    source="spread about b = 0.30 C^0.62: Gordon and Morel 1983; coasts stray further",
)  # fmt: skip
#: Brightness of open water against the law of `partline.physics.water_sight`, mostly by how much
#: particles throw backwards.
OPEN_WATER = Estimate.within(
    1.0, 1.0, Origin.MEMORY, source="open water's radiance by one large turn: a factor of two",
)  # fmt: skip
#: Light against that at the surface below which an eye sees little colour: of 30,000 cd/m² on a
#: white thing at noon this leaves 3 (mesopic range of CIE 191:2010, from memory). [-]
COLOUR_FADES = 1e-4
#: Contrast that an eye needs to tell a thing from the water around it (from memory). [-]
SEEN_CONTRAST = 0.02
#: Secchi depths that somebody can have read. [m]
SHALLOWEST_SECCHI, DEEPEST_SECCHI = 0.02, 80.0
DEEPEST, FARTHEST = 200.0, 100.0  # [m]


class LakeColour(StrEnum):
    """What a lake or river looks like, in a word."""

    CLEAR = "clear"
    GREEN = "green"
    TEA_STAINED = "tea-stained"
    MUDDY = "muddy"


class SeaType(StrEnum):
    """Jerlov's types: clearest first, I to III in the open, 1C to 9C along a coast."""

    I = "I"  # noqa: E741 (the type's own name)
    IA = "IA"
    IB = "IB"
    II = "II"
    III = "III"
    C1 = "1C"
    C3 = "3C"
    C5 = "5C"
    C7 = "7C"
    C9 = "9C"


@dataclass(frozen=True, slots=True, kw_only=True)
class _MakeUp:
    """Proportions of what is in a lake: absorption at 440 nm, scattering at 550 nm. [1/m]"""

    tannin: float
    algae: float
    mud: float
    scattering: float


# Guesses in the proportions that surveys of lakes tell of (from memory): a stained lake absorbs
# more than it throws, a muddy one throws many times what it absorbs.
_MAKE_UPS = {
    LakeColour.CLEAR: _MakeUp(tannin=0.15, algae=0.06, mud=0.04, scattering=1.0),
    LakeColour.GREEN: _MakeUp(tannin=0.25, algae=0.50, mud=0.10, scattering=2.0),
    LakeColour.TEA_STAINED: _MakeUp(tannin=3.0, algae=0.10, mud=0.10, scattering=1.0),
    LakeColour.MUDDY: _MakeUp(tannin=0.80, algae=0.20, mud=1.0, scattering=8.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Lake:
    """Fresh water.

    Parameters
    ----------
    colour : LakeColour
        As seen in a white bucket.
    secchi : Estimate
        Depth at which a white disk goes out of sight. [m]

    Raises
    ------
    OutOfRange
        If nobody can have read that depth.
    """

    colour: LakeColour
    secchi: Estimate

    def __post_init__(self) -> None:
        depth = self.secchi.value
        if not SHALLOWEST_SECCHI <= depth <= DEEPEST_SECCHI:
            raise OutOfRange(
                f"A Secchi depth of {depth:g} m was given; it must lie in {SHALLOWEST_SECCHI:g} "
                f"to {DEEPEST_SECCHI:g} m.",
                low=SHALLOWEST_SECCHI, high=DEEPEST_SECCHI, unit="m", field="secchi",
                given=f"{depth:g} m",
                remedy="Lower a white disk on a line until it is out of sight and read the line.",
            )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Sea:
    """Salt water.

    Parameters
    ----------
    kind : SeaType
        Jerlov's type.
    """

    kind: SeaType


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """A water, and how a bait is looked at in it.

    Parameters
    ----------
    body : Lake or Sea
        What water it is.
    depth : float
        Of the bait and the eye, below the surface. [m]
    distance : float
        From the eye to the bait, on the level. [m]

    Raises
    ------
    OutOfRange
        If the depth or the distance is below 0, or beyond what anybody sees.
    """

    body: Lake | Sea
    depth: float = 0.0
    distance: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.depth <= DEEPEST:
            raise OutOfRange(
                f"A depth of {self.depth:g} m was given; it is counted downwards from the surface "
                f"and must lie in 0 to {DEEPEST:g} m.",
                low=0.0, high=DEEPEST, unit="m", field="depth", given=f"{self.depth:g} m",
            )  # fmt: skip
        if not 0 <= self.distance <= FARTHEST:
            raise OutOfRange(
                f"A viewing distance of {self.distance:g} m was given; it must lie in 0 to "
                f"{FARTHEST:g} m.",
                low=0.0, high=FARTHEST, unit="m", field="distance", given=f"{self.distance:g} m",
            )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WaterClarity:
    """What is known of a water.

    Parameters
    ----------
    optics : WaterOptics
        The likeliest.
    variants : tuple of WaterOptics
        The ends of what moves it, two for each doubt; a picture under each tells the range.
    diffuse, beam : tuple of ndarray, shape (wavelengths,)
        Low and high end of both attenuations. [1/m]
    secchi : Estimate
        As entered for a lake; computed for a sea. [m]
    notes : tuple of Note
        What it rests on.
    """

    optics: WaterOptics
    variants: tuple[WaterOptics, ...]
    diffuse: tuple[Floats, Floats]
    beam: tuple[Floats, Floats]
    secchi: Estimate
    notes: tuple[Note, ...]


def water_clarity(body: Lake | Sea) -> WaterClarity:
    """Return what a water does to light, with its range.

    Parameters
    ----------
    body : Lake or Sea
        What water it is.

    Raises
    ------
    OutOfRange
        If a disk is said to be seen deeper than in pure water.
    """
    if isinstance(body, Lake):
        known = (body.secchi, SECCHI_COUPLING, MAKE_UP)
        law = partial(_lake, body.colour)
        return _clarity(law, known, lambda _: body.secchi, _lake_notes(body))
    law = partial(_sea, JERLOV[body.kind.value])
    return _clarity(law, (SEA_PARTICLES,), _secchi, _sea_notes(body))


def _lake(colour: LakeColour, secchi: float, coupling: float, tint: float) -> WaterOptics:
    parts = _MAKE_UPS[colour]
    return lake_of_clarity(
        secchi,
        parts.tannin * tint,
        parts.algae * tint,
        parts.mud * tint,
        parts.scattering,
        coupling=coupling,
    )


def _sea(attenuation: Floats, factor: float) -> WaterOptics:
    at_490 = float(np.interp(490e-9, WAVELENGTHS, attenuation))
    return sea_optics(attenuation, factor * sea_particles(at_490))


def _clarity(
    law: Callable[..., WaterOptics],
    doubts: tuple[Estimate, ...],
    secchi: Callable[[tuple[WaterOptics, ...]], Estimate],
    notes: tuple[Note, ...],
) -> WaterClarity:
    values = [doubt.value for doubt in doubts]
    centre = law(*values)
    variants = tuple(
        law(*values[:place], end, *values[place + 1 :])
        for place, doubt in enumerate(doubts)
        for end in (doubt.low, doubt.high)
        if not doubt.is_exact
    )
    variants += tuple(
        replace(centre, backscattering=centre.backscattering * factor)
        for factor in (OPEN_WATER.low, OPEN_WATER.high)
    )
    return WaterClarity(
        optics=centre,
        variants=variants,
        diffuse=_ends(centre.diffuse, [each.diffuse for each in variants]),
        beam=_ends(centre.beam, [each.beam for each in variants]),
        secchi=secchi((centre, *variants)),
        notes=notes,
    )


def _ends(centre: Floats, moved: list[Floats]) -> tuple[Floats, Floats]:
    """Return both ends: what each doubt does by itself, in quadrature of the logarithms."""
    steps = np.log(np.array(moved).reshape(-1, 2, centre.size) / centre)
    down = np.sqrt(np.sum(np.minimum(steps.min(axis=1), 0.0) ** 2, axis=0))
    up = np.sqrt(np.sum(np.maximum(steps.max(axis=1), 0.0) ** 2, axis=0))
    return centre * np.exp(-down), centre * np.exp(up)


def _secchi(waters: tuple[WaterOptics, ...]) -> Estimate:
    depths = [secchi_depth(each, SECCHI_COUPLING.value) for each in waters]
    return Estimate(
        value=depths[0], low=min(depths), high=max(depths), origin=Origin.COMPUTED,
        source="from the type's clarity", narrows="a Secchi reading",
    )  # fmt: skip


def _lake_notes(lake: Lake) -> tuple[Note, ...]:
    return (
        Note(
            text=(
                f"“{lake.colour}” stands for a guessed mixture of tannin, algae and mud; how deep "
                "a disk is seen says how much of it there is."
            ),
            about="water",
            origin=Origin.DEFAULT,
        ),
    )


def _sea_notes(sea: Sea) -> tuple[Note, ...]:
    coast = sea.kind.value.endswith("C")
    return (
        Note(
            text=(
                f"Type {sea.kind} tells the light from above (Jerlov 1976). How far one sees on "
                "the level is a rule for the open sea"
                + (", which a coast may not keep." if coast else ".")
            ),
            about="water",
            origin=Origin.MEMORY,
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenInWater:
    """A bait's colours in a water.

    Parameters
    ----------
    sight : Sight
        In the likeliest water.
    variants : tuple of Sight
        In each of the waters at the ends of what is known.
    clarity : WaterClarity
        The water.
    notes : tuple of Note
        What the maker should know beside the picture.
    """

    sight: Sight
    variants: tuple[Sight, ...]
    clarity: WaterClarity
    notes: tuple[Note, ...]


def see_in_water(
    reflectance: ArrayLike, water: Water, illuminant: Illuminant = Illuminant.DAYLIGHT
) -> SeenInWater:
    """Return what is seen of some colours in a water.

    Parameters
    ----------
    reflectance : ndarray, shape (..., wavelengths)
        With water at the skin, and the skin's own reflection left out. [-]
    water : Water
        Which, how deep and how far.
    illuminant : Illuminant
        The light above the water.

    Raises
    ------
    InputError
        If a spectrum is not on the grid.
    OutOfRange
        If it is too dark there to see anything.
    """
    clarity = water_clarity(water.body)
    look = partial(
        seen_under_water,
        reflectance,
        depth=water.depth,
        distance=water.distance,
        illuminant=illuminant,
    )
    sight = look(clarity.optics)
    variants = []
    for each in clarity.variants:
        try:
            variants.append(look(each))
        except OutOfRange:  # pitch dark in the murkiest: it has no colour to add to the range
            continue
    return SeenInWater(
        sight=sight,
        variants=tuple(variants),
        clarity=clarity,
        notes=(*clarity.notes, *_sight_notes(sight, water)),
    )


def _sight_notes(sight: Sight, water: Water) -> list[Note]:
    notes = []
    if sight.brightness < COLOUR_FADES:
        notes.append(
            Note(
                text=(
                    f"At {water.depth:g} m {sight.brightness * 100:.1g} % of the daylight is "
                    "left: an eye sees little colour in it."
                ),
                about="water",
                origin=Origin.MEMORY,
            )
        )
    if np.all(np.abs(sight.contrast) < SEEN_CONTRAST):
        notes.append(
            Note(
                text=(
                    f"From {water.distance:g} m the bait stands out by less than "
                    f"{SEEN_CONTRAST * 100:g} % against the open water: it is out of sight."
                ),
                about="water",
                origin=Origin.MEMORY,
            )
        )
    if water.depth > 0 or water.distance > 0:
        notes.append(
            Note(
                text=(
                    "Colours in water are as a person’s eye would see them. A fish’s eye has "
                    "other receptors; nothing is said of what a fish sees."
                ),
                about="water",
            )
        )
    return notes
