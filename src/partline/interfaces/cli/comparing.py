"""Compare two recipes on the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import say, say_json
from partline.services.comparing import comparison_as_json
from partline.services.workshop import Sources
from partline.studies.uncertainty import DRAWS


def compare_recipes(
    before: str,
    after: str,
    mould: str,
    shelf: Path | None,
    workshop: Path | None,
    *,
    as_json: bool,
) -> None:
    """Say what changed between two recipes and what came of it."""
    sources = Sources(folder=workshop, shelf=shelf)
    answer: dict[str, Any] = comparison_as_json(
        sources.recipe(before),
        sources.recipe(after),
        sources.mould(mould),
        sources.shelf_for(after),
        draws=DRAWS,
    )
    if as_json:
        say_json(answer)
        return
    for change in answer["changes"]:
        say(change["words"])
    if not answer["changes"]:
        say("Nothing changed: both say the same.")
    views = ", ".join(f"{value:.1f} seen from the {view}"
                      for view, value in answer["views"].items())  # fmt: skip
    say(f"From one to the other the bait changes by ΔE00 {views}, in the mean of each view.")
    for key in ("before", "after"):
        look = answer[key]
        say()
        say(f"{key.capitalize()}: {look['recipe']['name']}, version "
            f"{look['recipe']['version']}, in {answer['mould']}")  # fmt: skip
        for words, name in (
            ("Back against belly", "back_belly"),
            ("Halves from the side", "side"),
        ):
            if difference := look["distinctness"][name]:
                say(f"  {words}: ΔE00 {_range(difference, 1)}, {difference['verdict']}")
        for half, seen in look["halves"].items():
            who = "bait" if half == "whole" else half
            say(f"  The {who} hides {_range(seen['hiding'], 2)}: {seen['verdict']}")


def _range(figure: dict[str, Any], digits: int) -> str:
    low, high = figure["low"], figure["high"]
    return f"{figure['value']:.{digits}f} ({low:.{digits}f}–{high:.{digits}f})"
