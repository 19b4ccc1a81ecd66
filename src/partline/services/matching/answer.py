"""Match a recipe to a wish, and say the answer in the maker's units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from partline.errors import Invalid
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.physics.colorimetry import WHITE, xyz_to_srgb
from partline.process.composition import compose
from partline.process.ingredients import weigh_out
from partline.process.recipe import Half, Recipe
from partline.process.recipe_check import check_against_shelf
from partline.quantities.estimate import Estimate
from partline.services.cautions import CAUTIONS
from partline.services.matching.light import models_of
from partline.services.matching.wish import Wish, check_wish, cups_of, limits_of, wanted_looks
from partline.services.telling import figure
from partline.studies.colour_matching import (
    Bait,
    Limits,
    Match,
    MatchedSide,
    Matching,
    Models,
    WantedLook,
    match_look,
)
from partline.studies.uncertainty import DRAWS

Json = dict[str, Any]

#: Grams are told to this many digits: a scale of 0.01 g reads the last one.
GRAMS = 3
USUAL_CUP = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchAnswer:
    """Recipes for a wish, with what it was asked of.

    Parameters
    ----------
    bait : Bait
        Recipe, mould, shelf and cups.
    limits : Limits
        What was allowed.
    found : Matching
        The answer.
    """

    bait: Bait
    limits: Limits
    found: Matching


def match_recipe(
    recipe: Recipe,
    mould: Mould,
    shelf: Shelf,
    wish: Wish,
    *,
    models: Models | None = None,
    draws: int = DRAWS,
) -> MatchAnswer:
    """Find drops with which a recipe's bait looks as wished.

    Parameters
    ----------
    recipe : Recipe
        Its plastisol, flake and salt stay; its colour is looked for anew.
    mould, shelf
        What it is poured into, and from.
    wish : Wish
        As typed.
    models : Models or None
        Of light; slabs to look with and the best renderer at hand to judge with when left out.
    draws : int
        Behind each range.

    Raises
    ------
    Invalid
        If the recipe asks for something that is not on the shelf; or with everything of the wish
        that cannot be used, beside its field.
    InputError
        If nothing is wanted, or of a side that the bait has not.
    Impossible
        If there is no bottle to match with.
    """
    if problems := check_against_shelf(recipe, shelf):
        raise Invalid(tuple(problems), what=f"Recipe “{recipe.name}”")
    check_wish(wish, recipe)
    limits, cups = limits_of(wish), cups_of(wish, recipe)
    models = models or models_of(recipe, mould, shelf)
    bait = Bait(recipe=recipe, mould=mould, shelf=shelf, cups=cups, models=models)
    wanted = wanted_looks(wish, recipe, shelf, bait.light().figures)
    return MatchAnswer(
        bait=bait, limits=limits, found=match_look(bait, wanted, limits, draws=draws)
    )


def _srgb(lab: Sequence[float]) -> tuple[list[float], bool]:
    """Return a colour for a screen, and whether the screen shows it as it is."""
    fy = (lab[0] + 16) / 116
    f = np.array([fy + lab[1] / 500, fy, fy - lab[2] / 200])
    ratio = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29))
    shown = xyz_to_srgb(ratio * WHITE)
    return [round(float(each), 4) for each in shown.rgb], not bool(shown.is_clipped)


def _colour(lab: Sequence[float]) -> Json:
    rgb, is_shown = _srgb(lab)
    return {
        "lab": [round(each, 1) for each in lab],
        "screen": "#{:02x}{:02x}{:02x}".format(*(round(each * 255) for each in rgb)),
        "screen_shows_it": is_shown,
    }


def _wanted(half: Half, look: WantedLook) -> Json:
    return {
        "half": half.value,
        **_colour(look.lab),
        "source": look.source,
        "rough_by": round(look.doubt, 1) or None,
    }


def _drops(answer: MatchAnswer, match: Match, side: MatchedSide) -> list[Json]:
    poured = next(each for each in match.recipe.sides if each.half is side.half)
    plastic = compose(poured, answer.bait.shelf)
    weighed = {each.supply: each for each in weigh_out(plastic, Estimate.exact(side.cup))}
    return [
        {
            "supply": dose.bottle.name,
            "lot": dose.bottle.lot,
            "drops": dose.drops,
            "grams": round(dose.mass * 1e3, GRAMS),
            "per_100_g": dose.per_100_g,
            "when": weighed[dose.bottle.name].step.words,
            "caution": weighed[dose.bottle.name].caution,
        }
        for dose in side.doses
    ]


def _words(side: MatchedSide) -> str:
    off = side.difference
    said = f"ΔE00 {off.value:.1f} ({off.low:.1f}–{off.high:.1f}), {side.word.value}"
    return f"{said}: {' and '.join(side.misses)}" if side.misses else said


def _side(answer: MatchAnswer, match: Match, side: MatchedSide) -> Json:
    return {
        "half": side.half.value,
        "cup": side.half.cup,
        "cup_g": round(side.cup * 1e3, 1),
        "drops": _drops(answer, match, side),
        **_colour(side.lab),
        "difference": {**figure(side.difference, 2), "unit": "ΔE00"},
        "verdict": side.word.value,
        "misses": list(side.misses),
        "words": _words(side),
    }


def _offered(match: Match) -> list[str]:
    told = (
        (match.is_closest, "the closest"),
        (match.is_fewest, "the fewest bottles"),
        (match.is_lightest, "the least colour"),
        (match.is_cheapest, "the cheapest"),
    )
    return [words for is_so, words in told if is_so]


def _match(answer: MatchAnswer, match: Match) -> Json:
    return {
        "offered_for": _offered(match),
        "worse_difference": round(match.worse, 2),
        "sides": [_side(answer, match, side) for side in match.sides],
        "cost": None if match.cost is None else round(match.cost, 3),
        "unpriced": list(match.unpriced),
        "to_read_next": list(match.chips),
        "notes": [note.text for note in match.notes],
    }


def _reach(answer: MatchAnswer) -> Json:
    found, reach = answer.found, answer.found.reach
    halves = [side.half.value for side in found.matches[0].sides]
    helps = None
    if reach.help is not None:
        helps = {
            "bottle": reach.help.bottle,
            "differences": [
                {"half": half, "difference": round(off, 1)}
                for half, off in zip(halves, reach.help.difference, strict=True)
            ],
        }
    return {
        "is_within": reach.is_within,
        "is_held_by_limit": reach.is_held,
        "help": helps,
        "words": reach_words(found),
    }


def reach_words(found: Matching) -> str:
    """Return in sentences how far the bottles reach."""
    best, reach = found.matches[0], found.reach
    if reach.is_within:
        return "Within reach of these bottles."
    off = [
        f"{_who(side.half)} stays ΔE00 {side.difference.value:.1f} off"
        + (f", {' and '.join(side.misses)}" if side.misses else "")
        for side in best.sides
        if side.word not in ("same", "barely")
    ]
    said = f"Out of reach of these bottles. The nearest: {'; '.join(off)}."
    if reach.is_held:
        said += " It already holds nearly as much colour as is allowed."
    if reach.help is None:
        return f"{said} No single bottle of the kinds tried would bring it much nearer."
    halves = [_who(side.half) for side in best.sides]
    then = " and ".join(
        f"ΔE00 {off:.1f}" + (f" in {half}" if len(halves) > 1 else "")
        for half, off in zip(halves, reach.help.difference, strict=True)
    )
    return f"{said} One bottle that would help: {reach.help.bottle}, to about {then}."


def _who(half: Half) -> str:
    return "the bait" if half is Half.WHOLE else f"the {half.value}"


def matching_as_json(answer: MatchAnswer) -> Json:
    """Return the recipes for a wish in the maker's units.

    Parameters
    ----------
    answer : MatchAnswer
        From `match_recipe`.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    bait, found, limits = answer.bait, answer.found, answer.limits
    error = found.picture_error
    return {
        "recipe": {"name": bait.recipe.name, "version": bait.recipe.version},
        "mould": bait.mould.name,
        "station": {
            "name": found.station.name,
            "back_half_mm": round(found.station.back_half * 1e3, 3),
            "belly_half_mm": round(found.station.belly_half * 1e3, 3),
        },
        "wanted": [_wanted(half, look) for half, look in found.wanted.items()],
        "limits": {
            "most_colourants": limits.most_colourants,
            "most_drops_per_100_g": limits.most_drops,
            "most_g_per_100_g": round(limits.most_share * 100, 3),
            "only": list(limits.only),
            "without": list(limits.without),
        },
        "reach": _reach(answer),
        "matches": [_match(answer, match) for match in found.matches],
        "picture": {
            "provisional": found.is_provisional,
            "error_median": error.median,
            "error_95": error.high,
            "error_source": error.source,
        },
        "notes": _notes(bait.cups, found),
        "cautions": list(CAUTIONS),
    }


def _notes(cups: Mapping[Half, float], found: Matching) -> list[str]:
    notes = [
        "Colours are those of the widest station over grey, in daylight. Pour one trial chip "
        "before a whole cup."
    ]
    unsaid = [side.half.cup for side in found.matches[0].sides if side.half not in cups]
    if unsaid:
        notes.append(
            f"Cup {' and '.join(unsaid)}: no filling was said, so drops are for "
            f"{USUAL_CUP * 1e3:.0f} g."
        )
    sources = " ".join(look.source for look in found.wanted.values())
    if "screen" in sources:
        notes.append("A screen's colour is only as good as the screen it was picked on.")
    if "photo" in sources:
        notes.append("A colour off a photo may be several ΔE00 off; it is in the range.")
    return notes
