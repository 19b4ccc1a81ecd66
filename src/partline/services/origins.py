"""Where the numbers come from: the inputs behind an answer, each with its range and origin."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from partline.data.cie import WAVELENGTHS
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant, Flake, Grade
from partline.process.bench import Bench
from partline.process.composition import compose
from partline.process.guessed_optics import MEMBERS
from partline.process.optics import guessed_from
from partline.process.recipe import Recipe
from partline.process.supply_doubt import film_doubt, plain_doubt
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


#: Where the spectra of plain plastic are told at. [m]
MIDDLE = np.array([550e-9])
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
                yield from _plain(supply)
                if supply.yellowing is not None:
                    yield _input(f"{supply.name}: yellowing by heat", supply.yellowing, "1/(m·s)")
            case Colourant():
                yield _input(f"{supply.name}: drop mass", supply.drop_mass, "mg", 1e6)
                yield _input(f"{supply.name}: strength", supply.lot_strength, "×")
                yield _constants(supply)
            case Flake():
                yield _film(supply)
            case _:
                yield _input(f"{supply.name}: density", supply.density, "g/mL", 1e-3)


def _plain(grade: Grade) -> Iterator[Input]:
    """Yield what plain plastic of a grade does to light, at the middle of the spectrum."""
    narrows = f"a chip of {grade.name} without colour on the printed card"
    doubt, optics = replace(plain_doubt(grade), narrows=narrows), grade.optics
    for name, spectrum in (("haze", optics.scattering), ("own colour", optics.absorption)):
        told = doubt.map(partial(_times, float(spectrum.at(MIDDLE)[0]) * 1e-3))
        yield _input(f"{grade.name}: {name} at 550 nm", told, "1/mm")


def _times(height: float, share: float) -> float:
    """Return a share of a height, to the digits that a guess is worth."""
    return float(f"{share * height:.3g}")


def _film(flake: Flake) -> Input:
    known = film_doubt(flake).map(lambda share: share * flake.thickness * 1e6)
    return _input(f"{flake.name}: film", known, "µm")


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
