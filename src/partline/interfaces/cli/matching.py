"""Match a recipe's colour on the command line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import hint, say, say_json
from partline.physics.layered_media import is_compiled
from partline.records.exchange import read_file, read_shelf
from partline.services.matching import Wish, match_recipe, matching_as_json
from partline.services.workshop import Sources

Answer = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the command was given; blank texts say nothing.

    Parameters
    ----------
    recipe, mould, like : str
        Files or names; `like` may be blank.
    wish : Wish
        Everything typed that is no file or name.
    shelf, like_shelf, workshop : Path or None
        Where to look names up.
    """

    recipe: str
    mould: str
    wish: dict[str, Any]
    like: str = ""
    shelf: Path | None = None
    like_shelf: Path | None = None
    workshop: Path | None = None


def tell_match(asked: Asked, *, as_json: bool) -> None:
    """Say with which drops a recipe's bait looks as wished."""
    sources = Sources(folder=asked.workshop, shelf=asked.shelf)
    wish = Wish(
        **asked.wish,
        like=sources.recipe(asked.like) if asked.like else None,
        like_shelf=read_shelf(read_file(asked.like_shelf)) if asked.like_shelf else None,
    )
    recipe, mould = sources.recipe(asked.recipe), sources.mould(asked.mould)
    shelf = sources.shelf_for(asked.recipe)
    if not is_compiled():
        hint("Preparing the light solver, once on this machine: about 15 seconds…")
    answer = matching_as_json(match_recipe(recipe, mould, shelf, wish))
    if as_json:
        say_json(answer)
    else:
        _tell(answer)


def _who(half: str) -> str:
    return "bait" if half == "whole" else half


def _lab(colour: Answer) -> str:
    lightness, a, b = (f"{each:.0f}" for each in colour["lab"])
    return f"Lab {lightness} {a} {b} ({colour['screen']})"


def _tell(answer: Answer) -> None:
    recipe = answer["recipe"]
    say(f"{recipe['name']}, version {recipe['version']}, in {answer['mould']}")
    for wanted in answer["wanted"]:
        say(f"Wanted of the {_who(wanted['half'])}: {_lab(wanted)}, {wanted['source']}")
    say(answer["reach"]["words"])
    for number, match in enumerate(answer["matches"], 1):
        _tell_one(number, match)
    say()
    for note in answer["notes"]:
        say(f"Note: {note}")
    if answer["picture"]["provisional"]:
        picture = answer["picture"]
        say(
            f"The colours behind these are provisional: ΔE00 {picture['error_median']:.1f} off in "
            f"the middle case, {picture['error_95']:.0f} or more in 1 of 20."
        )


def _tell_one(number: int, match: Answer) -> None:
    say()
    offered = ", ".join(match["offered_for"])
    say(f"{number}. {offered[:1].upper()}{offered[1:]}" if offered else f"{number}. Another way")
    for side in match["sides"]:
        say(f"  Cup {side['cup']}, {side['cup_g']:g} g, the {_who(side['half'])}: {_lab(side)}")
        say(f"    {side['words']}")
        for dose in side["drops"]:
            count = f"{dose['drops']} drop{'' if dose['drops'] == 1 else 's'}"
            caution = f". {dose['caution']}" if dose["caution"] else ""
            say(f"    {count} {dose['supply']} = {dose['grams']:g} g, {dose['when']}{caution}")
        if not side["drops"]:
            say("    no colour at all")
        if side["difference"]["narrows"]:
            say(f"    What would narrow it: {side['difference']['narrows']}")
    if match["cost"] is not None:
        say(f"  Colour for these cups: ¤{match['cost']:.2f}")
    elif match["unpriced"]:
        say(f"  No cost: the price of {', '.join(match['unpriced'])} is not known.")
    for chip in match["to_read_next"]:
        say(f"  To be surer, read {chip}.")
    for note in match["notes"]:
        say(f"  Note: {note}")
