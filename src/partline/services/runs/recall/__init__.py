"""Good runs found again: pinned, searched, and what changed since the last good one."""

from __future__ import annotations

from typing import Any

from partline.records.models import new_code
from partline.records.workshop import Workshop
from partline.services.luck import alike_sentence, luck_answer, tally_sentence
from partline.services.runs.clock import run_clock
from partline.services.runs.log import moment
from partline.services.runs.recall.facts import run_facts
from partline.services.runs.recall.search import find
from partline.services.runs.recall.since import changed, good_run
from partline.services.runs.wire import read_event
from partline.services.workshop import now

__all__ = ["changed", "find", "good_run", "pin", "run_luck", "set_aside"]

Json = dict[str, Any]
#: Letters of an event's id, and of what is said with a pin.
ID_LETTERS, LONGEST_TEXT = 20, 500


def pin(
    workshop: Workshop, code: str, *, pinned: bool = True, text: str = "", device: str = ""
) -> Json:
    """Pin a run as a good one, or take the pin off; return where it stands.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    return _tell(workshop, code, "pin", {"pinned": pinned, "text": text[:LONGEST_TEXT]}, device)


def set_aside(
    workshop: Workshop, code: str, *, aside: bool = True, why: str = "", device: str = ""
) -> Json:
    """Set a run aside, so that nothing goes back to it, or take it in again.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    return _tell(workshop, code, "set_aside", {"aside": aside, "why": why[:LONGEST_TEXT]}, device)


def _tell(workshop: Workshop, code: str, kind: str, data: Json, device: str) -> Json:
    run = workshop.runs.get(code)
    at = moment(run_clock(run, now()))
    told = {"id": new_code(ID_LETTERS), "kind": kind, "at": at, "cup": None, "data": data}
    clock = run_clock(run, now())
    # Where the run stands otherwise is not asked: that takes far longer than to keep one event.
    workshop.runs.add(run.code, [read_event(told)], device=device, now=clock)
    state = run_facts(workshop, run.code, with_heats=False).state
    return {"code": run.code, "is_pinned": state.is_pinned, "is_aside": state.is_aside}


def run_luck(workshop: Workshop, code: str) -> Json | None:
    """Return what a run's count tells: sentence, and what is taken of baits of one shot.

    None until the run was judged.

    Raises
    ------
    NotFound
        If there is no such run.
    """
    tally = run_facts(workshop, code, with_heats=False).tally
    if tally is None:
        return None
    return {
        "sentence": tally_sentence(tally),
        "alike": alike_sentence(tally) or None,
        **luck_answer(tally)["first"],
    }
