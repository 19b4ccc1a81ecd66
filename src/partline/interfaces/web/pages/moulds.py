"""Moulds: a list, a form with the body drawn as it is typed, and a bait worked out by weighing."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi.responses import HTMLResponse, JSONResponse

from partline.interfaces.figures import Facing, body_svg, section_svg
from partline.interfaces.web.parts import VersionNumber, render, whole_number, workshop_of
from partline.records.workshop import Workshop
from partline.services.mould_editing import (
    Drawn,
    drawn_as_json,
    drawn_mould,
    mould_form,
    save_mould,
)
from partline.services.moulds import mould_as_json
from partline.services.photos import photos_of
from partline.services.weighing import weigh_bait

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]
BLANK: dict[str, Any] = {"id": "", "number": 0, "latest": 0, "name": ""}


@router.get("/moulds")
def moulds(request: Request) -> HTMLResponse:
    """List the moulds."""
    workshop = workshop_of(request)
    rows = [
        (each, mould_as_json(workshop.moulds.version(each.id).content))
        for each in workshop.moulds.listed()
    ]
    return render(request, "moulds.html", {"moulds": rows})


@router.get("/moulds/new")
def new_mould(request: Request) -> HTMLResponse:
    """Show a blank mould."""
    return render(request, "mould.html", {"facts": BLANK, "form": mould_form(""), "photos": None})


@router.get("/moulds/{document_id}")
def mould(request: Request, document_id: str, version: VersionNumber = None) -> HTMLResponse:
    """Show a mould in its form."""
    workshop = workshop_of(request)
    kept = workshop.moulds.get(document_id, version).version
    facts = {
        "id": document_id,
        "number": kept.number,
        "latest": kept.latest,
        "name": kept.name,
        "history": workshop.moulds.history(document_id),
    }
    photos = photos_of(workshop, document_id)
    context = {"facts": facts, "form": mould_form(kept.text), "photos": photos}
    return render(request, "mould.html", context)


@router.post("/moulds/sketch")
def sketch(request: Request, given: Given) -> JSONResponse:
    """Draw the mould as it is typed right now."""
    text = _text(workshop_of(request), given)
    return JSONResponse(_drawing(drawn_mould(text, given.get("fields", {}))))


def _text(workshop: Workshop, given: dict[str, Any]) -> str:
    """Return the document that an edit began from; "" for a new one."""
    document_id = str(given.get("id", ""))
    if not document_id:
        return ""
    number = whole_number(given.get("based_on", 0), "based_on", "version number")
    return workshop.moulds.get(document_id, number).version.text


def _drawing(drawn: Drawn) -> dict[str, Any]:
    stations = drawn.mould.stations
    largest = max(max(each.width, each.height) for each in stations)
    return {
        "cuts": [section_svg(each, None, None, largest=largest) for each in stations],
        "views": {each.value: body_svg(drawn.body, stations, each) for each in Facing},
        "told": drawn_as_json(drawn),
    }


@router.post("/moulds/weigh")
def weigh(given: Given) -> JSONResponse:
    """Work one bait out from a whole shot, or from the water that some baits displaced."""
    return JSONResponse(weigh_bait(given))


@router.post("/moulds")
def save(request: Request, given: Given) -> JSONResponse:
    """Keep what was typed as the mould's next version, or as a new mould."""
    saved = save_mould(
        workshop_of(request),
        given.get("fields", {}),
        document_id=str(given.get("id", "")),
        based_on=whole_number(given.get("based_on", 0), "based_on", "version number"),
    )
    return JSONResponse({"id": saved.document_id, "number": saved.number})
