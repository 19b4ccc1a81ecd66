"""What openings have taught of a mould: how long was long enough, over the computed time."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, hypot

from partline.materials.mould import Mould
from partline.process.opening import Closed
from partline.process.run import RunPlan
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.records.plans import KeptPlan
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.runs.heating import Kit, kit_of
from partline.services.runs.openings import (
    cool_mould,
    openings,
    shot_mass,
    spread_of,
    time_needed,
)
from partline.services.runs.planned import planned
from partline.studies.opening_learning import Bound, LearnedOpening, learn_opening

#: Doubt of the core's temperature to open at, some 10 K either way, in the time. A guess. [-]
CRITERION = 0.2
NARROWS = (
    "a mould opened at the early end of its clock, with gloves as its core is hot, and a mark "
    "where the bait comes out bent or torn"
)
#: What a run told of its openings, by workshop, run and number of its events.
_TOLD: dict[tuple[str, str, int], tuple[Bound, ...]] = {}
#: Entries that are kept.
MOST = 2000


def opening_learned(
    workshop: Workshop, kept: KeptPlan, runs: Sequence[KeptRun]
) -> LearnedOpening | None:
    """Return what runs have taught of the time that a plan's mould needs, over the computed.

    Parameters
    ----------
    workshop : Workshop
        Open.
    kept : KeptPlan
        Whose mould is asked about.
    runs : sequence of KeptRun
        That may tell of it; those into another mould do not.

    Returns
    -------
    LearnedOpening or None
        None where the law tells no time: the plastic is no warmer than it is opened at.
    """
    thought = _thought(workshop, kept)
    if thought is None:
        return None
    spread = hypot(spread_of(thought), CRITERION)
    before = Estimate(
        value=1.0, low=exp(-HALF_RANGE * spread), high=exp(HALF_RANGE * spread),
        origin=Origin.COMPUTED, narrows=NARROWS,
        source="the clock’s own range, and a core 10 K warmer or cooler, a guess",
    )  # fmt: skip
    bounds: list[Bound] = []
    for run in runs:
        plan = workshop.plans.get(run.plan_code)
        if plan.mould.document_id == kept.mould.document_id:
            bounds += _told(workshop, run, plan)
    return learn_opening(before, bounds, narrows=NARROWS)


def _thought(workshop: Workshop, kept: KeptPlan) -> Estimate | None:
    plan, mould, _ = _planned(workshop, kept)
    return time_needed(mould, cool_mould(plan), (Closed(),), shot_mass(plan, 1))


def _planned(workshop: Workshop, kept: KeptPlan) -> tuple[RunPlan, Mould, Kit]:
    recipe = workshop.recipes.version(kept.recipe.id).content
    mould = workshop.moulds.version(kept.mould.id).content
    bench = workshop.benches.version(kept.bench.id).content
    shelf = workshop.shelves.version(kept.shelf.id).content
    plan = planned(recipe, mould, bench, shelf, kept.count)
    return plan, mould, kit_of(recipe, bench, shelf)


def _told(workshop: Workshop, run: KeptRun, kept: KeptPlan) -> tuple[Bound, ...]:
    events = workshop.runs.events(run.code)
    key = (str(workshop.database.path), run.code, len(events))
    if key not in _TOLD:
        plan, mould, kit = _planned(workshop, kept)
        while len(_TOLD) >= MOST:
            _TOLD.pop(next(iter(_TOLD)))
        _TOLD[key] = openings(run.code, plan, mould, kit, events)
    return _TOLD[key]
