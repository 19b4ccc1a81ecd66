"""The three runs of the demo workshop: two spoiled ones and the good one, as cards typed in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from partline.records.models import new_code
from partline.records.workshop import Workshop
from partline.services.runcard import keep_plan
from partline.services.runs import record
from partline.services.runs.log import moment
from partline.services.runs.paper import keep_card
from partline.services.runs.recall import pin
from partline.services.verdicts import take_change
from partline.services.workshop import now


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
        What was written on its card.
    seen : dict of str to bool
        Looks at its baits on the same evening.
    """

    days_ago: int
    version: int
    wanted: int
    card: dict[str, str]
    seen: dict[str, bool]


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
        card={"clock": "18:45", "moulds": "2", "fused_a": "176 175", "fused_b": "174 174",
              "start_a": "163 163", "start_b": "162 162", "stop_a": "152", "stop_b": "151",
              "heats": "6", "shots": "11", "push": "6", "bad": "3:1,4 7:2", "good": "41",
              "note": "tail still thin, taken as it is"},
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
    day = (now() - timedelta(days=told.days_ago)).date()
    code = keep_card(workshop, plan.code, {**_COMMON, **told.card, "day": day.isoformat()})
    poured = max(event.at for event in workshop.runs.events(code))
    evening = moment(poured + timedelta(hours=1))
    looks = [
        {"id": new_code(20), "kind": "look", "at": evening, "data": {"look": look, "seen": seen}}
        for look, seen in told.seen.items()
    ]
    record(workshop, code, looks, device="demo")
    return code
