"""Photos for looking at and handing on, the photo card, and spoiled baits by cause."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from partline.interfaces.cards import paper_named, photo_card
from partline.interfaces.web.parts import render, whole_number, workshop_of
from partline.services.photo_measure import photo_without_place, subject_named
from partline.services.run_photos import gallery
from partline.services.run_photos.pictures import pocket_picture, whole_picture
from partline.services.workshop import now

router = APIRouter()
Json = dict[str, Any]
#: A photo never changes, so that neither do its pictures. One person's browser may keep them.
KEPT = {"Cache-Control": "private, max-age=86400, immutable"}
ENDING = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}


@router.get("/photos/{photo_id}/small")
def small(request: Request, photo_id: str) -> Response:
    """Show a whole photo, made small, pixels alone."""
    _, content = workshop_of(request).photos.get(photo_id)
    return Response(whole_picture(content), media_type="image/jpeg", headers=KEPT)


@router.get("/photos/{photo_id}/pocket/{subject}")
def pocket(request: Request, photo_id: str, subject: str) -> Response:
    """Show the pocket that something lies in, square from above, pixels alone."""
    wanted = subject_named(subject)
    _, content = workshop_of(request).photos.get(photo_id)
    return Response(pocket_picture(content, wanted), media_type="image/jpeg", headers=KEPT)


@router.get("/photos/{photo_id}/copy")
def copy(request: Request, photo_id: str) -> Response:
    """Hand out a copy without place, time and camera: the same pixels, nothing encoded again."""
    facts, content = workshop_of(request).photos.get(photo_id)
    named = f'attachment; filename="photo-{facts.id}.{ENDING[facts.media_type]}"'
    return Response(
        photo_without_place(content),
        media_type=facts.media_type,
        headers={**KEPT, "Content-Disposition": named},
    )


@router.get("/photo-card.pdf")
def card(paper: str = "a4", number: str = "1") -> Response:
    """Print the card that photos are measured on."""
    print_number = whole_number(number, "number", "number of a card")
    pdf = photo_card(number=print_number, paper=paper_named(paper), printed=now().date())
    named = f'inline; filename="photo-card-{print_number}.pdf"'
    return Response(pdf, media_type="application/pdf", headers={"Content-Disposition": named})


@router.get("/defects")
def defects(request: Request, mould: str = "", recipe: str = "") -> HTMLResponse:
    """Show one's own photos by what spoiled the run."""
    workshop = workshop_of(request)
    found = gallery(workshop, mould=mould, recipe=recipe)
    told: Json = {"found": found, "mould": mould, "recipe": recipe}
    return render(request, "defects.html", told)
