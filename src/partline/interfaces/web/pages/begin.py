"""The first ten minutes: six questions on one page, and the way to a card."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, File, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from partline.errors import Error, Impossible, InputError, Invalid
from partline.interfaces.web.parts import render, workshop_of
from partline.materials.supply import Clarity
from partline.services.beginning import begin, read_answers
from partline.services.mould_table import keep_moulds

router = APIRouter()
Fields = dict[str, str]

#: Kinds of bottle in the words of the page.
KINDS = (
    ("", "don’t know"),
    (Clarity.CLEAR.value, "clear: tints, you see through"),
    (Clarity.OPAQUE.value, "opaque: covers"),
    (Clarity.PEARL.value, "pearl: shimmers"),
    (Clarity.FLUORESCENT.value, "fluorescent: glows by day"),
)
#: Fields of the page beside which a question can stand.
PLACED = frozenset({
    "colours", "cup", "scale", "cavities", "bait_mass", "bait_length",
    *(f"bottle{n}_{part}" for n in range(1, 5) for part in ("name", "clarity", "patch", "half")),
})  # fmt: skip


async def _typed(request: Request) -> Fields:
    form = await request.form()
    return {key: value[:400] for key, value in form.items() if isinstance(value, str)}


def _page(
    request: Request,
    given: Fields,
    problems: tuple[InputError, ...] = (),
    table_problem: Error | None = None,
) -> HTMLResponse:
    workshop = workshop_of(request)
    asked = [each.as_dict() for each in problems]
    many = request.query_params.get("moulds", "")
    context: dict[str, Any] = {
        "given": given,
        "problems": [_plain(each) for each in asked],
        "asked_of": {each.field for each in problems},
        "placed": PLACED,
        "table_problem": table_problem,
        "kinds": KINDS,
        "moulds": workshop.moulds.listed(),
        "benches": workshop.benches.listed(),
        "many": many if many.isascii() and many.isdigit() and len(many) < 6 else "",
    }
    return render(request, "begin.html", context, status=422 if asked or table_problem else 200)


def _plain(problem: dict[str, Any]) -> dict[str, Any]:
    """Return a problem for the page: its remedy stands once, its readings are buttons."""
    remedy, message = str(problem.get("remedy", "")), str(problem["message"])
    if remedy:
        message = message.removesuffix(remedy).strip()
    for each in problem.get("readings", ()):
        remedy = remedy.replace(f"Write “{each['write']}” for {each['means']}.", "").strip()
    return problem | {"message": message, "remedy": remedy}


@router.get("/begin")
def questions(request: Request) -> HTMLResponse:
    """Ask the six questions."""
    given = {
        key: value for key, value in request.query_params.items() if key in {"mould", "bench"}
    }
    return _page(request, given)


@router.post("/begin")
def answer(request: Request, given: Annotated[Fields, Depends(_typed)]) -> Response:
    """Keep what the answers make, and lead to its plan; ask again about what cannot be used."""
    request.app.state.readiness.wait()
    try:
        plan = begin(workshop_of(request), read_answers(given))
    except Invalid as refusal:
        return _page(request, given, tuple(refusal.problems))
    except Impossible as refusal:
        return _page(request, given, (InputError(str(refusal), field="cup"),))
    return RedirectResponse(f"/plans/{plan.code}", status_code=303)


@router.post("/begin/moulds")
def many_moulds(request: Request, file: Annotated[UploadFile, File()]) -> Response:
    """Keep every mould of a table, or none of them."""
    try:
        kept = keep_moulds(workshop_of(request), file.file.read(), file.filename or "the table")
    except Error as error:
        return _page(request, {}, table_problem=error)
    return RedirectResponse(f"/begin?moulds={len(kept)}", status_code=303)
