"""Stepped chips: read in a photo or typed in, kept with the shelf, told before and after."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any, cast

import numpy as np
import tomlkit

from partline.errors import InputError, Invalid
from partline.materials.chip import LotChip
from partline.materials.supply import Colourant
from partline.physics.colorimetry import xyz_to_lab
from partline.quantities.units import Kind
from partline.records.exchange import read_shelf
from partline.records.exchange.amount import write_amount
from partline.records.exchange.edit import close_document, open_document
from partline.records.exchange.table import Table
from partline.services.bottles import bottle_named
from partline.services.forms import in_form_words

Json = dict[str, Any]

#: Colours in a photo's own doubt are never told closer than this: a lamp is no D65, and the
#: card's ink no perfect grey. Common practice, no source. [CIELAB]
LEAST_PLACE, LEAST_SHARED = 1.0, 1.0
#: Darker than this L* an absolute error of the card's black moves L* without bound; a shared doubt
#: is not told larger. [CIELAB]
MOST_SHARED = 8.0
#: Where a step stands among those that say something.
_ROW = re.compile(r"steps\[(\d+)\]")
_KEYS = ("lot", "loading", "doubt", "shared_doubt", "shared_black", "date", "photo")


def chip_in_photo(content: bytes, fields: Mapping[str, Any]) -> LotChip:
    """Read a stepped chip in a photo on the printed card.

    Parameters
    ----------
    content : bytes
        JPEG, PNG or WebP.
    fields : mapping
        ``lot``, ``loading``, ``date``; ``thickness``: a calliper's readings of the steps as text,
        thinnest first, parted by commas, such as ``1.05, 2.1, 2.9 mm``; may be left out.

    Raises
    ------
    PhotoRefused
        If the photo is not fit, or shows no chip.
    DataError
        If the library for photos is not installed.
    Invalid
        With every field that cannot be read.
    """
    from partline.studies.photo import read_card_photo, read_chip

    found = read_chip(read_card_photo(content))
    callipered = _callipered(str(fields.get("thickness") or ""), len(found))
    steps: list[Json] = []
    own: list[float] = []
    white: list[float] = []
    black: list[float] = []
    for place, step in enumerate(found):
        labs = []
        for xyz, doubt, alone, shared in (
            (step.over_white, step.doubt_white, step.place_white, white),
            (step.over_black, step.doubt_black, step.place_black, black),
        ):
            labs.append(tuple(round(float(each), 2) for each in xyz_to_lab(xyz)))
            own.append(_in_lab(xyz, alone))
            shared.append(_in_lab(xyz, np.sqrt(np.maximum(doubt**2 - alone**2, 0.0))))
        steps.append(
            {
                "thickness": callipered[place] if callipered else _mm(step.thickness),
                **({"callipered": True} if callipered else {}),
                "over_white": list(labs[0]),
                "over_black": list(labs[1]),
            }
        )
    raw = _given(fields) | {
        "steps": steps,
        "doubt": _told(own, LEAST_PLACE),
        "shared_doubt": _told(white, LEAST_SHARED),
        "shared_black": _told(black, LEAST_SHARED),
    }
    return _read(raw)


def _in_lab(xyz: Any, doubt: Any) -> float:
    """Return what a doubt of X, Y, Z is in L*, a* and b*, in the mean of the three."""
    ends = [xyz_to_lab(np.maximum(xyz + way * doubt, 0.0)) for way in (-1.0, 1.0)]
    lightness = abs(float(ends[1][0] - ends[0][0])) / 2
    moved = []
    for channel in range(3):
        nudge = np.zeros(3)
        nudge[channel] = doubt[channel]
        moved.append((xyz_to_lab(xyz + nudge) - xyz_to_lab(xyz))[1:])
    # Errors of the three channels of one photo go together for the most part: what they do to
    # a* and b* one by one would be far too much.
    hue = float(np.linalg.norm(np.sum(moved, axis=0)))
    return float(np.hypot(lightness, hue) / np.sqrt(3))


def _told(doubts: Sequence[float], least: float) -> float:
    root = float(np.sqrt(np.mean(np.square(doubts))))
    return round(min(max(root, least), MOST_SHARED), 2)


def _mm(thickness: float) -> str:
    return write_amount(thickness, "mm", Kind.LENGTH)


def _callipered(text: str, count: int) -> list[str]:
    """Return a calliper's readings as amounts; none where nobody took them."""
    parts = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    if not parts:
        return []
    if len(parts) != count:
        raise InputError(
            f"{len(parts)} thicknesses were given, and the photo shows {count} steps.",
            field="thickness",
            given=text[:80],
            remedy="Give one for each step that lies on the card, the thinnest first.",
        )
    unit = parts[-1].lstrip("0123456789. ") or "mm"
    return [part if part[-1].isalpha() else f"{part} {unit}" for part in parts]


def typed_chip(fields: Mapping[str, Any]) -> LotChip:
    """Return a stepped chip from what was typed.

    Parameters
    ----------
    fields : mapping
        ``lot``, ``loading``, ``date``, ``doubt``, ``shared_doubt`` as typed; ``steps``: rows with
        ``thickness``, ``callipered``, ``over_white`` and ``over_black``, the colours as L*, a*
        and b* parted by blanks or commas.

    Raises
    ------
    Invalid
        With every field that cannot be read.
    """
    rows = fields.get("steps")
    if not isinstance(rows, Sequence) or isinstance(rows, str):
        raise InputError("The steps are not a list of rows.", field="steps")
    said = [place for place, row in enumerate(rows) if isinstance(row, Mapping) and _says(row)]
    if not said:
        blank = InputError(
            "No step has a colour yet.", field="steps[0].over_white",
            remedy="Choose a photo of the chip, or type L*, a* and b* of one step at least.",
        )  # fmt: skip
        raise Invalid((blank,), what="This chip")
    try:
        return _read(_given(fields) | {"steps": [_row(rows[place]) for place in said]})
    except Invalid as refusal:
        for problem in refusal.problems:
            problem.field = _ROW.sub(
                lambda found: f"steps[{said[int(found[1])]}]", problem.field, count=1
            )
        raise


def _says(row: Mapping[str, Any]) -> bool:
    return any(str(row.get(key) or "").strip() for key in ("over_white", "over_black"))


def _row(row: Mapping[str, Any]) -> Json:
    step: Json = {"thickness": str(row.get("thickness") or "").strip()}
    if row.get("callipered"):
        step["callipered"] = True
    for key in ("over_white", "over_black"):
        if text := str(row.get(key) or "").strip():
            step[key] = [_plain(part) for part in text.replace(",", " ").split()]
    return step


def _plain(text: str) -> object:
    from decimal import Decimal, InvalidOperation

    try:
        number = Decimal(text.replace("−", "-"))
    except InvalidOperation:
        return text
    return number if number.is_finite() else text


def _given(fields: Mapping[str, Any]) -> Json:
    raw: Json = {}
    for key in _KEYS:
        text = str(fields.get(key) or "").strip()
        if not text:
            continue
        if key.endswith(("doubt", "black")):
            raw[key] = _plain(text)
        elif key == "date":
            raw[key] = _day(text)
        else:
            raw[key] = text
    return raw


def _day(text: str) -> object:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def _read(raw: Json) -> LotChip:
    """Read a chip by the same rules as in a shelf's file."""
    from decimal import Decimal

    from partline.records.exchange.lot_chips import read_chips

    def exact(value: object) -> object:
        if isinstance(value, float):
            return Decimal(repr(value))
        if isinstance(value, dict):
            return {key: exact(each) for key, each in value.items()}
        if isinstance(value, list):
            return [exact(each) for each in value]
        return value

    table = Table({"chip": [exact(raw)]})
    chips = read_chips(table)
    try:
        table.finish("This chip")
    except Invalid as refusal:
        raise in_form_words(refusal, "chip[0]") from None
    return chips[0]


def keep_chip(shelf_text: str, name: str, chip: LotChip) -> str:
    """Return a shelf's text with one more stepped chip of a bottle; the others stay as they are.

    A chip that names no lot is of the lot in use.

    Raises
    ------
    NotFound
        If there is no such bottle on it.
    """
    bottle = bottle_named(shelf_text, name)
    document = open_document(shelf_text)
    place = [each.name for each in read_shelf(shelf_text).colourants].index(bottle.name)
    table = document["colourant"][place]
    listed = table.get("chip")
    if listed is None:
        listed = tomlkit.aot()
        listed.append(_item(_of_lot(bottle, chip)))
        table["chip"] = listed
    else:
        listed.append(_item(_of_lot(bottle, chip)))
    text = close_document(document)
    read_shelf(text)
    return text


def _of_lot(bottle: Colourant, chip: LotChip) -> LotChip:
    return chip if chip.lot else replace(chip, lot=bottle.lot)


def _item(chip: LotChip) -> Any:
    from partline.records.exchange.lot_chips import chips_document

    (document,) = cast("list[Json]", chips_document((chip,))["chip"])
    table = tomlkit.table()
    for key, value in document.items():
        if key == "steps":
            rows = tomlkit.array()
            for step in value:
                row = tomlkit.inline_table()
                for name, each in step.items():
                    row[name] = (
                        [float(number) for number in each] if isinstance(each, list) else each
                    )
                rows.append(row)
            table[key] = rows.multiline(True)
        else:
            table[key] = float(value) if key.endswith(("doubt", "black")) else value
    table.add(tomlkit.nl())
    return table


def with_chip(bottle: Colourant, chip: LotChip) -> Colourant:
    """Return a bottle as it is with one more stepped chip."""
    return replace(bottle, chips=(*bottle.chips, _of_lot(bottle, chip)))


__all__ = [
    "chip_in_photo", "keep_chip", "typed_chip", "with_chip",
]  # fmt: skip
