"""Several recipes for a wanted look, each with what it is predicted to look like and to cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Mould, Station
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant
from partline.process.composition import LOADING_BASIS, compose
from partline.process.optics import SideOptics, side_optics
from partline.process.recipe import Half, Loading, Measure, Recipe
from partline.process.rendering import PictureError
from partline.process.traced import transport
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.note import Note
from partline.studies.colour_matching.colours import Colours, Models, slab_models
from partline.studies.colour_matching.limits import Limits, allowed_bottles
from partline.studies.colour_matching.problem import VIEWS, Problem, problem_of
from partline.studies.colour_matching.ranges import differences
from partline.studies.colour_matching.reach import Reach, reach_of
from partline.studies.colour_matching.search import Hits, search
from partline.studies.colour_matching.wanted import WantedLook, misses
from partline.studies.narrowing import next_reading
from partline.studies.uncertainty import DRAWS
from partline.studies.verdict import Distinct, distinct

Floats = NDArray[np.floating]

#: Recipes offered at most.
OFFERED = 4
#: A recipe is offered beside the first while no side of it is so much farther; the second figure
#: where there are too few of them. [ΔE00]
FARTHER, FARTHEST = 1.0, 3.0
FEW = 3
#: Digits of drops in 100 g that a recipe is written with.
DIGITS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """So many drops of one bottle in one cup.

    Parameters
    ----------
    bottle : Colourant
        Owned.
    drops : int
        In the actual cup.
    per_100_g : float
        What that makes in every 100 g. [drops]
    """

    bottle: Colourant
    drops: int
    per_100_g: float

    @property
    def mass(self) -> float:
        """Of the drops. [kg]"""
        return self.drops * self.bottle.drop_mass.value

    @property
    def cost(self) -> float | None:
        """Of the drops; None where the price is not known. [¤]"""
        price = self.bottle.stock.price
        return None if price is None else self.mass * price.per_mass(self.bottle.density.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchedSide:
    """One side of a match.

    Parameters
    ----------
    half : Half
        Which one.
    cup : float
        Filling of its cup. [kg]
    doses : tuple of Dose
        What goes in.
    lab : tuple of float
        CIELAB that it is predicted to have, over grey.
    difference : Estimate
        From what is wanted. [ΔE00]
    word : Distinct
        What that means.
    misses : tuple of str
        In which ways: “too dark”…
    """

    half: Half
    cup: float
    doses: tuple[Dose, ...]
    lab: tuple[float, float, float]
    difference: Estimate
    word: Distinct
    misses: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """One recipe that comes near a wanted look.

    Parameters
    ----------
    recipe : Recipe
        To pour; the version it was made from, with other colour.
    sides : tuple of MatchedSide
        Those that something was wanted of.
    notes : tuple of Note
        What the prediction leaves out.
    is_closest, is_fewest, is_lightest, is_cheapest : bool
        What it is offered for: the smallest difference, the fewest bottles counted cup by cup,
        the least colour by mass, the least money.
    """

    recipe: Recipe
    sides: tuple[MatchedSide, ...]
    notes: tuple[Note, ...] = ()
    is_closest: bool = False
    is_fewest: bool = False
    is_lightest: bool = False
    is_cheapest: bool = False

    @property
    def worse(self) -> float:
        """Predicted difference of the worse side. [ΔE00]"""
        return max(side.difference.value for side in self.sides)

    @property
    def bottles(self) -> tuple[Colourant, ...]:
        """Every bottle used, once."""
        return tuple(dict.fromkeys(dose.bottle for side in self.sides for dose in side.doses))

    @property
    def colour(self) -> float:
        """Mass of the colour in all cups looked for. [kg]"""
        return sum(dose.mass for side in self.sides for dose in side.doses)

    @property
    def cost(self) -> float | None:
        """Of the colour in all cups looked for; None where one price is not known. [¤]"""
        costs = [dose.cost for side in self.sides for dose in side.doses]
        known = [each for each in costs if each is not None]
        return sum(known) if len(known) == len(costs) else None

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Bottles whose price is not known."""
        return tuple(each.name for each in self.bottles if each.stock.price is None)

    @property
    def chips(self) -> tuple[str, ...]:
        """What to read next off bottles that nobody has measured."""
        return tuple(next_reading(each) for each in self.bottles if not each.is_measured)


@dataclass(frozen=True, slots=True, kw_only=True)
class Matching:
    """The answer to one wanted look.

    Parameters
    ----------
    matches : tuple of Match
        The nearest first, of two that are as near the one with less colour; at least one.
    reach : Reach
        How far the shelf reaches.
    wanted : mapping of Half to WantedLook
        What was asked.
    station : Station
        Whose thickness the colours are seen at.
    picture_error : PictureError
        Of the model of light.
    is_provisional : bool
        Whether a better model is to follow.
    """

    matches: tuple[Match, ...]
    reach: Reach
    wanted: Mapping[Half, WantedLook]
    station: Station
    picture_error: PictureError
    is_provisional: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Bait:
    """What a look is asked of.

    Parameters
    ----------
    recipe : Recipe
        Gives plastisol, flake and salt; of sides that nothing is wanted of, the colour too.
    mould : Mould
        Its widest station stands for the bait's colour.
    shelf : Shelf
        What it is poured from.
    cups : mapping of Half to float
        Filling of each cup; 100 g where it is not said. [kg]
    models : Models or None
        Of light; slabs of the widest station when left out.
    """

    recipe: Recipe
    mould: Mould
    shelf: Shelf
    cups: Mapping[Half, float] = field(default_factory=dict)
    models: Models | None = None

    def light(self) -> Models:
        """Return the models of light."""
        return self.models or slab_models(self.mould.widest, optics_of(self.recipe, self.shelf))


def optics_of(recipe: Recipe, shelf: Shelf) -> list[SideOptics]:
    """Return the optics of every side of a recipe."""
    return [side_optics(compose(side, shelf)) for side in recipe.sides]


def look_like(recipe: Recipe, shelf: Shelf, half: Half, model: Colours, source: str) -> WantedLook:
    """Return the look of one side of a bait as a wanted look.

    Parameters
    ----------
    recipe, shelf
        The bait, and what it was poured from.
    half : Half
        The side that is meant; a one-colour bait has the same on both.
    model : Colours
        Of the figures.
    source : str
        Whose look it is.
    """
    sides = optics_of(recipe, shelf)
    lightness, a, b = (float(each) for each in model.lab(*transport(sides))[0, VIEWS[half]])
    return WantedLook(lab=(lightness, a, b), source=source, like=tuple(sides), view=VIEWS[half])


def match_look(
    bait: Bait, wanted: Mapping[Half, WantedLook], limits: Limits, *, draws: int = DRAWS
) -> Matching:
    """Find recipes whose bait looks as wanted.

    Parameters
    ----------
    bait : Bait
        What it is asked of.
    wanted : mapping of Half to WantedLook
        For one side of the recipe at least.
    limits : Limits
        What is allowed.
    draws : int
        Behind each range, a power of two.

    Returns
    -------
    Matching
        With a range on every predicted difference; where nothing comes near, the nearest, and
        what would help.

    Raises
    ------
    InputError
        If the recipe asks for what is not on the shelf, or a limit allows nothing.
    Impossible
        If there is no bottle to match with.
    """
    bottles = allowed_bottles(bait.shelf, limits)
    models = bait.light()
    problem = problem_of(
        bait.recipe, bait.shelf, bottles,
        wanted=wanted, cups=bait.cups, limits=limits, models=models,
    )  # fmt: skip
    hits = search(problem)
    chosen = _different(problem, hits)
    matches = [_match(bait, problem, hits.drops[row], draws) for row in chosen]
    return Matching(
        matches=_told(matches),
        reach=reach_of(problem, bait.shelf, hits.drops[0], hits.off[0]),
        wanted=wanted,
        station=bait.mould.widest,
        picture_error=models.figures.error,
        is_provisional=models.figures.is_provisional,
    )


def _different(problem: Problem, hits: Hits) -> list[int]:
    """Return rows of recipes that differ in their bottles, the closest first."""
    worse = hits.off.max(axis=-1)
    rows = _each_set_once(hits, FARTHER)
    if len(rows) < FEW:
        rows = _each_set_once(hits, FARTHEST)[:FEW]
    fewest = min(rows, key=lambda row: (int((hits.drops[row] > 0).sum()), worse[row]))
    cheapest = min(rows, key=lambda row: (_cost(problem, hits.drops[row]), worse[row]))
    lightest = min(rows, key=lambda row: float((hits.drops[row] * _masses(problem)).sum()))
    return sorted(list(dict.fromkeys([rows[0], fewest, lightest, cheapest, *rows]))[:OFFERED])


def _each_set_once(hits: Hits, farther: float) -> list[int]:
    """Return the first row of each set of bottles that is no farther than that from the first."""
    near = np.flatnonzero((hits.off <= hits.off[0] + farther).all(axis=-1))
    first: dict[bytes, int] = {}
    for row in near:
        first.setdefault((hits.drops[row] > 0).tobytes(), int(row))
    return list(first.values())


def _masses(problem: Problem) -> Floats:
    """Return the mass of one drop of each bottle, shape (bottles,). [kg]"""
    return np.array([each.drop_mass.value for each in problem.bottles])


def _cost(problem: Problem, drops: Floats) -> float:
    """Return what a recipe's colour costs; beyond all money where a price is not known. [¤]"""
    total = 0.0
    for cup, bottle in zip(*np.nonzero(drops), strict=True):
        dose = _dose(problem, int(cup), int(bottle), drops)
        if dose.cost is None:
            return float("inf")
        total += dose.cost
    return total


def _dose(problem: Problem, cup: int, bottle: int, drops: Floats) -> Dose:
    count = round(float(drops[cup, bottle]))
    per_100_g = round(count * LOADING_BASIS / problem.cups[cup].mass, DIGITS)
    return Dose(bottle=problem.bottles[bottle], drops=count, per_100_g=per_100_g)


def _match(bait: Bait, problem: Problem, drops: Floats, draws: int) -> Match:
    doses = [
        tuple(_dose(problem, place, int(each), drops) for each in np.flatnonzero(row))
        for place, row in enumerate(drops)
    ]
    recipe = _recipe(bait.recipe, problem, doses)
    optics = optics_of(recipe, bait.shelf)
    judged = differences(optics, problem, bait.mould.widest, draws=draws)
    sides = tuple(
        MatchedSide(
            half=cup.side.half,
            cup=cup.mass,
            doses=own,
            lab=lab,
            difference=off,
            word=distinct(off.value),
            misses=misses(lab, cup.wanted.lab),
        )
        for cup, own, (lab, off) in zip(problem.cups, doses, judged, strict=True)
    )
    notes = dict.fromkeys(note for side in optics for note in side.notes)
    return Match(recipe=recipe, sides=sides, notes=tuple(notes))


def _recipe(recipe: Recipe, problem: Problem, doses: Sequence[tuple[Dose, ...]]) -> Recipe:
    """Return the recipe with its colour replaced: bottles first, then what stays."""
    made = {
        cup.side.half: replace(
            cup.side, loadings=(*(_loading(each) for each in own), *cup.side.loadings)
        )
        for cup, own in zip(problem.cups, doses, strict=True)
    }
    return replace(recipe, sides=tuple(made.get(side.half, side) for side in recipe.sides))


def _loading(dose: Dose) -> Loading:
    return Loading(
        supply=dose.bottle.name,
        amount=dose.per_100_g,
        measure=Measure.DROPS,
        entered=f"{dose.per_100_g:.{DIGITS}f}".rstrip("0").rstrip(".") + " drops",
        origin=Origin.COMPUTED,
    )


def _told(matches: list[Match]) -> tuple[Match, ...]:
    """Return matches in their order, each with what it is offered for."""
    closest = min(matches, key=lambda each: each.worse)
    fewest = min(matches, key=lambda each: sum(len(side.doses) for side in each.sides))
    lightest = min(matches, key=lambda each: each.colour)
    priced = [each for each in matches if each.cost is not None]
    cheapest = min(priced, key=lambda each: each.cost or 0.0) if priced else None
    return tuple(
        replace(
            each,
            is_closest=each is closest,
            is_fewest=each is fewest,
            is_lightest=each is lightest,
            is_cheapest=each is cheapest,
        )
        for each in matches
    )
