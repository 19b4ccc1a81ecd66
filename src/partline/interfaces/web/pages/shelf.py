"""The shelf: what stands on it, and one supply at a time in a form."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi.responses import HTMLResponse, JSONResponse

from partline.errors import NotFound
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.materials.shelf import Shelf
from partline.records.documents import Kept
from partline.records.workshop import Workshop
from partline.services.shelf import shelf_as_json
from partline.services.shelf_editing import ADDS, TITLES, save_supply, supply_form, take_off
from partline.services.workshop import SHELF

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]


def _kept(workshop: Workshop) -> Kept[Shelf] | None:
    try:
        return workshop.shelves.named(SHELF)
    except NotFound:
        return None


@router.get("/shelf")
def shelf(request: Request) -> HTMLResponse:
    """Show what stands on the shelf, kind by kind."""
    workshop = workshop_of(request)
    kept = _kept(workshop)
    supplies = shelf_as_json(kept.content) if kept else []
    groups = [
        (kind, title, [each for each in supplies if each["kind"] == kind])
        for kind, title in TITLES.items()
    ]
    history = workshop.shelves.history(kept.version.document_id) if kept else ()
    return render(
        request,
        "shelf.html",
        {
            "groups": groups,
            "kept": kept.version if kept else None,
            "history": history,
            "adds": ADDS,
        },
    )


@router.get("/shelf/supply")
def supply(request: Request, name: str = "", kind: str = "") -> HTMLResponse:
    """Show one supply in its form, or a blank one of a kind."""
    kept = _kept(workshop_of(request))
    text, number = (kept.version.text, kept.version.number) if kept else ("", 0)
    form = supply_form(text, name, kind)
    facts = {"name": name, "number": number}
    return render(request, "supply.html", {"facts": facts, "form": form})


@router.post("/shelf/supplies")
def save(request: Request, given: Given) -> JSONResponse:
    """Keep what was typed about one supply as the shelf's next version."""
    saved = save_supply(
        workshop_of(request),
        given.get("fields", {}),
        name=str(given.get("name", "")),
        kind=str(given.get("kind", "")),
        based_on=whole_number(given.get("based_on", 0), "based_on", "version number"),
    )
    return JSONResponse({"id": saved.document_id, "number": saved.number})


@router.post("/shelf/taken-off")
def take(request: Request, given: Given) -> JSONResponse:
    """Keep the shelf without one supply."""
    saved = take_off(
        workshop_of(request),
        name=str(given.get("name", "")),
        based_on=whole_number(given.get("based_on", 0), "based_on", "version number"),
    )
    return JSONResponse({"id": saved.document_id, "number": saved.number})
