"""The record as it reads: one short sentence for each thing that happened."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta

from partline.process.run import Event, Kind, RunPlan, Told
from partline.quantities.constants import ZERO_CELSIUS
from partline.services.runs.photo_events import photo_sentence
from partline.studies.diagnosis import LOOKS

Json = dict[str, object]
#: How long a shot can be taken back with one press. [s]
UNDO = 5.0


def log_entry(told: Told, plan: RunPlan, stir_ages: Mapping[str, float | None]) -> Json:
    """Return one event as the record shows it: corrected, the old one beside it.

    Parameters
    ----------
    told : Told
        The event.
    plan : RunPlan
        That the run follows.
    stir_ages : mapping of str to float or None
        How long before each draw was stirred; see `RunState.stir_ages`. [s]
    """
    event = told.event
    stirred = _stirred(event, stir_ages)
    text = sentence(event, plan) + stirred
    was = sentence(told.first, plan) + stirred
    undo = event.at + timedelta(seconds=UNDO) if event.kind is Kind.SHOT else None
    return {
        "id": event.id,
        "kind": event.kind.value,
        "at": moment(event.at),
        "text": text,
        "was": was if told.corrected_by and not told.is_void and was != text else None,
        "can_undo_until": None if undo is None or told.is_void else moment(undo),
        "is_void": told.is_void,
        "device": event.device,
    }


def _stirred(event: Event, stir_ages: Mapping[str, float | None]) -> str:
    if event.kind is not Kind.DRAW or event.id not in stir_ages:
        return ""
    age = stir_ages[event.id]
    return ", not stirred before" if age is None else f", stirred {age:.0f} s before"


def moment(at: datetime) -> str:
    """Return a moment, in UTC, as the wire says it."""
    return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def sentence(event: Event, plan: RunPlan) -> str:
    """Return what happened, in a maker's words."""
    tell = _SENTENCES.get(event.kind)
    return _plain(event) if tell is None else tell(event, plan)


def _cups(event: Event, plan: RunPlan) -> str:
    is_both = event.cup is None and len(plan.letters) > 1
    return "both cups" if is_both else f"cup {event.cup or 'A'}"


def _set_up(event: Event, _: RunPlan) -> str:
    missing = event.data.get("missing")
    left = ", ".join(map(str, missing)) if isinstance(missing, list) else ""
    return f"Set up, not seen to: {left}" if left else "Set up"


def _reading(event: Event, plan: RunPlan) -> str:
    kelvin = (event.number("celsius") or 0.0) + ZERO_CELSIUS
    return f"Read {_cups(event, plan)}: {plan.bench.reading(kelvin)}"


def _added(event: Event, plan: RunPlan) -> str:
    where = "left out of" if event.data.get("skipped") is True else "into"
    return f"{event.text('supply')} {where} {_cups(event, plan)}"


def _shot(event: Event, _: RunPlan) -> str:
    push = event.number("push_s")
    timed = "" if push is None else f", pushed in {push:.1f} s"
    return f"Shot into mould {_mould(event)}{timed}"


def _mould(event: Event) -> int:
    return int(event.number("mould") or 1)


def _first_shot(event: Event, _: RunPlan) -> str:
    return f"First bait: dark side {'up' if event.data.get('dark_side_up') is True else 'down'}"


def _looked(event: Event, _: RunPlan) -> str:
    look = LOOKS.get(event.text("look"))
    question = event.text("look") if look is None else look.question
    by = ", by a photo" if event.text("photo") else ""
    return f"{question} {'Yes' if event.data.get('seen') is True else 'No'}{by}"


def _cause(event: Event, _: RunPlan) -> str:
    told = event.text("cause")
    return f"It was this: {told}" if told else "What it was: not told any more"


def _judged(event: Event, _: RunPlan) -> str:
    return f"{event.number('good') or 0:g} of {event.number('moulded') or 0:g} good"


def _pinned(event: Event, _: RunPlan) -> str:
    return _with("Pinned as a good run", "Pin taken off", event, "pinned", "text")


def _set_aside(event: Event, _: RunPlan) -> str:
    return _with("Set aside", "Counts again", event, "aside", "why")


def _with(yes: str, no: str, event: Event, is_it: str, said: str) -> str:
    word = yes if event.data.get(is_it) is True else no
    return f"{word}: {event.text(said)}" if event.text(said) else word


_SENTENCES: dict[Kind, Callable[[Event, RunPlan], str]] = {
    Kind.TICK: lambda event, _: f"Seen to: {event.text('key')}",
    Kind.SET_UP: _set_up,
    Kind.WEIGH: lambda event, plan: (
        f"{'Left in' if event.data.get('left') is True else 'Weighed into'} "
        f"{_cups(event, plan)}: {event.number('grams') or 0:g} g"
    ),
    Kind.BURST: lambda event, plan: (
        f"Oven, {_cups(event, plan)}: {event.number('seconds') or 0:g} s"
    ),
    Kind.STIR: lambda event, plan: f"Stirred {_cups(event, plan)}",
    Kind.READING: _reading,
    Kind.ADD: _added,
    Kind.SHOT: _shot,
    Kind.OPEN: lambda event, _: f"Opened mould {_mould(event)}",
    Kind.FIRST_SHOT: _first_shot,
    Kind.LOOK: _looked,
    Kind.PHOTO_MEASURE: lambda event, _: photo_sentence(event),
    Kind.ADVICE: lambda event, _: f"Next time: {event.text('action')}",
    Kind.CAUSE: _cause,
    Kind.JUDGE: _judged,
    Kind.PIN: _pinned,
    Kind.SET_ASIDE: _set_aside,
}
_WORDS = {
    Kind.HEAT: "Heat again",
    Kind.DRAW: "Drawn",
    Kind.STOP: "Stopped this heat",
    Kind.FINISH: "Last shot made",
    Kind.PAUSE: "Stopped",
    Kind.RESUME: "Gone on",
    Kind.WRONG: "Something is wrong",
    Kind.HELP: "Help opened",
    Kind.PHOTO: "Photo taken",
    Kind.NOTE: "Note",
    Kind.CONFIRM: "Confirmed",
    Kind.CLOSE: "Closed",
    Kind.CORRECTION: "Corrected",
}


def _plain(event: Event) -> str:
    word = _WORDS[event.kind]
    said = [event.text(key) for key in ("what", "topic", "why", "text") if event.text(key)]
    return f"{word}: {', '.join(said)}" if said else word
