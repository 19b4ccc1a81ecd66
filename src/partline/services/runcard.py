"""Keep a plan with all that it was made from, and print its card from what was kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.composition import compose
from partline.process.recipe import Recipe
from partline.process.rendering import VIEWS, Backdrop, View
from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop
from partline.services.guesses import ranked_guesses
from partline.services.look import draw_pictures, look_as_json, preview_look
from partline.services.plan import PlanAnswer, plan_as_json, plan_pour
from partline.services.shelf import celsius
from partline.services.workshop import SHELF, now, program_version

Json = dict[str, object]
Floats = NDArray[np.floating]


def keep_plan(
    workshop: Workshop,
    *,
    recipe_id: str,
    recipe_version: int,
    mould_id: str,
    bench_id: str,
    good: int,
) -> KeptPlan:
    """Plan a kept recipe and keep the plan, with its answer and the versions it rests on.

    Raises
    ------
    NotFound
        If one of the parts is not kept.
    OutOfRange, Impossible
        As `plan_pour`.
    """
    return keep_plans(
        workshop, recipe_id=recipe_id, recipe_version=recipe_version, mould_id=mould_id,
        bench_id=bench_id, good=good, each_from=({},),
    )[0]  # fmt: skip


def keep_plans(
    workshop: Workshop,
    *,
    recipe_id: str,
    recipe_version: int,
    mould_id: str,
    bench_id: str,
    good: int,
    each_from: Sequence[Json],
) -> tuple[KeptPlan, ...]:
    """Plan a kept recipe once and keep the plan several times, each under a code of its own.

    Parameters
    ----------
    workshop : Workshop
        Open.
    recipe_id, recipe_version, mould_id, bench_id
        What is poured; version 0 is the newest.
    good : int
        Good baits wanted of each.
    each_from : sequence of dict
        What each is kept with beside the count, such as its group.

    Raises
    ------
    NotFound
        If one of the parts is not kept.
    OutOfRange, Impossible
        As `plan_pour`.
    """
    recipe = workshop.recipes.get(recipe_id, recipe_version or None)
    mould = workshop.moulds.get(mould_id)
    bench = workshop.benches.get(bench_id)
    shelf = workshop.shelves.named(SHELF)
    plan = plan_pour(recipe.content, mould.content, bench.content, shelf.content, good=good)
    look = preview_look(recipe.content, mould.content, shelf.content)
    answer: Json = {
        "plan": plan_as_json(plan),
        "look": look_as_json(look, cup_masses=plan.amounts.melts[0].masses),
        "guesses": [each.as_dict() for each in ranked_guesses(plan, look)],
    }
    return tuple(
        workshop.plans.add(
            recipe=recipe.version,
            mould=mould.version,
            bench=bench.version,
            shelf=shelf.version,
            count=good,
            inputs={"count": good, **more},
            answer=answer,
            program=program_version(),
            now=now(),
        )
        for more in each_from
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CardMaterial:
    """Everything that a run card is printed from.

    Parameters
    ----------
    plan, look : dict
        As `plan_as_json` and `look_as_json` answer.
    heat : dict
        The labels' working band and target; their ceiling, or the bench's own below it. [°C]
    pictures : dict of ndarray
        The bait from each side over a pale card: sRGB, 0 to 1. [-]
    """

    plan: Json
    look: Json
    heat: dict[str, float | None]
    pictures: dict[View, Floats]


def card_material(plan: PlanAnswer) -> CardMaterial:
    """Return what the card of a fresh plan is printed from."""
    look = preview_look(plan.recipe, plan.mould, plan.shelf)
    return CardMaterial(
        plan=plan_as_json(plan),
        look=look_as_json(look, cup_masses=plan.amounts.melts[0].masses),
        heat=_heat(plan.recipe, plan.bench, plan.shelf),
        pictures=_pictures(plan.recipe, plan.mould, plan.shelf),
    )


def kept_card_material(workshop: Workshop, kept: KeptPlan) -> CardMaterial:
    """Return what the card of a kept plan is printed from: its own numbers, drawn again."""
    recipe = workshop.recipes.version(kept.recipe.id).content
    mould = workshop.moulds.version(kept.mould.id).content
    bench = workshop.benches.version(kept.bench.id).content
    shelf = workshop.shelves.version(kept.shelf.id).content
    return CardMaterial(
        plan=cast(Json, kept.answer["plan"]),
        look=cast(Json, kept.answer["look"]),
        heat=_heat(recipe, bench, shelf),
        pictures=_pictures(recipe, mould, shelf),
    )


def _heat(recipe: Recipe, bench: Bench, shelf: Shelf) -> dict[str, float | None]:
    grades = [grade for side in recipe.sides for grade, _ in compose(side, shelf).grades]
    return {
        "band_low": celsius(max(grade.band_low for grade in grades)),
        "band_high": celsius(min(grade.band_high for grade in grades)),
        "target": celsius(max(grade.target for grade in grades)),
        "ceiling": celsius(bench.limit(min(grade.ceiling for grade in grades))),
    }


def _pictures(recipe: Recipe, mould: Mould, shelf: Shelf) -> dict[View, Floats]:
    drawn = draw_pictures(recipe, mould, shelf)
    return {view: drawn[view, Backdrop.PALE] for view in VIEWS}
