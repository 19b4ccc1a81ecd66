"""A recipe's small picture, for lists: drawn once for each version and kept in memory."""

from __future__ import annotations

from functools import lru_cache

from fastapi import APIRouter, Request
from fastapi.responses import Response

from partline.errors import NotFound
from partline.interfaces.figures import bait_png
from partline.interfaces.web.parts import VersionNumber, workshop_of
from partline.process.recipe_check import check_against_shelf
from partline.process.rendering import Backdrop, View
from partline.records.documents import Version
from partline.records.workshop import Workshop
from partline.services.look import draw_pictures
from partline.services.workshop import SHELF

router = APIRouter()


def picture_addresses(workshop: Workshop) -> dict[str, str]:
    """Return the address of each listed recipe's picture, by the recipe's code.

    The address names every version that the picture is drawn from, so that a browser may keep
    it. A recipe that asks for what is not on the shelf has no picture; no recipe has one before
    there are a mould and a shelf.
    """
    try:
        mould, shelf = _surroundings(workshop)
    except NotFound:
        return {}
    return {
        each.document_id: (
            f"/recipes/{each.document_id}/picture.png?version={each.number}"
            f"&from={each.id}-{mould}-{shelf}"
        )
        for each in workshop.recipes.listed()
        if _can_draw(workshop, each.id, shelf)
    }


@router.get("/recipes/{document_id}/picture.png")
def picture(
    request: Request, document_id: str, version: VersionNumber = None, view: str = "side"
) -> Response:
    """Return a recipe's picture in the usual mould, over a pale card."""
    request.app.state.readiness.wait()
    workshop = workshop_of(request)
    if view not in set(View):
        raise NotFound(f"There is no view “{view[:40]}”: {', '.join(View)}.")
    kept = workshop.recipes.get(document_id, version).version
    png = _picture(workshop, kept.id, *_surroundings(workshop), view)
    return Response(
        png, media_type="image/png", headers={"Cache-Control": "private, max-age=86400"}
    )


def usual_mould(workshop: Workshop) -> Version | None:
    """Return the mould to show a recipe in when none is chosen.

    That of the newest plan; before there is a plan, the one measured at most stations.
    """
    moulds = workshop.moulds.listed()
    planned = [plan.mould.document_id for plan in workshop.plans.listed(most=1)]
    for each in moulds:
        if each.document_id in planned:
            return each
    return max(moulds, key=lambda each: _stations(workshop, each.id), default=None)


def _surroundings(workshop: Workshop) -> tuple[str, str]:
    """Return the codes of the usual mould's and the shelf's newest versions."""
    mould = usual_mould(workshop)
    if mould is None:
        raise NotFound("There is no mould yet, so there is nothing to draw.")
    return mould.id, workshop.shelves.named(SHELF).version.id


# Versions never change, so what is computed from their codes may be kept.
@lru_cache(maxsize=1024)
def _stations(workshop: Workshop, mould: str) -> int:
    return len(workshop.moulds.version(mould).content.stations)


@lru_cache(maxsize=1024)
def _can_draw(workshop: Workshop, recipe: str, shelf: str) -> bool:
    content = workshop.recipes.version(recipe).content
    return not check_against_shelf(content, workshop.shelves.version(shelf).content)


@lru_cache(maxsize=256)
def _picture(workshop: Workshop, recipe: str, mould: str, shelf: str, view: str) -> bytes:
    drawn = draw_pictures(
        workshop.recipes.version(recipe).content,
        workshop.moulds.version(mould).content,
        workshop.shelves.version(shelf).content,
    )
    return bait_png(drawn[View(view), Backdrop.PALE])
