"""A run card from what the services hand over."""

from __future__ import annotations

from datetime import date

from partline.errors import InputError
from partline.interfaces.cards.paper import Paper
from partline.interfaces.cards.run_card import run_card
from partline.interfaces.figures import bait_png
from partline.services.runcard import CardMaterial


def paper_named(name: str) -> Paper:
    """Return a sheet by its name, whatever its capitals.

    Raises
    ------
    InputError
        If it is neither of the two.
    """
    try:
        return Paper(name.strip().lower())
    except ValueError:
        raise InputError(
            f"“{name[:40]}” is no paper size.",
            field="paper",
            given=name[:40],
            remedy="Write a4 or letter.",
        ) from None


def card_of(
    material: CardMaterial,
    *,
    code: str,
    link: str,
    paper: Paper,
    printed: date,
    group: str = "",
) -> bytes:
    """Print a run card.

    Parameters
    ----------
    material : CardMaterial
        From `partline.services.runcard`.
    code, link : str
        As `run_card`.
    paper : Paper
        A4 or Letter.
    printed : date
        Day on the card.
    group : str
        Of a class, such as ``3 of 8``; empty outside one.

    Returns
    -------
    bytes
        PDF.
    """
    pictures = {view.value: bait_png(srgb, enlarged=2) for view, srgb in material.pictures.items()}
    return run_card(
        material.plan,
        material.look,
        pictures,
        heat=material.heat,
        code=code,
        link=link,
        paper=paper,
        printed=printed,
        group=group,
    )
