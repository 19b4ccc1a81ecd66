"""Spoiled baits by what spoiled them: one's own photos, grouped by cause."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from partline.process.run import Event, Kind, as_it_stands
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.run_photos.telling import photo_words
from partline.services.runs.photo_events import PhotoMeasure, photo_measures
from partline.services.verdicts import run_verdict
from partline.studies.diagnosis import ANSWERS, Cause

Json = dict[str, Any]
#: Groups besides the causes.
GOOD, UNTOLD = "good, to compare with", "cause not told yet"
CONFIRMED, VERDICT = "confirmed by you", "told by the verdict"
#: Newest runs that are gone through.
MOST_RUNS: Final = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Sorted:
    """Under which heading a run's photos stand, and who says so."""

    group: str
    by: str


def gallery(workshop: Workshop, *, mould: str = "", recipe: str = "") -> Json:
    """Return a workshop's photos by cause.

    Parameters
    ----------
    workshop : Workshop
        Open.
    mould, recipe : str
        Names; only photos of runs with these. Empty for all.

    Returns
    -------
    dict
        ``groups[]``: ``cause``, ``action`` and ``photos[]``; ``moulds`` and ``recipes`` to choose
        from; ``count`` of all photos, whatever was chosen.
    """
    groups: dict[str, list[Json]] = {each.value: [] for each in Cause}
    groups |= {UNTOLD: [], GOOD: []}
    moulds, recipes, count = set(), set(), 0
    for run in workshop.runs.listed(most=MOST_RUNS, with_kind=Kind.PHOTO_MEASURE):
        events = workshop.runs.events(run.code)
        measures = photo_measures(events)
        if not measures or run.practice is not None:
            continue
        plan = workshop.plans.get(run.plan_code)
        moulds.add(plan.mould.name)
        recipes.add(plan.recipe.name)
        count += len(measures)
        if (mould and plan.mould.name != mould) or (recipe and plan.recipe.name != recipe):
            continue
        found = sorted_under(workshop, run, events)
        names = {"recipe": plan.recipe.name, "mould": plan.mould.name}
        groups[found.group] += [_photo(run, measure, found, names) for measure in measures]
    return {
        "groups": [
            {"cause": cause, "action": _action(cause), "photos": photos}
            for cause, photos in groups.items()
            if photos
        ],
        "moulds": sorted(moulds),
        "recipes": sorted(recipes),
        "count": count,
    }


def sorted_under(workshop: Workshop, run: KeptRun, events: Sequence[Event]) -> Sorted:
    """Return what spoiled a run: what the maker confirmed, or what the verdict tells."""
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    confirmed = [event.text("cause") for event in told if str(event.kind) == "cause"]
    if confirmed and confirmed[-1] in set(Cause):
        return Sorted(group=confirmed[-1], by=CONFIRMED)
    pins = [event.data.get("pinned") is True for event in told if event.kind is Kind.PIN]
    if pins and pins[-1]:
        return Sorted(group=GOOD, by="pinned by you")
    if any(event.kind is Kind.LOOK for event in told):
        return _by_verdict(workshop, run)
    return Sorted(group=UNTOLD, by="")


#: What verdicts tell, by workshop, run and number of all events: a case that is confirmed
#: elsewhere changes a verdict, and events are only ever added to.
_TOLD: dict[tuple[str, str, int], Sorted] = {}


def _by_verdict(workshop: Workshop, run: KeptRun) -> Sorted:
    """Return the cause that a run's verdict tells, or what it cannot tell apart."""
    number = workshop.runs.number_before(datetime.max.replace(tzinfo=UTC))
    key = (str(workshop.database.path), run.code, number)
    if key not in _TOLD:
        while len(_TOLD) >= MOST_RUNS:
            _TOLD.pop(next(iter(_TOLD)))
        verdict = run_verdict(workshop, run.code)
        first, second = (str(each["cause"]) for each in verdict["causes"][:2])
        if verdict["is_cause_told"]:
            _TOLD[key] = Sorted(group=first, by=VERDICT)
        else:
            _TOLD[key] = Sorted(group=UNTOLD, by=f"{first} or {second}, not told apart")
    return _TOLD[key]


def _photo(run: KeptRun, measure: PhotoMeasure, found: Sorted, names: Json) -> Json:
    where = f"of run {run.code}, {names['recipe']} in {names['mould']}"
    return {
        "run": run.code,
        "photo": measure.photo,
        "subject": measure.subject.value,
        "day": measure.day,
        "by": found.by,
        **photo_words(measure, where=where, group=found.group),
        **names,
    }


def _action(cause: str) -> str:
    return ANSWERS[Cause(cause)].value if cause in set(Cause) else ""
