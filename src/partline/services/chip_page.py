"""The page of a bottle's chips: what it shows, what it tries, what it keeps."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from partline.errors import NotFound
from partline.records.documents import Version
from partline.records.exchange.chips import loading_words
from partline.records.photos import PhotoKind
from partline.records.workshop import Workshop
from partline.services.bottle_look import bottle_as_json
from partline.services.bottles import (
    bottle_named,
    compare_lots,
    keep_drop,
    keep_strength,
    weigh_drops,
)
from partline.services.chips import chip_in_photo, keep_chip, typed_chip
from partline.services.forms import fields_given, save_edited, text_of
from partline.services.lot_chips import CARE, chip_effect, compare_kept_lots, lots_of, take_lot
from partline.services.telling import figure
from partline.services.workshop import SHELF, now
from partline.studies.bottle_trials import new_strength

Json = dict[str, Any]

#: Places for a step on the printed card.
ROWS = 4


def chips_of(workshop: Workshop, name: str) -> Json:
    """Return a bottle with its chips, for its page.

    Raises
    ------
    NotFound
        If there is no shelf, or no such bottle on it.
    """
    kept = workshop.shelves.named(SHELF).version
    bottle = bottle_named(kept.text, name)
    return {
        "bottle": bottle_as_json(bottle),
        "number": kept.number,
        "lots": list(lots_of(bottle)),
        "today": now().date().isoformat(),
        "rows": ROWS,
        "care": CARE,
    }


def read_photo(workshop: Workshop, name: str, content: bytes, file: str) -> Json:
    """Read a chip in a photo and keep the photo with the shelf; the form's fields come back.

    Raises
    ------
    PhotoRefused
        If the photo is not fit, or shows no chip; nothing is kept.
    DataError
        If the library for photos is not installed.
    NotFound
        If there is no such bottle.
    """
    kept = workshop.shelves.named(SHELF).version
    bottle_named(kept.text, name)
    chip = chip_in_photo(content, {})
    photo = workshop.photos.add(kept.document_id, PhotoKind.CHIP, content, name=file, now=now())
    return {
        "photo": photo.id,
        "doubt": f"{chip.doubt:g}",
        "shared_doubt": f"{chip.shared_doubt:g}",
        "shared_black": f"{chip.shared_black:g}",
        "steps": [
            {
                "thickness": f"{step.thickness * 1e3:g} mm",
                "over_white": _typed(step.over_white),
                "over_black": _typed(step.over_black),
            }
            for step in chip.steps
        ],
    }


def _typed(lab: tuple[float, float, float] | None) -> str:
    return "" if lab is None else "  ".join(f"{each:g}" for each in lab)


def try_chip(workshop: Workshop, name: str, given: object) -> Json:
    """Return what a chip would change, without keeping it.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    NotFound
        If there is no such bottle.
    """
    bottle = bottle_named(workshop.shelves.named(SHELF).version.text, name)
    return chip_effect(bottle, typed_chip(fields_given(given)))


def save_chip(workshop: Workshop, name: str, given: object, *, based_on: int) -> Version:
    """Keep a chip as the shelf's next version.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer shelf first.
    """
    chip = typed_chip(fields_given(given))
    return _save(
        workshop, lambda text: keep_chip(text, name, chip), based_on,
        f"{name}: a chip of lot {chip.lot or 'in use'}, "
        f"{loading_words(chip.chip) or 'loading unknown'}",
    )  # fmt: skip


def compare_lots_of(workshop: Workshop, name: str, old_lot: str, new_lot: str) -> Json:
    """Return two lots of a bottle compared by their chips.

    Raises
    ------
    NotFound
        If there is no such bottle.
    InputError
        If they cannot be compared.
    """
    bottle = bottle_named(workshop.shelves.named(SHELF).version.text, name)
    return compare_kept_lots(bottle, old_lot, new_lot)


def save_lot(
    workshop: Workshop, name: str, new_lot: str, old_lot: str, *, based_on: int
) -> Version:
    """Keep a new lot as the one in use, as the shelf's next version.

    Raises
    ------
    InputError
        If the lots cannot be compared.
    EditedElsewhere
        If somebody saved a newer shelf first.
    """
    return _save(
        workshop, lambda text: take_lot(text, name, new_lot, old_lot), based_on,
        f"{name}: lot {new_lot} in use",
    )  # fmt: skip


def try_drops(workshop: Workshop, name: str, given: object) -> Json:
    """Return a drop's mass before and after many were weighed, without keeping it.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    """
    bottle = bottle_named(workshop.shelves.named(SHELF).version.text, name)
    after = weigh_drops(_texts(given))
    return {
        "before": figure(bottle.drop_mass.map(lambda kg: kg * 1e6), 2),
        "after": figure(after.map(lambda kg: kg * 1e6), 2),
    }


def save_drops(workshop: Workshop, name: str, given: object, *, based_on: int) -> Version:
    """Keep a drop's mass as weighed, as the shelf's next version.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer shelf first.
    """
    drop = weigh_drops(_texts(given))
    return _save(
        workshop, lambda text: keep_drop(text, name, drop), based_on, f"{name}: drops weighed"
    )


def try_strength(workshop: Workshop, name: str, given: object) -> Json:
    """Return a new lot's strength against the old as seen by eye, without keeping it.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    InputError
        If what was seen tells no strength.
    """
    bottle = bottle_named(workshop.shelves.named(SHELF).version.text, name)
    ratio = compare_lots(bottle, _texts(given))
    return {
        "before": figure(bottle.lot_strength, 3),
        "ratio": figure(ratio, 3),
        "after": figure(new_strength(bottle.lot_strength, ratio), 3),
    }


def save_strength(
    workshop: Workshop, name: str, given: object, lot: str, *, based_on: int
) -> Version:
    """Keep a new lot as the one in use, its strength as seen by eye.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer shelf first.
    """
    bottle = bottle_named(workshop.shelves.named(SHELF).version.text, name)
    ratio = compare_lots(bottle, _texts(given))
    return _save(
        workshop, lambda text: keep_strength(text, name, ratio, lot[:120]), based_on,
        f"{name}: lot {lot.strip() or 'without a code'} in use, by eye",
    )  # fmt: skip


def _texts(given: object) -> Mapping[str, str]:
    fields = fields_given(given)
    return {key: text_of(fields, key) or "" for key in fields}


def _save(workshop: Workshop, edit: Any, based_on: int, note: str) -> Version:
    try:
        shelf = workshop.shelves.named(SHELF).version
    except NotFound:
        raise NotFound("There is no shelf yet. Put a bottle on it first.") from None
    return save_edited(
        workshop.shelves, edit, document_id=shelf.document_id, based_on=based_on, note=note[:200]
    )


__all__ = [
    "chips_of", "compare_lots_of", "read_photo", "save_chip", "save_drops", "save_lot",
    "save_strength", "try_chip", "try_drops", "try_strength",
]  # fmt: skip
