"""A class at the bench: cards for its groups, rules for the wall, baits to diagnose, results."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from partline.errors import DataError, Impossible, InputError
from partline.interfaces.cards import paper_named
from partline.interfaces.cards.for_class import cards_of_class, exercise_sheet, wall_rules
from partline.interfaces.figures.spoiled import belly_cut, outside, sprue_cut
from partline.interfaces.web.pages.recipes import count_of
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services.classes import (
    begin_class,
    class_cards,
    class_results,
    compared,
    exercise,
    listed_classes,
    results_csv,
)
from partline.services.workshop import now
from partline.studies.exercise import SpoiledBait, spoiled_baits

router = APIRouter()
#: Fields of the form that begins a class.
TYPED = ("recipe", "mould", "bench", "count", "groups")


@router.get("/classes")
def classes(request: Request) -> HTMLResponse:
    """Show the classes there were, and what begins another."""
    return _classes(request, {"count": "8", "groups": "8"})


def _classes(request: Request, typed: dict[str, str], problem: str = "") -> HTMLResponse:
    workshop = workshop_of(request)
    facts = {
        "typed": typed,
        "problem": problem,
        "classes": listed_classes(workshop),
        "recipes": workshop.recipes.listed(),
        "moulds": workshop.moulds.listed(),
        "benches": [workshop.benches.get(each.document_id) for each in workshop.benches.listed()],
    }
    return render(request, "classes.html", facts, status=422 if problem else 200)


@router.post("/classes")
async def begin(request: Request) -> Response:
    """Plan the same pour for every group; what cannot be planned is said above what was typed."""
    form = await request.form()
    typed = {key: str(form.get(key, ""))[:40] for key in TYPED}
    try:
        code = begin_class(
            workshop_of(request),
            recipe_id=typed["recipe"],
            mould_id=typed["mould"],
            bench_id=typed["bench"],
            good=count_of(typed["count"]),
            groups=whole_number(typed["groups"], "groups", "number of groups", such_as=8),
        )
    except (InputError, Impossible, DataError) as refusal:
        return _classes(request, typed, str(refusal))
    return RedirectResponse(f"/classes/{code}", status_code=303)


@router.get("/classes/exercise/{number}")
def ask(request: Request, number: int) -> HTMLResponse:
    """Show three spoiled baits; each look is opened by who takes it."""
    return _exercise(request, number, {})


@router.post("/classes/exercise/{number}")
async def judge(request: Request, number: int) -> HTMLResponse:
    """Show what was right."""
    form = await request.form()
    given = {place: str(form[f"bait-{place}"]) for place in range(1, 8) if f"bait-{place}" in form}
    return _exercise(request, number, given)


@router.get("/classes/exercise/{number}/sheet.pdf")
def sheet(number: int, paper: str = "a4") -> Response:
    """Return the exercise on paper, its answers on a second page."""
    pdf = exercise_sheet(number, paper=paper_named(paper), printed=now().date())
    return _pdf(pdf, f"partline-exercise-{number}")


@router.get("/classes/wall/{bench_id}.pdf")
def wall(request: Request, bench_id: str, paper: str = "a4") -> Response:
    """Return the rules of a bench for the wall."""
    bench = workshop_of(request).benches.get(bench_id).content
    return _pdf(wall_rules(bench, paper=paper_named(paper), printed=now().date()), "partline-wall")


@router.get("/classes/{code}")
def one_class(request: Request, code: str) -> HTMLResponse:
    """Show what the groups of a class made."""
    workshop = workshop_of(request)
    found = class_results(workshop, code)
    bench = workshop.benches.version(class_cards(workshop, code)[0].plan.bench.id)
    facts = {"results": found, "bench": bench.content, "bench_id": bench.version.document_id}
    return render(request, "class.html", facts)


@router.get("/classes/{code}/cards.pdf")
def cards(request: Request, code: str, paper: str = "a4") -> Response:
    """Return every group's card in one print."""
    pdf = cards_of_class(
        class_cards(workshop_of(request), code),
        link=lambda plan: str(request.url_for("plan_page", code=plan)),
        paper=paper_named(paper),
        printed=now().date(),
    )
    return _pdf(pdf, f"partline-class-{code}")


@router.get("/classes/{code}/results.csv")
def table(request: Request, code: str) -> Response:
    """Return the results as a table; it holds no names."""
    text = results_csv(class_results(workshop_of(request), code))
    name = f'attachment; filename="partline-class-{code}.csv"'
    return Response(text, media_type="text/csv", headers={"Content-Disposition": name})


def _exercise(request: Request, number: int, given: dict[int, str]) -> HTMLResponse:
    asked = exercise(number)
    baits: list[dict[str, Any]] = [
        each | {"pictures": _pictures(bait)}
        for each, bait in zip(asked["baits"], spoiled_baits(number), strict=True)
    ]
    facts = {"asked": asked, "baits": baits, "given": given,
             "answers": compared(number, given) if given else None}  # fmt: skip
    return render(request, "exercise.html", facts)


def _pictures(bait: SpoiledBait) -> list[dict[str, str]]:
    drawn = (
        ("Over white and over black", outside(bait)),
        ("Sprue cut", sprue_cut(bait)),
        ("Belly cut, wet, over pale", belly_cut(bait)),
        ("Belly cut, in grey", belly_cut(bait, grey=True)),
    )
    return [{"label": label, "svg": each.svg, "words": each.words} for label, each in drawn]


def _pdf(content: bytes, name: str) -> Response:
    disposition = f'inline; filename="{name}.pdf"'
    headers = {"Content-Disposition": disposition}
    return Response(content, media_type="application/pdf", headers=headers)
