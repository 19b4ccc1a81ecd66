"""Photos of a run: taken in and measured, pointed at, asked about looks, followed over days."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Annotated, Any

from fastapi import APIRouter, Body, Form, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from partline.errors import InputError, NotFound
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services.photo_measure import PLACES, Subject, subject_named
from partline.services.run_photos import (
    apply_line,
    keep_line,
    measure_again,
    next_number,
    photo_of_run,
    pointed_from,
    run_photos,
    shown_as,
    take_back,
    take_photo,
    tell_photo_look,
)
from partline.services.runs.photo_events import FIGURES, WORDS
from partline.studies.photo_card import RULED

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]
Typed = Annotated[str, Form()]
Json = dict[str, Any]
#: Letters kept of a photo's name.
LONGEST_NAME = 200
#: What tells an event that these pages bring.
WEB = "web page"
#: Digits that each figure is shown with.
DIGITS = {key: row[2] for key, row in FIGURES.items()}
#: Places on the card that can be pointed at, in a maker's words, by what is measured there.
POCKETS = (
    ("slice", "slice", "the belly slice"),
    ("sprue", "sprue", "the sprue slice"),
    ("back", "bait", "the bait with its back up"),
    ("belly", "bait", "the bait with its belly up"),
)


@router.get("/runs/{code}/photos")
def photos_page(request: Request, code: str) -> HTMLResponse:
    """Show a run's photos, what they say of the looks, and what crept."""
    return _photos(request, code)


def _photos(
    request: Request, code: str, typed: dict[str, str] | None = None, problem: str = ""
) -> HTMLResponse:
    workshop = workshop_of(request)
    told = {
        "typed": typed or {},
        "problem": problem,
        "run": run_photos(workshop, code),
        "subjects": [(each.value, WORDS[each]) for each in Subject],
        "can_measure": find_spec("cv2") is not None,
        "cards": workshop.photo_cards.listed(),
        "next_number": next_number(workshop),
        "line_mm": RULED * 1e3,
        "digits": DIGITS,
    }
    return render(request, "run_photos.html", told, status=422 if problem else 200)


@router.post("/runs/{code}/photos/measured")
async def take(request: Request, code: str) -> JSONResponse:
    """Take a photo in, the body itself, and measure it; a refused one is kept only when asked.

    The guards count it while it comes in. What it shows stands in the address.
    """
    asked = request.query_params
    said = {key: asked.get(key, "") for key in ("day", "shot", "baits")}
    shown = shown_as(subject_named(asked.get("subject", "")), **said)
    content = bytearray()
    async for part in request.stream():
        content += part
    kept = await run_in_threadpool(
        take_photo, workshop_of(request), code, bytes(content), shown,
        name=asked.get("name", "")[:LONGEST_NAME], keeps_refused=asked.get("keep") == "yes",
        device=WEB,
    )  # fmt: skip
    return JSONResponse(kept)


@router.post("/runs/{code}/photos/look")
def tell_look(request: Request, code: str, look: Typed = "") -> RedirectResponse:
    """Tell the run what its photos say about a look."""
    tell_photo_look(workshop_of(request), code, look, device=WEB)
    return RedirectResponse(f"/runs/{code}/photos#looks", status_code=303)


@router.post("/runs/{code}/photos/line")
def keep_card_line(request: Request, code: str, number: Typed = "", line: Typed = "") -> Response:
    """Keep a card's line under a ruler; this run's slices on that card are measured again."""
    workshop = workshop_of(request)
    try:
        card = whole_number(number, "number", "number of a card", such_as=1)
        keep_line(workshop, card, line)
    except InputError as refusal:
        return _photos(request, code, {"number": number, "line": line}, str(refusal))
    apply_line(workshop, code, card, device=WEB)
    return RedirectResponse(f"/runs/{code}/photos#cards", status_code=303)


@router.get("/runs/{code}/photos/{photo_id}")
def photo_page(request: Request, code: str, photo_id: str) -> HTMLResponse:
    """Show one photo of a run, to be pointed at and measured again."""
    workshop = workshop_of(request)
    found = run_photos(workshop, code)
    photo = next((each for each in found["photos"] if each["code"] == photo_id), None)
    if photo is None:
        raise NotFound(f"Run {found['run']} has no photo {photo_id[:20]}.")
    told = {"run": found, "photo": photo, "pockets": POCKETS, "digits": DIGITS}
    return render(request, "run_photo.html", told)


@router.post("/runs/{code}/photos/{photo_id}/measure")
def measure(request: Request, code: str, photo_id: str, given: Given) -> JSONResponse:
    """Measure a kept photo again, as the maker pointed at it."""
    subject = subject_named(str(given.get("subject", "")))
    said = {key: str(given.get(key) or "") for key in ("day", "shot", "baits")}
    pointed = pointed_from(given.get("pointed"))
    told = {key: each for key, each in pointed.items() if key in PLACES[subject]}
    kept = measure_again(
        workshop_of(request), code, photo_id, shown_as(subject, **said), pointed=told, device=WEB
    )
    return JSONResponse(kept)


@router.post("/runs/{code}/photos/{photo_id}/take-back")
def take_measure_back(
    request: Request, code: str, photo_id: str, measure: Typed = ""
) -> RedirectResponse:
    """Take a measurement back; the photo stays."""
    workshop = workshop_of(request)
    photo, _ = photo_of_run(workshop, code, photo_id)
    take_back(workshop, code, measure, device=WEB)
    return RedirectResponse(f"/runs/{code}/photos/{photo.id}", status_code=303)
