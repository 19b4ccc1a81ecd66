"""The rules of a bench in large letters, with the ceiling that holds there."""

from __future__ import annotations

from typing import Any

from partline.process.bench import Bench
from partline.services.cautions import FIRST

Json = dict[str, Any]


def bench_rules(bench: Bench) -> Json:
    """Return what stands on the wall beside a bench.

    Parameters
    ----------
    bench : Bench
        Whose ceiling, if it has one, stands on it.

    Returns
    -------
    dict
        ``bench``, ``first``, ``ceiling`` or None, ``ceiling_words``, ``rules[]`` of
        ``do`` and ``why``, and ``if_hurt[]``.
    """
    return {
        "bench": bench.name,
        "first": FIRST,
        "ceiling": None if bench.ceiling is None else bench.reading(bench.ceiling),
        "ceiling_words": (
            "Never past the ceiling on the jug’s label."
            if bench.ceiling is None
            else "Nothing is heated past this here, and never past the ceiling on the jug’s label."
        ),
        "rules": [{"do": do, "why": why} for do, why in _RULES],
        "if_hurt": list(_IF_HURT),
    }


#: What to do and what for. Common practice, no source; hazards as in docs/explanation.
_RULES = (
    ("Gloves, long sleeves, eye cover, closed shoes.", "Hot plastic sticks and burns at once."),
    ("Fan on before any heat, exhaust away from faces.", "Fumes irritate, and harm comes later."),
    ("Dry tools, metal stirrer, no open water.", "Water in hot plastic flashes to steam."),
    (
        "Short bursts, stir, read. Never leave a heating cup.",
        "The middle is hotter than it reads.",
    ),
    ("Two hands on a cup, one person at the bench.", "A pushed elbow spills a cup."),
    ("Look for the BOTTOM mark and the bands on the cups.", "Swapped halves spoil every bait."),
    ("Change one thing at a time, and write it on the card.", "Of three changes nobody learns."),
    ("Cups, spoons and oven never see food again.", "What is in plastic stays on the ware."),
)
_IF_HURT = (
    "Burn: hold it under cool running water away from the bench, do not pull plastic off the "
    "skin, get medical help.",
    "Smoke: power off, leave the cup closed, everybody out, air the room. A cough may come hours "
    "later: see a doctor.",
    "Fire in the oven: door stays shut, power off at the wall.",
)
