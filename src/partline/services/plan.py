"""Plan the cups for a number of good baits and say it in the maker's units."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from partline.errors import Invalid
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.amounts import Amounts, Budget, Cup, Melt, plan_amounts
from partline.process.bench import Bench
from partline.process.ingredients import Ingredient
from partline.process.recipe import Half, Recipe
from partline.process.recipe_check import check_against_shelf
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate
from partline.services.cautions import CAUTIONS, supply_caution
from partline.services.origins import plan_inputs
from partline.services.telling import figure
from partline.services.why import why_as_dicts

Json = dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanAnswer:
    """A plan with everything it was made from.

    Parameters
    ----------
    recipe, mould, bench, shelf
        What was asked.
    amounts : Amounts
        The answer.
    """

    recipe: Recipe
    mould: Mould
    bench: Bench
    shelf: Shelf
    amounts: Amounts


def plan_pour(
    recipe: Recipe, mould: Mould, bench: Bench, shelf: Shelf, *, good: int
) -> PlanAnswer:
    """Plan the cups for `good` good baits.

    Raises
    ------
    Invalid
        If the recipe asks for something that is not on the shelf.
    OutOfRange, Impossible
        As `plan_amounts`.
    """
    problems = check_against_shelf(recipe, shelf)
    if problems:
        raise Invalid(tuple(problems), what=f"Recipe “{recipe.name}”")
    amounts = plan_amounts(recipe, mould, bench, shelf, good=good)
    return PlanAnswer(recipe=recipe, mould=mould, bench=bench, shelf=shelf, amounts=amounts)


def scale_reading(mass: float, digits: int = 1) -> float:
    """Round a mass [kg] to what a scale shows [g], a half upwards."""
    step = Decimal(1).scaleb(-digits)
    # Twelve digits take a sum's rounding error off before the half is judged.
    grams = Decimal(f"{mass * 1e3:.12g}")
    return float(grams.quantize(step, rounding=ROUND_HALF_UP))


def _digits(ingredient: Ingredient) -> int:
    """Return the decimals of the scale used: hundredths for colour and powder, tenths else."""
    return 1 if ingredient.kind in {"grade", "softener", "hardener"} else 2


def _ingredient(ingredient: Ingredient, cup: Cup, bench: Bench, melt: int | None = None) -> Json:
    fields: Json = {
        "cup": cup.half.cup,
        "half": cup.half.value,
        "supply": ingredient.supply,
        "kind": ingredient.kind,
        "grams": scale_reading(ingredient.mass, _digits(ingredient)),
        "grams_range": [
            scale_reading(end, _digits(ingredient))
            for end in (ingredient.known.low, ingredient.known.high)
        ],
        "drops": ingredient.drops,
        "drops_exact": None
        if ingredient.drops_exact is None
        else round(ingredient.drops_exact, 2),
        "teaspoons": None if ingredient.teaspoons is None else figure(ingredient.teaspoons, 2),
        "when": ingredient.step.words,
        "caution": supply_caution(ingredient, bench) or None,
    }
    return fields if melt is None else {"melt": melt, **fields}


def _ends(mass: Estimate) -> list[float]:
    """Return the ends of a mass's range as a scale shows them. [g]"""
    return [scale_reading(mass.low), scale_reading(mass.high)]


def _melt(number: int, melt: Melt, bench: Bench) -> Json:
    cups = {cup.half.cup: cup for cup in melt.cups}
    return {
        "melt": number,
        "shots": melt.shots,
        "draws": melt.draws,
        "cup_a_g": scale_reading(cups["A"].mass),
        "cup_b_g": scale_reading(cups["B"].mass) if "B" in cups else None,
        "cup_a_g_range": _ends(cups["A"].known),
        "cup_b_g_range": _ends(cups["B"].known) if "B" in cups else None,
        "cup_a_hot_ml": round(cups["A"].hot_volume * 1e6, 1),
        "cup_b_hot_ml": round(cups["B"].hot_volume * 1e6, 1) if "B" in cups else None,
        "ingredients": [
            _ingredient(each, cup, bench) for cup in melt.cups for each in cup.ingredients
        ],
    }


def _handling(recipe: Recipe) -> Json:
    """Return the recipe's own start [°C] and push time [s], each None where it names none."""
    start, push = recipe.handling.start, recipe.handling.push
    return {
        "start_celsius": None if start is None else round(start - ZERO_CELSIUS, 1),
        "push_s": None if push is None else round(push, 1),
    }


#: What each part of a cup is weighed by; common practice, no source.
WEIGHINGS = {
    "baits": "weighing one whole shot, cold, without its sprue and runner",
    "sprue": "weighing the sprue and runner of one shot",
    "block": "weighing what stays in the joining block after a shot",
    "heels": "weighing what the plunger leaves in a syringe",
    "film": "weighing an emptied cup against the clean one",
}


def _narrows(budget: Budget) -> str:
    """Return what would narrow the cups most: weighing the part of the widest range."""

    def width(part: str) -> float:
        known: Estimate = getattr(budget, part)
        return known.high - known.low

    return WEIGHINGS[max(WEIGHINGS, key=width)]


def _total(amounts: Amounts, half: Half) -> float:
    """Sum of what the scale shows for each melt, so that the card adds up. [g]"""
    readings = [
        scale_reading(cup.mass) for melt in amounts.melts for cup in melt.cups if cup.half is half
    ]
    return round(sum(readings), 1)


def plan_as_json(answer: PlanAnswer) -> Json:
    """Return a plan in the maker's units.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    amounts, mould = answer.amounts, answer.mould
    halves = [side.half for side in answer.recipe.sides]
    budget = amounts.budget
    return {
        "recipe": {"name": answer.recipe.name, "version": answer.recipe.version},
        "mould": mould.name,
        "bench": answer.bench.name,
        "temperatures": "°F" if answer.bench.reads_fahrenheit else "°C",
        "bottom_mark": mould.bottom_mark,
        "handling": _handling(answer.recipe),
        "good": amounts.good,
        "to_mould": amounts.to_mould,
        "moulded": amounts.moulded,
        "shots": amounts.shots,
        "melts": len(amounts.melts),
        "cup_a_g": _total(amounts, halves[0]),
        "cup_b_g": _total(amounts, halves[1]) if len(halves) == 2 else None,
        "melt_plan": [
            _melt(i, melt, answer.bench) for i, melt in enumerate(amounts.melts, start=1)
        ],
        "ingredients": [
            _ingredient(each, cup, answer.bench, number)
            for number, melt in enumerate(amounts.melts, start=1)
            for cup in melt.cups
            for each in cup.ingredients
        ],
        "budget_g": {
            "baits": scale_reading(budget.baits.value),
            "sprue_and_runner": scale_reading(budget.sprue.value),
            "block": scale_reading(budget.block.value),
            "heels": scale_reading(budget.heels.value),
            "film": scale_reading(budget.film.value),
            "total": scale_reading(budget.total.value),
        },
        "budget_g_range": {
            "baits": _ends(budget.baits),
            "sprue_and_runner": _ends(budget.sprue),
            "block": _ends(budget.block),
            "heels": _ends(budget.heels),
            "film": _ends(budget.film),
            "total": _ends(budget.total),
        },
        "cup_narrows": _narrows(budget),
        "bait": {
            "mass_g": figure(amounts.bait_mass.map(lambda kg: kg * 1e3), 2),
            "density_g_per_ml": figure(amounts.bait_density.map(lambda rho: rho * 1e-3), 4),
        },
        "fit": {
            "cup_hot_ml": round(amounts.vessel.used * 1e6, 1),
            "cup_limit_ml": round(amounts.vessel.limit * 1e6, 1),
            "one_melt_hot_ml": round(amounts.single_melt * 1e6, 1),
            "syringe_ml": round(amounts.syringe.used * 1e6, 1),
            "syringe_limit_ml": round(amounts.syringe.limit * 1e6, 1),
            "at_celsius": round(amounts.working_temperature - ZERO_CELSIUS, 1),
        },
        "notes": [note.text for note in amounts.notes],
        "origins": [
            each.as_dict()
            for each in plan_inputs(answer.recipe, mould, answer.bench, answer.shelf)
        ],
        "why": why_as_dicts(),
        "cautions": list(CAUTIONS),
    }
