"""Does the tool learn? Hidden benches, eight runs each, beside two policies of habit.

Each bench is one of `tests/journeys/hidden_bench`: cups, bottles, gate and eye with workings of
their own, faults of the maker's, looks taken off the baits that came out. With the tool the runs
go through the real record: events with their times, looks that the tool asks for, the verdict's
change made and nothing else, the forecast kept before the run. Beside it the same benches with

- same as last time: nothing is changed;
- cooler and slower: after each spoiled run 3 K cooler and 1 s slower;
- folk rules in turn: after a spoiled run cooler and slower, after the next half as much colour
  again, after the next 10 g through the block, and round again.

    python -m benchmarks.bench_learning_loop [--benches 30] [--from-seed 5000] [--runs 8]
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
from scipy.stats import beta

from partline.studies.diagnosis import ANSWERS
from tests.journeys.hidden_bench.habit import POLICIES, by_habit
from tests.journeys.hidden_bench.known import Held, held
from tests.journeys.hidden_bench.loop import BenchTold, RunTold, with_tool

Found = Sequence[tuple[BenchTold, dict[str, list[bool]]]]


def first_pair(good: Sequence[bool]) -> int | None:
    """Return the run that completes two good ones in a row; None where none does."""
    for number in range(1, len(good)):
        if good[number] and good[number - 1]:
            return number + 1
    return None


def ratio(hits: int, of: int) -> str:
    """Return a share with its central 80 % range."""
    if of == 0:
        return "none"
    low, high = beta.ppf([0.1, 0.9], hits + 0.5, of - hits + 0.5)
    return f"{hits} of {of} = {hits / of:.0%} ({low:.0%}–{high:.0%})"


def mean_runs(pairs: Sequence[int | None], most: int) -> tuple[float, float, float]:
    """Return the mean number of runs, never counted as one more than there were, with range."""
    counts = np.array([most + 1 if each is None else each for each in pairs], dtype=float)
    rng = np.random.default_rng(1)
    means = counts[rng.integers(0, counts.size, (4000, counts.size))].mean(axis=1)
    low, high = np.quantile(means, [0.1, 0.9])
    return float(counts.mean()), float(low), float(high)


def tell(bench: BenchTold) -> None:
    """Print what became of each run of a bench."""
    print(bench.seed, ", ".join(bench.faults))
    for run in bench.runs:
        print("   ", _run(run), flush=True)


def report(found: Found) -> None:
    """Print the figures."""
    benches = [bench for bench, _ in found]
    spoiled = [run for bench in benches for run in bench.runs if not run.is_good and run.main]
    others = sum(1 for bench in benches for run in bench.runs if not run.is_good and not run.main)
    count = len(spoiled)
    runs = sum(len(bench.runs) for bench in benches)
    print(f"{len(benches)} benches, {runs} runs, {count} spoiled by a cause, {others} otherwise")
    first = sum(r.likeliest is r.main for r in spoiled)
    print(f"first cause is the main one, told or not: {ratio(first, count)}")
    print(f"main cause told: {ratio(sum(r.is_cause_right for r in spoiled), count)}")
    strict = sum(r.is_cause_right or r.action is ANSWERS[r.main] for r in spoiled if r.main)
    print(f"told, or the same right action, no ties: {ratio(strict, count)}")
    print(f"told, or the same right action: {ratio(sum(r.is_right for r in spoiled), count)}")
    none = sum(r.told is None and r.action is None for r in spoiled)
    print(f"not enough to tell: {none}; looks a run: {np.mean([r.looks for r in spoiled]):.1f}")
    help_ = sum(r.action in {ANSWERS[c] for c in r.present} for r in spoiled)
    print(f"action answers a cause that is there: {ratio(help_, len(spoiled))}")
    for cause, count in Counter(r.main for r in spoiled).most_common():
        right = sum(r.is_right for r in spoiled if r.main is cause)
        print(f"    {cause}: {ratio(right, count)}")
    _policies(found)
    _calibration(spoiled)
    _forecasts(benches)
    _constants(benches)


def _run(run: RunTold) -> str:
    told = run.told or f"({run.likeliest})"
    there = [str(cause) for cause in run.present]
    return (
        f"{run.good}/{run.moulded} {run.main} among {there} -> {told}; {run.action} "
        f"{run.share:.2f}, {run.looks} looks, right {run.is_right}"
    )


def _policies(found: Found) -> None:
    most = max(len(bench.runs) for bench, _ in found)
    rows = {"this tool": [first_pair([r.is_good for r in bench.runs]) for bench, _ in found]}
    for policy in found[0][1]:
        rows[policy] = [first_pair(habit[policy]) for _, habit in found]
    print("runs to two good in a row (never: counted as one more than there were)")
    for who, pairs in rows.items():
        middle, low, high = mean_runs(pairs, most)
        got = sum(p is not None for p in pairs)
        print(f"    {who}: {middle:.2f} ({low:.2f}–{high:.2f}); reached by {got} of {len(pairs)}")


def _calibration(spoiled: Sequence[RunTold]) -> None:
    told = [run for run in spoiled if run.action is not None]
    if told:
        says = np.mean([run.share for run in told])
        right = sum(run.action is ANSWERS[run.main] for run in told if run.main)
        print(f"told actions: says {says:.0%} on the average, right {ratio(right, len(told))}")


def _forecasts(benches: Sequence[BenchTold]) -> None:
    inside = total = 0
    scores: dict[str, list[float]] = {}
    for bench in benches:
        rows: list[Any] = bench.scores["runs"]
        inside += sum(row["good_low"] <= row["good"] <= row["good_high"] for row in rows)
        total += len(rows)
        for row in rows:
            if len(row["scores"]) == 3:
                for who, score in row["scores"].items():
                    scores.setdefault(who, []).append(score)
    print(f"forecasts of good baits hold what came: {ratio(inside, total)} (80 % are meant)")
    for who, each in scores.items():
        print(f"    {who}: mean score {np.mean(each):.3f} over {len(each)} runs")


def _constants(benches: Sequence[BenchTold]) -> None:
    found: dict[tuple[str, int], list[Held]] = {}
    for bench in benches:
        for each in held(bench):
            found.setdefault((each.what, each.runs), []).append(each)
    print("ranges of what was learned, 80 % meant: truth held, width (high over low)")
    for (what, runs), each in sorted(found.items()):
        inside = sum(one.is_held for one in each)
        width = np.median([one.width for one in each])
        before = np.median([one.width_before for one in each])
        off = np.median([one.value / one.true for one in each])
        print(f"    {what} after {runs}: {ratio(inside, len(each))}, ×{width:.2f} "
              f"(before any ×{before:.2f}), median over truth {off:.2f}")  # fmt: skip
    every = [one for each in found.values() for one in each if one.runs == 8]
    print(f"    all after 8: {ratio(sum(one.is_held for one in every), len(every))}")


def one(task: tuple[int, int, bool]) -> tuple[BenchTold, dict[str, list[bool]]]:
    """Let one bench make its runs, with the tool and by each habit."""
    seed, runs, with_habits = task
    with tempfile.TemporaryDirectory() as folder:
        told = with_tool(seed, Path(folder), runs)
    return told, {policy: by_habit(seed, policy, runs) for policy in POLICIES if with_habits}


def main() -> None:
    """Print every figure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--benches", type=int, default=30)
    parser.add_argument("--from-seed", type=int, default=5000)
    parser.add_argument("--runs", type=int, default=8)
    parser.add_argument("--each", action="store_true", help="say what became of each run")
    parser.add_argument("--tool-only", action="store_true", help="leave the habits out")
    asked = parser.parse_args()
    began = time.perf_counter()
    tasks = [
        (asked.from_seed + each, asked.runs, not asked.tool_only) for each in range(asked.benches)
    ]
    found = []
    with ProcessPoolExecutor(max_workers=min(os.cpu_count() or 1, 2)) as pool:
        for told in pool.map(one, tasks):
            found.append(told)
            if asked.each:
                tell(told[0])
    report(found)
    print(f"{time.perf_counter() - began:.0f} s of this machine")


if __name__ == "__main__":
    main()
