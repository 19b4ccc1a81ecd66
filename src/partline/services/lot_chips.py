"""A bottle before and after a stepped chip, and its old lot against a new: told and kept."""

from __future__ import annotations

from typing import Any

from partline.materials.chip import LotChip
from partline.materials.supply import Colourant
from partline.services.bottle_look import bottle_as_json, lot_chip_as_json
from partline.services.bottles import bottle_named, enter_bottle, keep_strength
from partline.services.chips import with_chip
from partline.services.telling import figure
from partline.studies.lots import Hue, LotsCompared, compare_chips

Json = dict[str, Any]

CARE = (
    "Hot plastic burns and its fumes irritate: pour chips with gloves and glasses, under moving "
    "air, as the supplier's sheet and local rules ask."
)


def chip_effect(bottle: Colourant, chip: LotChip) -> Json:
    """Return what a chip changes: the bottle before, what was read, the bottle after.

    Parameters
    ----------
    bottle : Colourant
        As it is on the shelf.
    chip : LotChip
        Not on it yet.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    after = with_chip(bottle, chip)
    added = after.chips[-1]
    counts = any(each == added for each in after.counted_chips)
    return {
        "bottle": bottle.name,
        "lot": added.lot,
        "counts": counts,
        "before": bottle_as_json(bottle),
        "evidence": lot_chip_as_json(added, after),
        "after": bottle_as_json(after),
        "why": _why(after, added, counts=counts),
    }


def _why(bottle: Colourant, chip: LotChip, *, counts: bool) -> str:
    """Return in a sentence why the look rests on this chip, or does not."""
    if not counts and bottle.is_measured:
        return (
            f"{bottle.name}'s constants stand in its file and are {bottle.optics_origin.value}: "
            "they come before a chip. The chip is kept; take the constants out of the file to let "
            "it count."
        )
    if not counts:
        return (
            f"This chip is of lot {chip.lot or 'unknown'}, and lot {bottle.lot} in use has chips "
            "of its own. It is kept to compare the lots by."
        )
    if bottle.optics is not None:
        return (
            f"{bottle.name}'s constants in its file are a guess ({bottle.optics_origin.value}); "
            "the chip takes their place in every look. The file keeps them."
        )
    return "Every look of this bottle rests on the chip from now on, in place of patch and hiding."


def lots_of(bottle: Colourant) -> tuple[str, ...]:
    """Return the lots that have stepped chips, oldest first."""
    return tuple(dict.fromkeys(each.lot for each in bottle.chips))


def compare_kept_lots(bottle: Colourant, old_lot: str, new_lot: str) -> Json:
    """Return an old lot against a new one, from the chips of both that the shelf keeps.

    Parameters
    ----------
    bottle : Colourant
        With chips of both.
    old_lot, new_lot : str
        Their codes.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.

    Raises
    ------
    InputError
        If there is no chip of one, or nobody noted its loading.
    """
    return lots_as_json(bottle, old_lot, new_lot, _compared(bottle, old_lot, new_lot))


def _compared(bottle: Colourant, old_lot: str, new_lot: str) -> LotsCompared:
    old, new = (
        tuple(each for each in bottle.chips if _plain(each.lot) == _plain(lot))
        for lot in (old_lot, new_lot)
    )
    return compare_chips(bottle, old, new)


def _plain(lot: str) -> str:
    return "".join(lot.split()).casefold()


def lots_as_json(bottle: Colourant, old_lot: str, new_lot: str, found: LotsCompared) -> Json:
    """Return two lots compared, for page and command line."""
    return {
        "bottle": bottle.name,
        "old_lot": old_lot,
        "new_lot": new_lot,
        "strength": figure(found.strength, 2),
        "multiply_drops": figure(found.multiply, 2),
        "hue": found.hue.value,
        "difference": {**figure(found.difference, 1), "unit": "ΔE00"},
        "advice": _advice(old_lot, new_lot, found),
    }


def _advice(old_lot: str, new_lot: str, found: LotsCompared) -> str:
    times = found.multiply
    if times.low <= 1 <= times.high:
        drops = (
            f"Leave the drops as they are: the chips tell no difference in strength (they would "
            f"be multiplied by {times.value:.2f}, {times.low:.2f} to {times.high:.2f})"
        )
    else:
        drops = (
            f"Multiply the drops of lot {old_lot} by {times.value:.2f} ({times.low:.2f} to "
            f"{times.high:.2f}) for lot {new_lot}"
        )
    left = f"ΔE {found.difference.low:.1f} to {found.difference.high:.1f}"
    hue = {
        Hue.CHANGED: f"Its hue has changed beyond doubt ({left} at equal strength): no number of "
        "drops of this bottle alone brings the old colour back",
        Hue.ALIKE: "Its hue is as it was, as far as the chips tell",
        Hue.UNSURE: f"Whether its hue has changed cannot be told ({left} at equal strength)",
    }[found.hue]
    return f"{drops}. {hue}."


def take_lot(shelf_text: str, name: str, new_lot: str, old_lot: str = "") -> str:
    """Return a shelf's text with a new lot of a bottle in use, its strength from the chips.

    Where the old lot has no chip there is nothing to compare: the look rests on the new one's.

    Parameters
    ----------
    shelf_text, name : str
        The shelf, and the bottle on it.
    new_lot : str
        The new lot's code; it has a chip.
    old_lot : str
        What it is compared with; the lot in use where nothing is said.

    Raises
    ------
    NotFound
        If there is no such bottle on it.
    InputError
        If the lots cannot be compared.
    """
    bottle = bottle_named(shelf_text, name)
    before = old_lot or bottle.lot
    if _plain(before) not in {_plain(lot) for lot in lots_of(bottle)}:
        return enter_bottle(shelf_text, {"name": name, "lot": new_lot})
    found = _compared(bottle, before, new_lot)
    return keep_strength(shelf_text, name, found.strength, new_lot)


__all__ = ["CARE", "chip_effect", "compare_kept_lots", "lots_of", "take_lot"]
