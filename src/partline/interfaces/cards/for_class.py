"""Paper for a class: every group's card in one print, rules for the wall, baits to diagnose."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime
from importlib.resources import files
from io import BytesIO
from typing import Any

from partline.interfaces.cards.compose import card_of
from partline.interfaces.cards.paper import Paper
from partline.interfaces.figures.spoiled import belly_cut, outside, sprue_cut
from partline.process.bench import Bench
from partline.services.classes import bench_rules, compared, exercise
from partline.services.classes.groups import ClassCard
from partline.studies.diagnosis import LOOKS, Source
from partline.studies.exercise import SpoiledBait, spoiled_baits

#: Looks that are told in words on paper; the others are drawn.
TOLD = (Source.SHOTS, Source.DAYS)


def cards_of_class(
    cards: Sequence[ClassCard], *, link: Callable[[str], str], paper: Paper, printed: date
) -> bytes:
    """Print the cards of all groups, one after the other.

    Parameters
    ----------
    cards : sequence of ClassCard
        At least one.
    link : callable
        Address behind a card's QR, from its plan's code.
    paper : Paper
        A4 or Letter.
    printed : date
        Day on the cards.

    Returns
    -------
    bytes
        PDF.
    """
    from pypdf import PdfWriter

    every = PdfWriter()
    for card in cards:
        pdf = card_of(
            card.material, code=card.plan.code, link=link(card.plan.code), paper=paper,
            printed=printed, group=f"{card.group} of {card.of}",
        )  # fmt: skip
        every.append(BytesIO(pdf))
    out = BytesIO()
    every.write(out)
    return out.getvalue()


def wall_rules(bench: Bench, *, paper: Paper, printed: date) -> bytes:
    """Print the rules of a bench for the wall, one page.

    Parameters
    ----------
    bench : Bench
        Whose ceiling stands on it.
    paper : Paper
        A4 or Letter; it enlarges to A3 and Tabloid without loss.
    printed : date
        Day on the page.

    Returns
    -------
    bytes
        PDF.
    """
    return _set("wall.typ", bench_rules(bench), paper, printed)


def exercise_sheet(number: int, *, paper: Paper, printed: date) -> bytes:
    """Print three spoiled baits to diagnose, and their answers on a second page.

    Parameters
    ----------
    number : int
        Of the exercise; the same number gives the same baits.
    paper : Paper
        A4 or Letter.
    printed : date
        Day on the page.

    Returns
    -------
    bytes
        PDF of two pages.

    Raises
    ------
    OutOfRange
        If the number is below 0.
    """
    asked = exercise(number)
    baits = spoiled_baits(number, len(asked["baits"]))
    data = {
        "number": number,
        "causes": asked["causes"],
        "baits": [
            each | {"pictures": _pictures(bait), "others": _others(bait)}
            for each, bait in zip(asked["baits"], baits, strict=True)
        ],
        "answers": compared(number, {}),
    }
    return _set("exercise.typ", data, paper, printed)


def _pictures(bait: SpoiledBait) -> dict[str, dict[str, str]]:
    drawn = {
        "outside": outside(bait), "sprue": sprue_cut(bait), "belly": belly_cut(bait),
        "grey": belly_cut(bait, grey=True),
    }  # fmt: skip
    return {name: {"svg": each.svg, "words": each.words} for name, each in drawn.items()}


def _others(bait: SpoiledBait) -> list[str]:
    return [
        f"{look.question} {'Yes' if bait.seen[key] else 'No'}."
        for key, look in LOOKS.items()
        if look.source in TOLD
    ]


def _set(template: str, data: Mapping[str, Any], paper: Paper, printed: date) -> bytes:
    import typst

    words = {**data, "paper": paper.typst_name, "printed": printed.isoformat()}
    return typst.compile(
        files("partline.interfaces.cards").joinpath(template).read_bytes(),
        ignore_system_fonts=True,
        sys_inputs={"card": json.dumps(words, ensure_ascii=False)},
        timestamp=datetime(printed.year, printed.month, printed.day, tzinfo=UTC),
    )
