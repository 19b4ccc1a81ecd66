"""A photo on the printed card: what a maker may send with it, measured, copied."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from pathlib import Path

import numpy as np

from partline.errors import InputError, NotFound, RecordError
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, read_amount
from partline.records.photos import LARGEST_PHOTO, too_large
from partline.studies.photo import (
    BaitMeasure,
    PhotoRefused,
    Pointed,
    Reason,
    SliceMeasure,
    measure_bait,
    measure_slice,
    read_card_photo,
    stripped_copy,
)
from partline.studies.photo_card import MM, RULED, Pocket

#: The printed line, as a ruler reads it. A printer that strays by more has been told to fit.
LINE = Span(low=80, high=120, unit="mm", why="The card’s line is meant to be 100 mm long.")
#: How exactly a ruler is read. Common practice, no source. [m]
RULER = 0.3 * MM
#: Most points of an outline, and farthest pixel. [-]
MOST_POINTS, FARTHEST = 400, 20_000.0


class Subject(StrEnum):
    """What is measured in a photo."""

    BAIT = "bait"
    SLICE = "slice"
    SPRUE = "sprue"


#: Pockets that a subject lies in.
PLACES = {
    Subject.BAIT: (Pocket.BACK, Pocket.BELLY),
    Subject.SLICE: (Pocket.SLICE,),
    Subject.SPRUE: (Pocket.SPRUE,),
}


def subject_named(word: str) -> Subject:
    """Return what is to be measured, from the word for it.

    Raises
    ------
    InputError
        If it is no such word.
    """
    try:
        return Subject(word.strip().casefold())
    except ValueError:
        raise InputError(
            f"“{word[:40]}” is nothing that a photo is measured for.",
            field="kind",
            given=word[:40],
            remedy="Say bait, slice or sprue.",
        ) from None


def ruled_line(typed: str) -> Estimate | None:
    """Return how much larger a card was printed than meant, from its line under a ruler.

    Parameters
    ----------
    typed : str
        Such as ``99.2 mm``; empty where nobody measured it.

    Raises
    ------
    InputError
        If it is no length, or none that the line can have.
    """
    if not typed.strip():
        return None
    try:
        length = read_amount("The card’s line", typed, Kind.LENGTH, LINE)
    except InputError as refusal:
        raise refusal.at("line") from None
    scale, doubt = length / RULED, RULER / RULED
    return Estimate(
        value=scale,
        low=scale - doubt,
        high=scale + doubt,
        origin=Origin.MEASURED,
        source=f"the card’s line under a ruler: {typed.strip()}",
        count=1,
    )


def pointed_at(given: object, field: str = "pointed") -> Pointed:
    """Return a maker's correction, as a page sends it.

    Parameters
    ----------
    given : mapping
        ``tap``: ``[x, y]``, or ``outline``: a list of such, in pixels of the photo as a screen
        shows it, upright.
    field : str
        Path of the field.

    Raises
    ------
    InputError
        If it is neither.
    """
    if not isinstance(given, dict) or not {"tap", "outline"} & set(given):
        raise InputError("Send a tap or an outline.", field=field)
    if "outline" in given:
        points = given["outline"]
        if not isinstance(points, list) or not 3 <= len(points) <= MOST_POINTS:
            raise InputError(
                f"An outline has 3 to {MOST_POINTS} points.",
                field=f"{field}.outline",
                remedy="Tap about twelve, in order round it.",
            )
        return Pointed(outline=np.array([_pixel(each, f"{field}.outline") for each in points]))
    return Pointed(tap=_pixel(given["tap"], f"{field}.tap"))


def _pixel(point: object, field: str) -> tuple[float, float]:
    if isinstance(point, list) and len(point) == 2:
        x, y = point
        is_plain = all(
            isinstance(each, (int, float)) and not isinstance(each, bool) for each in point
        )
        if is_plain and 0 <= x <= FARTHEST and 0 <= y <= FARTHEST:
            return float(x), float(y)
    raise InputError("A point is two numbers, across and down, in the photo.", field=field)


def measure_photo(
    content: bytes,
    subject: Subject,
    *,
    ruled: Estimate | None = None,
    lines: Callable[[int], Estimate | None] | None = None,
    pointed: Mapping[Pocket, Pointed] | None = None,
) -> BaitMeasure | SliceMeasure:
    """Measure a photo on the printed card; the photo itself is not changed.

    Parameters
    ----------
    content : bytes
        JPEG, PNG or WebP.
    subject : Subject
        What to measure.
    ruled : Estimate or None
        From `ruled_line`. [-]
    lines : callable, optional
        Gives it for the number of the print that the photo shows, where `ruled` is None. [-]
    pointed : mapping of Pointed
        The maker's corrections by pocket.

    Raises
    ------
    PhotoRefused
        If the photo is not fit: its `reason` is a word, its text says why and what to do.
    InputError
        If it is larger than any photo that is kept.
    DataError
        If the library for photos is not installed.
    """
    if len(content) > LARGEST_PHOTO:
        raise too_large(len(content))
    shown = pointed or {}
    for pocket in shown:
        if pocket not in PLACES[subject]:
            raise InputError(
                f"A {subject.value} does not lie in the card’s “{pocket.value}” pocket.",
                field=f"pointed.{pocket.value}",
                remedy=f"Point into “{'” or “'.join(PLACES[subject])}”.",
            )
    photo = read_card_photo(content)
    if ruled is None and lines is not None and photo.card.number is not None:
        ruled = lines(photo.card.number)
    if subject is Subject.BAIT:
        return measure_bait(photo, back=shown.get(Pocket.BACK), belly=shown.get(Pocket.BELLY))
    (pocket,) = PLACES[subject]
    return measure_slice(photo, pocket, ruled=ruled, pointed=shown.get(pocket))


def photo_content(path: Path) -> bytes:
    """Return a photo's bytes, no more of them than may be kept.

    Raises
    ------
    NotFound
        If there is no such file.
    RecordError
        If it cannot be opened.
    InputError
        If it is too large.
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
    return content


def photo_without_place(content: bytes) -> bytes:
    """Return a copy to hand on: the same pixels, no place, time, camera or comment.

    Raises
    ------
    PhotoRefused
        If it is no photo, or broken.
    """
    return stripped_copy(content)


__all__ = [
    "PhotoRefused",
    "Reason",
    "Subject",
    "measure_photo",
    "photo_content",
    "photo_without_place",
    "pointed_at",
    "ruled_line",
    "subject_named",
]
