"""The maker's own cases: runs of which it was found out later what spoiled them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partline.process.run import Event, Kind, as_it_stands
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.runs.standing import followed
from partline.services.verdicts.evidence import evidence
from partline.studies.diagnosis import Case, Cause

#: Cases that were read, by workshop, run and number of its events: the same tell the same.
_READ: dict[tuple[str, str, int], Case | None] = {}
#: Runs that are asked, and cases that are kept read.
MOST = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCase:
    """A run whose cause was confirmed.

    Parameters
    ----------
    run : KeptRun
        Which.
    case : Case
        What it tells.
    """

    run: KeptRun
    case: Case


def confirmed(events: Sequence[Event]) -> Cause | None:
    """Return the cause that stands confirmed of a run; None where none does."""
    told = _cause_event(events)
    return None if told is None or not told.text("cause") else Cause(told.text("cause"))


def _cause_event(events: Sequence[Event]) -> Event | None:
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    causes = [event for event in told if event.kind is Kind.CAUSE]
    return causes[-1] if causes else None


def own_cases(workshop: Workshop, but: str) -> tuple[OwnCase, ...]:
    """Return every confirmed case of a workshop, the oldest first.

    Parameters
    ----------
    workshop : Workshop
        Open.
    but : str
        Code of the run that a verdict is asked of: none is judged by itself.

    Returns
    -------
    tuple of OwnCase
        Without practice runs and those set aside.
    """
    found = []
    for run in reversed(workshop.runs.listed(most=MOST, with_kind=Kind.CAUSE)):
        if run.practice is not None or run.code == but:
            continue
        case = _case(workshop, run)
        if case is not None:
            found.append(OwnCase(run=run, case=case))
    return tuple(found)


def _case(workshop: Workshop, run: KeptRun) -> Case | None:
    events = workshop.runs.events(run.code)
    key = (str(workshop.database.path), run.code, len(events))
    if key not in _READ:
        while len(_READ) >= MOST:
            _READ.pop(next(iter(_READ)))
        _READ[key] = _read(workshop, run, events)
    return _READ[key]


def _read(workshop: Workshop, run: KeptRun, events: tuple[Event, ...]) -> Case | None:
    told, cause = _cause_event(events), confirmed(events)
    if told is None or cause is None or _is_aside(events):
        return None
    # What was looked at later, with the cause known, is no fresh sight of it.
    by_then = [
        event for event in events if event.kind is not Kind.LOOK or event.place <= told.place
    ]
    seen = evidence(followed(workshop, run.code), by_then).seen
    return Case(cause=cause, seen=seen)


def _is_aside(events: Sequence[Event]) -> bool:
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    aside = [event.data.get("aside") is True for event in told if event.kind is Kind.SET_ASIDE]
    return bool(aside) and aside[-1]
