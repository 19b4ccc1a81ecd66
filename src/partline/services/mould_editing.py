"""A mould as a form: fields and stations in, the next version and its drawing out."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.items import AoT

from partline.errors import Invalid
from partline.materials.mould import Mould, SectionShape
from partline.process.cavity import Profile, profile
from partline.records.documents import Version
from partline.records.exchange import read_mould
from partline.records.exchange.edit import Entry, close_document, open_document
from partline.records.workshop import Workshop
from partline.services.forms import (
    Field,
    Group,
    Json,
    fields_given,
    filled,
    filled_groups,
    in_form_words,
    no_guess,
    rows_given,
    save_edited,
    text_of,
    write_fields,
)
from partline.services.moulds import mould_as_json

GROUPS = (
    Group(
        title="The mould",
        fields=(
            Field(key="name", label="Name", entry=Entry.WORDS),
            Field(key="cavities", label="Cavities", entry=Entry.NUMBER, example="4"),
            Field(key="length", label="Length of a bait", example="130 mm"),
            Field(key="gate", label="Gate, narrowest", example="4 mm"),
            Field(
                key="mass",
                label="The mould itself weighs, closed",
                example="1.2 kg",
                help="how long it takes to cool hangs on it",
            ),
            Field(
                key="bottom_mark",
                label="BOTTOM mark",
                entry=Entry.WORDS,
                example="a red dot",
                help="how the half that lies below is marked",
            ),
            Field(key="material", label="Made of", entry=Entry.WORDS, example="aluminium"),
        ),
    ),
    Group(
        title="What a bait weighs",
        help="The mass or the volume of one bait, not both. Either can be worked out below.",
        fields=(
            Field(key="bait_mass", label="Mass of one bait", example="11.8 g"),
            Field(key="bait_volume", label="or its volume", example="11.5 mL"),
            Field(key="sprue_mass", label="Sprue and runner, a shot", example="9.0 g"),
            Field(
                key="weighed_density",
                label="Density of the plastic weighed",
                example="1.02 g/mL",
                help="only if unlike the one to be poured, as when salted",
            ),
        ),
    ),
)
STATION = (
    Field(key="name", label="Station", entry=Entry.WORDS, example="belly"),
    Field(key="position", label="At, 0 nose to 1 tail", entry=Entry.NUMBER, example="0.35"),
    Field(
        key="shape",
        label="Section",
        entry=Entry.WORDS,
        options=tuple(shape.value for shape in SectionShape),
    ),
    Field(
        key="points",
        label="Points of the outline",
        entry=Entry.POINTS,
        example="3.1 mm, 3.4 mm",
        help="one a line: across from the middle, up from the line; from the highest down one "
        "flank to the lowest, below the line with a minus. Width and halves follow from them.",
    ),
    Field(key="width", label="Width", example="11 mm"),
    Field(key="back_half", label="Back half", example="5.5 mm"),
    Field(key="belly_half", label="Belly half", example="5.5 mm"),
    Field(key="origin", label="Where its sizes come from", entry=Entry.WORDS),
    Field(key="doubt", label="Sizes may be off by", example="3 %"),
)
#: What a station says of its sizes, and goes when they are typed anew without it.
ABOUT_SIZES = ("origin", "doubt")
SIZES = ("shape", "points", "width", "back_half", "belly_half")
POINT = (
    Field(key="position", label="At, 0 nose to 1 tail", entry=Entry.NUMBER, example="0.20"),
    Field(key="diameter", label="Diameter", example="9.6 mm"),
)
NOTE = Field(key="note", label="Note", entry=Entry.WORDS)
ROWS = {"stations": STATION, "outline": POINT}
#: What stands in for fields that are still blank while the mould is drawn as it is typed.
STAND_INS: dict[str, object] = {"name": "unnamed", "cavities": 1, "sprue_mass": "0 g"}
#: The least that a bait can weigh: nothing is asked about a length because of it.
STAND_IN_MASS = "0.05 g"
_CODE = re.compile(r"[0-9A-Z]{12}")


def mould_form(text: str) -> Json:
    """Return a mould's document as groups of fields and rows; "" for a new one."""
    document = open_document(text)
    return {
        "groups": filled_groups(document, GROUPS),
        "note": filled(document, (NOTE,))[0],
        "rows": {
            key: [filled(row, fields) for row in _tables(document, key)]
            for key, fields in ROWS.items()
        },
        "blank": {key: filled({}, fields) for key, fields in ROWS.items()},
        # Where the stations lie, of a mould that came in a table of many.
        "places_are_guessed": "stations" in document.get("guesses", ()),
    }


def edited_mould(text: str, given: Mapping[str, Any]) -> str:
    """Return a mould's document with what was typed into the form, faults and all.

    Parameters
    ----------
    text : str
        The document before; "" for a new one.
    given : mapping
        What was typed, by the field's key; ``stations`` and ``outline`` are lists of rows, each
        with the place it had before as ``was``. What is not in it stays as it is. A row whose
        sizes were traced in a photo names that as ``traced``.
    """
    document = open_document(text)
    for group in GROUPS:
        write_fields(document, group.fields, given)
    write_fields(document, (NOTE,), given)
    checked = given.get("checked", ())
    if isinstance(checked, list) and "stations" in checked:
        no_guess(document, "stations")
    for key, fields in ROWS.items():
        rows = rows_given(given, key)
        if rows is not None:
            places = [row.get("position") for row in _tables(document, key)]
            _write_rows(document, key, fields, rows)
            if key == "stations" and places != [
                row.get("position") for row in _tables(document, key)
            ]:
                no_guess(document, key)
    return close_document(document)


def _tables(document: Mapping[str, Any], key: str) -> list[Any]:
    return [row for row in document.get(key, []) if isinstance(row, Mapping)]


def _write_rows(
    document: tomlkit.TOMLDocument,
    key: str,
    fields: Sequence[Field],
    rows: Sequence[Mapping[str, Any]],
) -> None:
    """Write rows; one that was there before keeps its comments and whatever no field shows."""
    before = _tables(document, key)
    places = [_place(row, len(before)) for row in rows]
    if places == list(range(len(before))):
        for table, row in zip(before, rows, strict=True):
            _write_row(table, fields, row)
        return
    if not rows:
        document.pop(key, None)
        return
    listed = tomlkit.aot()
    for place, row in zip(places, rows, strict=True):
        table = tomlkit.table()
        if place is not None:
            table = before[place] if _is_listed(document, key) else _as_table(before[place])
        _write_row(table, fields, row)
        listed.append(table)
    document[key] = listed


def _is_listed(document: tomlkit.TOMLDocument, key: str) -> bool:
    """Whether rows stand under headings of their own rather than on one line."""
    return isinstance(document.get(key), AoT)


def _as_table(row: Mapping[str, Any]) -> Any:
    table = tomlkit.table()
    table.update(row)
    return table


def _place(row: Mapping[str, Any], count: int) -> int | None:
    was = str(row.get("was", ""))
    return int(was) if was.isascii() and was.isdigit() and int(was[:6]) < count else None


def _write_row(table: Any, fields: Sequence[Field], row: Mapping[str, Any]) -> None:
    before = {field.key: table.get(field.key) for field in fields}
    write_fields(table, fields, row)
    if all(table.get(key) == before.get(key) for key in SIZES):
        return
    traced = text_of(row, "traced")
    for key in ABOUT_SIZES:
        if key in table and not traced and table[key] == before.get(key):
            # Entered now: what was said of the guess before does not hold of it.
            del table[key]
    if traced and _CODE.fullmatch(traced) and isinstance(table, tomlkit.items.Table):
        table["origin"].comment(f"traced in photo {traced}")


def save_mould(
    workshop: Workshop, given: object, *, document_id: str, based_on: int, note: str = ""
) -> Version:
    """Keep what was typed as the mould's next version, or as a new mould.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer version first.
    """
    fields = fields_given(given)
    return save_edited(
        workshop.moulds,
        lambda text: edited_mould(text, fields),
        document_id=document_id,
        based_on=based_on,
        note=note,
        groups=GROUPS,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A mould as it is typed.

    Parameters
    ----------
    mould : Mould
        With stand-ins where nothing is typed yet.
    body : Profile
        Its shape.
    is_weighed : bool
        Whether the bait's mass or volume was typed.
    """

    mould: Mould
    body: Profile
    is_weighed: bool


def drawn_mould(text: str, given: object) -> Drawn:
    """Return the mould that a form's fields describe so far.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    """
    document = open_document(edited_mould(text, fields_given(given)))
    is_weighed = "bait_mass" in document or "bait_volume" in document
    for key, value in STAND_INS.items():
        document.setdefault(key, value)
    if not is_weighed:
        document["bait_mass"] = STAND_IN_MASS
    try:
        mould = read_mould(close_document(document))
    except Invalid as refusal:
        raise in_form_words(refusal, groups=GROUPS) from None
    return Drawn(mould=mould, body=profile(mould), is_weighed=is_weighed)


def drawn_as_json(drawn: Drawn) -> Json:
    """Return a mould's volumes and remarks in the maker's units."""
    told = mould_as_json(drawn.mould)
    if drawn.is_weighed:
        return told
    notes = [note.text for note in drawn.body.notes]
    return told | {"volume_by_weighing_ml": None, "bait_mass_g": None, "notes": notes}
