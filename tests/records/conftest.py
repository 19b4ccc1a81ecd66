"""A workshop in a temporary folder, empty or with the demo's files in it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from partline.records.plans import KeptPlan
from partline.records.workshop import Workshop, open_workshop

NOW = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
SHED = Path(__file__).parents[2] / "examples" / "vessary-shed"


@pytest.fixture
def now() -> datetime:
    """One moment."""
    return NOW


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    """An empty workshop."""
    with open_workshop(tmp_path / "shed", now=NOW) as opened:
        yield opened


@pytest.fixture
def recipe_text() -> str:
    """The demo's first recipe."""
    return (SHED / "recipes" / "peat-over-chalk-1.toml").read_text("utf-8")


def fill(workshop: Workshop) -> KeptPlan:
    """Load the demo's files and keep one plan made from them."""
    recipes = [
        workshop.recipes.keep(path.read_text("utf-8"), now=NOW, note=path.name)
        for path in sorted((SHED / "recipes").glob("*.toml"))
    ]
    moulds = [
        workshop.moulds.keep(path.read_text("utf-8"), now=NOW)
        for path in sorted((SHED / "moulds").glob("*.toml"))
    ]
    bench = workshop.benches.keep((SHED / "bench.toml").read_text("utf-8"), now=NOW)
    shelf = workshop.shelves.keep(
        (SHED / "shelf.toml").read_text("utf-8"), now=NOW, name="Vessary Shed"
    )
    return workshop.plans.add(
        recipe=recipes[1].version,
        mould=moulds[1].version,
        bench=bench.version,
        shelf=shelf.version,
        count=40,
        inputs={"paper": "A4", "reject_share": 0.07},
        answer={
            "cup_a_g": 297.9,
            "melts": [162.1, 135.8],
            "words": "½ “quoted” <b>",
            "none": None,
        },
        program="0.1.0",
        now=NOW,
    )


@pytest.fixture
def plan(workshop: Workshop) -> KeptPlan:
    """A plan in a filled workshop."""
    return fill(workshop)
