"""The paper way: a card that was filled in with a pencil becomes a run in one form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median
from typing import Any, cast

from partline.process.run import Event, Kind, as_it_stands
from partline.records.plans import KeptPlan
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.runs import begin
from partline.services.runs.card_entry import CardShape, started
from partline.services.runs.card_events import card_events, lasting
from partline.services.runs.card_reading import read_card
from partline.services.runs.typed import new_id
from partline.services.runs.wire import ID, read_event
from partline.services.workshop import now

#: What a card calls itself among the devices.
DEVICE = "card"
#: Runs that are looked through for the last one with this mould, and for one typed in twice.
LOOKED_AT = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A field's value before anything is typed.

    Parameters
    ----------
    value : str
        As it would be typed.
    source : str
        Where it comes from, in words.
    """

    value: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperForm:
    """What the form of a plan's card shows.

    Parameters
    ----------
    plan : KeptPlan
        Whose card it is.
    shape : CardShape
        What the card has room for.
    carried : dict of str to Carried
        By field; they are marked, and count only where they are left in.
    once : str
        Told with the form, so that what is sent twice is one run.
    """

    plan: KeptPlan
    shape: CardShape
    carried: dict[str, Carried]
    once: str


def paper_form(workshop: Workshop, plan_code: str) -> PaperForm:
    """Return the form of a plan's card.

    Raises
    ------
    NotFound
        If there is no such plan.
    """
    plan = workshop.plans.get(plan_code)
    return PaperForm(
        plan=plan,
        shape=shape_of(plan),
        carried=_carried(workshop, plan),
        once=new_id(),
    )


def shape_of(plan: KeptPlan) -> CardShape:
    """Return what a plan's card has room for."""
    answer = cast(dict[str, Any], plan.answer["plan"])
    melts = answer["melt_plan"]
    shots = tuple(int(melt["shots"]) for melt in melts)
    return CardShape(
        letters=("A",) if melts[0]["cup_b_g"] is None else ("A", "B"),
        melts=shots,
        cavities=int(answer["moulded"]) // max(sum(shots), 1),
    )


def keep_card(workshop: Workshop, plan_code: str, given: Mapping[str, str]) -> str:
    """Keep a card as a new run of its plan and return the run's code.

    Parameters
    ----------
    workshop : Workshop
        Open.
    plan_code : str
        As it stands on the card.
    given : mapping
        Field to text, as typed; ``once`` from the form, so that a second press keeps nothing new.

    Raises
    ------
    NotFound
        If there is no such plan.
    Invalid
        With a question or refusal for each field that cannot be used. Nothing is kept then.
    """
    plan = workshop.plans.get(plan_code)
    once = given.get("once", "")
    once = once if ID.fullmatch(once) else new_id()
    kept = _kept_already(workshop, plan, once)
    if kept is not None:
        return kept.code
    shape = shape_of(plan)
    entry = read_card(given, shape)
    wall = now()
    start, unknown = started(entry, now=wall, lasts=lasting(entry, shape))
    raw = card_events(entry, shape, start=start, unknown=unknown, now=wall, first_id=once)
    events = [read_event(each) for each in raw]
    code = begin(workshop, plan.code, device=DEVICE, moulds=entry.moulds or 1)
    workshop.runs.add(code, events, device=DEVICE, now=now())
    return code


def _kept_already(workshop: Workshop, plan: KeptPlan, once: str) -> KeptRun | None:
    return next(
        (
            run
            for run in workshop.runs.listed(most=LOOKED_AT)
            if run.plan_code == plan.code
            and run.device == DEVICE
            and any(event.id == once for event in workshop.runs.events(run.code))
        ),
        None,
    )


def _carried(workshop: Workshop, plan: KeptPlan) -> dict[str, Carried]:
    bench = workshop.benches.version(plan.bench.id).content
    unit = "F" if bench.reads_fahrenheit else "C"
    found = {
        "day": Carried(value=f"{now().astimezone():%Y-%m-%d}", source="today"),
        "unit": Carried(value=unit, source="the bench"),
        "shots": Carried(value=str(shape_of(plan).shots), source="the plan"),
    }
    recipe = workshop.recipes.version(plan.recipe.id).content
    if recipe.handling.push is not None:
        found["push"] = Carried(value=f"{recipe.handling.push:g}", source="the recipe")
    last = _last_run(workshop, plan)
    if last is None:
        return found
    events = workshop.runs.events(last.code)
    if not any("moulds" in _listed(event, "assumed") for event in events):
        found["moulds"] = Carried(value=str(last.moulds), source=f"run {last.code}")
    pushes = _pushes(events)
    if pushes:
        found["push"] = Carried(value=f"{median(pushes):.3g}", source=f"run {last.code}")
    return found


def _last_run(workshop: Workshop, plan: KeptPlan) -> KeptRun | None:
    """Return the newest run, no practice, with this mould."""
    for run in workshop.runs.listed(most=LOOKED_AT):
        mould = workshop.plans.get(run.plan_code).mould
        if run.practice is None and mould.document_id == plan.mould.document_id:
            return run
    return None


def _listed(event: Event, key: str) -> list[object]:
    value = event.data.get(key)
    return value if isinstance(value, list) else []


def _pushes(events: tuple[Event, ...]) -> list[float]:
    """Return the pushes that somebody timed, as they stand."""
    timed = (
        told.event.number("push_s")
        for told in as_it_stands(events)
        if told.event.kind is Kind.SHOT
        and not told.is_void
        and "push_s" not in _listed(told.event, "carried_over")
    )
    return [each for each in timed if each is not None]
