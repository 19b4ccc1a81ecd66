"""The recipe editor and its live look."""

from __future__ import annotations

from base64 import b64encode
from concurrent.futures import ThreadPoolExecutor
from typing import Annotated, Any

from fastapi import APIRouter, Body, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from partline.errors import Error, NotFound
from partline.interfaces.figures import bait_png, section_svg
from partline.interfaces.web.pages.pictures import usual_mould
from partline.interfaces.web.parts import VersionNumber, render, whole_number, workshop_of
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.physics.illuminant import Illuminant
from partline.process.recipe import Recipe
from partline.process.water import LakeColour, SeaType
from partline.records.workshop import Workshop
from partline.services.blending import shares_for_resin
from partline.services.look import (
    LookAnswer,
    draw_scene,
    look_as_json,
    preview_look,
)
from partline.services.more_drops import fewer_and_more
from partline.services.plan import PlanAnswer, plan_as_json, plan_pour
from partline.services.recipes import Fields, fields_of, recipe_of, save_recipe
from partline.services.scene import (
    USUAL_DEPTH,
    USUAL_DISTANCE,
    USUAL_HEAT,
    USUAL_SECCHI,
    Bubbles,
    Pictures,
    Scene,
    medium_of,
    scene_as_json,
    scene_of,
)
from partline.services.shelf import shelf_as_json
from partline.services.tables import Medium, keeper, table_as_json
from partline.services.workshop import SHELF

router = APIRouter()
Given = Annotated[dict[str, Any], Body()]

#: Draws behind a live range: enough to steady it, few enough to keep up with a moving slider.
LIVE_DRAWS = 16
DEFAULT_COUNT = 40
#: The pictures are drawn beside the numbers, on the machine's other core.
_beside = ThreadPoolExecutor(max_workers=2, thread_name_prefix="pictures")


def shelf_of(workshop: Workshop) -> Shelf | None:
    """Return the workshop's shelf; None before one was brought in."""
    try:
        return workshop.shelves.named(SHELF).content
    except NotFound:
        return None


def blank_fields(workshop: Workshop, *, two: bool) -> Fields:
    """Return the fields of a recipe that nobody has written yet."""
    shelf = shelf_of(workshop)
    grade = shelf.grades[0].name if shelf and shelf.grades else ""
    halves = ("back", "belly") if two else ("whole",)
    return {
        "name": "",
        "note": "",
        "hiding": "",
        "start": "",
        "push": "",
        "sides": [
            {"half": half, "blend": [{"grade": grade, "share": "100 %"}], "loadings": []}
            for half in halves
        ],
    }


@router.get("/recipes/new")
def new_recipe(request: Request, colours: int = 2) -> HTMLResponse:
    """Show an empty editor."""
    workshop = workshop_of(request)
    facts = {"id": "", "number": 0, "name": "", "latest": 0}
    return _editor(request, facts, blank_fields(workshop, two=colours != 1))


@router.get("/recipes/{document_id}")
def recipe(request: Request, document_id: str, version: VersionNumber = None) -> HTMLResponse:
    """Show a recipe in the editor."""
    kept = workshop_of(request).recipes.get(document_id, version)
    facts = {
        "id": document_id,
        "number": kept.version.number,
        "name": kept.version.name,
        "latest": kept.version.latest,
    }
    return _editor(request, facts, fields_of(kept.content))


def _editor(request: Request, facts: dict[str, Any], fields: Fields) -> HTMLResponse:
    workshop = workshop_of(request)
    shelf = shelf_of(workshop)
    supplies = shelf_as_json(shelf) if shelf else []
    usual = usual_mould(workshop)
    history = workshop.recipes.history(facts["id"]) if facts["id"] else ()
    return render(
        request,
        "recipe.html",
        {
            "facts": facts,
            "fields": fields,
            "history": history,
            "moulds": workshop.moulds.listed(),
            "benches": workshop.benches.listed(),
            "supplies": supplies,
            "grades": [each for each in supplies if each["kind"] == "grade"],
            "has_shelf": shelf is not None,
            "count": request.query_params.get("count", str(DEFAULT_COUNT)),
            "chosen_mould": request.query_params.get("mould", usual.document_id if usual else ""),
            "lights": list(Illuminant),
            "lakes": list(LakeColour),
            "seas": list(SeaType),
            "usual": {
                "secchi": USUAL_SECCHI,
                "depth": USUAL_DEPTH,
                "distance": USUAL_DISTANCE,
                "heat": USUAL_HEAT,
            },
            "bubbles": list(Bubbles),
            "chosen_bench": request.query_params.get("bench", ""),
        },
    )


@router.post("/look")
def live_look(request: Request, given: Given) -> Response:
    """Answer an edit: pictures, numbers and amounts for what is typed right now."""
    request.app.state.readiness.wait()
    workshop = workshop_of(request)
    recipe = recipe_of(given.get("fields", {}))
    mould = workshop.moulds.get(str(given.get("mould", ""))).content
    shelf = workshop.shelves.named(SHELF).content
    scene = scene_of(given.get("scene") or {})
    if request.app.state.makes_tables:
        for medium in dict.fromkeys((scene.medium, Medium.AIR)):
            keeper().ask(mould, medium)
    drawing = _beside.submit(draw_scene, recipe, mould, shelf, scene)
    answer = preview_look(recipe, mould, shelf, draws=LIVE_DRAWS, condition=scene.condition)
    plan, refusal, problem = _plan(workshop, given, recipe, mould, shelf)
    cups = plan.amounts.melts[0].masses if plan else {}
    return JSONResponse(
        {
            "look": look_as_json(answer, cup_masses=cups),
            "plan": plan_as_json(plan) if plan else None,
            "plan_refusal": refusal,
            "plan_problem": problem,
            **_drawn(scene, drawing.result()),
            "table": table_as_json(keeper().progress(mould, scene.medium)),
            "sections": _sections(answer),
        }
    )


def _plan(
    workshop: Workshop, given: dict[str, Any], recipe: Recipe, mould: Mould, shelf: Shelf
) -> tuple[PlanAnswer | None, str, dict[str, object] | None]:
    """Return the amounts, or why there are none as a sentence and as fields: a look needs none."""
    bench_id = str(given.get("bench", ""))
    if not bench_id:
        return None, "Choose a bench to see what goes into each cup.", None
    try:
        bench = workshop.benches.get(bench_id).content
        good = count_of(given.get("count"))
        return plan_pour(recipe, mould, bench, shelf, good=good), "", None
    except Error as error:
        return None, str(error), error.as_dict()


def count_of(given: object) -> int:
    """Return a count of baits as typed.

    Raises
    ------
    InputError
        If it is no whole number.
    """
    return whole_number(given, "count", "number of baits")


def _drawn(scene: Scene, drawn: Pictures) -> dict[str, object]:
    """Return pictures as text, and what stands beside them."""
    every = drawn.views | {f"unadapted-{name}": srgb for name, srgb in drawn.unadapted.items()}
    return {
        "pictures": {name: b64encode(bait_png(srgb)).decode() for name, srgb in every.items()},
        "scene": scene_as_json(scene, drawn),
    }


@router.post("/look/drops")
def drops_strip(request: Request, given: Given) -> JSONResponse:
    """Answer pictures of the same recipe with fewer and more of one supply."""
    request.app.state.readiness.wait()
    workshop = workshop_of(request)
    drawn = fewer_and_more(
        recipe_of(given.get("fields", {})),
        workshop.moulds.get(str(given.get("mould", ""))).content,
        workshop.shelves.named(SHELF).content,
        scene_of(given.get("scene") or {}),
        half=str(given.get("half", "")),
        supply=str(given.get("supply", ""))[:120],
    )
    return JSONResponse(
        {
            "strip": [
                {
                    "amount": each.amount,
                    "is_now": each.is_now,
                    "difference": round(each.difference, 1),
                    "picture": b64encode(bait_png(each.side)).decode(),
                }
                for each in drawn
            ]
        }
    )


@router.get("/moulds/{document_id}/table")
def table_progress(request: Request, document_id: str, around: str = "air") -> JSONResponse:
    """Answer how far the fine picture of a mould has come."""
    mould = workshop_of(request).moulds.get(document_id).content
    return JSONResponse(table_as_json(keeper().progress(mould, medium_of(around))))


@router.post("/moulds/{document_id}/table")
def table_wanted(request: Request, document_id: str, given: Given) -> JSONResponse:
    """Go on making the fine picture of a mould, or stop it."""
    mould = workshop_of(request).moulds.get(document_id).content
    medium = medium_of(given.get("around"))
    if given.get("stop"):
        keeper().stop(mould, medium)
    else:
        keeper().ask(mould, medium)
    return JSONResponse(table_as_json(keeper().progress(mould, medium)))


def _sections(answer: LookAnswer) -> list[dict[str, str]]:
    largest = max(max(each.width, each.height) for each in answer.mould.stations)
    return [
        {
            "station": seen.station.name,
            "svg": section_svg(
                seen.station,
                seen.halves[0].own_colour,
                seen.halves[-1].own_colour,
                largest=largest,
            ),
        }
        for seen in answer.look.stations
    ]


@router.post("/recipes")
def save(request: Request, given: Given) -> JSONResponse:
    """Keep an edited recipe as its next version, or a new one."""
    kept = save_recipe(
        workshop_of(request),
        given.get("fields", {}),
        document_id=str(given.get("id", "")),
        based_on=whole_number(given.get("based_on", 0), "based_on", "version number"),
        note=str(given.get("version_note", ""))[:500],
    )
    return JSONResponse({"id": kept.version.document_id, "number": kept.version.number})


@router.post("/blend")
def blend(request: Request, given: Given) -> JSONResponse:
    """Answer the shares of two grades that give a wanted resin share."""
    shelf = workshop_of(request).shelves.named(SHELF).content
    first, second, resin = (str(given.get(key, ""))[:120] for key in ("first", "second", "resin"))
    return JSONResponse({"shares": shares_for_resin(shelf, first, second, resin)})


@router.get("/recipes")
def recipes_home() -> RedirectResponse:
    """Lead to the start page, where recipes are listed."""
    return RedirectResponse("/#recipes", status_code=303)
