"""The shelf one supply at a time: what was typed in, the shelf's next version out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import tomlkit

from partline.errors import InputError, Invalid, NotFound
from partline.materials.supply import AdditiveKind, Clarity, FlakeShape
from partline.records.documents import Version, name_key
from partline.records.exchange.edit import Entry, close_document, open_document, put
from partline.records.workshop import Workshop
from partline.services.forms import (
    Field,
    Group,
    Json,
    fields_given,
    filled_groups,
    no_guess,
    save_edited,
    text_of,
    write_fields,
)
from partline.services.workshop import SHELF

_NAME = Field(key="name", label="Name", entry=Entry.WORDS)
_LOT = Field(key="lot", label="Lot", entry=Entry.WORDS, example="R0417-A3")
_NOTE = Field(key="note", label="Note", entry=Entry.WORDS)
_HAZARD = Field(
    key="hazard_sheet",
    label="Hazard sheet",
    entry=Entry.WORDS,
    example="folder 1, sheet 2",
    help="where the supplier’s sheet is kept; read it before heating",
)
_DENSITY = Field(key="density", label="Density, cold", example="1.02 g/mL")
_BULK = Field(
    key="bulk_density",
    label="Loose in a spoon",
    example="0.60 g/mL",
    help="one level spoon of it on the scale",
)
_STOCK = Group(
    title="What is left, what it cost",
    help="The full jar less the empty one is what is left.",
    fields=(
        Field(key="gross", label="Full jar weighs", example="412 g"),
        Field(key="tare", label="Empty jar weighs", example="35 g"),
        Field(key="price", label="Paid, ¤", entry=Entry.NUMBER, example="18.50"),
        Field(key="price_amount", label="for how much", example="1 L"),
        Field(key="received", label="Received", entry=Entry.DATE, example="2026-03-01"),
        Field(key="opened", label="Opened", entry=Entry.DATE, example="2026-03-14"),
    ),
)


def _chip(key: str, label: str, example: str, words: str = "") -> Field:
    return Field(key=key, label=label, entry=Entry.WORDS, example=example, help=words)


def _first(*more: Field) -> Group:
    return Group(title="What it is", fields=(_NAME, *more, _LOT, _HAZARD))


def _additive(*more: Field) -> tuple[Group, ...]:
    return (_first(), Group(title="What it weighs", fields=(_DENSITY, *more)), _STOCK)


_GRADE = (
    _first(
        Field(
            key="resin_share",
            label="Resin",
            example="15 %",
            help="by mass; the softer the grade, the less",
        ),
        _DENSITY,
    ),
    Group(
        title="From the label",
        help="With °C or °F. Beyond the maximum it scorches and fumes.",
        fields=(
            Field(key="band_low", path="band", label="Working band from", example="150 °C"),
            Field(key="band_high", path="band.high", label="to", example="165 °C"),
            Field(key="target", label="Fusion is done at", example="175 °C"),
            Field(key="ceiling", label="Label’s maximum", example="185 °C"),
            Field(key="gel_line", label="Sets on cooling at", example="131 °C"),
        ),
    ),
    _STOCK,
)
_COLOURANT = (
    _first(
        Field(
            key="clarity",
            label="What it does to light",
            entry=Entry.WORDS,
            options=tuple(clarity.value for clarity in Clarity),
        ),
        Field(
            key="heat_tender",
            label="Heat-tender",
            entry=Entry.YES,
            help="goes in last and is not heated again",
        ),
    ),
    Group(
        title="Drops and strength",
        fields=(
            Field(
                key="drop",
                label="One drop weighs",
                example="30 mg ± 1.4 mg, n = 50",
                help="count 50 drops onto the scale",
            ),
            Field(
                key="strength",
                label="Strength of this lot",
                entry=Entry.NUMBER,
                example="1.0",
                help="against the lot its colour was read with; 1 is alike",
            ),
            _DENSITY,
        ),
    ),
    Group(
        title="Its colour, without instruments",
        help="A chip of it over white paper, and on the printed black and white card. What you "
        "cannot say stays blank: every look then has a wider range. Constants that stand in its "
        "file come before these.",
        fields=(
            _chip(
                "patch.colour", "Colour over white", "#7a5a2b", "hold the chip beside it and match"
            ),
            _chip("patch.loading", "in that chip, in 100 g", "3 drops"),
            _chip("patch.thickness", "which is this thick", "2 mm"),
            Field(
                key="hiding.value",
                label="Hides, 0 to 1",
                entry=Entry.NUMBER,
                example="0.60",
                help="share of the card out of sight",
            ),
            _chip("hiding.loading", "with, in 100 g", "3 drops"),
            _chip("hiding.thickness", "at a thickness of", "2 mm"),
        ),
    ),
    _STOCK,
)
_FACE = Field(
    key="face",
    path="reflectance[0]",
    label="Brightness of its face, 0 to 1",
    entry=Entry.NUMBER,
    example="0.60",
    help="of the light on it; mirror 0.9, black 0.04",
)
_FLAKE = (
    _first(
        Field(key="colour", label="Colour, in words", entry=Entry.WORDS, example="copper"),
        _FACE,
        Field(
            key="shape",
            label="Shape",
            entry=Entry.WORDS,
            options=("", *(shape.value for shape in FlakeShape)),
            help="a hexagon where nothing is chosen",
        ),
        Field(key="size", label="Size", example="0.4 mm", help="across flats, side or length"),
        Field(key="thickness", label="Film", example="25 µm"),
        Field(
            key="metal",
            label="Metal",
            entry=Entry.YES,
            help="never in the microwave oven: it goes in after the last heat",
        ),
        Field(key="heat_limit", label="Sheds above, with °C or °F", example="170 °C"),
    ),
    Group(title="What it weighs", fields=(_BULK, _DENSITY)),
    _STOCK,
)
_GRAIN = Field(key="grain", label="Grain", example="50 µm")

#: What a maker adds, in the order of the shelf: the document's list, and the form.
KINDS: dict[str, tuple[str, tuple[Group, ...]]] = {
    "grade": ("grade", _GRADE),
    "softener": ("additive", _additive()),
    "hardener": ("additive", _additive()),
    "colourant": ("colourant", _COLOURANT),
    "flake": ("flake", _FLAKE),
    "salt": ("additive", _additive(_GRAIN, _BULK)),
    "scent": ("additive", _additive()),
}
TITLES = {
    "grade": "Plastisol grades",
    "softener": "Softeners",
    "hardener": "Hardeners",
    "colourant": "Colourants",
    "flake": "Flake",
    "salt": "Salt",
    "scent": "Scent",
}
ADDS = {
    "grade": "a grade",
    "softener": "a softener",
    "hardener": "a hardener",
    "colourant": "a colourant",
    "flake": "a flake",
    "salt": "a salt",
    "scent": "a scent",
}
_LISTS = ("grade", "colourant", "flake", "additive")


def supply_form(text: str, name: str = "", kind: str = "") -> Json:
    """Return one supply of a shelf's document as groups of fields.

    Parameters
    ----------
    text : str
        The shelf's document; "" for none.
    name : str
        The supply's; empty for a new one.
    kind : str
        Of a new one, as in `KINDS`.

    Raises
    ------
    NotFound
        If there is no such supply, or no such kind.
    """
    table: Mapping[str, Any] = {}
    if name:
        place = _place(open_document(text), name)
        if place is None:
            raise NotFound(f"No supply on the shelf is called “{name}”.")
        listed, index = place
        table = _spread(open_document(text)[listed][index])
        kind = _kind(listed, table)
    if kind not in KINDS:
        raise NotFound(f"There is no kind of supply called “{kind[:40]}”.")
    _, groups = KINDS[kind]
    groups = tuple(_without_face(group) for group in groups) if _is_spectrum(table) else groups
    return {
        "kind": kind,
        "groups": filled_groups(table, groups),
        "note": filled_groups(table, (Group(title="", fields=(_NOTE,)),))[0]["fields"][0],
    }


def edited_shelf(text: str, given: Mapping[str, Any], *, name: str = "", kind: str = "") -> str:
    """Return a shelf's document with what was typed into one supply's form, faults and all.

    Parameters
    ----------
    text : str
        The document before; "" for none.
    given : mapping
        What was typed, by the field's key. What is not in it stays as it is.
    name : str
        Which supply was edited, as it was called; empty for a new one.
    kind : str
        Of a new one, as in `KINDS`.

    Raises
    ------
    Invalid
        If the supply is not on the shelf any longer.
    NotFound
        If there is no such kind.
    """
    document = open_document(text)
    listed, index = _placed(document, name) if name else _added(document, kind)
    table = document[listed][index]
    kind = _kind(listed, table)
    _, groups = KINDS[kind]
    fields = [field for group in groups for field in group.fields] + [_NOTE]
    _open_short_forms(table, given)
    write_fields(table, [field for field in fields if field.key not in _APART], given)
    if kind == "grade":
        _write_band(table, given)
    if kind == "flake":
        _write_face(table, given)
    if not name:
        table.add(tomlkit.nl())
    return close_document(document)


def without_supply(text: str, name: str) -> str:
    """Return a shelf's document without one supply.

    Raises
    ------
    Invalid
        If it is not on the shelf any longer.
    """
    document = open_document(text)
    listed, index = _placed(document, name)
    tables = document[listed]
    del tables[index]
    if not tables:
        del document[listed]
    return close_document(document)


def save_supply(
    workshop: Workshop, given: object, *, name: str, kind: str, based_on: int
) -> Version:
    """Keep what was typed about one supply as the shelf's next version.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer shelf first.
    """
    fields = fields_given(given)
    title = (text_of(fields, "name") or name).strip()
    return save_edited(
        workshop.shelves,
        lambda text: edited_shelf(text, fields, name=name, kind=kind),
        document_id=_shelf_id(workshop),
        based_on=based_on,
        at=lambda text: _path(text, title),
        name=SHELF,
        note=f"{title}: edited" if name else f"{title}: new",
    )


def take_off(workshop: Workshop, *, name: str, based_on: int) -> Version:
    """Keep the shelf without one supply as its next version; older versions still hold it.

    Raises
    ------
    Invalid
        If it is not on the shelf.
    EditedElsewhere
        If somebody saved a newer shelf first.
    """
    return save_edited(
        workshop.shelves,
        lambda text: without_supply(text, name),
        document_id=_shelf_id(workshop),
        based_on=based_on,
        note=f"{name}: taken off",
    )


def _shelf_id(workshop: Workshop) -> str:
    try:
        return workshop.shelves.named(SHELF).version.document_id
    except NotFound:
        return ""


def _kind(listed: str, table: Mapping[str, Any]) -> str:
    return str(table.get("kind", "")) if listed == "additive" else listed


def _place(document: Mapping[str, Any], name: str) -> tuple[str, int] | None:
    for listed in _LISTS:
        for index, table in enumerate(document.get(listed, [])):
            if name_key(str(table.get("name", ""))) == name_key(name):
                return listed, index
    return None


def _placed(document: Mapping[str, Any], name: str) -> tuple[str, int]:
    place = _place(document, name)
    if place is None:
        gone = InputError(
            f"“{name}” is not on the shelf any longer.",
            field="name",
            remedy="It was renamed or taken off elsewhere. Look at the shelf, then add it anew.",
        )
        raise Invalid((gone,), what="This form")
    return place


def _added(document: tomlkit.TOMLDocument, kind: str) -> tuple[str, int]:
    if kind not in KINDS:
        raise NotFound(f"There is no kind of supply called “{kind[:40]}”.")
    listed, _ = KINDS[kind]
    table = tomlkit.table()
    if listed == "additive":
        table["kind"] = AdditiveKind(kind).value
    if document:
        table.trivia.indent = "\n"
    if listed not in document:
        document[listed] = tomlkit.aot()
    tables = document[listed]
    tables.append(table)
    return listed, len(tables) - 1


def _path(text: str, title: str) -> str:
    """Return where a supply stands in a document, such as ``colourant[1]``; the last of them."""
    document = open_document(text)
    paths = [
        f"{listed}[{index}]"
        for listed in _LISTS
        for index, table in enumerate(document.get(listed, []))
        if name_key(str(table.get("name", ""))) == name_key(title)
    ]
    return paths[-1] if paths else ""


#: Fields of a form that are no keys of the document: written by functions of their own.
_APART = ("band_low", "band_high", "face")
#: A reading's short form, and the key that it is short for.
_SHORT = {"patch": "colour", "hiding": "value"}


def _spread(table: Mapping[str, Any]) -> dict[str, Any]:
    """Return a supply's table with every field of its form under a key of its own."""
    apart = dict(table)
    band = apart.get("band", [])
    if isinstance(band, list) and len(band) == 2:
        apart["band_low"], apart["band_high"] = band
    terms = apart.get("reflectance", [])
    if len(terms) == 1 and terms[0].get("shape") == "level":
        apart["face"] = terms[0]["height"]
    for head, key in _SHORT.items():
        if head in apart and not isinstance(apart[head], Mapping):
            apart[head] = {key: apart[head]}
    return apart


def _is_spectrum(table: Mapping[str, Any]) -> bool:
    """Whether a flake's face is known by more than its brightness, which a form must not lose."""
    return bool(table.get("reflectance")) and "face" not in table


def _without_face(group: Group) -> Group:
    return replace(group, fields=tuple(field for field in group.fields if field is not _FACE))


def _open_short_forms(table: Any, given: Mapping[str, Any]) -> None:
    for head, key in _SHORT.items():
        is_asked = any(name.startswith(f"{head}.") for name in given)
        if is_asked and head in table and not isinstance(table[head], Mapping):
            short = table[head]
            table[head] = tomlkit.inline_table()
            table[head][key] = short


def _write_face(table: Any, given: Mapping[str, Any]) -> None:
    text = text_of(given, "face")
    if text is None or _is_spectrum(_spread(table)):
        return
    face: dict[str, Any] = {"face": _spread(table).get("face", "")}
    if not put(face, "face", Entry.NUMBER, text):
        return
    table.pop("reflectance", None)
    if "face" in face:
        term = tomlkit.inline_table()
        term.update({"shape": "level", "height": face["face"]})
        table["reflectance"] = tomlkit.array()
        table["reflectance"].append(term)


def _write_band(table: Any, given: Mapping[str, Any]) -> None:
    before = _spread(table)
    ends = []
    for key in ("band_low", "band_high"):
        text = text_of(given, key)
        ends.append(str(before.get(key, "")) if text is None else text.strip())
    if ends == [str(before.get(key, "")) for key in ("band_low", "band_high")]:
        return
    no_guess(table, "band")
    if any(ends):
        table["band"] = ends
    else:
        table.pop("band", None)
