"""A card that was filled in with a pencil, typed in afterwards: one form, one screen."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from partline.errors import InputError, Invalid
from partline.interfaces.web.parts import render, workshop_of
from partline.services.runs.card_entry import WRONG
from partline.services.runs.paper import PaperForm, keep_card, paper_form

router = APIRouter()
Fields = dict[str, str]
#: Letters kept of one field; the note's own limit is below it.
LONGEST = 700


async def _typed(request: Request) -> Fields:
    form = await request.form()
    return {key: value[:LONGEST] for key, value in form.items() if isinstance(value, str)}


def _page(
    request: Request, form: PaperForm, given: Fields, problems: tuple[InputError, ...] = ()
) -> HTMLResponse:
    placed = {each.field for each in problems}
    context = {
        "kept": form.plan,
        "shape": form.shape,
        "carried": form.carried,
        "given": given,
        "problems": problems,
        "asked_of": placed,
        "first": problems[0].field if problems else "day",
        "wrong": [(f"wrong_{each.replace(' ', '_')}", each) for each in WRONG],
    }
    return render(request, "paper.html", context, status=422 if problems else 200)


@router.get("/plans/{code}/typed-in")
def blank(request: Request, code: str) -> HTMLResponse:
    """Show the blanks of a plan's card, what can be carried over in its place and marked."""
    form = paper_form(workshop_of(request), code)
    given = {name: each.value for name, each in form.carried.items()}
    given |= {f"was_{name}": each.value for name, each in form.carried.items()}
    return _page(request, form, given | {"once": form.once, "close": "on"})


@router.post("/plans/{code}/typed-in")
def keep(request: Request, code: str, given: Annotated[Fields, Depends(_typed)]) -> Response:
    """Keep the card as a run and show it; ask again, everything typed still there."""
    workshop = workshop_of(request)
    try:
        run = keep_card(workshop, code, given)
    except Invalid as refusal:
        return _page(request, paper_form(workshop, code), given, tuple(refusal.problems))
    return RedirectResponse(f"/runs/{run}", status_code=303)
