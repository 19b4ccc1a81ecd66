"""The verdict on a run: causes, actions, the one next look, and the one change to make."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from partline.errors import Impossible, NotFound
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.recipe import Recipe
from partline.process.rendering import Quality
from partline.process.run import Kind, as_it_stands
from partline.quantities.constants import ZERO_CELSIUS
from partline.records.models import new_code
from partline.records.workshop import Workshop
from partline.services.look import LookAnswer, preview_look
from partline.services.runs import record
from partline.services.runs.clock import run_clock
from partline.services.runs.forecasts import advice_taken, run_after
from partline.services.runs.log import moment
from partline.services.runs.standing import followed
from partline.services.tables import keeper
from partline.services.verdicts.cases import OwnCase, confirmed, own_cases
from partline.services.verdicts.evidence import Evidence, evidence, good_run
from partline.services.verdicts.law import foretold_looks, law_odds
from partline.services.verdicts.made import made_odds
from partline.services.verdicts.remedy import Remedy, remedy
from partline.services.workshop import now
from partline.studies.diagnosis import LOOKS, Cause, Source, Verdict, verdict

__all__ = ["answer_looks", "confirm_cause", "run_verdict", "take_change"]

Json = dict[str, Any]
NOT_LOOKED = "Nothing has been looked at yet."


def run_verdict(workshop: Workshop, code: str) -> Json:
    """Return what spoiled a run, as far as its record and its looks tell.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    run = followed(workshop, code)
    events = workshop.runs.events(run.run.code)
    known = evidence(run, events)
    quality = keeper().renderer(run.mould).quality
    look = _predicted(run.recipe, run.mould, run.shelf, quality)
    # With nothing looked at all causes stay level, whatever was to be expected.
    is_looked = known.is_looked
    law = {**law_odds(look), **made_odds(workshop, run)} if is_looked else {}
    own = own_cases(workshop, run.run.code)
    found = verdict(
        known.seen if is_looked else {}, day=known.days, law=law,
        cases=tuple(each.case for each in own), foretold=foretold_looks(known),
    )  # fmt: skip
    good = good_run(events, run.bench.reject_share, known.seen)
    is_told = is_looked and found.is_action_told and not good
    first = found.actions[0]
    return {
        "run": run.run.code,
        "headline": good or (_headline(found) if is_looked else NOT_LOOKED),
        "is_good": bool(good),
        "is_cause_told": is_looked and found.is_cause_told and not good,
        "is_action_told": is_told,
        "together": [] if found.together is None else [each.value for each in found.together.pair],
        "causes": [
            {
                "cause": each.cause.value,
                "share": round(each.share, 3),
                "ratio": round(min(each.ratio, 999.0), 2),
                "law_odds": round(law.get(each.cause, 1.0), 2),
                "cases": sum(1 for mine in own if mine.case.cause is each.cause),
                "because": [_seen(key, known) for key in each.because],
            }
            for each in found.causes
        ],
        "actions": [
            {"action": each.action.value, "share": round(each.share, 3)} for each in found.actions
        ],
        "next_look": None if good else _next(found),
        "change": _change(remedy(first.action, run, look, known), is_trial=not is_told)
        if is_told or (is_looked and found.next_look is None and not good)
        else None,
        "taken": advice_taken(events),
        "after_it": run_after(workshop, run.run, events),
        "confirmed": cause.value if (cause := confirmed(events)) is not None else None,
        "cases": [{"run": each.run.code, "cause": each.case.cause.value} for each in own],
        "seen": [{"look": key, "seen": answer} for key, answer in sorted(known.seen.items())],
        "looks": [
            {
                "look": look.key,
                "question": look.question,
                "source": look.source.value,
                "seen": known.seen.get(look.key),
            }
            for look in LOOKS.values()
            if look.source is not Source.RECORD
        ],
        "record": _record(known, fahrenheit=run.bench.reads_fahrenheit),
        "days": round(known.days, 1),
        "origin": _origin(own),
    }


@lru_cache(maxsize=16)
def _predicted(recipe: Recipe, mould: Mould, shelf: Shelf, _: Quality) -> LookAnswer:
    """Predict once what a verdict asks for after every look; a finer table asks again."""
    return preview_look(recipe, mould, shelf)


def answer_looks(
    workshop: Workshop, code: str, answers: Mapping[str, bool | None], *, device: str = ""
) -> None:
    """Tell a run what was seen; an answer that stands already is not told again.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.
    answers : mapping of str to bool or None
        By the look's key; None takes an answer back.
    device : str
        That tells.

    Raises
    ------
    NotFound
        If there is no such run or look.
    """
    run = followed(workshop, code)
    told = [each for each in as_it_stands(workshop.runs.events(run.run.code)) if not each.is_void]
    looks = [each.event for each in told if each.event.kind is Kind.LOOK]
    standing = {event.text("look"): event for event in looks}
    at = moment(run_clock(run.run, now()))
    events: list[Json] = []
    for key, seen in answers.items():
        if key not in LOOKS:
            raise NotFound(f"There is no look called “{key[:40]}”.")
        before = standing.get(key)
        if before is None and seen is None:
            continue
        if before is not None and before.data.get("seen") is seen:
            continue
        if seen is None:
            every = [event.id for event in looks if event.text("look") == key]
            events += [
                {"kind": "correction", "data": {"of": each, "void": True}} for each in every
            ]
        else:
            events.append({"kind": "look", "data": {"look": key, "seen": seen}})
    full = [{"id": new_code(20), "at": at, **each} for each in events]
    if full:
        record(workshop, run.run.code, full, device=device)


def take_change(workshop: Workshop, code: str, *, device: str = "") -> None:
    """Tell a run that its verdict's change is going to be made; the next forecast rests on it.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.
    device : str
        That tells.

    Raises
    ------
    NotFound
        If there is no such run.
    Impossible
        If no action is told: there is nothing to take.
    """
    found = run_verdict(workshop, code)
    change = found["change"]
    if change is None:
        raise Impossible(
            "No change is told yet, so there is none to make.",
            nearest="Answer the look that is asked for next.",
        )
    run = followed(workshop, code)
    first = found["actions"][0]
    data = {"action": first["action"], "share": first["share"], "text": change["text"][:500]}
    at = moment(run_clock(run.run, now()))
    event = {"id": new_code(20), "kind": "advice", "at": at, "data": data}
    record(workshop, run.run.code, [event], device=device)


def confirm_cause(workshop: Workshop, code: str, cause: str | None, *, device: str = "") -> None:
    """Tell a run what spoiled it after all; told as it stands already, nothing is told again.

    Parameters
    ----------
    workshop : Workshop
        Open.
    code : str
        Of the run.
    cause : str or None
        One of `Cause`; None takes it back.
    device : str
        That tells.

    Raises
    ------
    NotFound
        If there is no such run or cause.
    """
    run = followed(workshop, code)
    wanted = None if cause is None else _cause_named(cause)
    if confirmed(workshop.runs.events(run.run.code)) is wanted:
        return
    data = {"cause": None if wanted is None else wanted.value}
    at = moment(run_clock(run.run, now()))
    event = {"id": new_code(20), "kind": "cause", "at": at, "data": data}
    record(workshop, run.run.code, [event], device=device)


def _cause_named(name: str) -> Cause:
    try:
        return Cause(name.strip().lower())
    except ValueError:
        known = ", ".join(Cause)
        raise NotFound(f"There is no cause called “{name[:40]}”; known are {known}.") from None


def _origin(own: tuple[OwnCase, ...]) -> str:
    laws = "odds of the laws are computed from the recipe and the mould"
    if not own:
        return f"starting odds of the looks are guesses of the trade (default); {laws}"
    runs = "1 run of your own" if len(own) == 1 else f"{len(own)} runs of your own"
    return (
        f"starting odds of the looks are guesses of the trade (default), moved by {runs} with a "
        f"confirmed cause (measured); {laws}"
    )


def _headline(found: Verdict) -> str:
    first, second = found.causes[:2]
    if found.together is not None:
        one, other = found.together.pair
        start = f": {found.actions[0].action.value} comes first" if found.is_action_told else ""
        return f"Two things at once, {one.value} and {other.value}{start}."
    if found.is_cause_told:
        return f"{first.cause.value.capitalize()}, {_percent(first.share)}."
    both = (
        f"{first.cause.value} ({_percent(first.share)}) or "
        f"{second.cause.value} ({_percent(second.share)})"
    )
    if found.is_action_told:
        action = found.actions[0]
        return (
            f"Not enough to tell {both} apart; the same is to be done: {action.action.value} "
            f"({_percent(action.share)})."
        )
    return f"Not enough to tell: {both}."


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _seen(key: str, known: Evidence) -> str:
    return f"{LOOKS[key].question} {'Yes' if known.seen[key] else 'No'}"


def _next(found: Verdict) -> Json | None:
    told = found.next_look
    if told is None:
        return None
    return {
        "look": told.look.key,
        "question": told.look.question,
        "source": told.look.source.value,
        "minutes": told.look.effort,
        "now": round(told.now, 3),
        "if_yes": round(told.if_yes, 3),
        "if_no": round(told.if_no, 3),
        "expected": round(told.expected, 3),
    }


def _change(found: Remedy, *, is_trial: bool) -> Json:
    return {
        "is_trial": is_trial,
        "text": found.text,
        "leave": found.leave,
        "check": found.check,
        "origin": found.origin,
        "steps": [
            {
                "what": step.what,
                "half": step.half or None,
                "supply": step.supply or None,
                "now": step.now,
                "then": step.then,
                "low": round(step.low, 2),
                "high": round(step.high, 2),
                "unit": step.unit,
            }
            for step in found.steps
        ],
    }


def _record(known: Evidence, *, fahrenheit: bool) -> Json:
    def shown(kelvin: float | None, *, is_difference: bool = False) -> float | None:
        if kelvin is None:
            return None
        value = kelvin if is_difference else kelvin - ZERO_CELSIUS
        if fahrenheit:
            value = value * 1.8 + (0.0 if is_difference else 32.0)
        return round(value, 1)

    return {
        "unit": "°F" if fahrenheit else "°C",
        "hottest_start": shown(known.start),
        "a_less_b": shown(known.apart, is_difference=True),
        "push_s": None if known.push is None else round(known.push, 1),
        "wanted_push_s": known.wanted_push,
    }
