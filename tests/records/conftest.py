"""A workshop in a temporary folder, empty or with the demo's files in it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from partline.process.run import Event, Kind
from partline.records.plans import KeptPlan
from partline.records.runs import KeptRun
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


def told(number: int, kind: Kind = Kind.NOTE, cup: str | None = None, **data: object) -> Event:
    """Return an event that a device tells, so many seconds after the run began."""
    at = NOW + timedelta(seconds=number)
    return Event(id=f"TAP{number:013d}", kind=kind, cup=cup, at=at, data=data)


@pytest.fixture
def run(workshop: Workshop, plan: KeptPlan) -> KeptRun:
    """A run of the plan with a reading that was put right."""
    begun = workshop.runs.begin(plan.code, now=NOW, program="0.1.0", device="phone")
    events = [
        told(40, Kind.READING, "A", entered="174", unit="C", celsius=174.0),
        told(50, Kind.CORRECTION, of=f"TAP{40:013d}", data={"celsius": 173.0}),
    ]
    workshop.runs.add(begun.code, events, device="phone", now=NOW)
    return begun
