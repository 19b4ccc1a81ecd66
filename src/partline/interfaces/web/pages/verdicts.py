"""The verdict on a run: what to look at, what it tells, and the one change to make."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from partline.interfaces.web.parts import render, workshop_of
from partline.services.runs.forecasts import forecast_scores
from partline.services.verdicts import answer_looks, confirm_cause, run_verdict, take_change

router = APIRouter()
ANSWERS = {"yes": True, "no": False, "unseen": None}


@router.get("/runs/{code}/verdict")
def verdict_page(request: Request, code: str) -> HTMLResponse:
    """Show the looks with what was answered, and the verdict beside them."""
    return render(request, "verdict.html", {"verdict": run_verdict(workshop_of(request), code)})


@router.post("/runs/{code}/verdict")
async def keep_looks(request: Request, code: str) -> RedirectResponse:
    """Keep the answers that changed, each as an event of the run."""
    form = await request.form()
    answers = {key: ANSWERS[str(given)] for key, given in form.items() if str(given) in ANSWERS}
    answer_looks(workshop_of(request), code, answers, device="laptop")
    return RedirectResponse(f"/runs/{code}/verdict", status_code=303)


@router.post("/runs/{code}/change")
def keep_change(request: Request, code: str) -> RedirectResponse:
    """Keep that the verdict's change is going to be made."""
    take_change(workshop_of(request), code, device="laptop")
    return RedirectResponse(f"/runs/{code}/verdict", status_code=303)


@router.post("/runs/{code}/cause")
async def keep_cause(request: Request, code: str) -> RedirectResponse:
    """Keep what spoiled the run after all; an empty answer takes it back."""
    form = await request.form()
    cause = str(form.get("cause") or "")
    confirm_cause(workshop_of(request), code, cause or None, device="laptop")
    return RedirectResponse(f"/runs/{code}/verdict", status_code=303)


@router.get("/forecasts")
def scores(request: Request) -> HTMLResponse:
    """Show how the forecasts have done beside habit and the rule of thumb."""
    return render(request, "forecasts.html", {"scores": forecast_scores(workshop_of(request))})
