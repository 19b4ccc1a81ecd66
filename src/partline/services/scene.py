"""Where a bait is looked at: from which side, before what, by what light, in what water."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from functools import partial
from math import degrees, hypot, isclose, isnan, pi, radians
from typing import NamedTuple, TypedDict, TypeVar

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError
from partline.materials.mould import Mould
from partline.physics.illuminant import Illuminant
from partline.physics.yellowing import exposure_dose
from partline.process.composition import Composition
from partline.process.glints import FlakeKind, kinds_of
from partline.process.haze import BUBBLE_SHARE
from partline.process.optics import USUAL, Condition, SideOptics, side_optics
from partline.process.rendering import (
    Backdrop,
    Quality,
    Renderer,
    Setting,
    Surroundings,
    View,
    in_air,
)
from partline.process.traced import TracedRenderer
from partline.process.under_water import Depths, at_depth
from partline.process.water import (
    COLOUR_FADES,
    SEEN_CONTRAST,
    Lake,
    LakeColour,
    Sea,
    SeaType,
    Water,
    WaterClarity,
    water_clarity,
)
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.note import Note
from partline.quantities.units import Kind, parse
from partline.services.tables import Medium
from partline.services.telling import figure

Floats = NDArray[np.floating]
Json = dict[str, object]
Word = TypeVar("Word", bound=StrEnum)

#: How far a Secchi reading strays from one reader to the next: common practice, no source. [-]
SECCHI_DOUBT = 0.15
#: What stands in a form before anything is chosen.
USUAL_SECCHI, USUAL_DEPTH, USUAL_DISTANCE = "2 m", "1 m", "0.5 m"


USUAL_HEAT = "175 °C"
#: Longest and hottest that plastic is told to have been. [s], [K]
MOST_HEATED, LEAST_HEAT, MOST_HEAT = 8 * 3600.0, 293.15, 523.15


class Bubbles(StrEnum):
    """How much air is left in the plastic, in a word."""

    NONE = "none"
    FEW = "a few"
    MANY = "many"


#: Volume shares that the words stand for: guesses about `BUBBLE_SHARE`. [-]
SHARES = {Bubbles.NONE: 0.0, Bubbles.FEW: BUBBLE_SHARE.low, Bubbles.MANY: BUBBLE_SHARE.value}


class Around(StrEnum):
    """What is around the bait."""

    AIR = "air"
    LAKE = "lake"
    SEA = "sea"


def medium_of(around: object) -> Medium:
    """Return what is around the bait, for the tables; air when left out."""
    word = word_of(Around, around or Around.AIR, "around")
    return Medium.AIR if word is Around.AIR else Medium.WATER


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """Everything about a picture but the bait.

    Parameters
    ----------
    card : Backdrop
        Behind the bait, in air.
    light : Illuminant
        From all round; under water, the light above it.
    gloss : bool
        Whether the skin's mirroring is shown, in air.
    turn : float
        Of the bait about its length, for the free view: 0 shows the back, π the belly. [rad]
    water : Water or None
        Which, how deep and from how far; None in air.
    condition : Condition
        Heat and bubbles of the pour.
    """

    card: Backdrop = Backdrop.PALE
    light: Illuminant = Illuminant.DAYLIGHT
    gloss: bool = False
    turn: float = View.THREE_QUARTER.angle
    water: Water | None = None
    condition: Condition = USUAL

    @property
    def medium(self) -> Medium:
        """What is around the bait."""
        return Medium.AIR if self.water is None else Medium.WATER

    def setting(self, angle: float, *, adapts: bool = True) -> Setting:
        """Return the setting of the view from an angle."""
        return Setting(
            angle=angle,
            backdrop=self.card,
            illuminant=self.light,
            adapts=adapts,
            has_gloss=self.gloss and self.water is None,
        )


def word_of(kind: type[Word], text: object, name: str) -> Word:
    """Return the word that was chosen.

    Raises
    ------
    InputError
        If it is none of them.
    """
    try:
        return kind(str(text).strip())
    except ValueError:
        allowed = ", ".join(kind)
        what = "what is around the bait" if name == "around" else f"the {name}"
        raise InputError(
            f"“{str(text)[:40]}” was given for {what}; it can be {allowed}.",
            field=name, given=str(text)[:40],
        ) from None  # fmt: skip


def scene_of(given: Mapping[str, object]) -> Scene:
    """Read a scene as a form or a command line gives it; what is left out is as usual.

    Parameters
    ----------
    given : mapping
        ``card``, ``light``, ``gloss``, ``turn`` in degrees, ``around`` (air, lake or sea),
        ``lake`` (its colour in a word), ``secchi``, ``sea`` (Jerlov's type), ``depth``,
        ``distance``; of the pour ``heated`` for a time at ``heat`` and ``bubbles`` as a word.

    Raises
    ------
    InputError
        If a word is none of those allowed, or a length cannot be read or had.
    """
    return Scene(
        card=word_of(Backdrop, given.get("card") or Backdrop.PALE, "card"),
        light=word_of(Illuminant, given.get("light") or Illuminant.DAYLIGHT, "light"),
        gloss=given.get("gloss") in (True, "true", "on", "yes"),
        turn=_turn(given.get("turn")),
        water=_water(given),
        condition=_condition(given),
    )


def _condition(given: Mapping[str, object]) -> Condition:
    bubbles = word_of(Bubbles, given.get("bubbles") or Bubbles.NONE, "bubbles")
    heated = str(given.get("heated") or "").strip()
    if not heated:
        return Condition(air=SHARES[bubbles])
    seconds = parse(heated, Kind.TIME, field="heated", low=0.0, high=MOST_HEATED).value
    kelvin = parse(
        str(given.get("heat") or USUAL_HEAT), Kind.TEMPERATURE, field="heat", low=LEAST_HEAT,
        high=MOST_HEAT,
    ).value  # fmt: skip
    dose = exposure_dose(np.full(2, kelvin), np.array([0.0, seconds]))
    return Condition(dose=float(dose), air=SHARES[bubbles])


def _turn(given: object) -> float:
    if given in (None, ""):
        return View.THREE_QUARTER.angle
    try:
        turned = float(str(given).rstrip("° "))
    except ValueError:
        turned = float("nan")
    if not 0 <= turned <= 360:
        raise InputError(
            f"A turn of “{str(given)[:40]}” was given; it is counted in degrees, 0 to 360: 0 "
            "shows the back, 90 the side, 180 the belly.",
            field="turn", given=str(given)[:40],
        )  # fmt: skip
    # Both flanks are alike, so the far side looks as the near one does.
    return radians(min(turned, 360 - turned))


def _water(given: Mapping[str, object]) -> Water | None:
    around = word_of(Around, given.get("around") or Around.AIR, "around")
    if around is Around.AIR:
        return None
    body: Lake | Sea
    if around is Around.LAKE:
        secchi = _length(given, "secchi", USUAL_SECCHI)
        doubt = SECCHI_DOUBT if secchi > 0 else 0.0  # a lake refuses such a reading by itself
        reading = Estimate.within(
            secchi, doubt, Origin.ENTERED, source="Secchi disk, as entered",
            narrows="a second reading by another person",
        )  # fmt: skip
        colour = word_of(LakeColour, given.get("lake") or LakeColour.GREEN, "lake")
        body = Lake(colour=colour, secchi=reading)
    else:
        body = Sea(kind=word_of(SeaType, given.get("sea") or SeaType.II, "sea"))
    return Water(
        body=body,
        depth=_length(given, "depth", USUAL_DEPTH),
        distance=_length(given, "distance", USUAL_DISTANCE),
    )


def _length(given: Mapping[str, object], name: str, usual: str) -> float:
    return parse(str(given.get(name) or usual), Kind.LENGTH, field=name).value


@dataclass(frozen=True, kw_only=True, eq=False)
class Pictures:
    """Pictures of one bait in one scene.

    Parameters
    ----------
    views : dict
        sRGB by the view's name: back, side, belly, turned; shape (rows, columns, 3). [-]
    unadapted : dict
        The same for an eye that has not got used to the colour of the water's light; empty in
        air.
    stands_out : Estimate or None
        Luminance of the side view over that of the open water, less 1; None in air. [-]
    differences : tuple of Estimate or None
        Back against belly and the halves from the side, at the widest station in this light and
        water; None for a bait of one colour, and where light was not traced. [ΔE00]
    line : Estimate or None
        How wide the line looks there from the side, by light alone. [m]
    quality : Quality
        How they were come by.
    notes : tuple of Note
        What the maker should know beside them.
    """

    views: dict[str, Floats]
    unadapted: dict[str, Floats] = field(default_factory=dict)
    stands_out: Estimate | None = None
    differences: tuple[Estimate, Estimate] | None = None
    line: Estimate | None = None
    quality: Quality
    notes: tuple[Note, ...] = ()


#: How much stronger both plastics may be than written, for the width of the line: the default
#: doubt in a lot's strength. [-]
STRONGER = 1.2
#: Views of a scene beside the turned one.
NAMED = (View.BACK, View.SIDE, View.BELLY)


def draw(renderer: Renderer, plastics: list[Composition], mould: Mould, scene: Scene) -> Pictures:
    """Draw a bait in a scene.

    Parameters
    ----------
    renderer : Renderer
        Of the scene's medium.
    plastics : list of Composition
        Of back and belly, or the whole.
    mould : Mould
        What it is poured into.
    scene : Scene
        Where it is looked at.

    Raises
    ------
    OutOfRange
        If it is too dark there to see anything.
    """
    sides = [side_optics(plastic, scene.condition) for plastic in plastics]
    kinds = [kind for side, plastic in enumerate(plastics) for kind in kinds_of(plastic, side)]
    draw_views = partial(_views, _Bait(renderer, sides, kinds, mould), scene)
    angles = {view.value: view.angle for view in NAMED} | {"turned": min(scene.turn, pi)}
    if scene.water is None:
        light = in_air(scene.setting(0.0))
        return Pictures(
            views=draw_views(angles, light),
            **_line_report(renderer, sides, mould, light),
            quality=renderer.quality,
        )
    water = scene.water
    clarity = water_clarity(water.body)
    used, cast = (
        at_depth(clarity.optics, water.depth, water.distance, scene.light, adapts=adapts)
        for adapts in (True, False)
    )
    stands_out = _contrast(renderer, sides, scene, clarity, used)
    return Pictures(
        views=draw_views(angles, used.light),
        unadapted=draw_views(angles, cast.light),
        stands_out=stands_out,
        **_line_report(
            renderer,
            sides,
            mould,
            used.light,
            [
                at_depth(each, water.depth, water.distance, scene.light, adapts=True).light
                for each in clarity.variants
            ],
        ),
        quality=renderer.quality,
        notes=(*clarity.notes, *_dim(used, water), *_faint(stands_out, water)),
    )


class _Bait(NamedTuple):
    renderer: Renderer
    sides: list[SideOptics]
    kinds: list[FlakeKind]
    mould: Mould


def _views(
    bait: _Bait, scene: Scene, angles: Mapping[str, float], light: Surroundings
) -> dict[str, Floats]:
    renderer, sides, kinds, mould = bait
    if not isinstance(renderer, TracedRenderer):
        return {
            name: renderer.picture(sides, mould, scene.setting(angle), light)
            for name, angle in angles.items()
        }
    # The turned view's depths must not move the colours of the others' flakes.
    usual = renderer.flakes(sides, kinds, [view.angle for view in NAMED], light)
    is_usual = any(isclose(angles["turned"], view.angle) for view in NAMED)
    turned = usual if is_usual else renderer.flakes(sides, kinds, [angles["turned"]], light)
    return {
        name: renderer.picture(
            sides, mould, scene.setting(angle), light, turned if name == "turned" else usual
        )
        for name, angle in angles.items()
    }


class _LineReport(TypedDict):
    differences: tuple[Estimate, Estimate] | None
    line: Estimate | None


def _line_report(
    renderer: Renderer,
    sides: list[SideOptics],
    mould: Mould,
    light: Surroundings,
    others: Sequence[Surroundings] = (),
) -> _LineReport:
    """Differences and line at the widest station; `others` are lights that it may be as well."""
    if not isinstance(renderer, TracedRenderer) or len(sides) == 1:
        return {"differences": None, "line": None}
    found = renderer.differences(sides, mould.widest, light)
    also = [renderer.differences(sides, mould.widest, each) for each in others]
    back_belly, side = (
        _difference(value, [each[place] for each in also], renderer.error.eighty_percent)
        for place, value in enumerate(found)
    )
    return {"differences": (back_belly, side), "line": _line(renderer, sides, mould)}


def _difference(value: float, also: list[float], error: float) -> Estimate:
    below, above = (hypot(moved, error) for moved in _moved(value, also))
    return Estimate(
        value=value, low=max(value - below, 0.0), high=value + above, origin=Origin.COMPUTED,
        source="light traced through the bait; the picture's own error, and the water's",
    )  # fmt: skip


def _moved(value: float, ends: Sequence[float]) -> tuple[float, float]:
    """Return how far a figure moves down and up: its doubts, two ends each, in quadrature."""
    steps = np.asarray(ends, dtype=float).reshape(-1, 2) - value
    below, above = -steps.min(axis=1, initial=0.0), steps.max(axis=1, initial=0.0)
    return float(np.linalg.norm(below)), float(np.linalg.norm(above))


def _line(renderer: TracedRenderer, sides: list[SideOptics], mould: Mould) -> Estimate | None:
    widths = [
        float(renderer.line_widths(sides, [mould.widest], strength)[0])
        for strength in (1.0, STRONGER, 1 / STRONGER)
    ]
    if any(isnan(width) for width in widths):
        return None
    return Estimate(
        value=widths[0], low=min(widths), high=max(widths), origin=Origin.COMPUTED,
        source="10 to 90 % of the step between the halves, by light alone; strengths ± a fifth",
        narrows="a chip of each colour on the printed card",
    )  # fmt: skip


def _contrast(
    renderer: Renderer, sides: list[SideOptics], scene: Scene, clarity: WaterClarity, used: Depths
) -> Estimate | None:
    water = scene.water
    if not isinstance(renderer, TracedRenderer) or water is None:
        return None
    value = _stands_out(renderer, sides, used)
    ends = [
        _stands_out(
            renderer,
            sides,
            at_depth(each, water.depth, water.distance, scene.light, adapts=True),
        )
        for each in clarity.variants
    ]
    below, above = _moved(value, ends)
    return Estimate(
        value=value, low=max(value - below, -1.0), high=value + above, origin=Origin.COMPUTED,
        source="side view against the open water, Duntley's law",
        narrows="a Secchi reading on the day",
    )  # fmt: skip


def _stands_out(renderer: TracedRenderer, sides: list[SideOptics], depths: Depths) -> float:
    side = View.SIDE.angle
    cover = renderer.frame(side).cover
    seen = renderer.xyz(sides, side, depths.light)[..., 1] + depths.light.veil[1]
    return float((seen * cover).sum() / cover.sum() / depths.open_water - 1)


def _faint(stands_out: Estimate | None, water: Water) -> tuple[Note, ...]:
    if stands_out is None or abs(stands_out.value) >= SEEN_CONTRAST:
        return ()
    text = (
        f"From {water.distance:g} m the bait stands out by less than {SEEN_CONTRAST * 100:g} % "
        "against the open water: it is out of sight."
    )
    return (Note(text=text, about="water", origin=Origin.MEMORY),)


def _dim(depths: Depths, water: Water) -> tuple[Note, ...]:
    texts = [
        "Colours in water are as a person’s eye would see them; nothing is said of what a fish "
        "sees."
    ]
    if depths.brightness < COLOUR_FADES:
        texts.append(
            f"At {water.depth:g} m {depths.brightness * 100:.1g} % of the daylight is left: an "
            "eye sees little colour in it."
        )
    return tuple(Note(text=text, about="water", origin=Origin.MEMORY) for text in texts)


def scene_as_json(scene: Scene, drawn: Pictures) -> Json:
    """Return what a picture shows beside its pixels.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    water = scene.water
    stands_out = drawn.stands_out
    return {
        "card": scene.card.value if water is None else None,
        "light": scene.light.value,
        "gloss": scene.gloss and water is None,
        "turn_degrees": round(degrees(scene.turn)),
        "in": scene.medium.value,
        "depth_m": water and water.depth,
        "distance_m": water and water.distance,
        "quality": drawn.quality.value,
        "back_belly": drawn.differences and figure(drawn.differences[0], 1),
        "side": drawn.differences and figure(drawn.differences[1], 1),
        "line_mm": drawn.line and figure(drawn.line.map(lambda width: width * 1e3), 2),
        "stands_out": stands_out and figure(stands_out, 3),
        "notes": [note.text for note in drawn.notes],
    }
