"""Whether a shelf holds what a recipe asks for."""

from __future__ import annotations

from collections.abc import Iterator

from partline.errors import InputError
from partline.materials.shelf import Shelf
from partline.materials.supply import Colourant, Grade
from partline.process.composition import compose
from partline.process.recipe import Measure, Recipe, Side


def check_against_shelf(recipe: Recipe, shelf: Shelf) -> tuple[InputError, ...]:
    """Return what of a recipe cannot be poured from a shelf, each with the recipe's field.

    Parameters
    ----------
    recipe : Recipe
        As it was read.
    shelf : Shelf
        What stands at hand.

    Returns
    -------
    problems : tuple of InputError
        Unknown supplies, grades that are none or are loaded like a colour, drops of something
        that is not counted in drops; when none of these, loadings that leave too little
        plastisol; empty when it can be poured.
    """
    missing = tuple(problem for side in recipe.sides for problem in _of_side(side, shelf))
    return missing or tuple(
        problem for side in recipe.sides for problem in _of_balance(side, shelf)
    )


def _of_balance(side: Side, shelf: Shelf) -> Iterator[InputError]:
    """Yield what keeps a side from being mixed though all of it is on the shelf."""
    try:
        compose(side, shelf)
    except InputError as problem:
        yield problem


def _of_side(side: Side, shelf: Shelf) -> Iterator[InputError]:
    for part in side.blend:
        key = "grade" if len(side.blend) == 1 else f"blend.{part.grade}"
        try:
            shelf.grade(part.grade)
        except InputError as problem:
            yield problem.at(f"{side.half}.{key}")
    for place, loading in enumerate(side.loadings):
        field = f"{side.half}.load[{place}]"
        try:
            supply = shelf.find(loading.supply)
        except InputError as problem:
            yield problem.at(f"{field}.supply")
            continue
        if isinstance(supply, Grade):
            yield InputError(
                f"“{supply.name}” is a plastisol grade, not something to add to one.",
                field=f"{field}.supply",
                given=loading.supply,
                remedy=f"Write it into the blend of the {side.half}.",
            )
        elif loading.measure is Measure.DROPS and not isinstance(supply, Colourant):
            yield InputError(
                f"“{supply.name}” is not counted in drops.",
                field=f"{field}.per_100_g",
                given=loading.entered,
                remedy="Write its loading in g.",
            )
