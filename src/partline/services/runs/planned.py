"""What a run follows, from the very versions that were planned."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from partline.errors import Impossible
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.recipe import Recipe
from partline.process.run import RunPlan, run_plan
from partline.services.heating import band_for
from partline.services.plan import plan_pour


@lru_cache(maxsize=16)
def planned(recipe: Recipe, mould: Mould, bench: Bench, shelf: Shelf, good: int) -> RunPlan:
    """Return what a run of a plan for so many good baits follows.

    Raises
    ------
    Invalid, OutOfRange, Impossible
        As `plan_pour`; a kept plan has passed it.
    """
    answer = plan_pour(recipe, mould, bench, shelf, good=good)
    plan = run_plan(
        answer.amounts, recipe, bench, shelf, cavities=mould.cavities, mark=mould.bottom_mark
    )
    try:
        window = band_for(answer)
    except Impossible:  # the labels' own band, then; the plan's notes say what is wrong
        return plan
    stop = max(plan.band[0], window.stop.temperature.value)
    start = min(plan.band[1], window.start.temperature.value)
    return replace(plan, band=(stop, start)) if stop < start else plan
