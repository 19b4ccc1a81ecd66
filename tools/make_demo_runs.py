"""Remake the demo's good run: poured on a pretended bench, by a hand that follows the screen.

    python -m tools.make_demo_runs

The story's own figures (start, push, good baits) are told in ``services.demo_runs``; what is
written here is what a bench log holds: bursts, stirs, readings, draws, shots and their times.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any
from unittest.mock import patch

import tomlkit

from partline.services import runs
from partline.services.runcard import keep_plan
from partline.services.workshop import load_demo, open_at
from tests.journeys.practice_hand import BEGUN, Hand

RUNS = Path(__file__).parents[1] / "examples" / "vessary-shed" / "runs"
#: Run, version of the recipe, good baits wanted, moulds, and the pretended bench's number.
STORY = ((3, 3, 40, 2, 2),)
#: What the story itself tells, or what is no part of a bench log.
LEFT_OUT = {"judge", "close", "note", "tick", "help"}


def main() -> None:
    """Write one file a run."""
    RUNS.mkdir(exist_ok=True)
    for number, version, good, moulds, seed in STORY:
        with tempfile.TemporaryDirectory() as folder, open_at(Path(folder) / "shed") as workshop:
            load_demo(workshop)
            plan = keep_plan(
                workshop,
                recipe_id=workshop.recipes.named("peat-over-chalk").version.document_id,
                recipe_version=version,
                mould_id=workshop.moulds.named("reed-130").version.document_id,
                bench_id=workshop.benches.named("Vessary Shed").version.document_id,
                good=good,
            )
            with patch.object(runs, "now", lambda: BEGUN):
                code = runs.begin(
                    workshop, plan.code, moulds=moulds, practice={"seed": seed, "slips": []}
                )
            hand = Hand(workshop=workshop, code=code)
            hand.run()
            rows = [_row(each) for each in workshop.runs.events(code) if each.kind not in LEFT_OUT]
        (RUNS / f"run-{number}.toml").write_text(_text(number, rows), "utf-8")


def _row(event: Any) -> dict[str, Any]:
    told = {"s": round((event.at - BEGUN).total_seconds(), 1), "kind": str(event.kind)}
    return told | ({"cup": event.cup} if event.cup else {}) | {"data": dict(event.data)}


def _text(number: int, rows: list[dict[str, Any]]) -> str:
    lines = [
        f"# Run {number} of the demo, all invented: poured on a pretended bench by",
        "# tools/make_demo_runs.py. s: seconds since it was begun.",
        "events = [",
    ]
    for row in rows:
        table = tomlkit.inline_table()
        for key, value in row.items():
            if key == "data":
                inner = tomlkit.inline_table()
                inner.update({k: v for k, v in value.items() if v is not None})
                value = inner
            table[key] = value
        lines.append(f"  {table.as_string()},")
    return "\n".join([*lines, "]", ""])


if __name__ == "__main__":
    main()
