"""Plans: kept with all that they were made from, shown, and printed as a card."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from partline.interfaces.cards import card_of, paper_named
from partline.interfaces.web.pages.recipes import count_of
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services.plan_learned import plan_learned
from partline.services.runcard import keep_plan, kept_card_material
from partline.services.runs.recall import changed
from partline.services.workshop import now

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]


@router.post("/plans")
def make_plan(request: Request, given: Given) -> JSONResponse:
    """Plan a kept recipe version and keep the plan."""
    request.app.state.readiness.wait()
    plan = keep_plan(
        workshop_of(request),
        recipe_id=str(given.get("recipe", "")),
        recipe_version=whole_number(given.get("version", 0), "version", "version number"),
        mould_id=str(given.get("mould", "")),
        bench_id=str(given.get("bench", "")),
        good=count_of(given.get("count")),
    )
    return JSONResponse({"code": plan.code})


@router.get("/plans/{code}")
def plan_page(request: Request, code: str) -> HTMLResponse:
    """Show a kept plan."""
    workshop = workshop_of(request)
    kept = workshop.plans.get(code)
    since = changed(workshop, kept.code)
    return render(request, "plan.html", {"kept": kept, "plan": kept.answer["plan"],
                                         "since": since if since["good_run"] else None,
                                         "learned": plan_learned(workshop, kept),
                                         "look": kept.answer["look"],
                                         "guesses": kept.answer.get("guesses", [])})  # fmt: skip


@router.get("/plans/{code}/card.pdf")
def plan_card(request: Request, code: str, paper: str = "a4") -> Response:
    """Return a kept plan's run card."""
    workshop = workshop_of(request)
    kept = workshop.plans.get(code)
    pdf = card_of(
        kept_card_material(workshop, kept),
        code=kept.code,
        link=str(request.url_for("plan_page", code=kept.code)),
        paper=paper_named(paper),
        printed=now().date(),
    )
    name = f'inline; filename="partline-{kept.code}.pdf"'
    return Response(pdf, media_type="application/pdf", headers={"Content-Disposition": name})
