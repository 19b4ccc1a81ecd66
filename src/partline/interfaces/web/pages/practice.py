"""The practice run: the bench screen before a pretended bench, and how it went."""

from __future__ import annotations

from secrets import randbelow
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import JSONResponse, RedirectResponse

from partline.errors import InputError
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services import runs
from partline.services.runs import practice
from partline.services.runs.practice.options import MOST_SEED

router = APIRouter()
Typed = Annotated[str, Form()]


@router.post("/runs/practice")
def begin(
    request: Request, plan: Typed = "", moulds: Typed = "1", speed: Typed = "1", seed: Typed = ""
) -> RedirectResponse:
    """Begin a practice run of a kept plan; without a seed one is drawn."""
    number = whole_number(seed, "seed", "seed") if seed.strip() else randbelow(MOST_SEED + 1)
    code = runs.begin(
        workshop_of(request),
        plan,
        moulds=whole_number(moulds, "moulds", "number of moulds"),
        practice={"seed": number, "speed": _speed(speed)},
    )
    return RedirectResponse(f"/runs/{code}", status_code=303)


def _speed(typed: str) -> float:
    known = {f"{speed:g}": speed for speed in practice.SPEEDS}
    if typed.strip() not in known:
        raise InputError(
            f"“{typed[:20]}” is no speed of a practice run.",
            field="speed",
            given=typed[:20],
            remedy=f"Choose {', '.join(known)} times as fast as a clock.",
        )
    return known[typed.strip()]


@router.get("/runs/{code}/practice/sees")
def sees(request: Request, code: str) -> JSONResponse:
    """Answer what somebody at the pretended bench would see now, its displays among it."""
    return JSONResponse(practice.sees(workshop_of(request), code))


@router.get("/runs/{code}/practice/display/{cup}")
def display(request: Request, code: str, cup: str) -> JSONResponse:
    """Answer what the pretended thermometer shows of a cup now."""
    return JSONResponse(practice.reading(workshop_of(request), code, cup))


@router.get("/runs/{code}/practice/score")
def score(request: Request, code: str) -> Response:
    """Say how a practice run went: as a page, or as JSON to whoever asks for that."""
    found = practice.score(workshop_of(request), code)
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse(found)
    return render(request, "practice_score.html", {"score": found})
