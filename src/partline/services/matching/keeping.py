"""Take one of the recipes found as the next version of the one it was asked for."""

from __future__ import annotations

from typing import Any

from partline.process.recipe import Recipe
from partline.records.documents import Kept
from partline.records.workshop import Workshop
from partline.services.matching.answer import MatchAnswer
from partline.services.recipes import Fields, fields_of, save_recipe


def version_note(answer: MatchAnswer, number: int) -> str:
    """Return why a version was made: what it was matched to, and the drops that were counted."""
    match = answer.found.matches[number]
    told = []
    for side in match.sides:
        drops = ", ".join(f"{dose.drops} {dose.bottle.name}" for dose in side.doses) or "no colour"
        source = answer.found.wanted[side.half].source.partition(":")[0]
        told.append(
            f"{side.half.value} matched to {source} (ΔE00 {side.difference.value:.1f} predicted): "
            f"{drops} in {side.cup * 1e3:g} g"
        )
    return "; ".join(told)[:500]


def fields_of_match(answer: MatchAnswer, number: int) -> Fields:
    """Return one of the recipes found as the texts of an editor's form."""
    return fields_of(answer.found.matches[number].recipe)


def keep_match(
    workshop: Workshop, fields: dict[str, Any], *, document_id: str, based_on: int, note: str
) -> Kept[Recipe]:
    """Keep a recipe that was found as the next version.

    Raises
    ------
    EditedElsewhere
        If somebody saved a newer version first.
    Invalid
        If it cannot be read.
    """
    return save_recipe(workshop, fields, document_id=document_id, based_on=based_on, note=note)
