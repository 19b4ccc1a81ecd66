"""A bottle's chips: read off a photo or typed in, tried, kept; lots compared; drops weighed."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi.responses import HTMLResponse, JSONResponse
from starlette.concurrency import run_in_threadpool

from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services.chip_page import (
    chips_of,
    compare_lots_of,
    read_photo,
    save_chip,
    save_drops,
    save_lot,
    save_strength,
    try_chip,
    try_drops,
    try_strength,
)
from partline.services.run_photos import next_number

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]


@router.get("/shelf/chip")
def chip(request: Request, name: str = "") -> HTMLResponse:
    """Show a bottle's chips, and a form for the next."""
    workshop = workshop_of(request)
    told = {"page": chips_of(workshop, name), "next_number": next_number(workshop)}
    return render(request, "chip.html", told)


@router.post("/shelf/chip-photos")
async def photo(request: Request, name: str = "", file: str = "") -> JSONResponse:
    """Read a chip in a photo, the body itself. The guards count it while it comes in."""
    content = bytearray()
    async for part in request.stream():
        content += part
    workshop = workshop_of(request)
    return JSONResponse(await run_in_threadpool(read_photo, workshop, name, bytes(content), file))


@router.post("/shelf/chips/tried")
def tried(request: Request, given: Given) -> JSONResponse:
    """Answer what a chip would change."""
    name = str(given.get("name", ""))
    return JSONResponse(try_chip(workshop_of(request), name, given.get("fields", {})))


@router.post("/shelf/chips")
def save(request: Request, given: Given) -> JSONResponse:
    """Keep a chip as the shelf's next version."""
    saved = save_chip(
        workshop_of(request), str(given.get("name", "")), given.get("fields", {}),
        based_on=_number(given),
    )  # fmt: skip
    return JSONResponse({"number": saved.number})


@router.post("/shelf/lots")
def lots(request: Request, given: Given) -> JSONResponse:
    """Answer how a new lot compares with an old one."""
    name, old, new = (str(given.get(key, "")) for key in ("name", "old_lot", "new_lot"))
    return JSONResponse(compare_lots_of(workshop_of(request), name, old, new))


@router.post("/shelf/lots/taken")
def take(request: Request, given: Given) -> JSONResponse:
    """Keep a new lot as the one in use."""
    name, old, new = (str(given.get(key, "")) for key in ("name", "old_lot", "new_lot"))
    saved = save_lot(workshop_of(request), name, new, old, based_on=_number(given))
    return JSONResponse({"number": saved.number})


@router.post("/shelf/drops/tried")
def weigh(request: Request, given: Given) -> JSONResponse:
    """Answer what a drop weighs."""
    name = str(given.get("name", ""))
    return JSONResponse(try_drops(workshop_of(request), name, given.get("fields", {})))


@router.post("/shelf/drops")
def save_weighed(request: Request, given: Given) -> JSONResponse:
    """Keep what a drop weighs."""
    saved = save_drops(
        workshop_of(request), str(given.get("name", "")), given.get("fields", {}),
        based_on=_number(given),
    )  # fmt: skip
    return JSONResponse({"number": saved.number})


@router.post("/shelf/strength/tried")
def compare(request: Request, given: Given) -> JSONResponse:
    """Answer how strong a new lot is against the old, as seen by eye."""
    name = str(given.get("name", ""))
    return JSONResponse(try_strength(workshop_of(request), name, given.get("fields", {})))


@router.post("/shelf/strength")
def save_compared(request: Request, given: Given) -> JSONResponse:
    """Keep a new lot as the one in use, its strength as seen by eye."""
    saved = save_strength(
        workshop_of(request), str(given.get("name", "")), given.get("fields", {}),
        str(given.get("lot", "")), based_on=_number(given),
    )  # fmt: skip
    return JSONResponse({"number": saved.number})


def _number(given: dict[str, Any]) -> int:
    return whole_number(given.get("based_on", 0), "based_on", "version number")
