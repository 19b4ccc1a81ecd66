"""A demo workshop with one plan of its third recipe, as a test of any room needs it."""

from __future__ import annotations

from pathlib import Path

from partline.services.runcard import keep_plan
from partline.services.workshop import load_demo, open_at


def planned(folder: Path) -> str:
    """Make the demo workshop with one plan in it; return the plan's code."""
    with open_at(folder) as workshop:
        load_demo(workshop)
        recipe = workshop.recipes.named("peat-over-chalk").version
        plan = keep_plan(
            workshop,
            recipe_id=recipe.document_id,
            recipe_version=recipe.number,
            mould_id=workshop.moulds.named("reed-130").version.document_id,
            bench_id=workshop.benches.named("Vessary Shed").version.document_id,
            good=40,
        )
        return plan.code
