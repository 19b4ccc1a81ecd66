"""The same hidden benches without the tool: their makers go by habit."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from partline.services.runs.planned import planned
from partline.services.workshop import load_demo, open_at
from tests.journeys.hidden_bench.bench_day import pour_day
from tests.journeys.hidden_bench.light import seen
from tests.journeys.hidden_bench.loop import BEGUN, EVERY, GOOD, first_of, recipe_of, simulate
from tests.journeys.hidden_bench.outcome import GOOD_RUN
from tests.journeys.hidden_bench.truth import Habits


def _same(habits: Habits, _: int) -> Habits:
    return habits


def _cooler(habits: Habits, _: int) -> Habits:
    return replace(habits, start=max(habits.start - 3.0, 426.15), push=min(habits.push + 1, 12.0))


def _in_turn(habits: Habits, spoiled: int) -> Habits:
    match (spoiled - 1) % 3:
        case 0:
            return _cooler(_cooler(habits, 0), 0)
        case 1:
            for half in ("back", "belly"):
                more = {name: 1.5 * drops for name, drops in getattr(habits, half).items()}
                habits = habits.with_loads(half, more)
            return habits
        case _:
            return replace(habits, purged=habits.purged + 0.010)


#: What a maker does after so many spoiled runs.
POLICIES: dict[str, Callable[[Habits, int], Habits]] = {
    "same as last time": _same,
    "cooler and slower": _cooler,
    "folk rules in turn": _in_turn,
}


def by_habit(seed: int, policy: str, runs: int) -> list[bool]:
    """Return which runs of a bench are good, its maker going by a habit."""
    truth, _, habits = first_of(seed)
    with tempfile.TemporaryDirectory() as folder, open_at(Path(folder) / "shed") as workshop:
        load_demo(workshop)
        like = workshop.recipes.named("peat-over-chalk").content
        mould = workshop.moulds.named("reed-130").content
        bench = workshop.benches.named("Vessary Shed").content
        shelf = workshop.shelves.named("shelf").content
    good, spoiled = [], 0
    for number in range(runs):
        recipe = recipe_of(habits, like)
        plan = planned(recipe, mould, bench, shelf, GOOD)
        at = BEGUN + timedelta(days=EVERY * number)
        run = seed * 100 + number
        _, pour = pour_day("HABITHABIT", truth, habits, plan, at, run)
        light = seen(recipe, mould, shelf, truth.bottles, truth.stretch)
        baits, on_day, later = simulate(truth, habits, light, pour, run)
        came = later if on_day >= GOOD_RUN * baits.shot.size else on_day
        good.append(came >= GOOD_RUN * baits.shot.size)
        if good[-2:] == [True, True]:
            return good  # two good in a row: that is all that is asked of a habit
        if not good[-1]:
            spoiled += 1
            habits = POLICIES[policy](habits, spoiled)
    return good
