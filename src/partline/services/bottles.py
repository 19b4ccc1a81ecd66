"""Bottles entered without instruments, their drops weighed, their lots compared: text to text."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import Any

import tomlkit
from tomlkit.items import AoT, InlineTable

from partline.errors import InputError, Invalid, NotFound
from partline.materials.chip import Chip
from partline.materials.supply import Colourant
from partline.process.guessed_optics import USUAL_DROPS, USUAL_THICKNESS, least_hiding
from partline.process.recipe import Measure
from partline.quantities.estimate import Estimate
from partline.quantities.units import Kind
from partline.records.exchange import read_shelf
from partline.records.exchange.amount import Span, write_estimate
from partline.records.exchange.chips import HIDING, THICKNESS, chip_loading
from partline.records.exchange.edit import Entry, close_document, open_document, put
from partline.records.exchange.table import Table
from partline.services.forms import in_form_words
from partline.studies.bottle_trials import (
    drop_from_weighing,
    new_strength,
    strength_from_drops,
    strength_from_hiding,
)

Fields = Mapping[str, str]

#: What a kitchen scale shows, where nobody says. [kg]
USUAL_STEP = 1e-4
NET = Span(low=0.001, high=20_000, unit="g")
STEP = Span(low=0.0001, high=10, unit="g", why="Scales show steps of 0.001 to 1 g.")
MOST_COUNTED = 10_000
LOT_DROPS = Span(low=0, high=500)
#: How far a patch may be darker than its hiding allows before it is asked about. [-]
SLACK = 0.08

_WORDS = {"name": Entry.WORDS, "clarity": Entry.WORDS, "lot": Entry.WORDS,
          "hazard_sheet": Entry.WORDS, "note": Entry.WORDS, "drop": Entry.AMOUNT,
          "density": Entry.AMOUNT, "heat_tender": Entry.YES}  # fmt: skip
#: Where a chip's readings stand in the file, by the field that gives them.
_CHIP = {
    "patch": ("patch", "colour"), "patch_loading": ("patch", "loading"),
    "patch_thickness": ("patch", "thickness"), "hiding": ("hiding", "value"),
    "hiding_loading": ("hiding", "loading"), "hiding_thickness": ("hiding", "thickness"),
}  # fmt: skip


def enter_bottle(shelf_text: str, fields: Fields) -> str:
    """Return a shelf's text with a bottle entered, or with what is new of it.

    Parameters
    ----------
    shelf_text : str
        The shelf; empty to begin one.
    fields : mapping of str to str
        As typed; what is left out or blank is not known, or stays as it was: name, clarity, lot,
        drop, density, hazard_sheet, note, heat_tender; patch (``#7a5a2b``), patch_loading,
        patch_thickness; hiding, hiding_loading, hiding_thickness. A new bottle needs a name and
        a clarity.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    InputError
        If a field is not known here.
    """
    given = _given(fields, (*_WORDS, *_CHIP))
    if "name" not in given:
        raise InputError("The bottle has no name.", field="name", remedy="Give it one.")
    document = open_document(shelf_text)
    place, table = _bottle_table(document, given["name"])
    for key, entry in _WORDS.items():
        if key in given:
            put(table, key, entry, given[key])
    _put_reading(table, "patch", given)
    _put_reading(table, "hiding", given)
    _drop_guesses(table, given)
    text = close_document(document)
    _check(text, place)
    return text


def _given(fields: Fields, known: Iterable[str]) -> dict[str, str]:
    """Return the fields that say something."""
    allowed = set(known)
    for key in fields:
        if key not in allowed:
            message = f"“{key}” is not known here."
            raise InputError(message, field=key, remedy=f"Known: {', '.join(sorted(allowed))}.")
    return {key: text.strip() for key, text in fields.items() if text and text.strip()}


def _bottle_table(document: tomlkit.TOMLDocument, name: str) -> tuple[int, Any]:
    """Return a bottle's place and table in a shelf, a new one at the end where there is none."""
    bottles = document.get("colourant")
    if not isinstance(bottles, AoT):
        bottles = tomlkit.aot()
        document["colourant"] = bottles
    for place, table in enumerate(bottles):
        if str(table.get("name", "")).strip().casefold() == name.casefold():
            return place, table
    bottles.append(tomlkit.table())
    return len(bottles) - 1, bottles[-1]


def _put_reading(table: Any, reading: str, given: Mapping[str, str]) -> None:
    """Write what was read off a chip; parts that were not given stay as they were."""
    typed = {inner: given[key] for key, (outer, inner) in _CHIP.items()
             if outer == reading and key in given}  # fmt: skip
    if not typed:
        return
    main = "colour" if reading == "patch" else "value"
    before = table.get(reading)
    if before is None or not isinstance(before, (InlineTable, Mapping)):
        kept = {} if before is None else {main: before}
        before = tomlkit.inline_table()
        for key, value in kept.items():
            before[key] = value
    for key, text in typed.items():
        if key == "colour":
            before.pop("lab", None)
        before[key] = toml_item(plain_number(text)) if key == "value" else text
    table[reading] = before


def plain_number(text: str) -> object:
    """Return a plain number such as ``0.60``, or a share such as ``60 %``; words as they are."""
    try:
        if text.endswith("%"):
            return Decimal(text.removesuffix("%").strip()) / 100
        number = Decimal(text)
    except InvalidOperation:
        return text
    is_whole = number.is_finite() and number == number.to_integral_value() and "." not in text
    return int(number) if is_whole else number


def _drop_guesses(table: Any, given: Mapping[str, str]) -> None:
    """Take what was given now off the list of what nobody has said yet."""
    guesses = table.get("guesses")
    if guesses is None:
        return
    said = {_CHIP[key][0] if key in _CHIP else key for key in given}
    left = [guess for guess in guesses if guess not in said]
    if left:
        table["guesses"] = left
    else:
        del table["guesses"]


def _check(text: str, place: int) -> None:
    """Read the whole shelf, and say in the form's words what is wrong with the bottle."""
    at = f"colourant[{place}]"
    try:
        bottle = read_shelf(text).colourants[place]
    except Invalid as refusal:
        told = in_form_words(refusal, at)
        for problem in told.problems:
            problem.field = _form_field(problem.field)
        raise Invalid(told.problems, what="This bottle") from None
    against = contradiction(bottle)
    if against is not None:
        raise against


def _form_field(path: str) -> str:
    """Return the field that gave what stands at a path in a bottle's table."""
    return next((key for key, where in _CHIP.items() if ".".join(where) == path), path)


def contradiction(bottle: Colourant) -> InputError | None:
    """Return why a bottle's patch and hiding cannot be of one chip; None where they can."""
    patch, hiding = bottle.patch, bottle.hiding
    if patch is None or hiding is None or patch.chip != hiding.chip or not patch.chip.is_known:
        return None
    least = least_hiding(patch)
    if hiding.value >= least - SLACK:
        return None
    return InputError(
        f"A chip as dark as this patch hides at least {least:.2f} of the card; "
        f"{hiding.value:.2f} was read.",
        field="hiding",
        given=f"{hiding.value:g}",
        remedy="Look at the chip over white again, and at its step on the card.",
    )


def weigh_drops(fields: Fields) -> Estimate:
    """Return the mass of a drop from many on a scale. [kg]

    Parameters
    ----------
    fields : mapping of str to str
        As typed: count; net, or gross and tare; step of the scale (0.1 g where left out).

    Raises
    ------
    Invalid
        With every field that cannot be read.
    InputError
        If the cup weighs more than cup and drops, or no drop weighs that much.
    """
    given = _given(fields, ("count", "net", "gross", "tare", "step"))
    table = _table(given, numbers=("count",))
    count = table.count("count", 1, MOST_COUNTED)
    step = table.amount("step", Kind.MASS, STEP, default=USUAL_STEP)
    if "net" in given:
        net = table.amount("net", Kind.MASS, NET)
        if "gross" in given or "tare" in given:
            table.refuse("net", "Both net and gross are given.", "Give net, or gross and tare.")
        _finish(table)
    else:
        gross = table.amount("gross", Kind.MASS, NET)
        tare = table.amount("tare", Kind.MASS, NET)
        _finish(table)
        net = _net(gross, tare)
    return drop_from_weighing(count, net, step)


def _net(gross: float, tare: float) -> float:
    if tare >= gross:
        raise InputError(
            f"The empty cup weighs {tare * 1e3:.5g} g, cup and drops {gross * 1e3:.5g} g: nothing "
            "is left for the drops.",
            field="tare",
            given=f"{tare * 1e3:.5g} g",
            remedy="Weigh the cup empty first, then with the drops in it.",
        )
    return gross - tare


def compare_lots(bottle: Colourant, fields: Fields) -> Estimate:
    """Return a new lot's strength against the old, from drops or from the printed card. [-]

    Parameters
    ----------
    bottle : Colourant
        What both are lots of.
    fields : mapping of str to str
        As typed: old_drops and new_drops that look alike; or old_hiding and new_hiding of chips
        alike in loading and thickness (the bottle's own reading's where left out).

    Raises
    ------
    Invalid
        With every field that cannot be read.
    InputError
        If they do not tell a strength.
    """
    given = _given(fields, ("old_drops", "new_drops", "old_hiding", "new_hiding",
                            "loading", "thickness"))  # fmt: skip
    by_drops = "old_drops" in given or "new_drops" in given
    pair = ("old_drops", "new_drops") if by_drops else ("old_hiding", "new_hiding")
    table = _table(given, numbers=("old_drops", "new_drops", "old_hiding", "new_hiding"))
    span = LOT_DROPS if by_drops else HIDING
    old, new = (table.amount(key, Kind.NUMBER, span) for key in pair)
    chip = _chip(table, bottle)
    _finish(table)
    if by_drops:
        return strength_from_drops(old, new)
    drops = chip.drops if chip.drops is not None or chip.share is not None else USUAL_DROPS
    return strength_from_hiding(
        bottle, old, new, drops=drops, share=chip.share,
        thickness=chip.thickness or USUAL_THICKNESS,
    )  # fmt: skip


def _chip(table: Table, bottle: Colourant) -> Chip:
    """Return the chips' loading and thickness: as typed, or the bottle's own."""
    chip = bottle.hiding.chip if bottle.hiding else Chip()
    if "loading" in table:
        with table.collecting("loading"):
            amount, measure = chip_loading(table.text("loading"))
            dropped = measure is Measure.DROPS
            chip = replace(chip, drops=amount if dropped else None,
                           share=None if dropped else amount / 100)  # fmt: skip
    if "thickness" in table:
        chip = replace(chip, thickness=table.amount("thickness", Kind.LENGTH, THICKNESS))
    return chip


def _table(given: Mapping[str, str], numbers: Iterable[str]) -> Table:
    """Return what was typed as a table; plain numbers without quotes."""
    raw: dict[str, object] = dict(given)
    for key in numbers:
        if key in given:
            raw[key] = plain_number(given[key])
    return Table(raw)


def _finish(table: Table) -> None:
    try:
        table.finish("This form")
    except Invalid as refusal:
        raise in_form_words(refusal) from None


def rounded(estimate: Estimate, step: float) -> Estimate:
    """Return an estimate to a step of its last digit, its range no narrower for it."""
    digits = max(-math.floor(math.log10(step) + 1e-9), 0)
    low, high = math.floor(estimate.low / step + 1e-6), math.ceil(estimate.high / step - 1e-6)
    return replace(
        estimate,
        value=round(estimate.value, digits),
        low=round(low * step, digits),
        high=round(high * step, digits),
    )


def keep_drop(shelf_text: str, name: str, drop: Estimate) -> str:
    """Return a shelf's text with the mass of a bottle's drop as weighed.

    Raises
    ------
    NotFound
        If there is no such bottle on it.
    """
    return _keep(shelf_text, name, "drop", write_estimate(rounded(drop, 1e-8), "mg", Kind.MASS))


def keep_strength(shelf_text: str, name: str, ratio: Estimate, lot: str = "") -> str:
    """Return a shelf's text with a bottle's new lot: its strength, and its code where given.

    Parameters
    ----------
    shelf_text, name : str
        The shelf, and the bottle on it.
    ratio : Estimate
        Strength of the new lot against the one on the shelf, from `compare_lots`. [-]
    lot : str
        The new lot's code.

    Raises
    ------
    NotFound
        If there is no such bottle on it.
    """
    strength = new_strength(bottle_named(shelf_text, name).lot_strength, ratio)
    text = _keep(
        shelf_text, name, "strength", write_estimate(rounded(strength, 1e-3), "", Kind.NUMBER)
    )
    return _keep(text, name, "lot", lot.strip()) if lot.strip() else text


def bottle_named(shelf_text: str, name: str) -> Colourant:
    """Return a bottle of a shelf.

    Raises
    ------
    NotFound
        If there is none of that name.
    """
    shelf = read_shelf(shelf_text)
    for bottle in shelf.colourants:
        if bottle.name.casefold() == name.strip().casefold():
            return bottle
    there = ", ".join(bottle.name for bottle in shelf.colourants) or "none"
    raise NotFound(f"No bottle on the shelf is called “{name}”. There: {there}.")


def _keep(shelf_text: str, name: str, key: str, value: object) -> str:
    bottle = bottle_named(shelf_text, name)
    document = open_document(shelf_text)
    _, table = _bottle_table(document, bottle.name)
    table[key] = toml_item(value)
    _drop_guesses(table, {key: ""})
    text = close_document(document)
    read_shelf(text)
    return text


def toml_item(value: object) -> object:
    """Return a value for TOML: tables on one line, decimals as numbers."""
    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for key, each in value.items():
            table[key] = toml_item(each)
        return table
    return float(value) if isinstance(value, Decimal) else value
