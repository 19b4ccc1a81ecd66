"""The photo card as PDF: places from the plan of the card, layout from ``photo_card.typ``."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from importlib.resources import files
from typing import Any

from partline.interfaces.cards.paper import Paper
from partline.process.card import CARD_BLACK, CARD_WHITE
from partline.studies import photo_card as plan
from partline.studies.photo_card import Box, Pocket

#: Printed under or beside each pocket.
POCKET_WORDS = {
    Pocket.BACK: ["Whole bait, BACK up", "nose left"],
    Pocket.BELLY: ["Whole bait, BELLY up", "of the same shot, nose left"],
    Pocket.SLICE: ["Belly slice", "back to the arrow"],
    Pocket.SPRUE: ["Sprue slice", "back to the arrow"],
    Pocket.CHIP: ["Chip in steps of 1, 2, 3 and 4 mm", "half over white, half over black"],
}
HOW_TO = (
    "Print at 100 %, on matt white paper, in colour or grey. Measure the line below with a ruler.",
    "Lay the card flat in even daylight, away from the lamp’s mirror image, without flash. Hold "
    "the phone square above it, the whole card in the picture, and tap the card to focus.",
)


def photo_card(*, number: int, paper: Paper, printed: date) -> bytes:
    """Print a photo card.

    Parameters
    ----------
    number : int
        Which print this is, from 1; a photo of it tells.
    paper : Paper
        A4 or Letter.
    printed : date
        Day on the card. The same arguments give the same bytes.

    Returns
    -------
    bytes
        PDF of one page, lying.

    Raises
    ------
    OutOfRange
        If there is no such number.
    """
    import typst

    template = files("partline.interfaces.cards").joinpath("photo_card.typ").read_bytes()
    data = {**_places(number), "paper": paper.typst_name, "printed": printed.isoformat()}
    return typst.compile(
        template,
        ignore_system_fonts=True,
        sys_inputs={"card": json.dumps(data, ensure_ascii=False)},
        timestamp=datetime(printed.year, printed.month, printed.day, tzinfo=UTC),
    )


def _places(number: int) -> dict[str, Any]:
    """Return everything on the card, in millimetres."""
    markers = zip(plan.marker_ids(number), plan.marker_boxes(), strict=True)
    return {
        "number": number,
        "width": _in_mm(plan.WIDTH),
        "height": _in_mm(plan.HEIGHT),
        "line": _in_mm(plan.RULED),
        "ground": plan.printed_grey(plan.GROUND),
        "markers": [
            {"box": _box(box), "cells": plan.marker_cells(marker).astype(int).tolist()}
            for marker, box in markers
        ],
        "steps": [
            {
                "box": _box(step.box),
                "grey": step.grey,
                "words": f"{step.reflectance:.2f} · D {step.density:.2f}",
            }
            for step in plan.GREY_STEPS
        ],
        "step_words": "Printed for reflectance · density. Prints vary; the reader allows for it: "
        f"paper {CARD_WHITE:.2f}, ink {CARD_BLACK:.2f}.",
        "pockets": [
            {"name": pocket.value, "box": _box(box), "words": POCKET_WORDS[pocket]}
            for pocket, box in plan.POCKETS.items()
        ],
        "black_half": _box(plan.BLACK_HALF),
        "chip_steps": [
            {"box": _box(box), "words": f"{_in_mm(thickness):g}"}
            for thickness, box in plan.CHIP_STEPS
        ],
        "scales": [_box(plan.TOP_SCALE), _box(plan.LEFT_SCALE)],
        "how_to": list(HOW_TO),
    }


def _box(box: Box) -> list[float]:
    return [_in_mm(each) for each in (box.left, box.top, box.width, box.height)]


def _in_mm(length: float) -> float:
    return round(length * 1e3, 6)
