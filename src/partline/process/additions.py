"""When each ingredient goes into a cup: at once, between bursts, or after the last heat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partline.process.ingredients import Ingredient, Step

#: From here on the plastic has gone clear: common practice, no source. [K]
CLEAR = 433.15


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldBack:
    """An ingredient that waits for the last heat.

    Parameters
    ----------
    ingredient : Ingredient
        Which.
    reason : str
        Why.
    """

    ingredient: Ingredient
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sorted:
    """One cup's ingredients, sorted by when they go in.

    Parameters
    ----------
    cold : tuple of Ingredient
        Before heating.
    colour : tuple of Ingredient
        After the first stir.
    salt : tuple of Ingredient
        Once it has gone clear, and before the last burst.
    last : tuple of Ingredient
        After the last burst of this heat.
    held_back : tuple of HeldBack
        After a later heat's last burst.
    """

    cold: tuple[Ingredient, ...]
    colour: tuple[Ingredient, ...]
    salt: tuple[Ingredient, ...]
    last: tuple[Ingredient, ...]
    held_back: tuple[HeldBack, ...]


def why_last(ingredient: Ingredient) -> str:
    """Return why something must not see another heat; empty where it may.

    Metal sparks in a microwave oven, some colours fade, some flakes shed: each is in only once
    nothing will be heated again.
    """
    if forbids_oven([ingredient]):
        return "it is metal and must never be in the microwave oven"
    if ingredient.step is Step.TENDER:
        return "it is heat-tender and is not heated again"
    if ingredient.heat_limit is not None:
        return "it sheds when it is heated again"
    if ingredient.step is Step.SCENT:
        return "it goes in just before the draw"
    return ""


def forbids_oven(added: Sequence[Ingredient]) -> Ingredient | None:
    """Return what in a cup forbids that it ever goes into the oven again: metal, first of all.

    Parameters
    ----------
    added : sequence of Ingredient
        What has been stirred into the cup so far.
    """
    return next((each for each in added if each.kind == "flake" and each.caution), None)


def sort_out(ingredients: Sequence[Ingredient], *, heat: int, heats: int) -> Sorted:
    """Sort one cup's ingredients by when they go in.

    Parameters
    ----------
    ingredients : sequence of Ingredient
        All of the cup's melt.
    heat, heats : int
        Which heat of this melt is planned, and of how many. A later heat finds all in the cup
        but what was held back.
    """
    is_first, is_last = heat == 1, heat == heats
    tender = [each for each in ingredients if why_last(each)]
    plain = [each for each in ingredients if not why_last(each)]

    def at(step: Step) -> tuple[Ingredient, ...]:
        return tuple(each for each in plain if each.step is step) if is_first else ()

    return Sorted(
        cold=at(Step.COLD),
        colour=at(Step.COLOUR),
        salt=at(Step.SALT),
        last=at(Step.FLAKE) + (tuple(tender) if is_last else ()),
        held_back=()
        if is_last
        else tuple(HeldBack(ingredient=each, reason=why_last(each)) for each in tender),
    )
