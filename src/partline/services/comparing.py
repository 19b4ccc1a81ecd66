"""Two versions of a recipe side by side: what changed, in words, and what came of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.recipe import Half, Loading, Recipe, Side
from partline.process.rendering import VIEWS, Backdrop
from partline.quantities.units import Kind, show
from partline.records.exchange import loading_text
from partline.services.look import Json, draw_scene, look_as_json, preview_look
from partline.services.more_drops import mean_difference
from partline.services.scene import Scene


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that is different.

    Parameters
    ----------
    where : str
        back, belly, bait, handling, wanted, note or name.
    what : str
        A supply or a field, in the maker's words.
    before, after : str
        Empty where it was not there.
    """

    where: str
    what: str
    before: str
    after: str

    @property
    def words(self) -> str:
        """The change as a sentence."""
        if not self.before:
            return f"{self._subject} added, {self.after}."
        if not self.after:
            return f"{self._subject} taken out (was {self.before})."
        return f"{self._subject} from {self.before} to {self.after}."

    @property
    def _subject(self) -> str:
        place = self.where.capitalize()
        return place if self.what == f"the {self.where}" else f"{place}: {self.what}"

    def as_dict(self) -> dict[str, object]:
        """Return the fields for JSON."""
        return {"where": self.where, "what": self.what, "before": self.before or None,
                "after": self.after or None, "words": self.words}  # fmt: skip


def changes(before: Recipe, after: Recipe) -> tuple[Change, ...]:
    """Return what changed between two recipes, side by side and supply by supply."""
    return tuple(_changes(before, after))


def _changes(before: Recipe, after: Recipe) -> Iterator[Change]:
    def told(where: str, what: str, old: str, new: str) -> Iterator[Change]:
        if old != new:
            yield Change(where=where, what=what, before=old, after=new)

    yield from told("name", "the name", before.name, after.name)
    old_sides = {side.half: side for side in before.sides}
    new_sides = {side.half: side for side in after.sides}
    for half in Half:
        where = "bait" if half is Half.WHOLE else half.value
        old, new = old_sides.get(half), new_sides.get(half)
        if old and new:
            yield from told(where, "plastisol", _blend(old), _blend(new))
            yield from _loadings(where, old, new)
        elif old or new:
            yield Change(where=where, what="this side", before=_all(old), after=_all(new))
    yield from told("wanted", "hiding", _wanted(before), _wanted(after))
    yield from told("handling", "start", _start(before), _start(after))
    yield from told("handling", "push time", _push(before), _push(after))
    yield from told("note", "the note", _quoted(before.note), _quoted(after.note))


def _loadings(where: str, old: Side, new: Side) -> Iterator[Change]:
    was = {each.supply.casefold(): each for each in old.loadings}
    now = {each.supply.casefold(): each for each in new.loadings}
    for key in dict.fromkeys([*was, *now]):
        first, second = was.get(key), now.get(key)
        if first and second and _same(first, second):
            continue
        yield Change(
            where=where,
            what=(second or first or old.loadings[0]).supply,
            before=_per_100(first),
            after=_per_100(second),
        )


def _same(first: Loading, second: Loading) -> bool:
    return (first.amount, first.measure) == (second.amount, second.measure)


def _per_100(loading: Loading | None) -> str:
    if loading is None:
        return ""
    return f"{loading.entered or loading_text(loading)} per 100 g"


def _blend(side: Side) -> str:
    if len(side.blend) == 1:
        return side.blend[0].grade
    return " + ".join(f"{show(each.share, '%', 1, Kind.SHARE)} {each.grade}"
                      for each in side.blend)  # fmt: skip


def _all(side: Side | None) -> str:
    if side is None:
        return ""
    return ", ".join([_blend(side), *(f"{each.supply} {_per_100(each)}"
                                      for each in side.loadings)])  # fmt: skip


def _wanted(recipe: Recipe) -> str:
    return f"{recipe.wanted.hiding:g}" + (" (default)" if recipe.wanted.is_default else "")


def _start(recipe: Recipe) -> str:
    start = recipe.handling.start
    return "not said" if start is None else show(start, "°C", 0, Kind.TEMPERATURE)


def _push(recipe: Recipe) -> str:
    push = recipe.handling.push
    return "not said" if push is None else show(push, "s", 1, Kind.TIME)


def _quoted(note: str) -> str:
    return f"“{note}”" if note else "none"


def comparison_as_json(
    before: Recipe, after: Recipe, mould: Mould, shelf: Shelf, *, draws: int
) -> Json:
    """Return what changed and both looks, in the maker's units.

    Parameters
    ----------
    before, after : Recipe
        To compare.
    mould, shelf
        That both are seen in, and made from.
    draws : int
        Behind each range.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.

    Raises
    ------
    Invalid
        If one of them asks for something that is not on the shelf.
    """
    looks = [
        look_as_json(preview_look(recipe, mould, shelf, draws=draws)) for recipe in (before, after)
    ]
    return {
        "mould": mould.name,
        "changes": [each.as_dict() for each in changes(before, after)],
        "views": _view_differences(before, after, mould, shelf),
        "before": _verdicts(looks[0]),
        "after": _verdicts(looks[1]),
    }


def _view_differences(before: Recipe, after: Recipe, mould: Mould, shelf: Shelf) -> Json:
    """Mean difference of each view over the bait, by daylight over a grey card. [ΔE00]"""
    drawn = [
        draw_scene(recipe, mould, shelf, Scene(card=Backdrop.GREY)).views
        for recipe in (before, after)
    ]
    return {
        view.value: round(mean_difference(drawn[0][view.value], drawn[1][view.value]), 1)
        for view in VIEWS
    }


def _verdicts(look: Json) -> Json:
    keys = ("recipe", "distinctness", "halves")
    return {key: look[key] for key in keys}
