"""What earlier runs have taught of a bench, for the run in hand: always recomputed from events."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import hypot

from partline.process.run import Kind, RunPlan, as_it_stands
from partline.process.supply_doubt import log_spread
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin
from partline.records.plans import KeptPlan
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.runs.heating import Kit, kit_of
from partline.services.runs.measured import RunMeasured, run_measured
from partline.services.runs.planned import planned
from partline.studies.bench_learning import Learned, Measured, learn

#: What would narrow each constant most.
NARROWS = {
    "power": "readings before and after a burst, stirred",
    "loss": "two readings of this cup as it cools, 40 s apart, stirred",
    "scatter": "four readings of one cup as it cools, stirred",
    "shot": "both cups weighed again after the last shot",
    "drop": "50 drops on the scale",
}
#: How far runs scatter in what a scale tells, as a guess. [-]
WEIGHED_SCATTER = 0.02
#: What every run errs by alike beside the plastic's heat, of the logarithm: the oven's share that
#: the glass takes; the stirrer's heat and the lag of the glass; a cooling that is no plain line.
#: Guesses. [-]
OVEN_GLASS, HANDLED, MISFIT = 0.07, 0.05, 0.25
#: A rise in the oven that a thermometer's common fault is held against. [K]
USUAL_RISE = 150.0
#: A plastic's share of the heat that a filled cup holds, glass being the rest. [-]
PLASTIC_SHARE = 0.85
#: How many times as far readings may stray as a thermometer's label says, either way. A guess.
STRAYS = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchLearned:
    """What is known of a bench.

    Parameters
    ----------
    power : Learned or None
        Of its oven into the melt; None where it has none. [W]
    losses : dict of str to Learned
        Loss of each cup over that of a still room, by its letter. [-]
    scatter : Learned
        Standard deviation of a reading about its cup's own cooling. [K]
    shot : Learned or None
        Plastic that a shot of one mould takes, all sides together; None where none was asked
        about. [kg]
    drops : dict of str to Learned
        Mass of one drop, by the name of each bottle that a run has told of. [kg]
    runs : tuple of KeptRun
        That were asked, the oldest first; those set aside are not among them.
    aside : tuple of KeptRun
        That were left out because they are set aside.
    """

    power: Learned | None
    losses: dict[str, Learned]
    scatter: Learned
    shot: Learned | None
    drops: dict[str, Learned]
    runs: tuple[KeptRun, ...]
    aside: tuple[KeptRun, ...] = ()


#: What a run told, by workshop, run and number of its events: the same events tell the same.
_TOLD: dict[tuple[str, str, int], RunMeasured] = {}
#: Kits with what was learned, by workshop, bench and number of events it rests on.
_KITS: dict[tuple[str, str, str, int], Kit] = {}
#: Entries of each that are kept.
MOST = 2000


def bench_learned(
    workshop: Workshop,
    bench_id: str,
    kit: Kit,
    *,
    before: datetime | None = None,
    kept: KeptPlan | None = None,
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
    kept : KeptPlan, optional
        Whose shot and bottles are asked about; without it neither is.
    """
    runs = [
        run
        for run in reversed(workshop.runs.listed(most=MOST, planned_from=bench_id))
        if run.practice is None and (before is None or run.created_at < before)
    ]
    told = [(run, _told(workshop, run)) for run in runs]
    asked = [(run, found) for run, found in told if found is not None]
    common = common_doubt(kit)
    oven, handled = hypot(common, OVEN_GLASS), hypot(common, HANDLED)
    return BenchLearned(
        power=None
        if kit.power is None
        else learn(
            kit.power, _given(found.power for _, found in asked), narrows=NARROWS["power"],
            common=oven,
        ),
        losses={
            letter: learn(
                cup.exposure, _given(found.losses.get(letter) for _, found in asked),
                narrows=NARROWS["loss"], common=handled,
            )
            for letter, cup in kit.cups.items()
        },
        scatter=learn(
            _usual_scatter(kit), _given(found.scatter for _, found in asked),
            narrows=NARROWS["scatter"],
            common=MISFIT,
        ),
        shot=None if kept is None else _shot(workshop, kept, asked),
        drops={} if kept is None else _drops(workshop, kept, asked),
        runs=tuple(run for run, _ in asked),
        aside=tuple(run for run, found in told if found is None),
    )  # fmt: skip


def common_doubt(kit: Kit) -> float:
    """Return what every run errs by alike: the plastic's heat, the thermometer as a whole. [-]

    A cup that holds more heat than it is taken to looks like a weaker oven and like a smaller
    loss, in every run by as much.
    """
    cup = next(iter(kit.cups.values()))
    held = PLASTIC_SHARE * log_spread(cup.plastic_heat)
    return hypot(held, kit.thermometer.absolute / HALF_RANGE / USUAL_RISE)


def _usual_scatter(kit: Kit) -> Estimate:
    """Return how far readings stray by what the thermometer is said to be worth. [K]"""
    usual = kit.thermometer.between_cups / HALF_RANGE
    return Estimate(
        value=usual, low=usual / STRAYS, high=usual * STRAYS, origin=Origin.DEFAULT,
        source="what the bench says of the thermometer, between two cups",
    )  # fmt: skip


def _given(found: object) -> list[Measured]:
    return [each for each in found if each is not None]  # type: ignore[attr-defined]


def _shot(
    workshop: Workshop, kept: KeptPlan, asked: Sequence[tuple[KeptRun, RunMeasured]]
) -> Learned:
    """Return what a shot of a plan's mould takes, from runs of the same mould. [kg]"""
    plan, _ = _as_planned(workshop, kept)
    planned_draw = sum(cup.draw for cup in plan.melts[0].cups.values())
    shots = plan.melts[0].shots / plan.melts[0].draws
    ends = _relative_range(kept)
    before = Estimate(
        value=planned_draw / shots, low=planned_draw / shots * ends[0],
        high=planned_draw / shots * ends[1], origin=Origin.COMPUTED,
        source="baits, sprue, block and heels as they are planned",
    )  # fmt: skip
    mould = kept.mould.document_id
    told = [
        found.shot
        for run, found in asked
        if found.shot is not None and workshop.plans.get(run.plan_code).mould.document_id == mould
    ]
    return learn(before, told, narrows=NARROWS["shot"], usual=WEIGHED_SCATTER)


def _relative_range(kept: KeptPlan) -> tuple[float, float]:
    """Return the ends of a plan's whole need, over its middle. [-]"""
    answer = kept.answer.get("plan")
    try:
        middle = float(answer["budget_g"]["total"])  # type: ignore[index]
        low, high = answer["budget_g_range"]["total"]  # type: ignore[index]
    except (KeyError, TypeError):  # a plan of an older program
        return 0.95, 1.05
    return min(low / middle, 0.99), max(high / middle, 1.01)


def _drops(
    workshop: Workshop, kept: KeptPlan, asked: Sequence[tuple[KeptRun, RunMeasured]]
) -> dict[str, Learned]:
    """Return what a drop of each bottle weighs of which a run has told. [kg]"""
    shelf = workshop.shelves.version(kept.shelf.id).content
    bottles = {each.name: each for each in shelf.colourants}
    names = sorted({name for _, found in asked for name in found.drops} & bottles.keys())
    return {
        name: learn(
            bottles[name].drop_mass, _given(found.drops.get(name) for _, found in asked),
            narrows=NARROWS["drop"], usual=WEIGHED_SCATTER,
        )
        for name in names
    }  # fmt: skip


def _told(workshop: Workshop, run: KeptRun) -> RunMeasured | None:
    """Return what a run tells; None for one that is set aside."""
    events = workshop.runs.events(run.code)
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    aside = [event.data.get("aside") is True for event in told if event.kind is Kind.SET_ASIDE]
    if aside and aside[-1]:
        return None
    key = (str(workshop.database.path), run.code, len(events))
    if key not in _TOLD:
        plan, kit = _as_planned(workshop, workshop.plans.get(run.plan_code))
        while len(_TOLD) >= MOST:
            _TOLD.pop(next(iter(_TOLD)))
        _TOLD[key] = run_measured(run.code, plan, kit, events)
    return _TOLD[key]


def _as_planned(workshop: Workshop, kept: KeptPlan) -> tuple[RunPlan, Kit]:
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
    return Kit(
        bench=kit.bench,
        plastics=kit.plastics,
        cups={
            letter: replace(cup, exposure=known.losses[letter].next_run)
            for letter, cup in kit.cups.items()
        },
        power=kit.power if known.power is None else known.power.next_run,
    )
