"""The demo workshop's three runs: two spoiled ones typed in from cards, a good one from a log."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import datetime, timedelta

from partline.records.exchange.document import read_file
from partline.records.models import new_code
from partline.records.workshop import Workshop
from partline.services.runcard import keep_plan
from partline.services.runs import begin, record
from partline.services.runs.log import moment
from partline.services.runs.paper import keep_card
from partline.services.runs.recall import pin
from partline.services.verdicts import take_change
from partline.services.workshop import examples, now


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoRun:
    """One run of the story, all invented.

    Parameters
    ----------
    days_ago : int
        When it was poured.
    version : int
        Of the recipe peat-over-chalk.
    wanted : int
        Good baits that were planned.
    card : dict of str to str
        What was written on its card; empty for one that was told at the bench.
    seen : dict of str to bool
        Looks at its baits on the same evening.
    """

    days_ago: int
    version: int
    wanted: int
    card: dict[str, str]
    seen: dict[str, bool]


#: Stroke of the good run. [s]
PUSH = 6.0
_COMMON = {"unit": "C", "moulds": "1", "set_up": "on", "weighed": "on", "close": "on"}
STORY = (
    DemoRun(
        days_ago=9, version=1, wanted=7,
        card={"clock": "19:30", "fused_a": "176", "fused_b": "174", "start_a": "163",
              "start_b": "162", "stop_a": "157", "stop_b": "156", "heats": "1", "shots": "2",
              "push": "6", "good": "0", "note": "one muddy colour"},
        seen={"changes": True, "tail_worse": True, "gate_worse": False, "first_only": False,
              "sprue_crisp": True, "belly_crisp": True},
    ),
    DemoRun(
        days_ago=8, version=2, wanted=7,
        card={"clock": "20:10", "fused_a": "178", "fused_b": "172", "start_a": "171",
              "start_b": "165", "stop_a": "166", "stop_b": "160", "heats": "1", "shots": "2",
              "push": "2.5", "good": "1", "note": "in a hurry"},
        seen={"changes": False, "gate_worse": True, "sprue_crisp": False, "belly_crisp": False,
              "ring": True},
    ),
    DemoRun(
        days_ago=7, version=3, wanted=40,
        card={},
        seen={"sprue_crisp": True, "belly_crisp": True},
    ),
)  # fmt: skip


def load_demo_runs(workshop: Workshop) -> None:
    """Put the story's runs into a demo workshop; do nothing where there is a run already.

    Every run is kept as a maker would keep it, so that the second was foretold with the first's
    change, and the third with the second's.
    """
    if workshop.runs.listed(most=1):
        return
    for each in STORY:
        code = _keep(workshop, each)
        if each is STORY[-1]:
            pin(workshop, code, pinned=True)
        else:
            take_change(workshop, code, device="demo")


def _keep(workshop: Workshop, told: DemoRun) -> str:
    plan = keep_plan(
        workshop,
        recipe_id=workshop.recipes.named("peat-over-chalk").version.document_id,
        recipe_version=told.version,
        mould_id=workshop.moulds.named("reed-130").version.document_id,
        bench_id=workshop.benches.named("Vessary Shed").version.document_id,
        good=told.wanted,
    )
    day = now() - timedelta(days=told.days_ago)
    if told.card:
        card = {**_COMMON, **told.card, "day": day.date().isoformat()}
        code = keep_card(workshop, plan.code, card)
    else:
        code = _keep_log(workshop, plan.code, day)
    poured = max(event.at for event in workshop.runs.events(code))
    evening = moment(poured + timedelta(hours=1))
    looks = [
        {"id": new_code(20), "kind": "look", "at": evening, "data": {"look": look, "seen": seen}}
        for look, seen in told.seen.items()
    ]
    record(workshop, code, looks, device="demo")
    return code


def _keep_log(workshop: Workshop, plan: str, begun: datetime) -> str:
    """Tell the good run as its bench screen was told it (tools/make_demo_runs.py)."""
    code = begin(workshop, plan, moulds=2, device="demo")
    text = read_file(examples() / "vessary-shed" / "runs" / "run-3.toml")
    rows = tomllib.loads(text)["events"]
    last = rows[-1]["s"]
    rows += [
        {"s": last + 900, "kind": "judge", "data": {"good": 41, "moulded": 44}},
        {"s": last + 960, "kind": "note", "data": {"text": "tail still thin, taken as it is"}},
        {"s": last + 1020, "kind": "close", "data": {}},
    ]
    events = []
    for row in rows:
        pushed = {"push_s": PUSH} if row["kind"] == "shot" else {}
        events.append(
            {
                "id": new_code(20), "kind": row["kind"], "cup": row.get("cup"),
                "at": moment(begun + timedelta(seconds=row["s"])), "data": row["data"] | pushed,
            }
        )  # fmt: skip
    record(workshop, code, events, device="demo")
    return code
