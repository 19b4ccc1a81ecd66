"""Photos of a run: taken in, measured, asked about looks, followed over days, shown by cause."""

from partline.services.run_photos.amending import apply_line, take_back
from partline.services.run_photos.due import photos_due
from partline.services.run_photos.gallery import gallery
from partline.services.run_photos.lines import keep_line, line_of, next_number
from partline.services.run_photos.shown import Shown, pointed_from, shown_as
from partline.services.run_photos.taking import (
    measure_again,
    photo_of_run,
    take_photo,
)
from partline.services.run_photos.telling import run_photos, tell_photo_look

__all__ = [
    "Shown",
    "apply_line",
    "gallery",
    "keep_line",
    "line_of",
    "measure_again",
    "next_number",
    "photo_of_run",
    "photos_due",
    "pointed_from",
    "run_photos",
    "shown_as",
    "take_back",
    "take_photo",
    "tell_photo_look",
]
