"""A recipe between a form's fields and its document; the words a maker typed are kept."""

from __future__ import annotations

from collections.abc import Mapping
from math import isclose
from typing import Any

import tomli_w

from partline.errors import InputError
from partline.process.recipe import Half, Recipe, Wanted
from partline.quantities.estimate import Origin
from partline.quantities.units import Kind, show, to_si
from partline.records.documents import Kept
from partline.records.exchange import loading_text, read_recipe
from partline.records.exchange.amount import write_amount
from partline.records.workshop import Workshop
from partline.services.workshop import now

Fields = dict[str, Any]
#: A side, a supply and its amount, as a form shows them.
Amount = tuple[str, str, str]

#: A form has this many rows a side at most; more is a script's mistake.
MOST_ROWS = 24
#: Digits after the point that a form shows before it writes a value out in full.
MOST_DIGITS = 6


def _typed(value: float, kind: Kind, *units: str) -> str:
    """Return an SI value in the fewest digits that read as the same value again.

    A form that rounded would change a recipe by being opened.
    """
    for digits in range(MOST_DIGITS + 1):
        for unit in units:
            text = show(value, unit, digits, kind)
            # A unit's conversion there and back costs a float's last digit or two.
            if isclose(to_si(text, kind), value, rel_tol=1e-13):
                return text
    return write_amount(value, units[0], kind)


def _hiding(wanted: Wanted) -> str:
    """Return the wish as typed: blank where nobody stated one, so that it stays a default."""
    if wanted.is_default:
        return ""
    short = f"{wanted.hiding:.2f}"
    return short if float(short) == wanted.hiding else repr(wanted.hiding)


def fields_of(recipe: Recipe) -> Fields:
    """Return a recipe as the texts of an editor's form."""
    handling = recipe.handling
    return {
        "name": recipe.name,
        "note": recipe.note,
        "hiding": _hiding(recipe.wanted),
        "start": _typed(handling.start, Kind.TEMPERATURE, "°C", "°F") if handling.start else "",
        "push": _typed(handling.push, Kind.TIME, "s") if handling.push else "",
        "sides": [
            {
                "half": side.half.value,
                "blend": [
                    {"grade": each.grade, "share": _typed(each.share, Kind.SHARE, "%")}
                    for each in side.blend
                ],
                "loadings": [
                    {"supply": each.supply, "per_100_g": each.entered or loading_text(each)}
                    for each in side.loadings
                ],
            }
            for side in recipe.sides
        ],
    }


def _text(fields: Mapping[str, Any], key: str) -> str:
    value = fields.get(key, "")
    if not isinstance(value, str):
        raise InputError(f"The form's “{key}” is not text.", field=key)
    return value.strip()


def _rows(fields: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    rows = fields.get(key, [])
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise InputError(f"The form's “{key}” is not a list of rows.", field=key)
    if len(rows) > MOST_ROWS:
        raise InputError(
            f"{len(rows)} rows were given; a side has at most {MOST_ROWS}.", field=key
        )
    return rows


def _side(fields: Mapping[str, Any], origins: Mapping[Amount, Origin]) -> tuple[str, Fields]:
    half = _text(fields, "half")
    if half not in set(Half):
        raise InputError(f"“{half}” is no side of a bait.", field="half", given=half)
    blend = _rows(fields, "blend")
    names = [_text(row, "grade").casefold() for row in blend]
    if len(set(names)) < len(names):
        raise InputError(
            f"The {half} names one plastisol twice.",
            field=f"{half}.blend",
            remedy="Choose another second one, or take it away.",
        )
    side: Fields = (
        {"grade": _text(blend[0], "grade")}
        if len(blend) == 1
        else {"blend": {_text(row, "grade"): _text(row, "share") for row in blend}}
    )
    loads = []
    for row in _rows(fields, "loadings"):
        supply, amount = _text(row, "supply"), _text(row, "per_100_g")
        origin = origins.get((half, supply, amount), Origin.ENTERED)
        said = {} if origin is Origin.ENTERED else {"origin": origin.value}
        loads.append({"supply": supply, "per_100_g": amount} | said)
    return half, side | ({"load": loads} if loads else {})


def _origins(recipe: Recipe | None) -> dict[Amount, Origin]:
    """Return where each amount of a recipe comes from, as its form shows that amount."""
    return {
        (side.half.value, each.supply, each.entered or loading_text(each)): each.origin
        for side in (recipe.sides if recipe else ())
        for each in side.loadings
    }


def document_of(fields: Mapping[str, Any], before: Recipe | None = None) -> str:
    """Return the document that a form's texts make, faults and all.

    Parameters
    ----------
    fields : mapping
        The form's texts.
    before : Recipe or None
        That the form was filled from. An amount that still says the same keeps its origin; one
        that was retyped is the maker's own.

    Raises
    ------
    InputError
        If the form itself is malformed; what it says is judged by `read_recipe`.
    """
    if not isinstance(fields, Mapping):
        raise InputError("The form is not a table of fields.", field="fields")
    document: Fields = {"name": _text(fields, "name")}
    if note := _text(fields, "note"):
        document["note"] = note
    origins = _origins(before)
    document |= dict(_side(side, origins) for side in _rows(fields, "sides"))
    if hiding := _text(fields, "hiding"):
        document["wanted"] = {"hiding": hiding}
    handling = {key: _text(fields, key) for key in ("start", "push") if _text(fields, key)}
    if handling:
        document["handling"] = handling
    return tomli_w.dumps(document)


def recipe_of(fields: Mapping[str, Any]) -> Recipe:
    """Return the recipe that a form's texts describe.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    """
    return read_recipe(document_of(fields))


def save_recipe(
    workshop: Workshop, fields: Mapping[str, Any], *, document_id: str, based_on: int, note: str
) -> Kept[Recipe]:
    """Keep an edited recipe as its next version, or a new one when it has no code yet.

    Raises
    ------
    Invalid
        If it cannot be read.
    EditedElsewhere
        If somebody saved a newer version first.
    """
    if not document_id:
        return workshop.recipes.add(document_of(fields), now=now(), note=note)
    before = workshop.recipes.get(document_id, based_on).content if based_on else None
    text = document_of(fields, before)
    return workshop.recipes.save(document_id, text, based_on=based_on, now=now(), note=note)
