"""What was read off a chip of a bottle, in a document: a colour patch and a hiding."""

from __future__ import annotations

import re
from decimal import Decimal

from partline.errors import InputError, OutOfRange
from partline.materials.chip import Chip, HidingReading, PatchReading
from partline.process.recipe import Measure
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, plain, shown, write_amount, write_number
from partline.records.exchange.recipe import read_loading
from partline.records.exchange.table import Table

THICKNESS = Span(low=0.2, high=20, unit="mm", why="Chips are 0.5 to 6 mm thick.")
HIDING = Span(low=0, high=1, why="0 hides nothing of the card, 1 all of it.")
LIGHTNESS = Span(low=0, high=100, why="L* of white is 100.")
HUE = Span(low=-128, high=128, why="a* and b* lie in -128 to 128.")
#: Loadings of a chip that a reading says something for. [drops], [g]
DROPS = Span(low=0.1, high=500, unit="drops")
GRAMS = Span(low=0.001, high=20, unit="g")
_COLOUR = re.compile(r"#?(?P<digits>[0-9a-fA-F]{6}|[0-9a-fA-F]{3})")


def read_patch(table: Table) -> PatchReading | None:
    """Return a supply's colour patch: ``"#7a5a2b"``, or a table with what was looked at."""
    if "patch" not in table:
        return None
    if not table.holds_table("patch"):
        srgb = _srgb(table, "patch")
        return None if srgb is None else PatchReading(srgb=srgb)
    patch = table.table("patch")
    chip = _chip(patch)
    if "lab" in patch:
        if "colour" in patch:
            message = "The patch has both a colour and lab."
            patch.refuse("lab", message, "Keep one of them.")
        lab = read_lab(patch, "lab")
        return None if lab is None else PatchReading(lab=lab, chip=chip)
    srgb = _srgb(patch, "colour")
    return None if srgb is None else PatchReading(srgb=srgb, chip=chip)


def _srgb(table: Table, key: str) -> tuple[int, int, int] | None:
    text = table.text(key)
    if not text:
        return None
    with table.collecting(key):
        return screen_colour(text, table.label(key))
    return None


def screen_colour(text: str, label: str = "The colour") -> tuple[int, int, int]:
    """Return a colour such as ``#7a5a2b`` as three numbers from 0 to 255.

    Raises
    ------
    InputError
        If it is no such colour.

    Examples
    --------
    >>> screen_colour("#7a5a2b")
    (122, 90, 43)
    """
    found = _COLOUR.fullmatch(text.strip())
    if found is None:
        message = f"{label} is {shown(text)}; a colour is # and six of 0-9 and a-f."
        raise InputError(message, given=text, remedy="Write it as in: #7a5a2b")
    digits = found["digits"]
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    red, green, blue = (int(digits[place : place + 2], 16) for place in (0, 2, 4))
    return red, green, blue


def read_lab(table: Table, key: str) -> tuple[float, float, float] | None:
    """Return a colour in CIELAB under a key; None where it cannot be read."""
    values = table.items(key)
    if len(values) != 3:
        numbers = "1 number" if len(values) == 1 else f"{len(values)} numbers"
        message = f"{table.label(key)} has {numbers}; a colour has three: L*, a* and b*."
        table.refuse(key, message, f"Write it as in: {key} = [40, 12, 25]")
        return None
    with table.collecting(key):
        spans = (("L*", LIGHTNESS), ("a*", HUE), ("b*", HUE))
        lightness, red, yellow = (
            span.number(name, _number(name, value))
            for (name, span), value in zip(spans, values, strict=True)
        )
        return lightness, red, yellow
    return None


def _number(name: str, value: object) -> Decimal | int:
    if isinstance(value, (int, Decimal)) and not isinstance(value, bool):
        return value
    message = f"{name} is {shown(value)}; it must be a number."
    raise InputError(message, given=shown(value), remedy="Write it without quotes.")


def read_hiding(table: Table) -> HidingReading | None:
    """Return a supply's hiding reading: ``0.60``, or a table with what was looked through."""
    if "hiding" not in table:
        return None
    if not table.holds_table("hiding"):
        return HidingReading(value=table.amount("hiding", Kind.NUMBER, HIDING))
    hiding = table.table("hiding")
    hiding.title = table.label("hiding")
    value = hiding.amount("value", Kind.NUMBER, HIDING)
    return HidingReading(value=value, chip=_chip(hiding))


def _chip(table: Table) -> Chip:
    drops = share = thickness = None
    if "loading" in table and (entered := table.text("loading")):
        with table.collecting("loading"):
            amount, measure = chip_loading(entered)
            drops, share = (amount, None) if measure is Measure.DROPS else (None, amount / 100)
    if "thickness" in table:
        thickness = table.amount("thickness", Kind.LENGTH, THICKNESS)
    return Chip(drops=drops, share=share, thickness=thickness)


def chip_loading(text: str) -> tuple[float, Measure]:
    """Return the loading of a chip in every 100 g, and what it counts.

    Raises
    ------
    InputError
        If it cannot be read.
    OutOfRange
        If it is too little to be seen or too much to be poured.
    """
    amount, measure = read_loading(text, "Loading of the chip")
    span = DROPS if measure is Measure.DROPS else GRAMS
    if not span.low <= amount <= span.high:
        raise OutOfRange(
            f"The loading of the chip is {shown(text)}; it must lie in {span.low:g} to "
            f"{span.high:g} {span.unit} in every 100 g.",
            low=span.low,
            high=span.high,
            given=text,
            remedy="A chip with no colour in it says nothing of the bottle.",
        )
    return amount, measure


def write_patch(patch: PatchReading) -> object:
    """Return a colour patch for TOML, in its short form where that says everything."""
    chip = _chip_document(patch.chip)
    if patch.lab is not None:
        return {"lab": [write_number(value) for value in patch.lab]} | chip
    colour = "#{:02x}{:02x}{:02x}".format(*(patch.srgb or (0, 0, 0)))
    return {"colour": colour} | chip if chip else colour


def write_hiding(hiding: HidingReading) -> object:
    """Return a hiding reading for TOML, in its short form where that says everything."""
    chip = _chip_document(hiding.chip)
    value = write_number(hiding.value)
    return {"value": value} | chip if chip else value


def loading_words(chip: Chip) -> str:
    """Return a chip's loading as it is written, such as ``3 drops``; "" where nobody noted it."""
    if chip.drops is not None:
        unit = "drop" if chip.drops == 1 else "drops"
        return f"{plain(Decimal(repr(float(chip.drops))))} {unit}"
    if chip.share is not None:
        return f"{plain(Decimal(repr(chip.share)) * 100)} g"
    return ""


def _chip_document(chip: Chip) -> dict[str, object]:
    document: dict[str, object] = {}
    if words := loading_words(chip):
        document["loading"] = words
    if chip.thickness is not None:
        document["thickness"] = write_amount(chip.thickness, "mm", Kind.LENGTH)
    return document
