"""Runs found by what they were."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from partline.records.workshop import Workshop
from partline.services.runs.log import moment
from partline.services.runs.recall.asking import Condition, read_conditions
from partline.services.runs.recall.facts import RunFacts, every, run_facts
from partline.services.runs.recall.rows import shown

Json = dict[str, Any]


def find(workshop: Workshop, texts: Sequence[str]) -> Json:
    """Return the runs that every condition holds of, pinned ones first, then the newest.

    Parameters
    ----------
    workshop : Workshop
        Open.
    texts : sequence of str
        Such as ``start < 160 °C``; none for all runs. Practice runs and those set aside are left
        out unless asked for.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.

    Raises
    ------
    InputError
        If a condition cannot be read; `partline.errors.Ambiguous` where it must be asked about.
    """
    asked = read_conditions(list(texts))
    names = {each.field.name for each in asked}
    # What takes a while to work out is asked last, and only of runs that are left.
    quick = [each for each in asked if not each.field.needs_heats]
    slow = [each for each in asked if each.field.needs_heats]
    rows, unknown = [], []
    for each in every(workshop):
        if each.is_practice and "practice" not in names:
            continue
        if each.state.is_aside and "set aside" not in names:
            continue
        answers = [one.holds(each) for one in quick]
        run = each
        if slow and False not in answers:
            run = run_facts(workshop, each.poured.code)
            answers += [one.holds(run) for one in slow]
        if False in answers:
            continue
        if None in answers:
            missing = [
                one.field.name
                for one, held in zip([*quick, *slow], answers, strict=True)
                if held is None
            ]
            unknown.append({"code": run.poured.code, "missing": missing})
        else:
            rows.append(_row(run, asked))
    return {
        "conditions": [each.words for each in asked],
        "runs": sorted(rows, key=lambda row: not row["is_pinned"]),
        "unknown": unknown,
    }


def _row(run: RunFacts, asked: Sequence[Condition]) -> Json:
    poured, state = run.poured, run.state
    return {
        "code": poured.code,
        "begun": moment(poured.begun),
        "recipe": poured.recipe.name,
        "version": poured.recipe.version,
        "mould": poured.mould,
        "colours": poured.colour_words,
        "state": state.phase.value,
        "good": state.good,
        "moulded": run.moulded,
        "is_pinned": state.is_pinned,
        "is_aside": state.is_aside,
        "is_practice": run.is_practice,
        "shows": [
            {"what": each.field.name, "text": shown(each.field, run)}
            for each in asked
            if each.field.kind is not None
        ],
    }
