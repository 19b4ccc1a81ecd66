"""Take everything out as one archive, or bring one back into an empty workshop."""

from __future__ import annotations

import shutil
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

from fastapi import APIRouter, File, Request, UploadFile
from fastapi.responses import FileResponse, RedirectResponse, Response
from starlette.background import BackgroundTask

from partline.interfaces.web.parts import workshop_of
from partline.services.keeping import export_workshop, import_workshop

router = APIRouter()


@router.get("/keeping/export")
def export(request: Request) -> Response:
    """Return the whole workshop as one archive."""
    folder = TemporaryDirectory()  # goes when the last byte has left
    archive = Path(folder.name) / "workshop.zip"
    export_workshop(workshop_of(request), archive)
    return FileResponse(
        archive,
        media_type="application/zip",
        filename="partline-workshop.zip",
        background=BackgroundTask(folder.cleanup),
    )


@router.post("/keeping/import")
def import_(request: Request, file: Annotated[UploadFile, File()]) -> Response:
    """Read an archive into an empty workshop."""
    with TemporaryDirectory() as folder:
        archive = Path(folder) / "workshop.zip"
        with archive.open("wb") as copy:
            shutil.copyfileobj(file.file, copy)  # with photos it may be large
        import_workshop(workshop_of(request), archive)
    return RedirectResponse("/", status_code=303)
