"""Two versions of a recipe side by side."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from partline.interfaces.web.pages.pictures import picture_addresses, usual_mould
from partline.interfaces.web.parts import MOST, render, workshop_of
from partline.process.rendering import VIEWS
from partline.services.comparing import changes, comparison_as_json
from partline.services.workshop import SHELF

router = APIRouter()
#: Draws behind each of the two looks.
DRAWS = 16


@router.get("/recipes/{document_id}/compare")
def compare(
    request: Request,
    document_id: str,
    before: Annotated[int, Query(alias="from", ge=1, le=MOST)],
    after: Annotated[int, Query(alias="to", ge=1, le=MOST)],
) -> HTMLResponse:
    """Show what changed between two versions, both pictures and both verdicts."""
    workshop = workshop_of(request)
    first, second = (workshop.recipes.get(document_id, each) for each in (before, after))
    mould = usual_mould(workshop)
    can_draw = document_id in picture_addresses(workshop)
    looks = None
    if mould is not None and can_draw:
        request.app.state.readiness.wait()
        looks = comparison_as_json(
            first.content,
            second.content,
            workshop.moulds.version(mould.id).content,
            workshop.shelves.named(SHELF).content,
            draws=DRAWS,
        )
    return render(
        request,
        "compare.html",
        {
            "versions": (first.version, second.version),
            "history": workshop.recipes.history(document_id),
            "changes": [each.words for each in changes(first.content, second.content)],
            "looks": looks,
            "views": [view.value for view in VIEWS],
        },
    )
