"""Photos of a mould: taken in as they stream, shown as they came; points traced in one."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Body, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from partline.interfaces.web.parts import workshop_of
from partline.services.photos import add_photo, photo_as_json, photo_kind
from partline.services.slices import trace_slice

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]


@router.post("/moulds/trace")
def trace(given: Given) -> JSONResponse:
    """Answer the section of a slice from the points that were tapped round it."""
    return JSONResponse(trace_slice(given))


@router.post("/moulds/{document_id}/photos")
async def keep_photo(
    request: Request, document_id: str, kind: str = "", name: str = ""
) -> JSONResponse:
    """Keep a photo, the body itself. The guards count it while it comes in."""
    wanted = photo_kind(kind)
    content = bytearray()
    async for part in request.stream():
        content += part
    workshop = workshop_of(request)
    kept = await run_in_threadpool(add_photo, workshop, document_id, wanted, bytes(content), name)
    return JSONResponse(photo_as_json(kept))


@router.get("/photos/{photo_id}")
def photo(request: Request, photo_id: str) -> Response:
    """Show a photo as what its first bytes said it is, never as anything else."""
    facts, content = workshop_of(request).photos.get(photo_id)
    named = f"inline; filename*=UTF-8''{quote(facts.name or facts.id)}"
    return Response(content, media_type=facts.media_type, headers={"Content-Disposition": named})
