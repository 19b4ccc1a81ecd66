"""How much darker a back has to be to read as another colour than the belly."""

from __future__ import annotations

from dataclasses import replace

from partline.process.recipe import Measure, Recipe
from partline.services.look import LookAnswer, preview_look
from partline.services.verdicts.law import LIGHTNESS_GAP, lightness_gap
from partline.services.verdicts.step import Step

#: Multiples that are tried, and the lightness gap that is aimed at beyond the least. [-], [L*]
TRIED, SPARE = (2.0, 4.0, 8.0), 5.0
#: A bottle's strength is known so well; the size carries it. [-]
STRENGTH = 1.2
#: More of one colourant than this softens the plastic. Common practice. [drops in 100 g]
MOST_DROPS = 40.0
#: Draws of a look that only its middle is read of.
FEW = 8


def darker_back(look: LookAnswer) -> tuple[Step, float, float] | None:
    """Return the smallest raise of one colourant that darkens the back enough.

    Parameters
    ----------
    look : LookAnswer
        Predicted for what was poured.

    Returns
    -------
    step, before, after
        The raise, and the lightness gap before it and after it [L*]; None where no raise of what
        is in the back would do.
    """
    recipe, now = look.recipe, lightness_gap(look)
    for factor in TRIED:
        best: tuple[Step, float, float] | None = None
        for load in recipe.sides[0].loadings:
            if load.measure is not Measure.DROPS or load.amount * factor > MOST_DROPS:
                continue
            then = preview_look(
                _raised(recipe, load.supply, factor), look.mould, look.shelf, draws=FEW
            )
            gap = lightness_gap(then)
            amount = load.amount * factor
            step = Step(
                what="loading", half=recipe.sides[0].half.value, supply=load.supply,
                now=load.amount, then=amount, low=amount / STRENGTH, high=amount * STRENGTH,
                unit="drops",
            )  # fmt: skip
            if gap >= LIGHTNESS_GAP + SPARE and (best is None or gap > best[2]):
                best = (step, now, gap)
        if best is not None:
            return best
    return None


def _raised(recipe: Recipe, supply: str, factor: float) -> Recipe:
    back, *others = recipe.sides
    loads = tuple(
        replace(load, amount=load.amount * factor) if load.supply == supply else load
        for load in back.loadings
    )
    return replace(recipe, sides=(replace(back, loadings=loads), *others))
