"""The facts of a run, derived from its events: what was poured, how, and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import TypeVar

from partline.process.run import Event, Kind, RunPlan, RunState, run_state, run_states
from partline.process.run.questions import questions
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.runs.draws import DrawFacts, draw_facts
from partline.services.runs.planned import planned
from partline.services.runs.recall.poured import Poured, poured_from
from partline.services.runs.standing import Followed, followed
from partline.studies.luck import Tally, guessed_likeness, likeness

Heat = tuple[int, int]
K = TypeVar("K")
V = TypeVar("V")
#: Runs that are gone through, the newest.
MOST_RUNS = 2_000


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatFacts:
    """One heat of a melt.

    Parameters
    ----------
    melt, heat : int
        From 1.
    start : dict of str to tuple of float
        Low, middle and high of each cup at the first draw, by letter. [K]
    stop : dict of str to float
        Of each cup at the last draw, or as the card says. [K]
    stir_age : float or None
        How long before the first draw the cups were stirred; None where they were not. [s]
    is_stir_known : bool
        Whether stirs were told at all in this run.
    push : float or None
        Middle of its strokes. [s]
    shots : int
        Pushed.
    """

    melt: int
    heat: int
    start: dict[str, tuple[float, float, float]]
    stop: dict[str, float]
    stir_age: float | None
    is_stir_known: bool
    push: float | None
    shots: int

    @property
    def apart(self) -> float | None:
        """By how much cup A was warmer than cup B at the first draw. [K]"""
        if not {"A", "B"} <= self.start.keys():
            return None
        return self.start["A"][1] - self.start["B"][1]

    @property
    def name(self) -> str:
        """Such as ``melt 1, heat 2``."""
        return f"melt {self.melt}, heat {self.heat}"


@dataclass(frozen=True, slots=True, kw_only=True)
class RunFacts:
    """One run.

    Parameters
    ----------
    poured : Poured
        Recipe, mould and bench.
    state : RunState
        Where it stands.
    moulds : int
        Alike, in rotation.
    is_practice : bool
        Whether nothing was heated.
    moulded : int
        Baits, as counted or as the shots make them.
    wrong, seen : tuple of str
        Marks; keys of looks that were answered with yes.
    heats : tuple of HeatFacts
        In order; none where they were not asked for.
    tally : Tally or None
        Good baits, with how alike those of one shot are; None until judged.
    """

    poured: Poured
    state: RunState
    moulds: int
    is_practice: bool
    moulded: int
    wrong: tuple[str, ...]
    seen: tuple[str, ...]
    heats: tuple[HeatFacts, ...]
    tally: Tally | None


#: Facts without heats, and heats, by workshop, run and number of its events; the heats by those
#: of earlier runs too, which teach what the cups lose. Events are only ever added to.
_QUICK: dict[tuple[str, str, int], RunFacts] = {}
_HEATS: dict[tuple[str, str, int, int], tuple[HeatFacts, ...]] = {}


def run_facts(workshop: Workshop, code: str, *, with_heats: bool = True) -> RunFacts:
    """Return the facts of a run.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.
    with_heats : bool
        Whether the heats are asked for: how warm the cups were takes a while to work out.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    run = workshop.runs.get(code)
    events = workshop.runs.events(run.code)
    key = (str(workshop.database.path), run.code, len(events))
    quick = _once(_QUICK, key, lambda: _quick(workshop, run, events))
    if not with_heats:
        return quick
    deep = (*key, workshop.runs.number_before(run.created_at))
    heats = _once(_HEATS, deep, lambda: _heats(followed(workshop, run.code), events))
    return replace(quick, heats=heats)


def _once(kept: dict[K, V], key: K, make: Callable[[], V]) -> V:
    if key not in kept:
        while len(kept) >= MOST_RUNS:
            kept.pop(next(iter(kept)))
        kept[key] = make()
    return kept[key]


def _quick(workshop: Workshop, run: KeptRun, events: tuple[Event, ...]) -> RunFacts:
    kept = workshop.plans.get(run.plan_code)
    recipe = workshop.recipes.version(kept.recipe.id).content
    mould = workshop.moulds.version(kept.mould.id).content
    bench = workshop.benches.version(kept.bench.id).content
    shelf = workshop.shelves.version(kept.shelf.id).content
    plan = planned(recipe, mould, bench, shelf, kept.count)
    state = run_state(events, plan, doubted=_doubted(events, plan))
    counts = len(state.shots) * plan.cavities
    looks = {e.event.text("look"): e.event for e in state.told
             if e.event.kind is Kind.LOOK and not e.is_void}  # fmt: skip
    return RunFacts(
        poured=poured_from(
            recipe, mould, bench, shelf, (run.code, run.created_at, kept.mould.document_id)
        ),
        state=state,
        moulds=run.moulds,
        is_practice=run.practice is not None,
        moulded=counts if state.moulded is None else state.moulded,
        wrong=tuple(dict.fromkeys(each.text("what") for each in state.went_wrong)),
        seen=tuple(key for key, each in looks.items() if each.data.get("seen") is True),
        heats=(),
        tally=_tally(state, plan.cavities),
    )


def _doubted(events: Sequence[Event], plan: RunPlan) -> frozenset[str]:
    return frozenset(each.about for each in questions(events, plan))


def _tally(state: RunState, cavities: int) -> Tally | None:
    good, moulded = state.good, state.moulded
    if good is None or moulded is None or not moulded > 0 or good > moulded:
        return None
    alike = _judged_apart(state, cavities) if cavities > 1 else None
    return Tally(
        good=good, baits=moulded, per_shot=cavities,
        likeness=alike or (guessed_likeness() if cavities > 1 else None),
    )  # fmt: skip


def _judged_apart(state: RunState, cavities: int) -> Estimate | None:
    """Return how alike baits of one shot were, where the marks account for every bad bait."""
    shots = [each.event for each in state.told
             if each.event.kind is Kind.SHOT and not each.is_void]  # fmt: skip
    marks = [each.data.get("bad_cavities") for each in shots]
    bad = [len(each) if isinstance(each, list) else 0 for each in marks]
    counted = (state.moulded or 0) - (state.good or 0)
    is_all = state.moulded == cavities * len(shots) and sum(bad) == counted
    if not is_all or not any(bad) or max(bad) > cavities:
        return None
    return likeness([cavities - each for each in bad], [cavities] * len(bad))


def _heats(run: Followed, events: Sequence[Event]) -> tuple[HeatFacts, ...]:
    columns, shots = _told_of_heats(run, events)
    by_heat: dict[Heat, list[DrawFacts]] = {}
    for draw in draw_facts(run, events):
        by_heat.setdefault((draw.melt, draw.heat), []).append(draw)
    stirs = any(each.kind is Kind.STIR for each in events)
    doubt = run.kit.thermometer.between_cups
    found = []
    for key, draws in by_heat.items():
        heat = _heat(key, draws, shots.get(key, 0), is_stir_known=stirs)
        if key in columns:  # a card's draws stand at no known time: its own columns alone tell
            column = columns[key]
            read = {cup: (t - doubt, t, t + doubt) for cup, t in column["start"].items()}
            heat = replace(heat, start=read, stop=column["stop"])
        found.append(heat)
    return tuple(found)


def _heat(key: Heat, draws: list[DrawFacts], shots: int, *, is_stir_known: bool) -> HeatFacts:
    first, last = draws[0], draws[-1]
    pushes = [each.push for each in draws if each.push is not None]
    stop = {letter: row[1] for letter, row in last.temperatures.items()}
    return HeatFacts(
        melt=key[0],
        heat=key[1],
        start=first.temperatures,
        stop=stop if len(draws) > 1 else {},
        stir_age=first.stir_age,
        is_stir_known=is_stir_known,
        push=median(pushes) if pushes else None,
        shots=shots,
    )


def _told_of_heats(
    run: Followed, events: Sequence[Event]
) -> tuple[dict[Heat, dict[str, dict[str, float]]], dict[Heat, int]]:
    """Return a card's start and stop readings [K], by cup, and the shots, of each heat."""
    columns: dict[Heat, dict[str, dict[str, float]]] = {}
    shots: dict[Heat, int] = {}
    for event, _, after in run_states(events, run.plan, doubted=_doubted(events, run.plan)):
        key = (after.melt, max(after.heat, 1))
        if event.data.get("from_card") is True:
            read = columns.setdefault(key, {"start": {}, "stop": {}})
            celsius, column = event.number("celsius"), event.text("column")
            if celsius is not None and event.cup is not None and column in read:
                read[column][event.cup] = celsius + ZERO_CELSIUS
        if event.kind is Kind.SHOT:
            shots[key] = shots.get(key, 0) + 1
    return columns, shots


def every(workshop: Workshop) -> Iterator[RunFacts]:
    """Yield the facts of every run without its heats, newest first."""
    for run in workshop.runs.listed(most=MOST_RUNS):
        yield run_facts(workshop, run.code, with_heats=False)
