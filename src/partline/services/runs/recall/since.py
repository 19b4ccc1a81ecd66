"""What changed since the last good run of a mould and its colours."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from partline.errors import NotFound
from partline.records.workshop import Workshop
from partline.services.luck import apart_sentence
from partline.services.runs.log import moment
from partline.services.runs.recall.differing import (
    Difference,
    poured_differences,
    run_differences,
)
from partline.services.runs.recall.facts import RunFacts, every, run_facts
from partline.services.runs.recall.poured import Poured, plan_poured
from partline.services.runs.recall.rows import fact_rows

Json = dict[str, Any]
#: Share of good baits from which a run is offered to be pinned. Common practice, no source. [-]
MOSTLY = 0.5


def good_run(
    workshop: Workshop, like: Poured, *, before: datetime | None = None
) -> RunFacts | None:
    """Return the newest pinned run of a mould and its colours; None without one.

    Parameters
    ----------
    workshop : Workshop
        Open.
    like : Poured
        Mould and colours; a run is never its own.
    before : datetime or None
        When it was begun at the latest, in UTC; None for any time.
    """
    for each in every(workshop):
        is_usable = each.state.is_pinned and not each.state.is_aside and not each.is_practice
        poured = each.poured
        if (
            is_usable
            and poured.code != like.code
            and (before is None or poured.begun <= before)
            and poured.mould_id == like.mould_id
            and poured.colours == like.colours
        ):
            return each
    return None


def changed(workshop: Workshop, code: str, *, since: str = "") -> Json:
    """Return what changed between a good run and another run, or a plan.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run, or of a plan: today's set-up.
    since : str
        Code of the run to go back to; blank for the newest pinned one of this mould and colours.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.

    Raises
    ------
    NotFound
        If there is no such run or plan.
    """
    run, poured = _asked(workshop, code)
    if since:
        good: RunFacts | None = run_facts(workshop, since, with_heats=False)
    else:
        good = good_run(workshop, poured, before=None if run is None else poured.begun)
    answer: Json = {
        "code": poured.code,
        "is_plan": run is None,
        "mould": poured.mould,
        "colours": poured.colour_words,
        "good_run": None,
        "changes": [],
        "luck": None,
        "facts": [] if run is None else fact_rows(run),
    }
    if good is None:
        return {**answer, "says": _none_pinned(workshop, poured)}
    good = run_facts(workshop, good.poured.code)
    found = poured_differences(good.poured, poured) if run is None else run_differences(good, run)
    if run is not None and run.tally is not None and good.tally is not None:
        answer["luck"] = apart_sentence(good.tally, run.tally, "this run")
    return {
        **answer,
        "good_run": _good(good),
        "changes": [_change(each) for each in found],
        "says": _says(good, found, is_plan=run is None),
    }


def _asked(workshop: Workshop, code: str) -> tuple[RunFacts | None, Poured]:
    try:
        run = run_facts(workshop, code)
    except NotFound:
        try:
            return None, plan_poured(workshop, code)
        except NotFound:
            raise NotFound(f"No run and no plan has the code “{code[:40]}”.") from None
    return run, run.poured


def _good(run: RunFacts) -> Json:
    return {
        "code": run.poured.code,
        "begun": moment(run.poured.begun),
        "recipe": run.poured.recipe.name,
        "version": run.poured.recipe.version,
        "good": run.state.good,
        "moulded": run.moulded,
        "is_pinned": run.state.is_pinned,
    }


def _change(each: Difference) -> Json:
    return {
        "what": each.what, "then": each.then, "now": each.now, "steps": round(each.steps, 2),
        "words": each.words,
    }  # fmt: skip


def _says(good: RunFacts, found: Sequence[Difference], *, is_plan: bool) -> str:
    count = "" if good.state.good is None else f" ({good.state.good} of {good.moulded} good)"
    since = f"Since run {good.poured.code}{count}"
    if not found:
        known = "what is planned" if is_plan else "what was told"
        return f"{since} nothing changed in {known}."
    many = "one thing" if len(found) == 1 else f"{len(found)} things"
    return f"{since} {many} changed, the largest first."


def _none_pinned(workshop: Workshop, poured: Poured) -> str:
    said = f"No earlier good run is pinned for {poured.mould} with {poured.colour_words}."
    alike = [
        each
        for each in every(workshop)
        if each.tally is not None
        and not each.is_practice
        and not each.state.is_aside
        and each.poured.code != poured.code
        and (each.poured.mould_id, each.poured.colours) == (poured.mould_id, poured.colours)
    ]
    if not alike:
        return f"{said} Pin one on its record once it came out well."
    best = max(alike, key=lambda each: each.tally.good / each.tally.baits if each.tally else 0.0)
    known = f"{best.poured.code}, {best.state.good} of {best.moulded} good"
    if best.tally is None or best.tally.good < MOSTLY * best.tally.baits:
        return f"{said} None of its kind came out well yet; the best is run {known}."
    return f"{said} The best of its kind is run {known}: pin it, or name it."
