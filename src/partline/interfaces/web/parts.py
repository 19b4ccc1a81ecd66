"""What every page is made with: templates, the open workshop, numbers as they are shown."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any

from fastapi import Query, Request
from fastapi.responses import HTMLResponse
from fastapi.templating import Jinja2Templates

from partline.errors import InputError
from partline.records.workshop import Workshop
from partline.services.cautions import CAUTIONS

#: Largest number of a version, or of baits, that is looked at.
MOST = 999_999
#: A version asked for in an address; none for the newest.
VersionNumber = Annotated[int | None, Query(ge=1, le=MOST)]

HERE = Path(__file__).parent
templates = Jinja2Templates(directory=HERE / "templates")


@lru_cache(maxsize=64)
def static_url(name: str) -> str:
    """Return the address of a static file, which changes when its content does."""
    digest = hashlib.sha256((HERE / "static" / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?v={digest}"


def number(value: float | None, digits: int = 1) -> str:
    """Write a number for a page, with a true minus sign; a dash for none."""
    return "–" if value is None else f"{value:.{digits}f}".replace("-", "−")


def span(ends: list[float] | tuple[float, float] | None, digits: int = 1) -> str:
    """Write a range as low–high."""
    return "" if ends is None else f"{number(ends[0], digits)}–{number(ends[1], digits)}"


def degrees(celsius: float, scale: str | None) -> str:
    """Write a temperature [°C] in what the maker's thermometer shows."""
    if scale == "°F":
        return f"{number(celsius * 9 / 5 + 32, 0)} °F"
    return f"{number(celsius, 0)} °C"


def local_time(moment: str, form: str = "%H:%M:%S") -> str:
    """Write a moment of the wire as the clock on this machine's wall shows it."""
    return datetime.fromisoformat(moment).astimezone().strftime(form)


templates.env.filters["degrees"] = degrees
templates.env.filters["local_time"] = local_time
templates.env.filters["number"] = number
templates.env.filters["span"] = span
templates.env.globals["static_url"] = static_url
templates.env.globals["cautions"] = CAUTIONS


def workshop_of(request: Request) -> Workshop:
    """Return the workshop that the application serves."""
    workshop: Workshop = request.app.state.workshop
    return workshop


def whole_number(given: object, field: str, what: str, *, such_as: int = 40) -> int:
    """Return a whole number from 0 as typed, or as a script sends it.

    Raises
    ------
    InputError
        If it is none, or beyond all measure.
    """
    text = "" if given is None else str(given).strip()
    if not (text.isascii() and text.isdigit()) or int(text[:20]) > MOST:
        raise InputError(
            f"“{text[:40]}” is no {what}.",
            field=field,
            given=text[:40],
            remedy=f"Write a whole number, such as {such_as}.",
        )
    return int(text)


def render(
    request: Request, name: str, context: Mapping[str, Any], *, status: int = 200
) -> HTMLResponse:
    """Return a page."""
    workshop = workshop_of(request)
    common = {
        "workshop_name": workshop.name,
        "is_demo": request.app.state.is_demo,
        "token": request.app.state.token,
    }
    return templates.TemplateResponse(request, name, common | dict(context), status_code=status)
