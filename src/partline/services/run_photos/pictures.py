"""Pictures of a photo for a screen: a pocket of the card laid flat, or the whole one, made small.

Made anew from the original, pixels alone: no place, no time, no camera goes with them.
"""

from __future__ import annotations

from io import BytesIO

from PIL import Image, ImageOps, UnidentifiedImageError

from partline.errors import DataError, NotFound
from partline.services.photo_measure import PLACES, PhotoRefused, Subject
from partline.studies.photo import read_header
from partline.studies.photo.view import pocket_codes

#: Longest side of a picture. [pixel]
WHOLE, POCKET = 1200, 900
QUALITY = 85


def pocket_picture(content: bytes, subject: Subject) -> bytes:
    """Return the pocket that a subject lies in as JPEG, seen square from above.

    Of a photo without a card that is found, or where the library for photos is missing, it is
    the whole photo.

    Raises
    ------
    NotFound
        If the photo cannot be shown at all.
    """
    try:
        codes = pocket_codes(content, PLACES[subject])
    except (PhotoRefused, DataError):
        return whole_picture(content)
    return _encoded(Image.fromarray(codes), POCKET)


def whole_picture(content: bytes) -> bytes:
    """Return the whole photo as a small JPEG, upright.

    Raises
    ------
    NotFound
        If it has too many pixels to be opened, or is damaged.
    """
    try:
        read_header(content)
        with Image.open(BytesIO(content)) as photo:
            photo.draft("RGB", (2 * WHOLE, 2 * WHOLE))
            upright = ImageOps.exif_transpose(photo).convert("RGB")
    except (PhotoRefused, UnidentifiedImageError, OSError, ValueError, SyntaxError):
        message = "This photo cannot be shown: it has too many pixels, or is damaged."
        raise NotFound(message) from None
    return _encoded(upright, WHOLE)


def _encoded(picture: Image.Image, longest: int) -> bytes:
    picture.thumbnail((longest, longest), Image.Resampling.LANCZOS)
    file = BytesIO()
    picture.save(file, "JPEG", quality=QUALITY)
    return file.getvalue()
