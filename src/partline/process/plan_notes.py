"""What to know beside a plan's numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from partline.materials.mould import Mould
from partline.process.bench import Bench
from partline.process.cavity import section_at
from partline.process.ingredients import Ingredient
from partline.process.poured_side import EQUAL_PUSH, PouredSide
from partline.process.recipe import Recipe
from partline.quantities.note import Note

#: A side this much denser than its plastisol weighs noticeably more than the mould's weighing.
HEAVY = 1.01
#: A mould's line may lie this far from the middle before an equal push is worth a word. [-]
UNEVEN = 0.05
#: Whole drops may be this far from the exact count before it is worth a word. [-]
COARSE = 0.15


def plan_notes(
    sides: Sequence[PouredSide],
    mould: Mould,
    recipe: Recipe,
    bench: Bench,
    ingredients: Sequence[Ingredient],
) -> tuple[Note, ...]:
    """Return the remarks that belong to a plan.

    Parameters
    ----------
    sides : sequence of PouredSide
        What is poured.
    mould, recipe, bench
        Into what, how and where; temperatures are told as the bench's thermometer shows them.
    ingredients : sequence of Ingredient
        Of all cups.
    """
    return (
        *_heavy(sides, mould),
        *_uneven(mould, recipe),
        *_start(sides, recipe, bench),
        *_coarse(ingredients),
    )


def _plain_density(side: PouredSide) -> float:
    grades = side.plastic.grades
    total = side.plastic.plastisol_share
    return total / sum(share / grade.density.value for grade, share in grades)


def _heavy(sides: Sequence[PouredSide], mould: Mould) -> Iterator[Note]:
    if mould.bait_volume is not None or mould.weighed_density is not None:
        return
    heavy = [
        side.half for side in sides if side.plastic.density.value > HEAVY * _plain_density(side)
    ]
    if heavy:
        yield Note(
            text=(
                f"The {' and the '.join(heavy)} is loaded heavily enough to weigh more than plain "
                "plastic. Give the mould the density it was weighed in, or a volume by "
                "displacement, and the grams will follow."
            ),
            about="bait mass",
        )


def _uneven(mould: Mould, recipe: Recipe) -> Iterator[Note]:
    split = float(section_at(mould.widest).split)
    if recipe.is_two_colour and abs(split - EQUAL_PUSH) > UNEVEN:
        yield Note(
            text=(
                f"This mould's line leaves {split * 100:.0f} % of the section to the back, but an "
                "equal pair of syringes pushes halves: the line will wander towards the middle."
            ),
            about=mould.widest.name,
        )


def _start(sides: Sequence[PouredSide], recipe: Recipe, bench: Bench) -> Iterator[Note]:
    low = max(side.plastic.band[0] for side in sides)
    high = min(side.plastic.band[1] for side in sides)
    if low >= high:
        yield Note(text="The labels' working bands do not overlap: no start suits every grade.")
        return
    start = recipe.handling.start
    if start is not None and not low <= start <= high:
        where = "above" if start > high else "below"
        yield Note(
            text=(
                f"The start of {bench.reading(start)} is {where} the labels' working band, "
                f"{bench.reading(low)} to {bench.reading(high)}."
            ),
            about="start",
        )


def _coarse(ingredients: Sequence[Ingredient]) -> Iterator[Note]:
    for each in ingredients:
        if each.drops is None or not each.drops_exact:
            continue
        if abs(each.drops - each.drops_exact) > COARSE * each.drops_exact:
            yield Note(
                text=(
                    f"{each.supply}: {each.drops_exact:.1f} drops are asked, {each.drops} is the "
                    "nearest whole number. Weigh it, or make a larger melt."
                ),
                about=each.supply,
            )
