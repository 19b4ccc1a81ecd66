"""The groups of a class: one plan and one card each, known by a number and by no name."""

from __future__ import annotations

from dataclasses import dataclass

from partline.errors import NotFound, OutOfRange
from partline.records.models import new_code
from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop
from partline.services.runcard import CardMaterial, keep_plans, kept_card_material

#: Groups that one bench and one teacher can keep an eye on, common practice, no source.
FEWEST, MOST, USUAL = 1, 24, 8
#: Letters of a class's code.
LETTERS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassCard:
    """What one group's card is printed from.

    Parameters
    ----------
    plan : KeptPlan
        Its code leads a typed-in card back to the group.
    group, of : int
        Which group, of how many.
    material : CardMaterial
        The same for all of them.
    """

    plan: KeptPlan
    group: int
    of: int
    material: CardMaterial


def begin_class(
    workshop: Workshop,
    *,
    recipe_id: str,
    mould_id: str,
    bench_id: str,
    good: int,
    groups: int = USUAL,
) -> str:
    """Plan the same pour for every group of a class, and return the class's code.

    Parameters
    ----------
    workshop : Workshop
        Open.
    recipe_id, mould_id, bench_id : str
        What is poured; their newest versions.
    good : int
        Good baits wanted of each group.
    groups : int
        1 to 24.

    Raises
    ------
    OutOfRange
        If there are fewer or more groups.
    NotFound, Impossible
        As `partline.services.runcard.keep_plan`.
    """
    if not FEWEST <= groups <= MOST:
        raise OutOfRange(
            f"{groups} groups were asked for; a class has {FEWEST} to {MOST}.",
            low=FEWEST, high=MOST, field="groups", given=str(groups),
            remedy="Split a larger class: each half gets results of its own.",
        )  # fmt: skip
    code = new_code(LETTERS)
    keep_plans(
        workshop, recipe_id=recipe_id, recipe_version=0, mould_id=mould_id, bench_id=bench_id,
        good=good,
        each_from=[
            {"class": code, "group": group, "groups": groups} for group in range(1, groups + 1)
        ],
    )  # fmt: skip
    return code


def groups_of(workshop: Workshop, code: str) -> tuple[KeptPlan, ...]:
    """Return the plans of a class, group by group.

    Raises
    ------
    NotFound
        If there is no such class.
    """
    plans = workshop.plans.of_class(code)
    if not plans:
        raise NotFound(f"No class has the code “{code[:20]}”. Check it on the page of classes.")
    return plans


def class_cards(workshop: Workshop, code: str) -> tuple[ClassCard, ...]:
    """Return what the cards of a class are printed from.

    Raises
    ------
    NotFound
        If there is no such class.
    """
    plans = groups_of(workshop, code)
    material = kept_card_material(workshop, plans[0])
    return tuple(
        ClassCard(plan=plan, group=place, of=len(plans), material=material)
        for place, plan in enumerate(plans, start=1)
    )


def listed_classes(workshop: Workshop) -> tuple[KeptPlan, ...]:
    """Return the first group's plan of every class, the newest first."""
    return workshop.plans.classes()
