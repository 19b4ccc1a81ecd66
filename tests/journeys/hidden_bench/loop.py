"""Eight runs of a hidden bench through the real record, its maker doing what the tool says."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.recipe import Half, Loading, Measure, Recipe, Side
from partline.records.workshop import Workshop
from partline.services import runcard, runs, verdicts
from partline.services.runcard import keep_plan
from partline.services.runs.standing import followed
from partline.services.runs.wire import read_event
from partline.services.verdicts import run_verdict, take_change
from partline.services.workshop import load_demo, open_at
from partline.studies.diagnosis import ANSWERS, Action, Cause
from tests.journeys.hidden_bench.bench_day import pour_day
from tests.journeys.hidden_bench.eye import Eye
from tests.journeys.hidden_bench.light import Seen, seen
from tests.journeys.hidden_bench.outcome import GOOD_RUN, Baits, poured
from tests.journeys.hidden_bench.truth import (
    Fault,
    Habits,
    Truth,
    draw_faults,
    draw_truth,
    first_habits,
)

Json = dict[str, Any]
BEGUN = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
#: From one run to the next, so that a week can pass. [d]
EVERY = 9.0
#: Looks that a maker takes at most.
PATIENCE = 12
GOOD = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class RunTold:
    """One run: what came of it, and what the tool said."""

    good: int
    moulded: int
    main: Cause | None
    mains: tuple[Cause, ...]
    present: tuple[Cause, ...]
    told: Cause | None = None
    likeliest: Cause | None = None
    action: Action | None = None
    share: float = 0.0
    looks: int = 0
    day: float = 0.0

    @property
    def is_good(self) -> bool:
        """Whether the run counts as a good one."""
        return self.good >= GOOD_RUN * self.moulded

    @property
    def is_cause_right(self) -> bool:
        """Whether the main cause was told."""
        return self.told is not None and self.told is self.main

    @property
    def is_right(self) -> bool:
        """Whether the main cause was told, or what answers it is the action that was told.

        Where causes spoil as many baits, all but a tenth, any of them is the main one.
        """
        if self.told is not None and self.told in self.mains:
            return True
        return self.action in {ANSWERS[cause] for cause in self.mains}


@dataclass
class BenchTold:
    """A bench after its runs."""

    seed: int
    faults: tuple[Fault, ...]
    runs: list[RunTold] = field(default_factory=list)
    known: Json = field(default_factory=dict)
    known_each: list[Json] = field(default_factory=list)
    scores: Json = field(default_factory=dict)
    truth: Truth | None = None


def recipe_text(habits: Habits, name: str = "hidden") -> str:
    """Return the recipe of a maker's habits as a document."""
    told = [f'name = "{name}"', "version = 1"]
    for side, loads in (("back", habits.back), ("belly", habits.belly)):
        told += [f"[{side}]", 'grade = "soft"']
        for supply, drops in loads.items():
            told += [f"[[{side}.load]]", f'supply = "{supply}"', f'per_100_g = "{drops:g} drops"']
    told += ["[wanted]", "hiding = 0.90", "[handling]", 'start = "163 °C"', 'push = "6 s"']
    return "\n".join(told) + "\n"


def recipe_of(habits: Habits, like: Recipe) -> Recipe:
    """Return the same as a recipe."""
    sides = []
    for half, loads, old in zip(
        (Half.BACK, Half.BELLY), (habits.back, habits.belly), like.sides, strict=True
    ):
        loadings = tuple(
            Loading(supply=supply, amount=drops, measure=Measure.DROPS)
            for supply, drops in loads.items()
        )
        sides.append(Side(half=half, blend=old.blend, loadings=loadings))
    return replace(like, sides=tuple(sides))


@dataclass
class Clock:
    """What the tool takes for now."""

    at: datetime = BEGUN


@contextmanager
def told_time(clock: Clock) -> Iterator[None]:
    """Let every service read this clock, and work out no bench screen that nobody looks at."""

    def kept(workshop: Workshop, code: str, raw: list[Json], *, device: str = "") -> None:
        events = [read_event(each) for each in raw]
        workshop.runs.add(code, events, device=device, now=clock.at)

    with (
        patch.object(runs, "now", lambda: clock.at),
        patch.object(verdicts, "now", lambda: clock.at),
        patch.object(runcard, "now", lambda: clock.at),
        patch.object(verdicts, "record", kept),
    ):
        yield


def simulate(
    truth: Truth, habits: Habits, light: Seen, pour: Any, seed: int
) -> tuple[Baits, int, int]:
    """Return the baits of a pour, and how many are good on the day and a week later."""
    rng = np.random.default_rng([seed, 77])
    baits = poured(truth, habits, pour, light, rng)
    return baits, *baits.good(rng)


def first_of(seed: int) -> tuple[Truth, tuple[Fault, ...], Habits]:
    """Return a bench, its maker's faults and first habits."""
    rng = np.random.default_rng(seed)
    truth, faults = draw_truth(rng), draw_faults(rng)
    return truth, faults, first_habits(faults, rng)


def with_tool(seed: int, folder: Path, runs_of: int = 8) -> BenchTold:
    """Let a bench make its runs with the tool's verdicts and advice."""
    truth, faults, habits = first_of(seed)
    bench = BenchTold(seed=seed, faults=faults, truth=truth)
    clock = Clock()
    with open_at(folder / f"bench-{seed}") as workshop, told_time(clock):
        load_demo(workshop)
        for number in range(runs_of):
            clock.at = BEGUN + timedelta(days=EVERY * number)
            told, habits = _one_run(workshop, clock, truth, habits, seed * 100 + number)
            bench.runs.append(told)
            if number in (0, 2):
                bench.known_each.append(_known(workshop))
        bench.known = _known(workshop)
        bench.scores = _scores(workshop)
    return bench


def _known(workshop: Workshop) -> Json:
    from partline.services.bench_known import known_bench

    return known_bench(workshop)


def _scores(workshop: Workshop) -> Json:
    from partline.services.runs.forecasts import forecast_scores

    return forecast_scores(workshop)


def _one_run(
    workshop: Workshop, clock: Clock, truth: Truth, habits: Habits, seed: int
) -> tuple[RunTold, Habits]:
    kept = workshop.recipes.keep(recipe_text(habits), now=clock.at)
    mould = workshop.moulds.named("reed-130")
    bench = workshop.benches.named("Vessary Shed")
    plan = keep_plan(
        workshop, recipe_id=kept.version.document_id, recipe_version=kept.version.number,
        mould_id=mould.version.document_id, bench_id=bench.version.document_id, good=GOOD,
    )  # fmt: skip
    code = runs.begin(workshop, plan.code, moulds=4)
    run = followed(workshop, code)
    taps, pour = pour_day(code, truth, habits, run.plan, clock.at, seed)
    light = light_of(workshop, habits, truth, mould.content)
    baits, on_day, later = simulate(truth, habits, light, pour, seed)
    moulded = baits.shot.size
    clock.at = datetime.fromisoformat(taps[-1]["at"]) + timedelta(hours=1)
    workshop.runs.add(code, [read_event(tap) for tap in taps], device="phone", now=clock.at)
    day, good = 0.0, on_day
    if on_day >= GOOD_RUN * moulded:
        day, good = 7.0, later
        clock.at += timedelta(days=7)
    _tell(workshop, code, clock, "judge", good=good, moulded=moulded)
    main, harm = baits.worst(day=day)
    present = tuple(
        cause for cause, each in baits.harm.items()
        if each.mean() > 0.25 and (day >= 1 or cause is not Cause.CREPT)
    )  # fmt: skip
    mains = tuple(
        cause for cause, each in baits.harm.items()
        if each.mean() >= 0.9 * harm and (day >= 1 or cause is not Cause.CREPT)
    )  # fmt: skip
    is_theirs = harm > max(float(baits.other.mean()), 1 - GOOD_RUN)
    told = RunTold(good=good, moulded=moulded, main=main if is_theirs else None,
                   mains=mains, present=present,
                   day=day)  # fmt: skip
    if told.is_good:
        return told, habits
    eye = Eye(truth, baits, np.random.default_rng([seed, 5]), day)
    found, looks = _looked(workshop, code, clock, eye)
    told = replace(
        told,
        told=Cause(found["causes"][0]["cause"]) if found["is_cause_told"] else None,
        likeliest=Cause(found["causes"][0]["cause"]),
        action=Action(found["actions"][0]["action"]) if found["is_action_told"] else None,
        share=found["actions"][0]["share"],
        looks=looks,
    )
    if found["change"] is not None:
        take_change(workshop, code)
        habits = applied(habits, found)
    return told, habits


def light_of(workshop: Workshop, habits: Habits, truth: Truth, mould: Mould) -> Seen:
    """Return what light really does to the baits of these habits."""
    shelf: Shelf = workshop.shelves.named("shelf").content
    recipe = recipe_of(habits, workshop.recipes.named("peat-over-chalk").content)
    return seen(recipe, mould, shelf, truth.bottles, truth.stretch)


def _tell(workshop: Workshop, code: str, clock: Clock, kind: str, **data: Any) -> None:
    number = len(workshop.runs.events(code))
    at = clock.at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    event = {"id": f"{code}LOOK{number:06d}", "kind": kind, "cup": None, "at": at, "data": data}
    workshop.runs.add(code, [read_event(event)], device="laptop", now=clock.at)


def _looked(workshop: Workshop, code: str, clock: Clock, eye: Eye) -> tuple[Json, int]:
    """Answer the looks that are asked for, one after the other."""
    found: Json = run_verdict(workshop, code)
    for count in range(PATIENCE):
        wanted = found["next_look"]
        if wanted is None:
            return found, count
        _tell(workshop, code, clock, "look", look=wanted["look"], seen=eye.sees(wanted["look"]))
        clock.at += timedelta(minutes=wanted["minutes"])
        found = run_verdict(workshop, code)
    return found, PATIENCE


def applied(habits: Habits, found: Json) -> Habits:
    """Return habits after the change that was told: nothing but its steps."""
    for step in found["change"]["steps"]:
        then = step["then"]
        match step["what"]:
            case "start":
                habits = replace(habits, start=then + 273.15)
            case "cups apart":
                habits = replace(habits, apart=float(np.clip(habits.apart, -1.0, 1.0)))
            case "push":
                habits = replace(habits, push=then)
            case "purge":
                habits = replace(habits, purged=then * 1e-3)
            case "mark":
                habits = replace(habits, marked=True)
            case "colourant":
                habits = replace(habits, is_dye=False)
            case "loading":
                loads = {**getattr(habits, step["half"]), step["supply"]: float(then)}
                habits = habits.with_loads(step["half"], loads)
    return habits
