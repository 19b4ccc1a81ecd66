"""The usual cautions, the same on every door. Local codes and the supplier's sheet come first."""

from __future__ import annotations

from partline.process.bench import Bench
from partline.process.ingredients import Ingredient

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
    """Return the warning that belongs to one supply, in what the bench's thermometer shows."""
    if ingredient.caution or ingredient.heat_limit is None:
        return ingredient.caution
    return f"Sheds above {bench.reading(ingredient.heat_limit)}."
