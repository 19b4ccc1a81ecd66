"""What one bait weighs or holds, from what a kitchen scale and a cup of water say."""

from __future__ import annotations

import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from partline.errors import InputError, Invalid
from partline.quantities.estimate import Estimate, propagate
from partline.quantities.units import Kind
from partline.records.exchange.amount import Span, plain
from partline.records.exchange.table import Table
from partline.services.forms import (
    Field,
    Group,
    Json,
    fields_given,
    in_form_words,
    text_of,
)

SHOT = Span(low=0.1, high=20_000, unit="g")
SPRUE = Span(low=0, high=5000, unit="g")
WATER = Span(low=0.1, high=20_000, unit="mL")
MOST_BAITS = 500
#: The labels of the form, which its refusals speak.
WEIGHED = Group(
    title="Work one bait out",
    fields=(
        Field(key="shot", label="Whole shot"),
        Field(key="sprue", label="Sprue and runner alone"),
        Field(key="water", label="Water risen by"),
        Field(key="baits", label="Baits in it"),
    ),
)


def bait_from_shot(shot: Estimate, sprue: Estimate, cavities: int) -> Estimate:
    """Return the mass of one bait from one whole shot. [kg]

    Parameters
    ----------
    shot, sprue : Estimate
        All that came out of the mould, sprue and runner included; sprue and runner alone. [kg]
    cavities : int
        Baits in it.

    Raises
    ------
    InputError
        If the sprue is as heavy as the whole shot.
    """
    if sprue.value >= shot.value:
        raise InputError(
            f"The sprue alone weighs {sprue.value * 1e3:.4g} g, the whole shot "
            f"{shot.value * 1e3:.4g} g: nothing is left for the baits.",
            field="sprue",
            remedy="Weigh all of the shot first, then its sprue and runner alone.",
        )
    return propagate(
        lambda whole, waste: (whole - waste) / cavities,
        (shot, sprue),
        source="(whole shot less sprue and runner) by cavities",
    )


def bait_from_water(risen: Estimate, baits: int) -> Estimate:
    """Return the volume of one bait from the water that several displaced. [m³]

    Parameters
    ----------
    risen : Estimate
        All of them together. [m³]
    baits : int
        How many.
    """
    return risen.map(lambda volume: volume / baits)


def weigh_bait(given: object) -> Json:
    """Return what to write into a mould's form, from what was weighed or displaced.

    Parameters
    ----------
    given : mapping
        ``how``: ``shot`` with ``shot``, ``sprue`` and ``cavities``, or ``water`` with ``water``
        and ``baits``; each as typed.

    Raises
    ------
    Invalid
        With every fault and the field it stands in.
    """
    fields = fields_given(given)
    answer = _from_water(fields) if fields.get("how") == "water" else _from_shot(fields)
    return {"fields": answer}


def _from_shot(fields: Mapping[str, Any]) -> dict[str, str]:
    table = _table(fields, ("shot", "sprue"), "cavities")
    shot = table.estimate("shot", Kind.MASS, SHOT)
    sprue = table.estimate("sprue", Kind.MASS, SPRUE)
    cavities = table.count("cavities", 1, MOST_BAITS)
    _finish(table)
    try:
        bait = bait_from_shot(shot, sprue, cavities)
    except InputError as refusal:
        raise Invalid((refusal,), what="This weighing") from None
    return {
        "bait_mass": with_doubt(bait, 1e3, "g", cavities),
        "bait_volume": "",
        "sprue_mass": str(fields["sprue"]).strip(),
        "cavities": str(cavities),
    }


def _from_water(fields: Mapping[str, Any]) -> dict[str, str]:
    table = _table(fields, ("water",), "baits")
    risen = table.estimate("water", Kind.VOLUME, WATER)
    baits = table.count("baits", 1, MOST_BAITS)
    _finish(table)
    bait = bait_from_water(risen, baits)
    return {"bait_volume": with_doubt(bait, 1e6, "mL", baits), "bait_mass": ""}


def _table(fields: Mapping[str, Any], amounts: tuple[str, ...], count: str) -> Table:
    """Return what was typed as a table of a document; blanks left out, the count a number."""
    raw: dict[str, object] = {}
    for key in (*amounts, count):
        text = (text_of(fields, key) or "").strip()
        if text:
            raw[key] = int(text) if key == count and _is_whole(text) else text
    return Table(raw)


def _is_whole(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 10


def _finish(table: Table) -> None:
    try:
        table.finish("This weighing")
    except Invalid as refusal:
        raise in_form_words(refusal, groups=(WEIGHED,)) from None


def with_doubt(known: Estimate, size: float, unit: str, count: int) -> str:
    """Return an estimate as a maker would type it, such as ``11.8 g ± 0.02 g, n = 4``.

    Parameters
    ----------
    known : Estimate
        [SI]
    size : float
        Number of `unit` in the SI unit.
    unit : str
        To write it in.
    count : int
        Baits behind it.
    """
    value = known.value * size
    off = max(known.high - known.value, known.value - known.low) * size
    if off <= 0:
        return f"{value:.6g} {unit}"
    # As many digits as the doubt gives meaning to. The doubt is rounded up, and takes in what
    # rounding the value costs: never more sure than the scale was.
    digits = min(max(1 - math.floor(math.log10(off)), 0), 6)
    step = 10.0**-digits
    shown = round(value, digits)
    doubt = math.ceil((off + abs(shown - value)) / step - 1e-9) * step
    middle, off_by = (plain(Decimal(f"{part:.{digits}f}")) for part in (shown, doubt))
    return f"{middle} ± {off_by} {unit}, n = {count}"
