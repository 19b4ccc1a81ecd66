"""The bench as a form, and what a correction of it means for the plans made before."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from partline.interfaces.web.parts import VersionNumber, render, whole_number, workshop_of
from partline.services.bench_editing import bench_form, save_bench
from partline.services.bench_effect import effects_of_bench
from partline.services.bench_known import known_bench

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]
BLANK: dict[str, Any] = {"id": "", "number": 0, "latest": 0, "name": ""}


@router.get("/bench")
def benches(request: Request) -> Response:
    """Lead to the bench; to a list where there are several, to a blank one where there is none."""
    listed = workshop_of(request).benches.listed()
    match listed:
        case ():
            return RedirectResponse("/bench/new", status_code=303)
        case (only,):
            return RedirectResponse(f"/bench/{only.document_id}", status_code=303)
        case _:
            return render(request, "benches.html", {"benches": listed})


@router.get("/bench/new")
def new_bench(request: Request) -> HTMLResponse:
    """Show a blank bench."""
    return _page(request, BLANK, bench_form(""))


@router.get("/bench/{document_id}")
def bench(request: Request, document_id: str, version: VersionNumber = None) -> HTMLResponse:
    """Show a bench in its form."""
    workshop = workshop_of(request)
    kept = workshop.benches.get(document_id, version).version
    facts = {
        "id": document_id,
        "number": kept.number,
        "latest": kept.latest,
        "name": kept.name,
        "history": workshop.benches.history(document_id),
        "effects": effects_of_bench(workshop, document_id),
        "count": len(workshop.benches.listed()),
    }
    return _page(request, facts, bench_form(kept.text))


@router.get("/bench/{document_id}/known")
def known(request: Request, document_id: str) -> HTMLResponse:
    """Show what the bench's runs have taught of it."""
    workshop = workshop_of(request)
    name = workshop.benches.get(document_id).version.name
    return render(request, "bench_known.html", {"known": known_bench(workshop, name)})


def _page(request: Request, facts: dict[str, Any], groups: list[dict[str, Any]]) -> HTMLResponse:
    return render(request, "bench.html", {"facts": facts, "groups": groups})


@router.post("/bench")
def save(request: Request, given: Given) -> JSONResponse:
    """Keep what was typed as the bench's next version, or as a new bench."""
    saved = save_bench(
        workshop_of(request),
        given.get("fields", {}),
        document_id=str(given.get("id", "")),
        based_on=whole_number(given.get("based_on", 0), "based_on", "version number"),
    )
    return JSONResponse({"id": saved.document_id, "number": saved.number})
