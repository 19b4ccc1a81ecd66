"""What is known of a bench, before any run and after: told with its evidence."""

from __future__ import annotations

from typing import Any

from partline.errors import NotFound
from partline.quantities.estimate import Estimate
from partline.records.workshop import Workshop
from partline.services.runs.heating import kit_of
from partline.services.runs.learned import BenchLearned, bench_learned
from partline.services.runs.log import moment
from partline.services.telling import figure
from partline.studies.bench_learning import Learned

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
    found = bench_learned(workshop, bench.version.document_id, kit)
    return {
        "bench": bench.version.name,
        "id": bench.version.document_id,
        "runs": [{"run": run.code, "begun": moment(run.created_at)} for run in found.runs],
        "constants": _constants(found),
        "note": "Every run that is not set aside is read again from its events; runs off a card "
        "and practice runs tell nothing of the bench.",
    }


def _constants(found: BenchLearned) -> list[Json]:
    loss = "what an open cup loses, over what it would in a still room"
    told = [_constant("cup_loss", loss, "", found.exposure)]
    if found.power is not None:
        told.insert(0, _constant("oven_power", "power into the melt", "W", found.power))
    return told


def _constant(key: str, words: str, unit: str, known: Learned) -> Json:
    digits = 0 if unit == "W" else 2

    def shown(estimate: Estimate) -> Json:
        return figure(estimate, digits)

    return {
        "key": key,
        "words": words,
        "unit": unit,
        "before": shown(known.before),
        "after": shown(known.after),
        "next_run": shown(known.next_run),
        "scatter": round(known.scatter, 3),
        "evidence": [
            {
                "run": each.run,
                "value": round(each.value, digits),
                "doubt": round(each.doubt, 3),
                "count": each.count,
            }
            for each in known.runs
        ],
    }
