"""Phones and tablets at the bench: the code that lets one in, and the door it comes through."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

import segno
from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response

from partline.errors import InputError, NotFound
from partline.interfaces.web.pairing import COOKIE, GOOD_FOR, Pairing
from partline.interfaces.web.parts import render
from partline.services.workshop import now

router = APIRouter()
#: A phone stays let in for a season. [s]
A_SEASON = 180 * 24 * 3600
#: Size of the code on the screen: modules of it. [px]
MODULE = 6


def _pairing(request: Request) -> Pairing:
    pairing: Pairing | None = request.app.state.pairing
    if pairing is None:
        raise NotFound(
            "This program answers this machine alone. Stop it and start it with --let-in to let "
            "a phone on the same network in."
        )
    return pairing


@router.get("/devices")
def devices(request: Request) -> Response:
    """Show how a phone is let in, or how the program is started so that one can be."""
    pairing: Pairing | None = request.app.state.pairing
    shown: dict[str, object] = {"is_open": pairing is not None}
    if pairing is not None:
        port = request.url.port or 80
        code = pairing.offer(now())
        links = [
            f"http://{name}:{port}/join?{urlencode({'code': code})}" for name in pairing.names
        ]
        drawn = segno.make_qr(links[0], error="m")
        shown |= {
            "links": links,
            "picture": drawn.svg_inline(scale=MODULE, border=4, dark="#000", light="#fff"),
            "minutes": int(GOOD_FOR.total_seconds() // 60),
        }
    return render(request, "devices.html", shown)


@router.post("/devices/away")
def turn_all_away(request: Request) -> Response:
    """Turn away every device that was ever let in."""
    _pairing(request).turn_all_away()
    return RedirectResponse("/devices", status_code=303)


@router.get("/join")
def door(request: Request, code: str = "") -> Response:
    """Ask whoever scanned the code whether to come in: a preview of a link must not use it up."""
    _pairing(request)
    return render(request, "join.html", {"code": code[:100]})


@router.post("/join")
def come_in(request: Request, code: Annotated[str, Form()] = "") -> Response:
    """Let a device in, once for each code."""
    cookie = _pairing(request).redeem(code, now())
    if cookie is None:
        raise InputError(
            "This code was used already, or is older than "
            f"{GOOD_FOR.total_seconds() / 60:.0f} minutes.",
            field="code",
            remedy="Reload Devices on the machine that runs Partline, and scan the new one.",
        )
    answer = RedirectResponse("/runs", status_code=303)
    answer.set_cookie(COOKIE, cookie, max_age=A_SEASON, httponly=True, samesite="strict")
    return answer
