"""A sliced bait on a card: points tapped in its photo in, a station's sizes out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError
from partline.materials.mould import SectionShape
from partline.quantities.estimate import Origin
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, read_amount
from partline.services.forms import Json, fields_given, text_of
from partline.studies.slice_section import MOST, SliceSection, section_of_slice

DISTANCE = Span(low=1, high=300, unit="mm", why="It is read on the card's scale.")
#: Four taps out of five lie this near to where they were meant, on the screen. Common
#: practice, no source. [CSS pixel]
STEADY = 4.0
#: No picture is larger, and no screen shows one smaller than this many of its pixels in one.
LARGEST_PICTURE, COARSEST = 1e5, 200.0
#: Sizes less sure than this are worth a second, nearer look. [-]
UNSURE = 0.08
NEEDED = {"scale": 2, "line": 2, "back": 1}
_NOT_YET = {
    "scale": "two marks of the card's scale",
    "line": "the two ends of the line where the halves meet",
    "back": "one place on the back's side",
}
_SHAPES = {
    SectionShape.ROUND: "round",
    SectionShape.ELLIPTIC: "elliptic",
    SectionShape.FLAT_BOTTOMED: "flat-bottomed",
}


def trace_slice(given: object) -> Json:
    """Return what to write into a station's fields, and what was found in words.

    Parameters
    ----------
    given : mapping
        ``scale``, ``outline``, ``line`` and ``back``: lists of points ``[x, y]`` in the
        photo's pixels; ``distance`` between the two of the scale, as typed; ``coarseness``:
        the photo's pixels in one of the screen while they were tapped.

    Raises
    ------
    InputError
        With the step that is to be put right as its field.
    """
    fields = fields_given(given)
    typed = text_of(fields, "distance") or ""
    if not typed.strip():
        raise InputError(
            "The distance between the two marks of the card is not said.",
            field="distance",
            remedy="Read it on the card's scale, such as 20 mm.",
        )
    points = {key: _points(fields, key) for key in (*NEEDED, "outline")}
    for key, count in NEEDED.items():
        if len(points[key]) != count:
            raise InputError(f"Tap {_NOT_YET[key]} first.", field=key)
    try:
        length = read_amount("Distance on the card", typed, Kind.LENGTH, DISTANCE)
    except InputError as refusal:
        raise refusal.at("distance") from None
    section = section_of_slice(
        points["outline"],
        scale=points["scale"],
        length=length,
        line=points["line"],
        back=points["back"][0],
        tap=STEADY * _coarseness(fields),
    )
    return {
        "fields": _station_fields(section),
        "told": _told(section),
        "is_alike": section.is_alike,
    }


def _points(fields: Mapping[str, Any], key: str) -> NDArray[np.floating]:
    """Return points as a script sent them, shape (points, 2). [pixel]"""
    given = fields.get(key, [])
    is_list = isinstance(given, list) and len(given) <= 2 * MOST
    if not is_list or not all(isinstance(each, list) and len(each) == 2 for each in given):
        raise InputError(f"What was sent for “{key}” is no list of points.", field=key)
    flat = [_pixel(value, key) for each in given for value in each]
    return np.array(flat, dtype=float).reshape(-1, 2)


def _pixel(value: Any, key: str) -> float:
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if is_number and abs(value) <= LARGEST_PICTURE:  # which no NaN does
        return float(value)
    raise InputError(f"A point of “{key}” lies in no picture.", field=key)


def _coarseness(fields: Mapping[str, Any]) -> float:
    value = fields.get("coarseness", 1.0)
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not is_number or not math.isfinite(value) or not 0 < value <= COARSEST:
        message = "How large the photo was shown is not said."
        raise InputError(message, field="coarseness", remedy="Reload the page.")
    return float(value)


def _station_fields(section: SliceSection) -> dict[str, str]:
    return {
        "shape": section.shape.value,
        "width": _mm(section.width),
        "back_half": _mm(section.back_half),
        "belly_half": _mm(section.belly_half),
        "origin": Origin.MEASURED.value,
        # Rounded up: a doubt is never told smaller than it is.
        "doubt": f"{math.ceil(section.doubt * 1000) / 10:g} %",
    }


def _mm(size: float) -> str:
    """Return a size to a hundredth of a millimetre, finer than any tap."""
    return f"{size * 1e3:.2f} mm"


def _told(section: SliceSection) -> str:
    width, height = section.width * 1e3, section.height * 1e3
    largest = max(width, height)
    sizes = (
        f"{width:.1f} mm wide and {height:.1f} mm from back to belly, "
        f"{section.back_share * 100:.0f} % of that the back; each may be off by "
        f"{section.doubt * 100:.1f} % ({section.doubt * largest:.1f} mm)."
    )
    if section.doubt > UNSURE:
        sizes += " Show the photo larger and trace it again: that makes the points surer."
    if section.is_alike:
        miss = section.miss * 1e3
        said = "less than 0.05" if miss < 0.05 else f"{miss:.1f}"
        return f"{sizes} Its outline is {_SHAPES[section.shape]}; it misses that by {said} mm."
    return (
        f"{sizes} Its outline is none of a station's shapes: the nearest is "
        f"{_SHAPES[section.shape]}, off by {section.miss * 1e3:.1f} mm. The sizes are those "
        "tapped; the picture and the split follow the nearest shape."
    )
