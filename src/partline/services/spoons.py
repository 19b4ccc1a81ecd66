"""One level spoon of a powder on the scale: its spoons are then measured, not guessed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import tomlkit

from partline.errors import InputError, Invalid, OutOfRange
from partline.materials.shelf import Shelf
from partline.materials.supply import Additive, Flake
from partline.process.ingredients import TEASPOON
from partline.quantities.estimate import Estimate, Origin, propagate
from partline.quantities.units import Kind, to_si
from partline.records.documents import Version
from partline.records.exchange.amount import Span, as_typed, read_amount, write_estimate
from partline.records.exchange.edit import close_document, open_document
from partline.records.exchange.shelf import BULK
from partline.records.workshop import Workshop
from partline.services.workshop import SHELF, now

#: Spoons that are told apart; a bare "tsp" is not, and none is offered.
SPOONS = ("US tsp", "metric tsp", "US tbsp", "metric tbsp", "Australian tbsp")
MOST_SPOONS = 50
WEIGHED = Span(low=0.01, high=2000, unit="g")
#: How far one spoon levelled by hand may be off. Common practice, no source. [-]
LEVELLING = 0.08


def powders(shelf: Shelf) -> tuple[Flake | Additive, ...]:
    """Return what on the shelf can be spooned: flake, salt and other grains."""
    grains = [each for each in shelf.additives if each.bulk_density or each.grain is not None]
    return (*shelf.flakes, *grains)


def spoon_words(loose: Estimate | None) -> str:
    """Return what a level US teaspoon of a powder weighs, with its range and origin."""
    if loose is None:
        return "not known"
    value, low, high = (each * TEASPOON * 1e3 for each in (loose.value, loose.low, loose.high))
    times = f", n = {loose.count}" if loose.count else ""
    return f"{value:.2g} g a US tsp ({low:.2g}–{high:.2g}, {loose.origin}{times})"


def spoon_density(count: int, spoon: str, weighed: str) -> Estimate:
    """Return a powder's loose density from level spoons weighed together. [kg/m³]

    Parameters
    ----------
    count : int
        Level spoons, 1 to 50; more of them make it narrower.
    spoon : str
        One of `SPOONS`.
    weighed : str
        All of them together, as typed.

    Raises
    ------
    InputError
        If a field cannot be used, or the powder would be impossibly light or heavy.
    """
    if not 1 <= count <= MOST_SPOONS:
        raise OutOfRange(
            f"{count} spoons were weighed; it must be 1 to {MOST_SPOONS}.",
            low=1,
            high=MOST_SPOONS,
            field="count",
            given=str(count),
        )
    if spoon not in SPOONS:
        raise InputError(
            f"“{spoon[:40]}” is no spoon that is known here.",
            field="spoon",
            remedy=f"Choose one of: {', '.join(SPOONS)}.",
        )
    try:
        mass = as_typed(weighed, read_amount("Their weight", weighed, Kind.MASS, WEIGHED))
    except InputError as problem:
        problem.field = "weighed"
        raise
    volume = Estimate.within(
        count * to_si(f"1 {spoon}", Kind.VOLUME), LEVELLING / count**0.5, Origin.PRACTICE
    )
    spoons = f"1 level {spoon}" if count == 1 else f"{count} level {spoon}"
    found = propagate(lambda grams, room: grams / room, (mass, volume))
    low, high = BULK.si(Kind.DENSITY)
    if not low <= found.low <= found.high <= high:
        raise InputError(
            f"{spoons} weighing {weighed} would be {found.value / 1000:.2g} g in every mL; "
            f"a loose powder has {BULK.low:g} to {BULK.high:g}.",
            field="weighed",
            given=weighed,
            remedy="Was the cup's tare taken off, and is the count right?",
        )
    return replace(
        found,
        origin=Origin.MEASURED,
        source=f"{spoons} weighed {weighed}",
        narrows="more level spoons weighed together",
        count=count,
    )


def keep_spoon(workshop: Workshop, fields: Mapping[str, str], *, based_on: int) -> Version:
    """Keep a weighing in the shelf's document; all else in it stays word for word.

    Parameters
    ----------
    workshop : Workshop
        With a shelf.
    fields : mapping of str
        ``supply``, ``count``, ``spoon`` and ``weighed``, as typed.
    based_on : int
        Version of the shelf that the page was made from.

    Raises
    ------
    Invalid
        If a field cannot be used.
    EditedElsewhere
        If somebody saved the shelf meanwhile.
    NotFound
        If there is no shelf.
    """
    kept = workshop.shelves.named(SHELF)
    try:
        powder = _powder(kept.content, fields.get("supply", "").strip())
        density = spoon_density(
            _count(fields), fields.get("spoon", ""), fields.get("weighed", "").strip()
        )
    except InputError as problem:
        raise Invalid((problem,), what="This weighing") from None
    text = with_bulk_density(kept.version.text, powder.name, density)
    return workshop.shelves.save(
        kept.version.document_id,
        text,
        based_on=based_on,
        now=now(),
        note=f"weighed a spoon of {powder.name}",
    ).version


def with_bulk_density(text: str, name: str, density: Estimate) -> str:
    """Return a shelf's text with a powder's loose density in it, comments and order kept."""
    document = open_document(text)
    for kind in ("flake", "additive"):
        for table in document.get(kind, []):
            if str(table.get("name", "")).strip() == name:
                rounded = density.map(lambda rho: round(rho, 1))
                written = write_estimate(rounded, "g/mL", Kind.DENSITY)
                line = tomlkit.inline_table()
                line.update(written if isinstance(written, dict) else {"value": written})
                table["bulk_density"] = line
    return close_document(document)


def _powder(shelf: Shelf, name: str) -> Flake | Additive:
    for each in powders(shelf):
        if each.name.casefold() == name.casefold():
            return each
    message = f"“{name[:60]}” is no powder on the shelf."
    raise InputError(message, field="supply", given=name[:60], remedy="Choose one.")


def _count(fields: Mapping[str, str]) -> int:
    text = fields.get("count", "").strip()
    if text.isascii() and text.isdigit() and len(text) < 6:
        return int(text)
    raise InputError(
        f"“{text[:40]}” is no number of spoons.",
        field="count",
        remedy="Write a whole number, such as 1.",
    )
