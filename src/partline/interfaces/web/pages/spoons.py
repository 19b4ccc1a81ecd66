"""Weigh one level spoon of a powder, once."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from partline.errors import Error, InputError, Invalid, NotFound
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services.spoons import SPOONS, keep_spoon, powders, spoon_words
from partline.services.workshop import SHELF

router = APIRouter()
Typed = Annotated[str, Form()]


def _page(request: Request, given: dict[str, str], problem: Error | None = None) -> HTMLResponse:
    try:
        kept = workshop_of(request).shelves.named(SHELF)
    except NotFound:
        kept = None
    found = problem.problems[0] if isinstance(problem, Invalid) else problem
    context = {
        "powders": [(each.name, spoon_words(each.bulk_density)) for each in
                    (powders(kept.content) if kept else ())],
        "spoons": SPOONS,
        "number": kept.version.number if kept else 0,
        "given": given,
        "problem": found,
        "field": found.field if isinstance(found, InputError) else "",
    }  # fmt: skip
    return render(request, "spoons.html", context, status=422 if problem else 200)


@router.get("/spoons")
def spoons(request: Request, supply: str = "", weighed: str = "") -> HTMLResponse:
    """Ask for one weighing, and say what is known of each powder."""
    return _page(request, {"supply": supply, "said": weighed, "count": "1", "spoon": SPOONS[0]})


@router.post("/spoons")
def weigh(
    request: Request,
    supply: Typed = "",
    count: Typed = "",
    spoon: Typed = "",
    weighed: Typed = "",
    based_on: Typed = "",
) -> Response:
    """Keep one weighing."""
    given = {"supply": supply, "count": count, "spoon": spoon, "weighed": weighed}
    try:
        number = whole_number(based_on, "based_on", "version number")
        keep_spoon(workshop_of(request), given, based_on=number)
    except Error as problem:
        return _page(request, given, problem)
    return RedirectResponse("/spoons?weighed=yes", status_code=303)
