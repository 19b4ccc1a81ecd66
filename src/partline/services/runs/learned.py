"""What earlier runs have taught of a bench, for the run in hand: always recomputed from events."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from partline.process.run import Kind, RunPlan, as_it_stands
from partline.quantities.estimate import Estimate
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.runs.heating import Kit, kit_of
from partline.services.runs.measured import RunMeasured, run_measured
from partline.services.runs.planned import planned
from partline.studies.bench_learning import Learned, Measured, learn

#: What would narrow each constant most.
NARROWS = {
    "power": "readings before and after a burst, stirred",
    "exposure": "two readings of a cooling cup 40 s apart, stirred",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchLearned:
    """What is known of a bench.

    Parameters
    ----------
    power : Learned or None
        Of its oven into the melt; None where it has none. [W]
    exposure : Learned
        Loss of its cups over that of a still room. [-]
    runs : tuple of KeptRun
        That were asked, the oldest first; those set aside are not among them.
    """

    power: Learned | None
    exposure: Learned
    runs: tuple[KeptRun, ...]


#: What a run told, by workshop, run and number of its events: the same events tell the same.
_TOLD: dict[tuple[str, str, int], RunMeasured] = {}
#: Kits with what was learned, by workshop, bench and number of events it rests on.
_KITS: dict[tuple[str, str, str, int], Kit] = {}
#: Entries of each that are kept.
MOST = 2000


def bench_learned(
    workshop: Workshop, bench_id: str, kit: Kit, *, before: datetime | None = None
) -> BenchLearned:
    """Return what a bench's runs have taught.

    Parameters
    ----------
    workshop : Workshop
        Open.
    bench_id : str
        Code of the bench's document.
    kit : Kit
        Cups in terms of heat as they are thought of without any run.
    before : datetime, optional
        Only runs begun earlier are asked, so that a forecast never knows its own result.
    """
    runs = [
        run
        for run in reversed(workshop.runs.listed(most=MOST, planned_from=bench_id))
        if run.practice is None and (before is None or run.created_at < before)
    ]
    told = [(run, _told(workshop, run)) for run in runs]
    asked = [(run, found) for run, found in told if found is not None]
    cup = next(iter(kit.cups.values()))
    return BenchLearned(
        power=None
        if kit.power is None
        else learn(kit.power, _of(asked, "power"), narrows=NARROWS["power"]),
        exposure=learn(cup.exposure, _of(asked, "exposure"), narrows=NARROWS["exposure"]),
        runs=tuple(run for run, _ in asked),
    )


def _of(asked: Sequence[tuple[KeptRun, RunMeasured]], what: str) -> list[Measured]:
    found = [getattr(measured, what) for _, measured in asked]
    return [each for each in found if each is not None]


def _told(workshop: Workshop, run: KeptRun) -> RunMeasured | None:
    """Return what a run tells; None for one that is set aside."""
    events = workshop.runs.events(run.code)
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    aside = [event.data.get("aside") is True for event in told if event.kind is Kind.SET_ASIDE]
    if aside and aside[-1]:
        return None
    key = (str(workshop.database.path), run.code, len(events))
    if key not in _TOLD:
        plan, kit = _as_planned(workshop, run)
        while len(_TOLD) >= MOST:
            _TOLD.pop(next(iter(_TOLD)))
        _TOLD[key] = run_measured(run.code, plan, kit, events)
    return _TOLD[key]


def _as_planned(workshop: Workshop, run: KeptRun) -> tuple[RunPlan, Kit]:
    kept = workshop.plans.get(run.plan_code)
    recipe = workshop.recipes.version(kept.recipe.id).content
    mould = workshop.moulds.version(kept.mould.id).content
    bench = workshop.benches.version(kept.bench.id).content
    shelf = workshop.shelves.version(kept.shelf.id).content
    return planned(recipe, mould, bench, shelf, kept.count), kit_of(recipe, bench, shelf)


def learned_kit(workshop: Workshop, run: KeptRun, bench_id: str, kit: Kit) -> Kit:
    """Return a run's cups in terms of heat, with what earlier runs of its bench have taught.

    Parameters
    ----------
    workshop : Workshop
        Open.
    run : KeptRun
        In hand.
    bench_id : str
        Code of its bench's document.
    kit : Kit
        As they are thought of without any run.
    """
    number = workshop.runs.number_before(run.created_at)
    key = (str(workshop.database.path), run.code, bench_id, number)
    if key not in _KITS:
        known = bench_learned(workshop, bench_id, kit, before=run.created_at)
        while len(_KITS) >= MOST:
            _KITS.pop(next(iter(_KITS)))
        _KITS[key] = with_learned(kit, known)
    return _KITS[key]


def with_learned(kit: Kit, known: BenchLearned) -> Kit:
    """Return a kit with what is to be expected of its next run."""
    if not known.runs:
        return kit
    exposure: Estimate = known.exposure.next_run
    return Kit(
        bench=kit.bench,
        plastics=kit.plastics,
        cups={letter: replace(cup, exposure=exposure) for letter, cup in kit.cups.items()},
        power=kit.power if known.power is None else known.power.next_run,
    )
