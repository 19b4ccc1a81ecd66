"""Checks of a bench's instruments and of a grade: what they say, and kept when told to."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi.responses import HTMLResponse, JSONResponse

from partline.errors import NotFound
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services.check_forms import (
    grade_forms,
    instrument_forms,
    save_grade,
    save_instrument,
    try_grade,
    try_instrument,
)
from partline.services.shelf import shelf_as_json
from partline.services.workshop import SHELF

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]


@router.get("/bench/{document_id}/checks")
def checks(request: Request, document_id: str) -> HTMLResponse:
    """Show the checks of a bench's instruments."""
    kept = workshop_of(request).benches.get(document_id).version
    page = {
        "title": f"Checks of {kept.name}", "up": f"/bench/{document_id}",
        "up_words": f"Bench {kept.name}", "here": f"/bench/{document_id}/checks",
        "post": f"/bench/{document_id}/checks", "number": kept.number, "forms": instrument_forms(),
        "lead": "A reading is only as good as what it was read with. A check is kept as the "
        "bench’s next version, and the next plans and forecasts rest on it.",
    }  # fmt: skip
    return render(request, "checks.html", {"page": page})


@router.post("/bench/{document_id}/checks/tried")
def tried(request: Request, document_id: str, given: Given) -> JSONResponse:
    """Answer what a check of an instrument says."""
    found = try_instrument(
        workshop_of(request), document_id, str(given.get("kind", "")), given.get("fields", {})
    )
    return JSONResponse(found)


@router.post("/bench/{document_id}/checks")
def save(request: Request, document_id: str, given: Given) -> JSONResponse:
    """Keep what a check of an instrument says."""
    saved = save_instrument(
        workshop_of(request), document_id, str(given.get("kind", "")), given.get("fields", {}),
        based_on=_number(given),
    )  # fmt: skip
    return JSONResponse({"number": saved.number})


@router.get("/shelf/grade")
def grade(request: Request, name: str = "") -> HTMLResponse:
    """Show the checks of a grade."""
    kept = workshop_of(request).shelves.named(SHELF)
    names = {each["name"] for each in shelf_as_json(kept.content) if each["kind"] == "grade"}
    if name not in names:
        raise NotFound(f"No grade on the shelf is called “{name[:60]}”.")
    page = {
        "title": f"Checks of {name}", "up": "/shelf", "up_words": "Shelf",
        "here": "/shelf/grade", "post": "/shelf/grade", "name": name,
        "number": kept.version.number, "forms": grade_forms(),
        "lead": "What chips and a timed flow of the plain plastic say, kept as the shelf’s next "
        "version. Looks after many heats, and what a hand can push, rest on it.",
    }  # fmt: skip
    return render(request, "checks.html", {"page": page})


@router.post("/shelf/grade/tried")
def tried_grade(request: Request, given: Given) -> JSONResponse:
    """Answer what a check of a grade says."""
    name, kind = str(given.get("name", "")), str(given.get("kind", ""))
    return JSONResponse(try_grade(workshop_of(request), name, kind, given.get("fields", {})))


@router.post("/shelf/grade")
def save_checked_grade(request: Request, given: Given) -> JSONResponse:
    """Keep what a check of a grade says."""
    saved = save_grade(
        workshop_of(request), str(given.get("name", "")), str(given.get("kind", "")),
        given.get("fields", {}), based_on=_number(given),
    )  # fmt: skip
    return JSONResponse({"number": saved.number})


def _number(given: dict[str, Any]) -> int:
    return whole_number(given.get("based_on", 0), "based_on", "version number")
