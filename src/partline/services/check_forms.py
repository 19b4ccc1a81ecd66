"""The forms that checks of a bench and of a grade are typed into."""

from __future__ import annotations

from typing import Any

from partline.records.documents import Version
from partline.records.exchange.edit import Entry
from partline.records.workshop import Workshop
from partline.services.forms import Field, Group, fields_given, filled, save_edited, text_of
from partline.services.grade_checks import CARE, check_grade, keep_grade
from partline.services.instruments import CARES, check_instrument, keep_checked
from partline.services.workshop import SHELF

Json = dict[str, Any]


def _field(key: str, label: str, example: str, words: str = "") -> Field:
    return Field(key=key, label=label, entry=Entry.WORDS, example=example, help=words)


INSTRUMENTS: dict[str, Group] = {
    "thermometer": Group(
        title="Thermometer",
        help="Read ice in stirred water, rolling water, or the same place as another thermometer, "
        "five times. Infrared: straight down onto stirred ice water, from a hand’s breadth; steam "
        "makes it read wrong and scalds the hand, so read boiling water with a probe.",
        fields=(
            _field("readings", "It reads", "95.9, 95.6, 96.2 °C",
                   "with a comma and a blank between"),
            _field("against", "Against", "boiling", "boiling, ice, or the other one’s readings"),
            _field("height", "Height above the sea", "300 m", "for boiling water"),
            _field("pressure", "or air pressure there, hPa", "985", "not reduced to the sea"),
            _field("doubt", "The other one is good to", "1 K"),
        ),
    ),
    "scale": Group(
        title="Scale",
        help="Put a weight that you know on it, off, and on again. A calibration weight tells; a "
        "measured 100 mL of water is good to some 3 % only.",
        fields=(
            _field("readings", "It shows", "99.3, 99.4 g", "with a comma and a blank between"),
            _field("known", "The weight is", "100 g"),
            _field("doubt", "It is good to", "0.05 g"),
            _field("step", "The scale shows steps of", "0.1 g"),
        ),
    ),
    "oven": Group(
        title="Oven",
        help="A litre of water near 10 °C in a glass vessel, full power until it is near 20 °C; "
        "stir, then read.",
        fields=(
            _field("water", "Water", "1000 g"),
            _field("vessel", "Glass vessel", "450 g"),
            _field("before", "Stirred, before", "10.2 °C"),
            _field("after", "Stirred, after", "20.1 °C"),
            _field("time", "At full power for", "50 s"),
        ),
    ),
}  # fmt: skip
GRADES: dict[str, Group] = {
    "yellowing": Group(
        title="How fast it yellows",
        help="Two chips of the plain plastic, one as poured and one kept hot for a time that you "
        "noted, side by side over white. b* is how yellow a colour is in "
        "CIELAB: read both with an instrument, or off one photo of both.",
        fields=(
            _field("fresh", "b* of the fresh chip", "4.0"),
            _field("heated", "b* of the heated chip", "10.5"),
            _field("thickness", "Both are this thick", "4 mm"),
            _field("temperature", "Kept at", "175 °C"),
            _field("time", "For how long", "30 min"),
        ),
    ),
    "viscosity": Group(
        title="How thick it runs hot",
        help="Let the plain melt run out of a warm metal cup of upright walls through a tube "
        "whose bore you know, into a metal cup. Heights are over the lower end of the tube.",
        fields=(
            _field("volume", "Ran out", "50 mL"),
            _field("time", "In a time of", "40 s"),
            _field("bore", "Bore of the tube", "8 mm"),
            _field("length", "Its length", "40 mm"),
            _field("head_before", "Surface before", "100 mm"),
            _field("head_after", "Surface after", "75 mm"),
            _field("temperature", "Melt at", "172 °C"),
        ),
    ),
}


def instrument_forms() -> list[Json]:
    """Return the forms of a bench's checks, for its page."""
    return [_form(kind, group, CARES[kind]) for kind, group in INSTRUMENTS.items()]


def grade_forms() -> list[Json]:
    """Return the forms of a grade's checks, for its page."""
    return [_form(kind, group, CARE) for kind, group in GRADES.items()]


def _form(kind: str, group: Group, care: str) -> Json:
    fields = [each | {"key": f"{kind}-{each['key']}", "path": each["key"]} for each in
              filled({}, group.fields)]  # fmt: skip
    return {"kind": kind, "title": group.title, "help": group.help, "care": care,
            "fields": fields}  # fmt: skip


def try_instrument(workshop: Workshop, document_id: str, kind: str, given: object) -> Json:
    """Return what a check of a bench's instrument says, without keeping it.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    NotFound
        If there is no such bench.
    """
    return check_instrument(
        workshop.benches.get(document_id).version.text, kind, _texts(given)
    ).told


def save_instrument(
    workshop: Workshop, document_id: str, kind: str, given: object, *, based_on: int
) -> Version:
    """Keep what a check of a bench's instrument says, as the bench's next version.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer version first.
    """
    typed = _texts(given)
    return save_edited(
        workshop.benches, lambda text: keep_checked(text, check_instrument(text, kind, typed)),
        document_id=document_id, based_on=based_on, note=f"{kind} checked",
    )  # fmt: skip


def try_grade(workshop: Workshop, name: str, kind: str, given: object) -> Json:
    """Return what a check of a grade says, without keeping it.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    NotFound
        If there is no such grade.
    """
    shelf = workshop.shelves.named(SHELF).version
    return check_grade(shelf.text, name, kind, _texts(given)).told


def save_grade(
    workshop: Workshop, name: str, kind: str, given: object, *, based_on: int
) -> Version:
    """Keep what a check of a grade says, as the shelf's next version.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    EditedElsewhere
        If somebody saved a newer version first.
    """
    typed, shelf = _texts(given), workshop.shelves.named(SHELF).version
    return save_edited(
        workshop.shelves,
        lambda text: keep_grade(text, name, check_grade(text, name, kind, typed)),
        document_id=shelf.document_id, based_on=based_on, note=f"{name}: {kind} checked",
    )  # fmt: skip


def _texts(given: object) -> dict[str, str]:
    fields = fields_given(given)
    return {key: text_of(fields, key) or "" for key in fields}
