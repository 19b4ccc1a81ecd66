"""Runs: the bench screen, the events that it sends, the photos, and the plain record after it."""

from __future__ import annotations

from time import perf_counter
from typing import Annotated, Any

from fastapi import APIRouter, Body, Form, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from starlette.concurrency import run_in_threadpool

from partline.errors import InputError
from partline.interfaces.web.bench_help import HELP
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.records.workshop import Workshop
from partline.services import runs
from partline.services.photos import photos_of
from partline.services.run_photos import photos_due
from partline.services.runs.log import moment
from partline.services.runs.recall import changed, find, pin, run_luck, set_aside
from partline.services.runs.recall.fields import FIELDS
from partline.services.workshop import now

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]
Typed = Annotated[str, Form()]
Json = dict[str, Any]

#: Events of one request; a device that waited longer sends the rest in the next.
MOST_EVENTS = 500
#: Letters kept of what a device calls itself, and of a photo's name.
LONGEST_DEVICE, LONGEST_NAME = 40, 200
#: What tells an event that a form of these pages brings.
WEB = "web page"
#: States in which the run is looked at, not driven.
OVER = frozenset({"judged", "closed"})


@router.get("/runs")
def listed(request: Request, where: Annotated[list[str] | None, Query()] = None) -> HTMLResponse:
    """List the runs of this workshop, pinned ones first, then the newest; all or those found."""
    workshop = workshop_of(request)
    plans = workshop.plans.listed(most=8)
    asked = [text.strip() for text in where or [] if text.strip()]
    found, problem = None, None
    try:
        found = find(workshop, asked) if asked else None
    except InputError as error:
        problem = str(error)
    shown = runs.listed(workshop) if found is None else found["runs"]
    shown = sorted(shown, key=lambda each: not each["is_pinned"])
    told = {
        "runs": shown, "plans": plans, "asked": asked, "found": found, "problem": problem,
        "fields": FIELDS.values(), "photos_due": photos_due(workshop)["due"],
    }  # fmt: skip
    return render(request, "runs.html", told, status=422 if problem else 200)


@router.post("/runs")
def begin(request: Request, plan: Typed = "", moulds: Typed = "1") -> RedirectResponse:
    """Begin a run of a kept plan with so many moulds in rotation, and show its screen."""
    count = whole_number(moulds, "moulds", "number of moulds")
    code = runs.begin(workshop_of(request), plan, moulds=count)
    return RedirectResponse(f"/runs/{code}", status_code=303)


@router.get("/runs/{code}")
def run_page(request: Request, code: str, screen: str = "") -> HTMLResponse:
    """Show the bench screen, with its first state inside it; the record once the run is over."""
    workshop = workshop_of(request)
    started = perf_counter()
    state = _stamped(workshop, code, runs.state(workshop, code), started)
    if state["state"] in OVER and screen != "bench":
        told = {"luck": run_luck(workshop, code), "since": changed(workshop, code)}
        return render(request, "run_record.html", {"run": state, **told})
    mould = workshop.plans.get(str(state["plan"])).mould
    mark = photos_of(workshop, mould.document_id)["bottom_mark"]
    return render(request, "run.html", {"run": state, "help": HELP, "mark": mark})


@router.post("/runs/{code}/pin")
def pin_it(request: Request, code: str, pinned: Typed = "", text: Typed = "") -> RedirectResponse:
    """Pin a run as a good one, or take the pin off; both stay in its record."""
    pin(workshop_of(request), code, pinned=pinned == "yes", text=text.strip(), device=WEB)
    return RedirectResponse(f"/runs/{code}", status_code=303)


@router.post("/runs/{code}/aside")
def put_aside(request: Request, code: str, aside: Typed = "", why: Typed = "") -> RedirectResponse:
    """Set a run aside, or take it in again; both stay in its record."""
    set_aside(workshop_of(request), code, aside=aside == "yes", why=why.strip(), device=WEB)
    return RedirectResponse(f"/runs/{code}", status_code=303)


@router.get("/runs/{code}/state")
def state_now(request: Request, code: str) -> JSONResponse:
    """Answer the state, made anew from the events."""
    started = perf_counter()
    workshop = workshop_of(request)
    state = runs.state(workshop, code)
    request.app.state.bell.heed(state)
    return JSONResponse(_stamped(workshop, code, state, started))


def _stamped(workshop: Workshop, code: str, state: Json, started: float) -> Json:
    """Return the state with the time at its very end and how long it took to make.

    A forecast takes a part of a second; a device that halves the way of an answer must not halve
    that too, or its timers would be early by half of it.
    """
    state["now"] = moment(runs.run_clock(workshop.runs.get(code), now()))
    state["took_s"] = round(perf_counter() - started, 4)
    return state


@router.get("/runs/{code}/token")
def token_now(request: Request) -> JSONResponse:
    """Answer the running program's token to a page that is older than the program.

    NOTE: it stands in every page already. Another site can ask for neither: the answer may be
    read by the same origin alone (see `guards.HEADERS`).
    """
    return JSONResponse({"token": request.app.state.token})


@router.post("/runs/{code}/events")
def keep_events(request: Request, code: str, given: Given) -> JSONResponse:
    """Keep what a device was told, each event once; what cannot be read is said by its id."""
    events = given.get("events")
    if not isinstance(events, list) or len(events) > MOST_EVENTS:
        raise InputError(
            f"“events” must be a list of at most {MOST_EVENTS} events.",
            field="events",
            remedy="Send them in several requests; an event may be sent again.",
        )
    device = str(given.get("device", ""))[:LONGEST_DEVICE]
    started, workshop = perf_counter(), workshop_of(request)
    answer: Json = runs.record(workshop, code, events, device=device)
    request.app.state.bell.heed(answer["state"])
    _stamped(workshop, code, answer["state"], started)
    return JSONResponse(answer, status_code=422 if answer["problems"] else 200)


@router.post("/runs/{code}/photos")
async def keep_photo(request: Request, code: str, name: str = "") -> JSONResponse:
    """Keep a photo, the body itself. The guards count it while it comes in."""
    content = bytearray()
    async for part in request.stream():
        content += part
    workshop = workshop_of(request)
    kept = await run_in_threadpool(
        runs.add_photo, workshop, code, name[:LONGEST_NAME], bytes(content)
    )
    return JSONResponse({"photo": kept})
