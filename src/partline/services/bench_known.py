"""What is known of a bench, before any run and after: told with its evidence."""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from typing import Any

from partline.errors import NotFound
from partline.quantities.estimate import Estimate
from partline.records.workshop import Workshop
from partline.services.runs.heating import kit_of
from partline.services.runs.learned import NARROWS, BenchLearned, bench_learned
from partline.services.runs.log import moment
from partline.services.runs.opened import opening_learned
from partline.services.telling import figure
from partline.studies.bench_learning import Learned
from partline.studies.opening_learning import SCATTER, LearnedOpening

Json = dict[str, Any]


def known_bench(workshop: Workshop, name: str = "") -> Json:
    """Return what a bench's runs have taught of it.

    Parameters
    ----------
    workshop : Workshop
        Open.
    name : str
        Of the bench; may be left out where there is one.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.

    Raises
    ------
    NotFound
        If there is no such bench, or several and none named; or no run was ever planned on it.
    """
    benches = workshop.benches.listed()
    if not name and len(benches) != 1:
        names = ", ".join(bench.name for bench in benches) or "none"
        raise NotFound(f"Say which bench; kept are {names}.")
    bench = workshop.benches.named(name or benches[0].name)
    plans = workshop.plans.listed(document_id=bench.version.document_id, most=1)
    if not plans:
        raise NotFound(
            f"Nothing was planned on {bench.version.name} yet, so that no run tells of it. Make a "
            "plan on a recipe's page first."
        )
    kept = plans[0]
    kit = kit_of(
        workshop.recipes.version(kept.recipe.id).content,
        bench.content,
        workshop.shelves.version(kept.shelf.id).content,
    )
    found = bench_learned(workshop, bench.version.document_id, kit, kept=kept)
    mould = workshop.moulds.version(kept.mould.id).content.name
    constants = _constants(found, mould)
    if (opened := opening_learned(workshop, kept, found.runs)) is not None:
        constants.append(_opening(mould, opened))
    told = {run["run"] for each in constants for run in each["evidence"]}
    return {
        "bench": bench.version.name,
        "id": bench.version.document_id,
        "runs": [
            {"run": run.code, "begun": moment(run.created_at), "tells": run.code in told}
            for run in found.runs
        ],
        "aside": [run.code for run in found.aside],
        "constants": constants,
        "narrows_most": _narrows_most(constants),
        "note": "Every run that is not set aside is read again from its events; runs off a card "
        "and practice runs tell nothing of the bench.",
    }


#: What each constant is used for; one that is only shown says so.
USED = {
    "oven": "The next run's times in the oven rest on it.",
    "cup": "The next run's start and stop rest on it.",
    "thermometer": "It is shown beside what the bench says of the thermometer, which stands.",
    "mould": "A plan on this bench says when its shots need more or less.",
    "opening": "It is only shown: the clock of a shut mould keeps its own time and range.",
    "bottle": "It is shown beside the bottle's own; enter it on the shelf to have it counted.",
}


def _constants(found: BenchLearned, mould: str) -> list[Json]:
    told = []
    if found.power is not None:
        told.append(_constant("oven_power", "power into the melt", "W", "oven", found.power))
    for letter, loss in found.losses.items():
        words = f"what cup {letter} loses, over what it would open in a still room"
        told.append(_constant(f"cup_loss_{letter.lower()}", words, "", "cup", loss))
    words = "how far a stirred reading strays from its own cooling"
    told.append(_constant("reading_scatter", words, "K", "thermometer", found.scatter))
    if found.shot is not None:
        words = f"plastic that a shot into {mould} takes, all sides together"
        told.append(_constant("shot_mass", words, "g", "mould", _grams(found.shot, 1e3)))
    for name, drop in found.drops.items():
        key, words = f"drop_mass_{name.lower()}", f"one drop of {name}"
        told.append(_constant(key, words, "mg", "bottle", _grams(drop, 1e6)))
    return told


def _grams(known: Learned, factor: float) -> Learned:
    """Return a mass [kg] in a smaller unit."""

    def scaled(estimate: Estimate) -> Estimate:
        return estimate.map(lambda kilograms: kilograms * factor)

    return Learned(
        before=scaled(known.before), after=scaled(known.after), next_run=scaled(known.next_run),
        scatter=known.scatter,
        runs=tuple(replace(each, value=each.value * factor) for each in known.runs),
    )  # fmt: skip


#: Digits that a unit is told with.
DIGITS = {"W": 0, "": 2, "K": 2, "g": 1, "mg": 1}


def _constant(key: str, words: str, unit: str, thing: str, known: Learned) -> Json:
    digits = DIGITS[unit]

    def shown(estimate: Estimate) -> Json:
        return figure(estimate, digits)

    return {
        "key": key,
        "thing": thing,
        "words": words,
        "unit": unit,
        "before": shown(known.before),
        "after": shown(known.after),
        "next_run": shown(known.next_run),
        "scatter": round(known.scatter, 3),
        "used": USED[thing],
        "narrows": NARROWS[_ASKED[thing]],
        "evidence": [
            {
                "run": each.run,
                "value": round(each.value, digits),
                "doubt": round(each.doubt, 3),
                "count": each.count,
                "bound": "",
            }
            for each in known.runs
        ],
    }


def _opening(mould: str, known: LearnedOpening) -> Json:
    """Return the time that a mould needs, over its clock's: each run tells it from one side."""
    digits = DIGITS[""]
    return {
        "key": "opening",
        "thing": "opening",
        "words": f"time that {mould} stays shut before it can be opened, over the computed",
        "unit": "",
        "before": figure(known.before, digits),
        "after": figure(known.after, digits),
        "next_run": figure(known.next_run, digits),
        "scatter": SCATTER,
        "used": USED["opening"],
        "narrows": known.before.narrows,
        "evidence": [
            {
                "run": each.run,
                "value": round(each.ratio, digits),
                "doubt": round(hypot(each.doubt, SCATTER), 3),
                "count": each.count,
                "bound": "at most" if each.is_enough else "more than",
            }
            for each in known.bounds
        ],
    }


_ASKED = {
    "oven": "power", "cup": "loss", "thermometer": "scatter", "mould": "shot", "bottle": "drop",
}  # fmt: skip


def _narrows_most(constants: list[Json]) -> Json:
    """Return the measurement that would narrow the next run's forecast most.

    Start, stop and oven times hang on the oven and the cups alone: the one whose next run is
    known worst, by the ratio of its ends.
    """
    asked = [each for each in constants if each["thing"] in ("oven", "cup")]
    worst = max(asked, key=lambda each: each["next_run"]["high"] / each["next_run"]["low"])
    ratio = (worst["next_run"]["high"] / worst["next_run"]["low"]) ** 0.5
    return {
        "key": worst["key"],
        "known_to": round(ratio - 1.0, 3),
        "text": f"Of what the next run's times rest on, {worst['words']} is known worst (±"
        f"{100 * (ratio - 1.0):.0f} %). Most would tell: {worst['narrows']}.",
    }
