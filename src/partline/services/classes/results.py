"""What a class made: group by group, by number, never by name."""

from __future__ import annotations

import csv
from io import StringIO
from typing import Any

from partline.process.run import Event, Kind, as_it_stands
from partline.quantities.constants import ZERO_CELSIUS
from partline.records.plans import KeptPlan
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.classes.groups import groups_of
from partline.services.luck import apart_sentence
from partline.services.runs.draws import draw_facts, starts, usual_push
from partline.services.runs.log import moment
from partline.services.runs.recall.facts import run_facts
from partline.services.runs.standing import followed
from partline.services.verdicts import run_verdict
from partline.studies.luck import Tally, interval

Json = dict[str, Any]
COLUMNS = ("group", "run", "good", "moulded", "start_a_c", "start_b_c", "push_s", "spoiled_by")


def class_results(workshop: Workshop, code: str) -> Json:
    """Return what every group of a class made.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the class.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``. A group's newest run counts;
        practice runs and runs set aside do not.

    Raises
    ------
    NotFound
        If there is no such class.
    """
    plans = groups_of(workshop, code)
    first = plans[0]
    groups = [_group(workshop, plan, place) for place, plan in enumerate(plans, start=1)]
    tallies = [(each["group"], each.pop("tally")) for each in groups]
    return {
        "class": str(first.inputs["class"]),
        "begun": moment(first.created_at),
        "recipe": f"{first.recipe.name}, version {first.recipe.number}",
        "mould": first.mould.name,
        "bench": first.bench.name,
        "good_wanted": first.count,
        "groups": groups,
        "says": _says([(name, each) for name, each in tallies if each is not None]),
    }


def results_csv(results: Json) -> str:
    """Return the results of a class as a table that any spreadsheet reads; no names in it."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for each in results["groups"]:
        writer.writerow(["" if each[key] is None else each[key] for key in COLUMNS])
    return out.getvalue()


def _group(workshop: Workshop, plan: KeptPlan, group: int) -> Json:
    runs = [run for run in workshop.runs.listed(most=50, planned_as=plan.code)
            if run.practice is None and not _is_aside(workshop, run)]  # fmt: skip
    told: Json = {"group": group, "plan": plan.code, "runs": len(runs), "run": None,
                  "good": None, "moulded": None, "share": None, "start_a_c": None,
                  "start_b_c": None, "push_s": None, "spoiled_by": None,
                  "tally": None}  # fmt: skip
    return told if not runs else told | _run(workshop, runs[0])


def _run(workshop: Workshop, kept: KeptRun) -> Json:
    run = followed(workshop, kept.code)
    draws = draw_facts(run, workshop.runs.events(kept.code))
    first = next(iter(starts(draws)), None)
    read = {} if first is None else {k: v[1] - ZERO_CELSIUS for k, v in first.temperatures.items()}
    tally = run_facts(workshop, kept.code, with_heats=False).tally
    push = usual_push(draws)
    found = run_verdict(workshop, kept.code)
    return {
        "run": kept.code,
        "good": None if tally is None else tally.good,
        "moulded": None if tally is None else tally.baits,
        "share": None if tally is None else [round(each, 3) for each in interval(tally)],
        "start_a_c": _rounded(read.get("A")),
        "start_b_c": _rounded(read.get("B")),
        "push_s": _rounded(push),
        "spoiled_by": found["causes"][0]["cause"] if found["is_cause_told"] else None,
        "tally": tally,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


def _is_aside(workshop: Workshop, run: KeptRun) -> bool:
    told = [each.event for each in as_it_stands(workshop.runs.events(run.code))
            if not each.is_void]  # fmt: skip
    return _last_aside(told)


def _last_aside(told: list[Event]) -> bool:
    aside = [each.data.get("aside") is True for each in told if each.kind is Kind.SET_ASIDE]
    return bool(aside) and aside[-1]


def _says(tallies: list[tuple[int, Tally]]) -> list[str]:
    """Return what may be said of the groups beside each other: best against worst, no more."""
    if len(tallies) < 2:
        return ["Two groups that counted their good baits are needed to compare."]
    ordered = sorted(tallies, key=lambda each: each[1].good / each[1].baits)
    (low, worst), (high, best) = ordered[0], ordered[-1]
    if worst.good / worst.baits == best.good / best.baits:
        return ["All groups that counted had the same share of good baits."]
    lines = [f"Group {low} beside group {high}: {apart_sentence(worst, best, f'group {high}')}"]
    if len(tallies) > 2:
        lines.append(
            f"These two were picked out of {len(tallies)} because they lie furthest apart, so "
            "luck alone would set them apart more often than that says."
        )
    return lines
