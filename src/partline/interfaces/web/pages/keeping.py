"""Take everything out as one archive, or bring one back into an empty workshop."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

from fastapi import APIRouter, File, Request, UploadFile
from fastapi.responses import RedirectResponse, Response

from partline.interfaces.web.parts import workshop_of
from partline.services.keeping import export_workshop, import_workshop

router = APIRouter()


@router.get("/keeping/export")
def export(request: Request) -> Response:
    """Return the whole workshop as one archive."""
    with TemporaryDirectory() as folder:
        archive = Path(folder) / "workshop.zip"
        export_workshop(workshop_of(request), archive)
        content = archive.read_bytes()
    name = 'attachment; filename="partline-workshop.zip"'
    return Response(content, media_type="application/zip", headers={"Content-Disposition": name})


@router.post("/keeping/import")
def import_(request: Request, file: Annotated[UploadFile, File()]) -> Response:
    """Read an archive into an empty workshop."""
    with TemporaryDirectory() as folder:
        archive = Path(folder) / "workshop.zip"
        archive.write_bytes(file.file.read())
        import_workshop(workshop_of(request), archive)
    return RedirectResponse("/", status_code=303)
