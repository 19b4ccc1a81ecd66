"""The bench as a form: what was typed in, the next version out."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from typing import Any

import tomlkit

from partline.records.documents import Version
from partline.records.exchange.edit import Entry, close_document, open_document
from partline.records.workshop import Workshop
from partline.services.forms import (
    Field,
    Group,
    Json,
    fields_given,
    filled_groups,
    save_edited,
    write_fields,
)

GROUPS = (
    Group(
        title="What stays behind",
        help="These decide how much more goes into the cups than the baits weigh.",
        fields=(
            Field(
                key="block.loss",
                label="Block, both sides, a shot",
                example="14 g",
                help="weigh what is in the joining block after a shot",
            ),
            Field(
                key="syringes.heel",
                label="Heel in each syringe, a draw",
                example="0.7 g",
                help="what the plunger cannot push out",
            ),
            Field(
                key="vessel.film",
                label="Film on each cup, a melt",
                example="4 g",
                help="the emptied cup less the clean one",
            ),
            Field(
                key="reject_share",
                label="Baits that will not be good",
                example="7 %",
                help="of those moulded",
            ),
        ),
    ),
    Group(
        title="Cups",
        help="Both alike.",
        fields=(
            Field(key="vessel.capacity", label="Holds, to the brim", example="500 mL"),
            Field(
                key="vessel.fill_limit",
                label="Filled hot up to",
                example="60 %",
                help="hot plastic rises and has to be stirred",
            ),
            Field(key="vessel.mass", label="Weighs, empty", example="180 g"),
        ),
    ),
    Group(
        title="Syringes",
        help="The coupled pair, both alike.",
        fields=(
            Field(key="syringes.capacity", label="Each holds", example="100 mL"),
            Field(key="syringes.usable_share", label="Of that can be drawn", example="90 %"),
            Field(
                key="syringes.shots_per_draw",
                label="Shots from one draw",
                entry=Entry.NUMBER,
                example="1",
                help="1 keeps every shot at the cup’s temperature",
            ),
            Field(key="syringes.barrel_mass", label="Each barrel weighs", example="300 g"),
            Field(
                key="syringes.preheat",
                label="Warmed to, with °C or °F",
                example="130 °C",
                help="a cold metal barrel cools the plastic more than anything else",
            ),
        ),
    ),
    Group(
        title="Oven",
        help="One kept for plastic alone. Leave it blank when you heat otherwise.",
        fields=(
            Field(key="oven.power", label="Power", example="900 W", help="into a water load"),
            Field(
                key="oven.share",
                label="Of that into the melt",
                example="40 %",
                help="blank when you do not know: it is guessed, and marked so",
            ),
        ),
    ),
    Group(
        title="Thermometer",
        help="Leave blank what you do not know. With some of it known, the rest is guessed and "
        "marked so.",
        fields=(
            Field(
                key="thermometer.emissivity",
                label="Emissivity",
                entry=Entry.NUMBER,
                example="0.95",
                help="as set on it",
            ),
            Field(
                key="thermometer.between_cups",
                label="Two cups, within",
                example="1 °C",
                help="how far two readings in a row may differ by its fault",
            ),
            Field(
                key="thermometer.absolute",
                label="Any reading, within",
                example="5 °C",
                help="how far all of them may be off, where nobody has checked it",
            ),
            Field(
                key="thermometer.offset",
                label="Add to every reading",
                example="4 K",
                help="from a check against ice, boiling water or another thermometer",
            ),
            Field(
                key="fahrenheit",
                label="It shows °F",
                entry=Entry.YES,
                help="answers then do too",
            ),
        ),
    ),
    Group(
        title="House rule",
        help="Nothing is heated past this ceiling here, nor past a label’s where that is lower. "
        "Locked, it stays until somebody unlocks it at the computer: partline bench NAME --unlock",
        fields=(
            Field(key="ceiling", label="Own ceiling, with °C or °F", example="175 °C"),
            Field(key="ceiling_locked", label="Lock it", entry=Entry.YES),
        ),
    ),
    Group(
        title="Name and room",
        fields=(
            Field(key="name", label="Name of this bench", entry=Entry.WORDS),
            Field(key="room", label="Room, with °C or °F", example="22 °C"),
        ),
    ),
)


#: Parts of a bench that every document has, though nothing be typed in them yet.
ALWAYS = ("vessel", "syringes", "block")
#: What is taken of an oven or a thermometer of which only some is known, each marked as a guess.
#: Common practice, no source; a thermometer as one that nobody has told of.
OVEN_SHARE = {
    "value": "40 %",
    "low": "30 %",
    "high": "50 %",
    "origin": "default",
    "source": "common practice, no source",
    "narrows": "one timed heat, read before and after",
}
THERMOMETER = {"emissivity": 0.95, "between_cups": "1 K", "absolute": "5 K"}


def bench_form(text: str) -> list[Json]:
    """Return a bench's document as groups of fields; "" for a new one."""
    return filled_groups(open_document(text), GROUPS)


def edited_bench(text: str, given: Mapping[str, Any]) -> str:
    """Return a bench's document with what was typed into the form, faults and all.

    Parameters
    ----------
    text : str
        The document before; "" for a new one.
    given : mapping
        What was typed, by the field's key. What is not in it stays as it is.
    """
    document = open_document(text)
    for group in GROUPS:
        write_fields(document, group.fields, given)
    for part in ALWAYS:
        document.setdefault(part, tomlkit.table())
    _guess_the_rest(document)
    return close_document(document)


def _guess_the_rest(document: tomlkit.TOMLDocument) -> None:
    """Complete an oven or a thermometer of which only some was typed, marked as guesses."""
    oven, thermometer = document.get("oven"), document.get("thermometer")
    if isinstance(oven, MutableMapping) and "power" in oven and "share" not in oven:
        oven["share"] = tomlkit.item(OVEN_SHARE)
    if not isinstance(thermometer, MutableMapping):
        return
    missing = [key for key in THERMOMETER if key not in thermometer]
    for key in missing:
        thermometer[key] = THERMOMETER[key]
    if missing:
        known = list(document.get("guesses", ()))
        document["guesses"] = known + [f"thermometer.{key}" for key in missing]


def save_bench(
    workshop: Workshop, given: object, *, document_id: str, based_on: int, note: str = ""
) -> Version:
    """Keep what was typed as the bench's next version, or as a new bench.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer version first.
    """
    fields = fields_given(given)
    return save_edited(
        workshop.benches,
        lambda text: edited_bench(text, fields),
        document_id=document_id,
        based_on=based_on,
        note=note,
        groups=GROUPS,
    )
