"""The usual cautions, the same on every door. Local codes and the supplier's sheet come first."""

from __future__ import annotations

from partline.process.bench import Bench
from partline.process.ingredients import Ingredient
from partline.process.working_band import USUAL_DOUBT

FIRST = "Your local codes and the supplier's safety sheet come before anything written here."

CAUTIONS: tuple[str, ...] = (
    FIRST,
    "Hot plastic sticks and burns at once: gloves, sleeves, eye cover. Burn: cool with running "
    "water away from the bench, do not pull plastic off the skin, get medical help.",
    "Fumes irritate: fan on, exhaust away from your face. Smoke or yellowing: power off, leave "
    "the cup closed, clear the room, air it. A cough may come hours later: see a doctor.",
    "Water in hot plastic flashes to steam and spatters: dry tools, metal stirrer, no open water.",
    "Oven, cups and spoons are kept for plastic and never used for food again.",
    "Never past the label's ceiling. Never leave a heating cup alone.",
)


def supply_caution(ingredient: Ingredient, bench: Bench) -> str:
    """Return the warnings that belong to one supply, in what the bench's thermometer shows.

    A metal flake that sheds has two: neither takes the other's place.
    """
    told = [ingredient.caution] if ingredient.caution else []
    if ingredient.heat_limit is not None:
        told.append(f"Sheds above {bench.reading(ingredient.heat_limit)}.")
    return " ".join(told)


def not_above(ingredient: Ingredient, bench: Bench) -> float | None:
    """Return the warmest reading at which a flake that sheds may go in. [K]

    The thermometer's own doubt is taken off its limit. None where it has no limit.
    """
    if ingredient.heat_limit is None:
        return None
    doubt = bench.thermometer.doubt if bench.thermometer else USUAL_DOUBT
    return ingredient.heat_limit - doubt
