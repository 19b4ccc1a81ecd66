"""Where the numbers come from: the inputs behind an answer, and each figure's formula in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from functools import cache

from partline.data.cie import WAVELENGTHS
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant, Flake, Grade
from partline.process.appearance import CARD_BLACK, CARD_WHITE, GREY
from partline.process.bench import Bench
from partline.process.composition import compose
from partline.process.recipe import Recipe
from partline.quantities.estimate import Estimate, Origin
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
            f"both halves of that side's plastic, mean over all directions of view, over grey "
            f"{GREY:.1f}; {_SLAB}."
        ),
        inputs=_THICK,
        source="CIEDE2000, ISO/CIE 11664-6",
    ),
    "back_belly": Why(
        title="Back against belly",
        formula=(
            "colour difference ΔE00 between the back's side and the belly's side of the bait, "
            "each the mean over all directions of view, gloss left out, over grey "
            f"{GREY:.1f}; {_SLAB}."
        ),
        inputs=_THICK,
        source="CIEDE2000, ISO/CIE 11664-6",
    ),
    "side": Why(
        title="Halves from the side",
        formula=(
            "colour difference ΔE00 between the upper and the lower half, each looked at half way "
            "between line and skin, through as much plastic as its refracted line of sight "
            f"passes, mean over all directions of view; {_SLAB}."
        ),
        inputs=_THICK,
        source="CIEDE2000, ISO/CIE 11664-6",
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
        inputs=("bait mass", "sprue mass", "block loss", "heel", "film", "reject share"),
        source="conservation of mass",
    ),
    "hot_volume": Why(
        title="Hot volume",
        formula="mass ÷ cold density × (1 + expansion × (hot end of the label's band − 23 °C))",
        inputs=("cold density", "expansion", "label's working band"),
        source="mean volumetric expansion",
    ),
    "bait": Why(
        title="Cold bait",
        formula="ideal volumes of the parts, by mass share; both sides in equal volumes",
        inputs=("densities of grades and loadings", "bait mass or volume"),
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
def why_as_dicts() -> dict[str, dict[str, object]]:
    """Return every figure's formula for JSON and pages."""
    return {key: asdict(each) for key, each in WHY.items()}


def _input(name: str, estimate: Estimate, unit: str, scale: float = 1.0) -> Input:
    return Input(
        name=name,
        value=estimate.value * scale,
        low=estimate.low * scale,
        high=estimate.high * scale,
        unit=unit,
        origin=estimate.origin,
        source=estimate.source,
        narrows=estimate.narrows,
        count=estimate.count,
    )


def _exact(name: str, value: float, unit: str, origin: Origin, source: str = "") -> Input:
    return Input(
        name=name, value=value, low=value, high=value, unit=unit, origin=origin, source=source
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
            case Colourant():
                yield _input(f"{supply.name}: drop mass", supply.drop_mass, "mg", 1e6)
                yield _input(f"{supply.name}: strength", supply.strength, "×")
                yield _exact(
                    f"{supply.name}: optical constants",
                    float(WAVELENGTHS.size),
                    "wavelengths",
                    supply.optics_origin,
                    supply.optics_source,
                )
            case Flake():
                yield _exact(f"{supply.name}: film", supply.thickness * 1e6, "µm", Origin.ENTERED)
            case _:
                yield _input(f"{supply.name}: density", supply.density, "g/mL", 1e-3)


def look_inputs(recipe: Recipe, mould: Mould, shelf: Shelf) -> tuple[Input, ...]:
    """Return every number that a look rests on."""
    found = list(_supply_inputs(recipe, shelf))
    for station in mould.stations:
        for half, size in (("back", station.back_half), ("belly", station.belly_half)):
            name = f"{mould.name}: {station.name}, {half} half"
            found.append(_exact(name, size * 1e3, "mm", Origin.ENTERED, "the mould's stations"))
    origin = Origin.DEFAULT if recipe.wanted.is_default else Origin.ENTERED
    source = HIDING_SOURCE if recipe.wanted.is_default else "the recipe"
    found.append(_exact("wanted hiding", recipe.wanted.hiding, "", origin, source))
    found.append(_exact("see-through below", SEE_THROUGH_BELOW, "", Origin.DEFAULT, HIDING_SOURCE))
    for each in DISTINCT:
        found.append(_exact(f"“{each.word}” below", each.below, "ΔE00", each.origin, each.source))
    return tuple(found)


def plan_inputs(recipe: Recipe, mould: Mould, bench: Bench, shelf: Shelf) -> tuple[Input, ...]:
    """Return every number that a plan's amounts rest on."""
    found = list(_supply_inputs(recipe, shelf))
    if mould.bait_mass is not None:
        found.append(_input(f"{mould.name}: bait mass", mould.bait_mass, "g", 1e3))
    if mould.bait_volume is not None:
        found.append(_input(f"{mould.name}: bait volume", mould.bait_volume, "mL", 1e6))
    found.append(_input(f"{mould.name}: sprue and runner", mould.sprue_mass, "g", 1e3))
    found.append(_input("block loss a shot", bench.block_loss, "g", 1e3))
    found.append(_input("heel a side a draw", bench.syringes.heel, "g", 1e3))
    found.append(_input("film a side a melt", bench.vessel.film, "g", 1e3))
    found.append(_exact("reject share", bench.reject_share * 100, "%", Origin.ENTERED))
    found.append(_exact("cup", bench.vessel.capacity * 1e6, "mL", Origin.ENTERED))
    found.append(_exact("fill limit", bench.vessel.fill_limit * 100, "%", Origin.ENTERED))
    return tuple(found)
