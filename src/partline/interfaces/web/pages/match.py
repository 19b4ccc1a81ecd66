"""Match a colour with the bottles on the shelf, and take one of the recipes as a new version."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Annotated, Any

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from partline.errors import Ambiguous, Error, InputError, Invalid, NotFound
from partline.interfaces.web.pages.pictures import usual_mould
from partline.interfaces.web.parts import MOST, render, whole_number, workshop_of
from partline.records.workshop import Workshop
from partline.services.matching import (
    Wish,
    fields_of_match,
    keep_match,
    match_recipe,
    matching_as_json,
    version_note,
)
from partline.services.workshop import SHELF

router = APIRouter()
Typed = Annotated[str, Form()]

#: Texts of the form; each is a wish's field of the same name.
TEXTS = ("back", "belly", "side", "cup_back", "cup_belly", "most_colourants", "most_drops",
         "most_grams")  # fmt: skip
#: Choices of the form that are looked up.
CHOICES = ("recipe", "like", "like_shelf", "mould")
#: Draws behind each range, and what a field takes in.
DRAWS, LONGEST = 32, 120


@dataclass
class Shown:
    """What the page shows beside its form."""

    answer: dict[str, Any] | None = None
    keeps: list[dict[str, str]] = field(default_factory=list)
    problems: list[dict[str, Any]] = field(default_factory=list)

    def of(self, name: str) -> list[dict[str, Any]]:
        """Return what must be said beside one field."""
        return [each for each in self.problems if each.get("field") == name]

    def elsewhere(self, names: tuple[str, ...]) -> list[dict[str, Any]]:
        """Return what belongs to none of these fields."""
        return [each for each in self.problems if each.get("field") not in names]


@router.get("/match")
def match(request: Request) -> HTMLResponse:
    """Ask what is wanted; answer it once it has been asked."""
    workshop, query = workshop_of(request), request.query_params
    given = {name: query.get(name, "")[:LONGEST] for name in (*TEXTS, *CHOICES)}
    is_asked = "asked" in query
    shown, only = Shown(), tuple(query.getlist("only"))[:200]
    try:
        kept = workshop.shelves.named(SHELF)
    except NotFound:
        kept = None
    shelf = kept.content if kept else None
    recipes, moulds = workshop.recipes.listed(), workshop.moulds.listed()
    if shelf and recipes and moulds:
        _with_usual(workshop, given)
        if is_asked:
            request.app.state.readiness.wait()
            shown = _answered(workshop, given, only)
    context = {
        "given": given,
        "shown": shown,
        "is_asked": is_asked,
        "is_ready": bool(shelf and recipes and moulds),
        "recipes": recipes,
        "likes": [(each, workshop.recipes.history(each.document_id)) for each in recipes],
        "chosen": _chosen(workshop, given) if recipes else None,
        "moulds": moulds,
        "shelves": workshop.shelves.history(kept.version.document_id) if kept else (),
        "bottles": [
            (each, not is_asked or each.name in only)
            for each in (shelf.colourants if shelf else ())
        ],
        "placed": ("back", "belly", *TEXTS[3:]),
    }  # fmt: skip
    return render(request, "match.html", context, status=422 if shown.problems else 200)


def _with_usual(workshop: Workshop, given: dict[str, str]) -> None:
    """Choose what nobody has chosen: the newest recipe, the usual mould."""
    usual = usual_mould(workshop)
    given["recipe"] = given["recipe"] or workshop.recipes.listed()[0].document_id
    given["mould"] = given["mould"] or (usual.document_id if usual else "")


def _number_of(given: dict[str, str]) -> tuple[str, int | None]:
    """Return the code and the version of a choice such as ``CODE`` or ``CODE@2``."""
    code, _, number = given["recipe"].partition("@")
    is_number = number.isascii() and number.isdigit() and 0 < int(number[:9]) <= MOST
    return code, int(number) if is_number else None


def _chosen(workshop: Workshop, given: dict[str, str]) -> Any:
    try:
        return workshop.recipes.get(*_number_of(given))
    except NotFound:
        return None


def _answered(workshop: Workshop, given: dict[str, str], only: tuple[str, ...]) -> Shown:
    """Return the recipes found, or what must be said beside which field."""
    try:
        kept = workshop.recipes.get(*_number_of(given))
        shelf = workshop.shelves.named(SHELF).content
        if not only and shelf.colourants:
            raise InputError("No bottle is ticked, so there is nothing to match with.",
                             field="only", remedy="Tick those you own.")  # fmt: skip
        every = {each.name for each in shelf.colourants} <= set(only)
        texts: dict[str, Any] = {name: given[name] for name in TEXTS}
        wish = Wish(
            **texts,
            only=() if every else only,
            like=_liked(workshop, given["like"]),
            like_shelf=_shelf_of(workshop, given["like_shelf"]),
        )
        mould = workshop.moulds.get(given["mould"]).content
        answer = match_recipe(kept.content, mould, shelf, wish, draws=DRAWS)
    except Invalid as refusal:
        return Shown(problems=[each.as_dict() for each in refusal.problems])
    except (Ambiguous, Error) as refusal:
        return Shown(problems=[refusal.as_dict()])
    return Shown(
        answer=matching_as_json(answer),
        keeps=[
            {"fields": json.dumps(fields_of_match(answer, number)),
             "note": version_note(answer, number)}
            for number in range(len(answer.found.matches))
        ],
    )  # fmt: skip


def _liked(workshop: Workshop, choice: str) -> Any:
    if not choice:
        return None
    return workshop.recipes.get(*_number_of({"recipe": choice})).content


def _shelf_of(workshop: Workshop, number: str) -> Any:
    if not number:
        return None
    return workshop.shelves.named(SHELF, whole_number(number, "like_shelf", "version")).content


@router.post("/match/keep")
def keep(
    request: Request,
    recipe: Typed = "",
    based_on: Typed = "",
    fields: Typed = "",
    note: Typed = "",
) -> RedirectResponse:
    """Keep a recipe that was found as the next version, and show it in the editor."""
    try:
        told = json.loads(fields)
    except ValueError:
        raise InputError("The recipe to keep cannot be read.", field="fields") from None
    kept = keep_match(
        workshop_of(request),
        told,
        document_id=recipe[:LONGEST],
        based_on=whole_number(based_on, "based_on", "version number"),
        note=note[:500],
    )
    address = f"/recipes/{kept.version.document_id}?version={kept.version.number}"
    return RedirectResponse(address, status_code=303)
