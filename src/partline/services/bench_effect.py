"""What a correction of the bench would change in the plans that were made before it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

from partline.errors import Error
from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop
from partline.services.plan import plan_as_json, plan_pour

#: Newest plans that are looked at.
MOST_PLANS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """A kept plan beside what it would be on the bench as it is now; the plan itself stays.

    Parameters
    ----------
    plan : KeptPlan
        As it was made, of an older version of the bench.
    before, after : tuple of (str, float)
        Each cup and what goes into it in all; `after` is empty when there is no plan now. [g]
    melts_before, melts_after : int
        Cup pairs filled.
    refusal : str
        Why it could not be planned now; empty where it can.
    """

    plan: KeptPlan
    before: tuple[tuple[str, float], ...]
    after: tuple[tuple[str, float], ...] = ()
    melts_before: int = 0
    melts_after: int = 0
    refusal: str = ""

    @property
    def is_changed(self) -> bool:
        """Whether anything would be another."""
        return self.before != self.after or self.melts_before != self.melts_after


def effects_of_bench(workshop: Workshop, document_id: str) -> tuple[Effect, ...]:
    """Return the plans made with an older version of this bench, newest first.

    Raises
    ------
    NotFound
        If there is no such bench.
    """
    newest = workshop.benches.get(document_id)
    plans = workshop.plans.listed(document_id=document_id, most=MOST_PLANS)
    older = [
        plan
        for plan in plans
        if plan.bench.document_id == document_id and plan.bench.number != newest.version.number
    ]
    return tuple(_effect(workshop, plan) for plan in older)


def _effect(workshop: Workshop, plan: KeptPlan) -> Effect:
    kept = cast(dict[str, Any], plan.answer["plan"])
    before, melts = _cups(kept), int(kept["melts"])
    try:
        answer = plan_as_json(
            plan_pour(
                workshop.recipes.version(plan.recipe.id).content,
                workshop.moulds.version(plan.mould.id).content,
                workshop.benches.get(plan.bench.document_id).content,
                workshop.shelves.version(plan.shelf.id).content,
                good=plan.count,
            )
        )
    except Error as refusal:
        return Effect(plan=plan, before=before, melts_before=melts, refusal=str(refusal))
    return Effect(
        plan=plan,
        before=before,
        after=_cups(answer),
        melts_before=melts,
        melts_after=int(cast(int, answer["melts"])),
    )


def _cups(plan: dict[str, Any]) -> tuple[tuple[str, float], ...]:
    cups = (("A", plan["cup_a_g"]), ("B", plan["cup_b_g"]))
    return tuple((cup, grams) for cup, grams in cups if grams is not None)
