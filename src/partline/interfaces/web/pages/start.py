"""The workshop's start page: what is here, and what to do first when nothing is."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from partline.interfaces.web.pages.pictures import picture_addresses
from partline.interfaces.web.parts import render, workshop_of
from partline.services.run_photos import photos_due

router = APIRouter()


@router.get("/")
def start(request: Request) -> HTMLResponse:
    """Show what the workshop holds."""
    workshop = workshop_of(request)
    return render(
        request,
        "start.html",
        {
            "recipes": workshop.recipes.listed(),
            "pictures": picture_addresses(workshop),
            "moulds": workshop.moulds.listed(),
            "benches": workshop.benches.listed(),
            "shelves": workshop.shelves.listed(),
            "plans": workshop.plans.listed(most=8),
            "photos_due": photos_due(workshop)["due"],
        },
    )
