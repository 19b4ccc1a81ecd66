"""What a run follows: the plan's cups, and the bench's and the label's temperatures."""

from __future__ import annotations

from dataclasses import dataclass

from partline.materials.shelf import Shelf
from partline.process.amounts import Amounts
from partline.process.bench import Bench
from partline.process.composition import compose
from partline.process.ingredients import Ingredient, Step
from partline.process.recipe import Recipe


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCup:
    """One cup of one melt.

    Parameters
    ----------
    mass : float
        To fill, colour and all. [kg]
    draw : float
        Taken by one draw. [kg]
    ingredients : tuple of Ingredient
        What goes in, in order.
    """

    mass: float
    draw: float
    ingredients: tuple[Ingredient, ...]

    @property
    def cold_mass(self) -> float:
        """What is weighed in before heating. [kg]"""
        return sum(each.mass for each in self.ingredients if each.step is Step.COLD)

    @property
    def later(self) -> tuple[Ingredient, ...]:
        """What goes in once it is hot."""
        return tuple(each for each in self.ingredients if each.step is not Step.COLD)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedMelt:
    """One filling of the cups.

    Parameters
    ----------
    shots, draws : int
        It is for.
    cups : dict of str to PlannedCup
        By letter.
    """

    shots: int
    draws: int
    cups: dict[str, PlannedCup]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlan:
    """What a run follows.

    Parameters
    ----------
    melts : tuple of PlannedMelt
        In order.
    bench : Bench
        That it is poured on.
    band : tuple of float
        Stop, which every label allows, and start: the recipe's own, or the labels'. [K]
    target, ceiling : float
        Hottest label's target; lowest label's maximum, or the bench's own below it. [K]
    cavities : int
        Baits of one shot.
    mark : str
        BOTTOM mark of the mould; empty where it has none.
    """

    melts: tuple[PlannedMelt, ...]
    bench: Bench
    band: tuple[float, float]
    target: float
    ceiling: float
    cavities: int
    mark: str

    @property
    def letters(self) -> tuple[str, ...]:
        """Letters of the cups in use."""
        return tuple(self.melts[0].cups)

    @property
    def shots(self) -> int:
        """Shots of the whole run."""
        return sum(melt.shots for melt in self.melts)


def run_plan(
    amounts: Amounts, recipe: Recipe, bench: Bench, shelf: Shelf, *, cavities: int, mark: str
) -> RunPlan:
    """Return what a run follows, from a plan's amounts.

    Parameters
    ----------
    amounts : Amounts
        As `plan_amounts` returned them for the recipe, bench and shelf.
    recipe, bench, shelf
        That they were planned from.
    cavities : int
        Of the mould.
    mark : str
        Its BOTTOM mark.

    Raises
    ------
    InputError
        If a supply is not on the shelf.
    """
    plastics = [compose(side, shelf) for side in recipe.sides]
    grades = [grade for plastic in plastics for grade, _ in plastic.grades]
    melts = []
    for melt in amounts.melts:
        cups = {}
        for cup in melt.cups:
            poured = cup.mass - bench.vessel.film.value
            cups[cup.half.cup] = PlannedCup(
                mass=cup.mass, draw=poured / melt.draws, ingredients=cup.ingredients
            )
        melts.append(PlannedMelt(shots=melt.shots, draws=melt.draws, cups=cups))
    stop = bench.as_read(max(grade.band_low for grade in grades))
    start = bench.as_read(min(grade.band_high for grade in grades))
    wanted = recipe.handling.start
    return RunPlan(
        melts=tuple(melts),
        bench=bench,
        band=(stop, start if wanted is None or wanted <= stop else wanted),
        target=bench.as_read(max(grade.target for grade in grades)),
        ceiling=bench.limit(min(grade.ceiling for grade in grades)),
        cavities=cavities,
        mark=mark,
    )
