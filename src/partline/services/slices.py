"""A sliced bait on a card: points tapped in its photo in, a station's sizes out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError
from partline.materials.mould import SectionPoint, SectionShape
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
#: Less than this is not told as a change: it is finer than a calliper's reading. [m]
TOLD = 0.05e-3


def trace_slice(given: object) -> Json:
    """Return what may be written into a station's fields, and what was found in words.

    Two choices: the nearest of a station's plain shapes, and the outline itself. The one that
    fits the points better than they were tapped is proposed; the maker chooses.

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
        "told": _told(section),
        "is_alike": section.is_alike,
        "proposed": "nearest" if section.is_alike else "outline",
        "choices": [_nearest(section), _outline(section)],
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


def _nearest(section: SliceSection) -> Json:
    """Return the choice of the shape that lies nearest to the points."""
    return {
        "key": "nearest",
        "label": f"{section.shape.value.capitalize()}, the nearest plain shape",
        "told": _missed(section),
        "fields": {
            "shape": section.shape.value,
            "points": "",
            "width": _mm(section.width),
            "back_half": _mm(section.back_half),
            "belly_half": _mm(section.belly_half),
            **_known(section.doubt),
        },
    }


def _outline(section: SliceSection) -> Json:
    """Return the choice of the outline itself, and by how much it was changed."""
    return {
        "key": "outline",
        "label": "The outline as traced",
        "told": _changed(section),
        "fields": {
            "shape": SectionShape.OUTLINE.value,
            "points": "\n".join(_line(point) for point in section.points),
            "width": "",
            "back_half": "",
            "belly_half": "",
            **_known(section.points_doubt),
        },
    }


def _known(doubt: float) -> dict[str, str]:
    # Rounded up: a doubt is never told smaller than it is; above 100 % nothing is known at all.
    share = min(math.ceil(doubt * 1000) / 10, 100.0)
    return {"origin": Origin.MEASURED.value, "doubt": f"{share:g} %"}


def _line(point: SectionPoint) -> str:
    return f"{_mm(point.across)}, {_mm(point.up)}"


def _mm(size: float) -> str:
    """Return a size to a hundredth of a millimetre, finer than any tap."""
    return f"{round(size * 1e3, 2) + 0.0:.2f} mm"  # + 0.0: never a minus before a zero


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
    return sizes


def _missed(section: SliceSection) -> str:
    """Return how far the points lie from the nearest shape, in words."""
    if section.is_alike:
        return f"The points miss it by {_short(section.miss)}: no more than they leave open."
    return (
        f"The points miss it by {_short(section.miss)}, more than they leave open: it is "
        "none of a station's plain shapes. The sizes are those tapped; picture and split would "
        "follow this shape."
    )


def _changed(section: SliceSection) -> str:
    """Return what was changed of the outline to make a section of it, in words."""
    changes = []
    if section.filled >= TOLD:
        changes.append(f"hollows were filled, the deepest by {_short(section.filled)}")
    if section.evened >= TOLD:
        changes.append(
            f"both flanks were made alike, which moved them by up to {_short(section.evened)}"
        )
    told = f"{len(section.points)} points a flank; each size may be off by "
    told += f"{section.points_doubt * 100:.1f} %."
    if changes:
        return f"{told} {' and '.join(changes).capitalize()}."
    return f"{told} It is alike on both flanks and without hollows as tapped."


def _short(size: float) -> str:
    return "less than 0.05 mm" if size < TOLD else f"{size * 1e3:.1f} mm"
