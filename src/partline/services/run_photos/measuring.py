"""What a photo of a run says, as particulars of its event: figures, or why there are none."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from partline.errors import DataError
from partline.quantities.estimate import Estimate, Origin
from partline.records.workshop import Workshop
from partline.services.photo_measure import PhotoRefused, Subject, measure_photo
from partline.services.photo_telling import measure_as_json
from partline.services.run_photos.lines import line_of, typed_line
from partline.services.runs.photo_events import FIGURES
from partline.services.telling import figure
from partline.studies.photo import BaitMeasure, Pointed, SliceMeasure
from partline.studies.photo_card import Pocket

Json = dict[str, Any]
#: Letters of a refusal that is kept.
LONGEST_REFUSAL = 500
#: Word for a photo that nothing here can measure.
NO_LIBRARY = "no library"


def measured(
    workshop: Workshop,
    content: bytes,
    subject: Subject,
    pointed: Mapping[Pocket, Pointed] | None,
) -> Json:
    """Measure a photo, its card's line applied, and return what an event says of it.

    Raises
    ------
    PhotoRefused
        If it is not fit.
    DataError
        If the library for photos is not installed.
    """
    found = measure_photo(
        content, subject, lines=lambda number: line_of(workshop, number), pointed=pointed
    )
    told = measure_as_json(found, content)
    figures = {key: _ends(told[key]) for key in FIGURES if isinstance(told.get(key), dict)}
    if isinstance(found, SliceMeasure):
        step = figure(lightness_step(found), FIGURES["lightness_step"][2])
        figures["lightness_step"] = _ends(step)
    return {
        "card": told["card"]["number"],
        "line": _line(workshop, found),
        "figures": figures,
        "sharp_edge_mm": told["card"]["sharp_edge_mm"],
        "pixels_per_mm": told["card"]["pixels_per_mm"],
        "pointed": _shown_where(pointed or {}),
    }


def _line(workshop: Workshop, found: BaitMeasure | SliceMeasure) -> str:
    """Return the card's line as it was typed; a difference of colours needs none."""
    return typed_line(workshop, found.shot.number) if isinstance(found, SliceMeasure) else ""


def _ends(known: Mapping[str, Any]) -> Json:
    return {end: known[end] + 0.0 for end in ("value", "low", "high")}  # no minus before nought


def lightness_step(found: SliceMeasure) -> Estimate:
    """Return by how much the halves of a slice differ in lightness alone. [L*]

    The range is that of their whole difference: lightness is a part of it.
    """
    value = abs(found.back[0] - found.belly[0])
    half = (found.halves.high - found.halves.low) / 2
    return Estimate(
        value=value, low=max(value - half, 0.0), high=value + half, origin=Origin.MEASURED,
        source="one photo", count=1,
    )  # fmt: skip


def _shown_where(pointed: Mapping[Pocket, Pointed]) -> Json | None:
    found: Json = {}
    for pocket, each in pointed.items():
        if each.outline is not None:
            found[pocket.value] = {"outline": [[round(x), round(y)] for x, y in each.outline]}
        elif each.tap is not None:
            found[pocket.value] = {"tap": [round(place, 1) for place in each.tap]}
    return found or None


def refused(refusal: PhotoRefused | DataError) -> Json:
    """Return what an event says of a photo that is kept unmeasured."""
    reason = refusal.reason.value if isinstance(refusal, PhotoRefused) else NO_LIBRARY
    return {"refused": {"reason": reason, "text": str(refusal)[:LONGEST_REFUSAL]}}
