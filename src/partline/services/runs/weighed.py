"""What a run's scale tells: plastic that a shot took, and what a drop weighs."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from partline.process.run import Event, Kind, RunPlan, as_it_stands, run_states
from partline.process.run.questions import questions
from partline.studies.bench_learning import Measured

#: By how much one weighing of a cup or of a spoon of colour is off, a kitchen scale's. [kg]
CUP_SCALE, COLOUR_SCALE = 3e-4, 1.5e-5
#: Doubt of a run's mean that no number of shots or drops takes away. A guess. [-]
FLOOR = 0.01


def shot_mass(code: str, plan: RunPlan, events: Sequence[Event]) -> Measured | None:
    """Return the plastic that a shot took, all sides together; None where nothing was weighed.

    Parameters
    ----------
    code : str
        Of the run.
    plan : RunPlan
        That it followed.
    events : sequence of Event
        All that was told. A melt tells where each cup was weighed full, and weighed again with
        what was left in it after its last shot.
    """
    doubted = frozenset(each.about for each in questions(events, plan))
    used: dict[int, dict[str, float]] = {}
    shots: dict[int, int] = {}
    for event, before, _ in run_states(events, plan, doubted=doubted):
        if event.kind is not Kind.WEIGH or event.data.get("left") is not True or not event.cup:
            continue
        cup, grams = before.cups.get(event.cup), event.number("grams")
        if cup is None or grams is None or not cup.is_weighed or not before.melt_shots():
            continue
        used.setdefault(before.melt, {})[event.cup] = cup.filled - grams * 1e-3
        shots[before.melt] = before.melt_shots()
    whole = {melt: sum(each.values()) for melt, each in used.items() if len(each) == _cups(plan)}
    count = sum(shots[melt] for melt in whole)
    if not whole or min(whole.values()) <= 0:
        return None
    taken = sum(whole.values())
    weighings = 2 * _cups(plan) * len(whole)
    return Measured(
        run=code, value=taken / count, doubt=hypot(CUP_SCALE * weighings**0.5 / taken, FLOOR),
        count=count,
    )  # fmt: skip


def _cups(plan: RunPlan) -> int:
    return len(plan.letters)


def drop_masses(code: str, events: Sequence[Event]) -> dict[str, Measured]:
    """Return what a drop of each bottle weighed, where drops were counted and weighed. [kg]"""
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    sums: dict[str, list[tuple[float, float]]] = {}
    for event in told:
        drops, grams = event.number("drops"), event.number("grams")
        if event.kind is Kind.ADD and drops and grams and event.text("supply"):
            sums.setdefault(event.text("supply"), []).append((drops, grams * 1e-3))
    found = {}
    for supply, each in sums.items():
        drops, mass = (sum(row) for row in zip(*each, strict=True))
        doubt = hypot(COLOUR_SCALE * (2 * len(each)) ** 0.5 / mass, 0.5 / drops, FLOOR)
        found[supply] = Measured(run=code, value=mass / drops, doubt=doubt, count=int(drops))
    return found
