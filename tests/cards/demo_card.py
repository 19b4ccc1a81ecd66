"""The demo's cards for the tests, and the text that stands in ``tests/golden``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

from pypdf import PdfReader

from partline.interfaces.cards import Paper, run_card
from partline.interfaces.figures import bait_png
from partline.process.rendering import VIEWS, Backdrop
from partline.records.exchange import (
    read_bench,
    read_file,
    read_mould,
    read_recipe,
    read_shelf,
)
from partline.services.look import draw_pictures, look_as_json, preview_look
from partline.services.plan import plan_as_json, plan_pour

ROOT = Path(__file__).parents[2]
SHED = ROOT / "examples" / "vessary-shed"
LESSONS = ROOT / "examples" / "lessons"
GOLDEN = ROOT / "tests" / "golden" / "run-card.txt"

#: The demo's label, grade soft.
HEAT = {"band_low": 150.0, "band_high": 165.0, "target": 175.0, "ceiling": 185.0}
PRINTED = date(2026, 3, 14)
CODE = "R0314-A1"
LINK = "http://127.0.0.1:8000/plans/1"
Json = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What a card is made of."""

    plan: Json
    look: Json
    pictures: Mapping[str, bytes]

    def with_plan(self, plan: Json) -> Material:
        return Material(plan=plan, look=self.look, pictures=self.pictures)

    def with_look(self, look: Json) -> Material:
        return Material(plan=self.plan, look=look, pictures=self.pictures)


@cache
def material(recipe: str, good: int = 40) -> Material:
    """The demo bench's plan for a recipe, by its file under ``examples``."""
    path = ROOT / "examples" / recipe
    shelf = read_shelf(read_file((LESSONS if path.parent == LESSONS else SHED) / "shelf.toml"))
    poured = read_recipe(read_file(path))
    mould = read_mould(read_file(SHED / "moulds" / "reed-130.toml"))
    bench = read_bench(read_file(SHED / "bench.toml"))
    plan = plan_as_json(plan_pour(poured, mould, bench, shelf, good=good))
    look = look_as_json(preview_look(poured, mould, shelf))
    drawn: Any = draw_pictures(poured, mould, shelf)
    return Material(
        plan=json.loads(json.dumps(plan)),
        look=json.loads(json.dumps(look)),
        pictures={view.value: bait_png(drawn[view, Backdrop.PALE]) for view in VIEWS},
    )


def print_card(
    made: Material, paper: Paper = Paper.A4, *, code: str = CODE, link: str = LINK
) -> bytes:
    """Print a card as the demo does."""
    return run_card(
        made.plan,
        made.look,
        made.pictures,
        heat=HEAT,
        code=code,
        link=link,
        paper=paper,
        printed=PRINTED,
    )


def pages_of(pdf: bytes) -> list[str]:
    """Each page's text, runs of blanks made one, the breaks in long words taken out."""
    pages = PdfReader(BytesIO(pdf)).pages
    return [" ".join(page.extract_text().replace("\u200b", "").split()) for page in pages]


def demo_card_text() -> str:
    """Words of the demo's A4 card, a line each as it stands on paper."""
    made = material("vessary-shed/recipes/peat-over-chalk-3.toml")
    pages = PdfReader(BytesIO(print_card(made))).pages
    lines = [" ".join(line.split()) for page in pages for line in page.extract_text().splitlines()]
    return "\n".join(line for line in lines if line) + "\n"
