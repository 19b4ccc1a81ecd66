"""Where the numbers come from: the inputs behind an answer, and each figure's formula in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from functools import cache

from partline.data.cie import WAVELENGTHS
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant, Flake, Grade
from partline.process.bench import Bench
from partline.process.card import CARD_BLACK, CARD_WHITE, GREY
from partline.process.composition import compose
from partline.process.guessed_optics import MEMBERS
from partline.process.optics import guessed_from
from partline.process.recipe import Recipe
from partline.process.rendering import Quality
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, Origin
from partline.studies.narrowing import next_reading
from partline.studies.verdict import DISTINCT, HIDING_SOURCE, SEE_THROUGH_BELOW


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One number that an answer rests on.

    Parameters
    ----------
    name : str
        In the maker's words.
    value, low, high : float
        In `unit`.
    unit : str
        As shown.
    origin : Origin
        Where it comes from.
    source : str
        In a few words.
    narrows : str
        The measurement that would narrow it.
    count : int
        Measurements behind it, 0 where none.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    origin: Origin
    source: str = ""
    narrows: str = ""
    count: int = 0

    def as_dict(self) -> dict[str, object]:
        """Return the fields for JSON."""
        # A look has some sixty of these: `asdict` copies each value with care they do not need.
        return {name: getattr(self, name) for name in self.__slots__}


CALLIPER = "a calliper across one bait, or a sliced bait on a millimetre card"
#: What would replace a guess that stands in a document without a range of its own, by its path.
REPLACED_BY: dict[str, str] = {
    "band": "your jug’s label: read it before any plastic is heated",
    "target": "your jug’s label: read it before any plastic is heated",
    "ceiling": "your jug’s label: read it before any plastic is heated",
    "cavities": "count the hollows of the mould",
    "length": "a ruler along one bait",
    "vessel.capacity": "water to the brim, weighed: 1 g is 1 mL; dry the cup well",
    "vessel.fill_limit": "how high you dare fill a cup that has to be stirred",
    "syringes.capacity": "the last mark on the barrel",
    "syringes.usable_share": "how far the plunger comes back",
    "reject_share": "count good and spoiled baits of your next run",
    "room": "a thermometer on the bench",
    "fahrenheit": "look at your thermometer",
    "name": "the bottle’s label",
    "clarity": "a drop of it on a white plate",
    "patch": "a chip of it beside the colour on the screen",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """How a figure is got.

    Parameters
    ----------
    title : str
        What the figure is called.
    formula : str
        In words.
    inputs : tuple of str
        Kinds of input it rests on.
    source : str
        Where the formula comes from.
    """

    title: str
    formula: str
    inputs: tuple[str, ...]
    source: str


_SLAB = (
    "light in flat layers as thick as the halves, followed in 8 directions a hemisphere and 31 "
    "colours of the spectrum; the same equations as in radiative transfer"
)
_CIEDE = "CIEDE2000, ISO/CIE 11664-6"
_MIDDLE = (
    "Each view is the mean of its middle six tenths. Light is followed in all directions through "
)
#: How the colours behind a difference are got, by how the look was come by.
_LIGHT: dict[Quality, str] = {
    Quality.SLAB: (
        "Each view is the mean over all directions, a half seen from the side half way between "
        f"line and skin, through as much plastic as its refracted line of sight passes: {_SLAB}"
    ),
    Quality.SECTIONS: (
        f"{_MIDDLE}ready sections like the bait's, from the eye backwards, at 31 colours of the "
        "spectrum; light that wanders along the body is left out"
    ),
    Quality.PREVIEW: (
        f"{_MIDDLE}this bait's own shape, from the eye backwards, at 31 colours of the spectrum; "
        "a first pass, with few rays"
    ),
    Quality.FINAL: (
        f"{_MIDDLE}this bait's own shape, from the eye backwards, at 31 colours of the spectrum"
    ),
}
#: The figures that rest on it.
_SEEN = ("see_through", "back_belly", "side")
_THICK = ("thickness of each half", "loadings", "drop mass", "strength", "optical constants")

#: Every kind of figure on a page, by the key that stands beside it.
WHY: dict[str, Why] = {
    "hiding": Why(
        title="Hiding",
        formula=(
            f"1 − (luminance Y of the half over a white card − over a black card) ÷ (white card − "
            f"black card), looked at from straight above; the card reflects {CARD_WHITE:.2f} and "
            f"{CARD_BLACK:.2f}. {_SLAB}."
        ),
        inputs=_THICK,
        source="definitions of this project; CIE 1931 observer, D65",
    ),
    "see_through": Why(
        title="See-through",
        formula=(
            "colour difference ΔE00 between one side's view of the bait and the same view were "
            f"both halves of that side's plastic, over grey {GREY:.1f} by daylight, gloss left out"
        ),
        inputs=_THICK,
        source=_CIEDE,
    ),
    "back_belly": Why(
        title="Back against belly",
        formula=(
            "colour difference ΔE00 between the back's side and the belly's side of the bait, "
            f"over grey {GREY:.1f} by daylight, gloss left out"
        ),
        inputs=_THICK,
        source=_CIEDE,
    ),
    "side": Why(
        title="Halves from the side",
        formula=(
            "colour difference ΔE00 between the upper and the lower half, looked at from the "
            f"flank, over grey {GREY:.1f} by daylight, gloss left out"
        ),
        inputs=_THICK,
        source=_CIEDE,
    ),
    "needed": Why(
        title="Loading needed",
        formula=(
            "the leading colourant of the half is raised alone, everything else as written, until "
            "the half hides what is wanted at the station"
        ),
        inputs=("wanted hiding", *_THICK),
        source="the hiding figure, solved backwards",
    ),
    "cup": Why(
        title="Grams in a cup",
        formula=(
            "shots × (half of: cavities × bait + sprue and runner + block) + draws × heel + film; "
            "a coupled pair of equal syringes pushes equal volumes"
        ),
        inputs=(
            "bait mass",
            "bait volume",
            "cavities",
            "sprue and runner",
            "block loss a shot",
            "heel a side a draw",
            "film a side a melt",
            "reject share",
        ),
        source="conservation of mass",
    ),
    "hot_volume": Why(
        title="Hot volume",
        formula="mass ÷ cold density × (1 + expansion × (hot end of the label's band − 23 °C))",
        inputs=("cold density", "expansion", "working band to"),
        source="mean volumetric expansion",
    ),
    "bait": Why(
        title="Cold bait",
        formula="ideal volumes of the parts, by mass share; both sides in equal volumes",
        inputs=("cold density", "density", "drop mass", "bait mass", "bait volume"),
        source="additive volumes; real plastisol contracts by 0 to 1 % (from memory)",
    ),
    "spoon": Why(
        title="Spoons",
        formula="mass ÷ loose density ÷ 4.929 mL, the US teaspoon",
        inputs=("loose density",),
        source="NIST Handbook 44, Appendix C",
    ),
}


@cache
def why_as_dicts(quality: Quality = Quality.SLAB) -> dict[str, dict[str, object]]:
    """Return every figure's formula for JSON and pages.

    Parameters
    ----------
    quality : Quality
        How the look was come by that the figures are of.
    """
    return {key: asdict(_by_light(key, each, quality)) for key, each in WHY.items()}


def _by_light(key: str, why: Why, quality: Quality) -> Why:
    if key not in _SEEN:
        return why
    return replace(why, formula=f"{why.formula}. {_LIGHT[quality]}.")


def _tidy(value: float) -> float:
    """Take off what the change of unit left in the last digits: 10.2, not 10.200000000000001."""
    return value if isinstance(value, int) else float(f"{value:.12g}")


def _input(name: str, estimate: Estimate, unit: str, scale: float = 1.0) -> Input:
    return Input(
        name=name,
        value=_tidy(estimate.value * scale),
        low=_tidy(estimate.low * scale),
        high=_tidy(estimate.high * scale),
        unit=unit,
        origin=estimate.origin,
        source=estimate.source,
        narrows=estimate.narrows,
        count=estimate.count,
    )


def _exact(name: str, value: float, unit: str, origin: Origin, source: str = "") -> Input:
    tidy = _tidy(value)
    return Input(
        name=name, value=tidy, low=tidy, high=tidy, unit=unit, origin=origin, source=source
    )


def _supply_inputs(recipe: Recipe, shelf: Shelf) -> Iterator[Input]:
    supplies = {
        part.supply.name: part.supply
        for side in recipe.sides
        for part in compose(side, shelf).parts
    }
    for supply in supplies.values():
        match supply:
            case Grade():
                yield _input(f"{supply.name}: cold density", supply.density, "g/mL", 1e-3)
                yield _input(f"{supply.name}: expansion", supply.expansion, "1/K")
                yield _input(f"{supply.name}: resin share", supply.resin_share, "%", 100)
                yield _input(f"{supply.name}: refractive index", supply.refractive_index, "")
                if supply.yellowing is not None:
                    yield _input(f"{supply.name}: yellowing by heat", supply.yellowing, "1/(m·s)")
            case Colourant():
                yield _input(f"{supply.name}: drop mass", supply.drop_mass, "mg", 1e6)
                yield _input(f"{supply.name}: strength", supply.lot_strength, "×")
                yield _constants(supply)
            case Flake():
                yield _exact(f"{supply.name}: film", supply.thickness * 1e6, "µm", Origin.ENTERED)
            case _:
                yield _input(f"{supply.name}: density", supply.density, "g/mL", 1e-3)


def _constants(colour: Colourant) -> Input:
    """Return where a bottle's optical constants come from."""
    name = f"{colour.name}: optical constants"
    if colour.is_measured:
        return _exact(
            name,
            float(WAVELENGTHS.size),
            "wavelengths",
            colour.optics_origin,
            colour.optics_source,
        )
    chips = colour.counted_chips
    return Input(
        name=name,
        value=float(MEMBERS),
        low=float(MEMBERS),
        high=float(MEMBERS),
        unit="likely bottles",
        origin=Origin.MEASURED if chips else Origin.DEFAULT,
        source=f"smooth spectra {'fitted to' if chips else 'guessed from'} {guessed_from(colour)}",
        narrows=next_reading(colour),
        count=sum(each.count for each in chips),
    )


def _loadings(recipe: Recipe) -> Iterator[Input]:
    """Yield the loadings that are not the maker's own."""
    for side in recipe.sides:
        for each in side.loadings:
            if each.origin is not Origin.ENTERED:
                yield Input(
                    name=f"{each.supply} in the {side.half}",
                    value=each.amount,
                    low=each.amount,
                    high=each.amount,
                    unit=f"{each.measure} per 100 g",
                    origin=each.origin,
                    source="to hide what is wanted at the widest station"
                    if each.origin is Origin.COMPUTED
                    else "a first try",
                    narrows="one bait poured with it, over black and over white",
                )


def look_inputs(recipe: Recipe, mould: Mould, shelf: Shelf) -> tuple[Input, ...]:
    """Return every number that a look rests on."""
    found = list(_supply_inputs(recipe, shelf))
    for station in mould.stations:
        for half, size in (("back", station.back_half), ("belly", station.belly_half)):
            found.append(
                Input(
                    name=f"{mould.name}: {station.name}, {half} half",
                    value=_tidy(size * 1e3),
                    low=_tidy(size * 1e3 / (1 + station.doubt)),
                    high=_tidy(size * 1e3 * (1 + station.doubt)),
                    unit="mm",
                    origin=station.origin,
                    source="the mould's stations",
                    narrows=CALLIPER if station.origin.is_guess else "",
                )
            )
    origin = Origin.DEFAULT if recipe.wanted.is_default else Origin.ENTERED
    source = HIDING_SOURCE if recipe.wanted.is_default else "the recipe"
    found.append(_exact("wanted hiding", recipe.wanted.hiding, "", origin, source))
    found.append(_exact("see-through below", SEE_THROUGH_BELOW, "", Origin.DEFAULT, HIDING_SOURCE))
    for each in DISTINCT:
        found.append(_exact(f"“{each.word}” below", each.below, "ΔE00", each.origin, each.source))
    return tuple(found)


def plan_inputs(recipe: Recipe, mould: Mould, bench: Bench, shelf: Shelf) -> tuple[Input, ...]:
    """Return every number that a plan's amounts rest on."""
    found = [*_supply_inputs(recipe, shelf), *_loadings(recipe)]
    if mould.bait_mass is not None:
        found.append(_input(f"{mould.name}: bait mass", mould.bait_mass, "g", 1e3))
    if mould.bait_volume is not None:
        found.append(_input(f"{mould.name}: bait volume", mould.bait_volume, "mL", 1e6))
    found.append(_input(f"{mould.name}: sprue and runner", mould.sprue_mass, "g", 1e3))
    found.append(_input("block loss a shot", bench.block_loss, "g", 1e3))
    found.append(_input("heel a side a draw", bench.syringes.heel, "g", 1e3))
    found.append(_input("film a side a melt", bench.vessel.film, "g", 1e3))
    stated = (
        ("reject share", bench.reject_share * 100, "%", "reject_share"),
        ("cup", bench.vessel.capacity * 1e6, "mL", "vessel.capacity"),
        ("fill limit", bench.vessel.fill_limit * 100, "%", "vessel.fill_limit"),
        ("syringe", bench.syringes.capacity * 1e6, "mL", "syringes.capacity"),
        ("usable share of a syringe", bench.syringes.usable_share * 100, "%",
         "syringes.usable_share"),
    )  # fmt: skip
    if bench.thermometer is not None and bench.thermometer.offset is not None:
        found.append(_input("to be added to a reading", bench.thermometer.offset, "K"))
    found += [_stated(*each, bench.guesses) for each in stated]
    found.append(_stated(f"{mould.name}: cavities", mould.cavities, "", "cavities", mould.guesses))
    found += _labels(recipe, shelf)
    return tuple(found)


def _stated(
    name: str,
    value: float,
    unit: str,
    path: str,
    guesses: tuple[str, ...],
    stated: Origin = Origin.ENTERED,
) -> Input:
    """Return a plain amount of a document: stated by the maker, or listed there as a guess."""
    if path not in guesses:
        return _exact(name, value, unit, stated)
    return Input(
        name=name, value=value, low=value, high=value, unit=unit, origin=Origin.DEFAULT,
        source="nobody has said", narrows=REPLACED_BY[path],
    )  # fmt: skip


def _labels(recipe: Recipe, shelf: Shelf) -> Iterator[Input]:
    """Yield what the labels of the recipe's grades say of heat."""
    grades = {share.grade: shelf.grade(share.grade) for side in recipe.sides
              for share in side.blend}  # fmt: skip
    for grade in grades.values():
        for words, kelvin, path in (
            ("working band from", grade.band_low, "band"),
            ("working band to", grade.band_high, "band"),
            ("target", grade.target, "target"),
            ("ceiling", grade.ceiling, "ceiling"),
        ):
            celsius = round(kelvin - ZERO_CELSIUS, 2)
            yield _stated(
                f"{grade.name}: {words}", celsius, "°C", path, grade.guesses, Origin.LABEL
            )
