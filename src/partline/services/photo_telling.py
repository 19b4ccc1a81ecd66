"""A measured photo for page and command line: numbers with ranges and origins."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import numpy as np

from partline.quantities.estimate import Estimate
from partline.services.forms import Json
from partline.services.telling import figure
from partline.studies.photo import BaitMeasure, Shot, SliceMeasure, read_header
from partline.studies.photo_card import MM
from partline.studies.verdict import distinct


def measure_as_json(measured: BaitMeasure | SliceMeasure, content: bytes) -> Json:
    """Return a measure for page and command line.

    Parameters
    ----------
    measured : BaitMeasure or SliceMeasure
        From `measure_photo`.
    content : bytes
        The photo it was measured in: its hash says which.
    """
    header = read_header(content)
    values = _bait(measured) if isinstance(measured, BaitMeasure) else _slice(measured)
    return {
        "photo": {
            "sha256": hashlib.sha256(content).hexdigest(),
            "bytes": len(content),
            "media_type": header.media_type,
            "width": header.width,
            "height": header.height,
        },
        "card": _card(measured.shot),
        **values,
        "notes": [note.text for note in measured.notes],
    }


def _card(shot: Shot) -> Json:
    return {
        "number": shot.number,
        "pixels_per_mm": round(shot.density * MM, 2),
        "tilt_deg": round(float(np.degrees(shot.tilt)), 1),
        "sharp_edge_mm": round(shot.softness / MM, 2),
    }


def _bait(measured: BaitMeasure) -> Json:
    return {
        "back_belly": _difference(measured.back_belly),
        "back_lab": _lab(measured.back),
        "belly_lab": _lab(measured.belly),
    }


def _slice(measured: SliceMeasure) -> Json:
    return {
        "halves": _difference(measured.halves),
        "back_share": figure(measured.back_share, 3),
        "line_tilt_deg": figure(_scaled(measured.tilt, float(np.degrees(1.0))), 1),
        "line_width_mm": figure(_scaled(measured.line, 1 / MM), 2),
        "height_mm": figure(_scaled(measured.height, 1 / MM), 1),
        "back_lab": _lab(measured.back),
        "belly_lab": _lab(measured.belly),
    }


def _difference(known: Estimate) -> Json:
    return {**figure(known, 1), "unit": "ΔE00", "verdict": distinct(known.value).value}


def _scaled(known: Estimate, factor: float) -> Estimate:
    return replace(
        known, value=known.value * factor, low=known.low * factor, high=known.high * factor
    )


def _lab(colour: tuple[float, float, float]) -> list[float]:
    return [round(each, 1) for each in colour]
