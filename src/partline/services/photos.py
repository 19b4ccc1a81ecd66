"""Photos of a mould: taken in, listed, handed out as they came."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from partline.errors import InputError, NotFound, RecordError
from partline.records.photos import LARGEST_PHOTO, Photo, PhotoKind, too_large
from partline.records.workshop import Workshop
from partline.services.workshop import now

Json = dict[str, Any]


def photo_kind(text: str) -> PhotoKind:
    """Return what a photo shows, from the word for it.

    Raises
    ------
    InputError
        If it is no such word.
    """
    word = text.strip().casefold().replace("-", "_").replace(" ", "_")
    if word in (PhotoKind.BOTTOM_MARK, PhotoKind.SLICE):
        return PhotoKind(word)
    raise InputError(
        f"“{text[:40]}” is no kind of photo.",
        field="kind",
        given=text[:40],
        remedy="Say bottom_mark for the BOTTOM mark, or slice for a sliced bait.",
    )


def add_photo(
    workshop: Workshop, document_id: str, kind: PhotoKind, content: bytes, name: str
) -> Photo:
    """Keep a photo of a mould, byte for byte.

    Raises
    ------
    NotFound
        If there is no such mould.
    InputError
        If it is no photo, or too large.
    """
    workshop.moulds.get(document_id)
    return workshop.photos.add(document_id, kind, content, name=name, now=now())


def add_photo_file(workshop: Workshop, document_id: str, kind: PhotoKind, path: Path) -> Photo:
    """Keep a photo of a mould from a file, of which no more is read than may be kept.

    Raises
    ------
    NotFound
        If there is no such file, or no such mould.
    RecordError
        If it cannot be opened.
    InputError
        If it is no photo, or too large.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_PHOTO + 1)
            size = path.stat().st_size
    except FileNotFoundError:
        raise NotFound(f"There is no file {path}.") from None
    except OSError as error:
        raise RecordError(f"{path} cannot be opened: {error.strerror}.") from error
    if len(content) > LARGEST_PHOTO:
        raise too_large(size)
    return add_photo(workshop, document_id, kind, content, path.name)


def photo_as_json(photo: Photo) -> Json:
    """Return a photo's facts; its bytes are at ``/photos/`` and its code."""
    return {
        "code": photo.id,
        "kind": photo.kind.value,
        "name": photo.name,
        "media_type": photo.media_type,
        "bytes": photo.size,
        "sha256": photo.sha256,
        "kept_at": photo.created_at.isoformat(timespec="seconds"),
    }


def photos_of(workshop: Workshop, document_id: str) -> Json:
    """Return a mould's photos for its page: the newest of its mark, and every slice."""
    listed = workshop.photos.listed(document_id)
    marks = [photo for photo in listed if photo.kind is PhotoKind.BOTTOM_MARK]
    return {
        "bottom_mark": photo_as_json(marks[0]) if marks else None,
        "slices": [photo_as_json(each) for each in listed if each.kind is PhotoKind.SLICE],
    }
