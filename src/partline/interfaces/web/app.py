"""The web application: pages, guards, and the one place where refusals become sentences."""

from __future__ import annotations

import logging
import os
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from partline.errors import Error, NotFound, RecordError, StorageFull
from partline.interfaces.web.guards import HEADERS, Guards, Refused, new_token
from partline.interfaces.web.pages import (
    begin,
    benches,
    checks,
    chips,
    classes,
    compare,
    devices,
    documents,
    keeping,
    match,
    moulds,
    paper,
    photo_views,
    photos,
    pictures,
    plans,
    practice,
    recipes,
    run_photos,
    runs,
    shelf,
    spoons,
    start,
    verdicts,
)
from partline.interfaces.web.pairing import Door, Pairing
from partline.interfaces.web.parts import render
from partline.interfaces.web.readiness import Readiness
from partline.interfaces.web.ringing import Bell
from partline.records.workshop import Workshop
from partline.services.demo_runs import load_demo_runs
from partline.services.workshop import load_demo, open_at

#: Names this machine goes by; anything else is another site's page knocking.
HOSTS = ("localhost", "127.0.0.1")
#: Beside the workshop's file, and never in an archive.
DEVICES_KEY = "devices.key"
STATIC = Path(__file__).parent / "static"
log = logging.getLogger("partline.web")


def from_environment() -> FastAPI:
    """Return the application over the workshop that the environment names.

    Raises
    ------
    RecordError
        If the workshop cannot be opened.
    """
    workshop = open_at(Path(os.environ["PARTLINE_WORKSHOP"]))
    is_demo = bool(os.environ.get("PARTLINE_DEMO"))
    if is_demo:
        load_demo(workshop)
        load_demo_runs(workshop)
    makes_tables = os.environ.get("PARTLINE_MAKE_TABLES", "yes") != "no"
    names = [name for name in os.environ.get("PARTLINE_LET_IN", "").split(",") if name]
    pairing = None
    if names:
        file = Path(os.environ["PARTLINE_WORKSHOP"]) / DEVICES_KEY
        pairing = Pairing(file, names)
    return create_app(workshop, is_demo=is_demo, makes_tables=makes_tables, pairing=pairing)


def create_app(
    workshop: Workshop,
    *,
    is_demo: bool = False,
    makes_tables: bool = False,
    hosts: Sequence[str] = HOSTS,
    pairing: Pairing | None = None,
) -> FastAPI:
    """Return the application over an open workshop.

    Parameters
    ----------
    workshop : Workshop
        Closed when the application stops.
    is_demo : bool
        Whether the pages say that everything in it is invented.
    makes_tables : bool
        Whether a mould that is looked at has its fine picture made in the background.
    hosts : sequence of str
        Names that this machine calls itself by.
    pairing : Pairing or None
        Which devices on the network are let in; none when None.
    """

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        app.state.readiness.begin()
        app.state.bell.begin()
        yield
        app.state.bell.end()
        workshop.close()

    app = FastAPI(
        title="Partline", docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan
    )
    token = new_token()
    app.state.workshop = workshop
    app.state.is_demo = is_demo
    app.state.makes_tables = makes_tables
    app.state.token = token
    app.state.pairing = pairing
    app.state.readiness = Readiness()
    app.state.bell = Bell()
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    for page in (
        start,
        begin,
        recipes,
        pictures,
        plans,
        documents,
        keeping,
        shelf,
        chips,
        checks,
        moulds,
        photos,
        photo_views,
        benches,
        compare,
        spoons,
        match,
        runs,
        practice,
        paper,
        devices,
        verdicts,
        run_photos,
        classes,
    ):
        app.include_router(page.router)
    app.add_exception_handler(Error, _refusal)
    app.add_exception_handler(HTTPException, _http_refusal)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(Exception, _our_fault)
    called = list(hosts)
    if pairing is not None:
        called += pairing.names
        app.add_middleware(Door, pairing=pairing, home=hosts)
    # Added last, so outermost: nothing leaves unguarded.
    app.add_middleware(Guards, token=token, hosts=called)
    return app


def _status(error: Error) -> int:
    match error:
        case NotFound():
            return 404
        case StorageFull():
            return 507
        case RecordError():
            return 409  # what is kept stands in the way: edited elsewhere, not empty, newer
        case _:
            return 422


def _wants_json(request: Request) -> bool:
    return "application/json" in request.headers.get("accept", "")


def _refusal(request: Request, error: Exception) -> Response:
    """Say a purposeful refusal beside the field, or on a page of its own."""
    if not isinstance(error, Error):  # registered for Error alone
        raise error
    status = _status(error)
    if _wants_json(request):
        return JSONResponse({"error": error.as_dict()}, status_code=status)
    return _page(request, "That cannot be done as it stands", str(error), status)


def _http_refusal(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    sentence = "There is no such page." if status == 404 else "This request cannot be answered."
    if isinstance(error, Refused):
        sentence = error.detail
    return _plain_refusal(request, "Not here", sentence, status)


def _malformed(request: Request, error: Exception) -> Response:
    """Say which part of an address or a form cannot be read; no page of ours sends such."""
    faults = error.errors() if isinstance(error, RequestValidationError) else []
    parts = ", ".join(dict.fromkeys(str(fault["loc"][-1]) for fault in faults)) or "body"
    sentence = f"A part of this request is missing or cannot be read: {parts[:80]}."
    return _plain_refusal(request, "That cannot be read", sentence, 422)


def _plain_refusal(request: Request, title: str, sentence: str, status: int) -> Response:
    if _wants_json(request):
        return JSONResponse({"error": {"kind": "HTTP", "message": sentence}}, status_code=status)
    return _page(request, title, sentence, status)


def _our_fault(request: Request, error: Exception) -> Response:
    log.exception("A fault of ours at %s", request.url.path, exc_info=error)
    sentence = (
        "This is our fault, not yours. Nothing that was saved is lost. The program's window shows "
        "the lines to send us."
    )
    answer: Response
    if _wants_json(request):
        answer = JSONResponse({"error": {"kind": "Fault", "message": sentence}}, status_code=500)
    else:
        answer = _page(request, "Our fault", sentence, 500)
    answer.headers.update(HEADERS)  # the framework answers a fault outside the guards
    return answer


def _page(request: Request, title: str, sentence: str, status: int) -> HTMLResponse:
    facts = {"title": title, "sentence": sentence, "back": _came_from(request)}
    return render(request, "refusal.html", facts, status=status)


def _came_from(request: Request) -> str:
    """Return the page of ours that a refused form stood on; empty where none is known."""
    home, page = str(request.base_url), request.headers.get("referer", "")
    if request.method != "POST" or not page.startswith(home) or "token=" in page:
        return ""
    return f"/{page.removeprefix(home)}"
