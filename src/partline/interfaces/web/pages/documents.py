"""Moulds, benches and shelves: a plain list, each version's text, and a file upload."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, File, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from partline.errors import Error, NotFound
from partline.interfaces.web.pages.listing import listing_of
from partline.interfaces.web.parts import VersionNumber, render, workshop_of
from partline.records.documents import Documents, Version
from partline.records.exchange import DocumentKind
from partline.records.workshop import Workshop
from partline.services.documents import keep_upload

router = APIRouter()

TITLES = {
    DocumentKind.RECIPE: "Recipes",
    DocumentKind.MOULD: "Moulds",
    DocumentKind.BENCH: "Bench",
    DocumentKind.SHELF: "Shelf",
}


def store_of(workshop: Workshop, kind: str) -> Documents[Any]:
    """Return the store of one kind of document.

    Raises
    ------
    NotFound
        If there is no such kind.
    """
    stores: dict[DocumentKind, Documents[Any]] = {
        DocumentKind.RECIPE: workshop.recipes,
        DocumentKind.MOULD: workshop.moulds,
        DocumentKind.BENCH: workshop.benches,
        DocumentKind.SHELF: workshop.shelves,
    }
    try:
        return stores[DocumentKind(kind)]
    except ValueError:
        raise NotFound(f"There is no kind of document called “{kind}”.") from None


def _listed(request: Request, problem: Error | None = None, *, status: int = 200) -> HTMLResponse:
    workshop = workshop_of(request)
    groups = [(kind, title, store_of(workshop, kind).listed()) for kind, title in TITLES.items()]
    return render(request, "documents.html", {"groups": groups, "problem": problem}, status=status)


@router.get("/documents")
def documents(request: Request) -> HTMLResponse:
    """List everything kept as a document."""
    return _listed(request)


@router.post("/documents")
def upload(request: Request, file: Annotated[UploadFile, File()]) -> Response:
    """Keep an uploaded document under the name it says."""
    try:
        kept = keep_upload(workshop_of(request), file.file.read(), file.filename or "the file")
    except Error as error:
        return _listed(request, error, status=422)
    return RedirectResponse(f"/documents/{kept.kind}/{kept.document_id}", status_code=303)


@router.get("/documents/{kind}/{document_id}")
def document(
    request: Request, kind: str, document_id: str, version: VersionNumber = None
) -> HTMLResponse:
    """Show one document: its text and its versions."""
    store = store_of(workshop_of(request), kind)
    found = store.get(document_id, version)
    return render(
        request,
        "document.html",
        {
            "kept": found.version,
            "listing": listing_of(found.content),
            "history": store.history(document_id),
        },
    )


@router.get("/documents/{kind}/{document_id}/file")
def document_file(
    request: Request, kind: str, document_id: str, version: VersionNumber = None
) -> Response:
    """Return one document's text as a file."""
    kept: Version = store_of(workshop_of(request), kind).get(document_id, version).version
    return Response(
        kept.text,
        media_type="application/toml",
        headers={"Content-Disposition": f'attachment; filename="{kind}-{kept.number}.toml"'},
    )
