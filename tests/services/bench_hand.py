"""A hand at the bench: taps events of a run at moments of its own choosing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from partline.records.workshop import Workshop
from partline.services import runs
from partline.services.runcard import keep_plan
from partline.services.workshop import load_demo, open_at

START = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
Json = dict[str, Any]


@dataclass
class Hand:
    """One person, one clock."""

    workshop: Workshop
    code: str
    clock: list[datetime]
    count: int = 0
    taps: list[Json] = field(default_factory=list)

    @property
    def state(self) -> Json:
        return runs.state(self.workshop, self.code)

    def wait(self, seconds: float) -> None:
        self.clock[0] += timedelta(seconds=seconds)

    def event(self, kind: str, cup: str | None = None, **data: Any) -> Json:
        self.count += 1
        at = self.clock[0].isoformat(timespec="milliseconds").replace("+00:00", "Z")
        return {"id": f"TAP{self.count:017d}", "kind": kind, "cup": cup, "at": at, "data": data}

    def tap(self, kind: str, cup: str | None = None, **data: Any) -> Json:
        """Tap and return the state after it."""
        event = self.event(kind, cup, **data)
        self.taps.append(event)
        answer = runs.record(self.workshop, self.code, [event], device="phone")
        assert answer["problems"] == []
        state: Json = answer["state"]  # type: ignore[assignment]
        return state

    def read(self, cup: str, celsius: float) -> Json:
        return self.tap("reading", cup, entered=f"{celsius:g}", unit="C", celsius=celsius)

    def press(self, label: str) -> Json:
        """Press one of the large controls, or answer a question."""
        state = self.state
        offered = state["screen"]["controls"] + state["quick"]
        offered += [choice for asked in state["questions"] for choice in asked["choices"]]
        for each in offered:
            if each["label"].startswith(label) and "event" in each:
                told = each["event"]
                return self.tap(told["kind"], told["cup"], **told["data"])
        raise AssertionError(f"no “{label}” among {[each['label'] for each in offered]}")

    def set_up(self) -> Json:
        self.tap("set_up", missing=[])
        for _ in self.state["cups"]:
            self.press("Weighed")
        return self.state

    def heat_to(self, a: float, b: float) -> Json:
        """Both cups once in the oven, stirred, coloured and read."""
        self.tap("burst", seconds=180)
        self.wait(185)
        self.tap("stir")
        self.tap("add", "A", supply="Peat", grams=0.44)
        self.tap("add", "B", supply="Chalk", grams=0.27)
        self.read("A", a)
        return self.read("B", b)


@contextmanager
def at_the_bench(
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    *,
    moulds: int = 4,
    version: int = 3,
    good: int = 40,
) -> Iterator[Hand]:
    """Begin a run of the demo's plan, for 40 baits or as many as are told."""
    clock = [START]
    monkeypatch.setattr(runs, "now", lambda: clock[0])
    with open_at(folder / "shed") as workshop:
        load_demo(workshop)
        recipe = workshop.recipes.named("peat-over-chalk").version
        mould = workshop.moulds.named("reed-130").version
        (bench,) = workshop.benches.listed()
        plan = keep_plan(
            workshop, recipe_id=recipe.document_id, recipe_version=version,
            mould_id=mould.document_id, bench_id=bench.document_id, good=good,
        )  # fmt: skip
        yield Hand(workshop, runs.begin(workshop, plan.code, moulds=moulds), clock)
