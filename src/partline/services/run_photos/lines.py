"""Printed photo cards: asked once for the line under a ruler, applied to every photo since."""

from __future__ import annotations

from partline.errors import InputError
from partline.quantities.estimate import Estimate
from partline.records.photo_cards import KeptCard
from partline.records.workshop import Workshop
from partline.services.photo_measure import ruled_line
from partline.services.workshop import now
from partline.studies.photo_card import RULED, marker_ids


def line_of(workshop: Workshop, number: int) -> Estimate | None:
    """Return how much larger a print is than meant; None where nobody measured it. [-]"""
    kept = workshop.photo_cards.newest(number)
    return None if kept is None else ruled_line(kept.entered)


def typed_line(workshop: Workshop, number: int | None) -> str:
    """Return a print's line as it was typed; empty where nobody measured it."""
    kept = None if number is None else workshop.photo_cards.newest(number)
    return "" if kept is None else kept.entered


def keep_line(workshop: Workshop, number: int, typed: str) -> KeptCard:
    """Keep the line of a print; what holds already is not kept again.

    Parameters
    ----------
    workshop : Workshop
        Open.
    number : int
        Of the print.
    typed : str
        Such as ``99.2 mm``.

    Raises
    ------
    InputError
        If it is no length, or none that the line can have.
    OutOfRange
        If no print has the number.
    """
    marker_ids(number)  # refuses a number that is none
    text = " ".join(typed.split())
    ruled = ruled_line(text)
    if ruled is None:
        raise InputError(
            "No length was given for the card’s line.",
            field="line",
            remedy="Lay a ruler along it and write what it reads, such as 99.2 mm.",
        )
    newest = workshop.photo_cards.newest(number)
    if newest is not None and newest.entered == text:
        return newest
    return workshop.photo_cards.add(number, entered=text, line=ruled.value * RULED, now=now())


def next_number(workshop: Workshop) -> int:
    """Return a number that no measured print has, for the next one."""
    known = [card.number for card in workshop.photo_cards.listed()]
    following = max(known, default=0) + 1
    try:
        marker_ids(following)
    except InputError:
        return 1
    return following
