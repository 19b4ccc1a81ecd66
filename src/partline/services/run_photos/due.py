"""What photos are due: a run's baits on the day, after a week and after a month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from partline.process.run import Event, Kind, as_it_stands
from partline.records.runs import KeptRun
from partline.records.workshop import Workshop
from partline.services.run_photos.run_days import DAY, days_since, first_shot
from partline.services.runs.photo_events import WORDS, photo_measures
from partline.services.workshop import now

Json = dict[str, Any]
#: Days on which baits are photographed, common practice, no source; and the first and the last
#: day whose photo counts for each. [d]
WINDOWS: Final = {0: (0, 2), 7: (5, 14), 30: (25, 60)}
#: A run that was begun longer ago has nothing due any more. [d]
OLDEST: Final = 62
_OVER = (Kind.FINISH, Kind.JUDGE, Kind.CLOSE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A day whose photo is due, or will be next.

    Parameters
    ----------
    day : int
        0, 7 or 30. [d]
    on : datetime
        When that day begins.
    until : datetime
        After which a photo of it is too late.
    is_due : bool
        Whether it is due now.
    shows : tuple of str
        What the first day's photos show, to be taken again; all kinds where there are none.
    """

    day: int
    on: datetime
    until: datetime
    is_due: bool
    shows: tuple[str, ...]


def next_photo(events: Sequence[Event], at: datetime) -> Due | None:
    """Return the photo of a run that is due, or the next one; None where none is.

    Parameters
    ----------
    events : sequence of Event
        All that was told of the run.
    at : datetime
        Now.
    """
    told = [each.event for each in as_it_stands(events) if not each.is_void]
    start = first_shot(events)
    aside = [each.data.get("aside") is True for each in told if each.kind is Kind.SET_ASIDE]
    is_over = any(each.kind in _OVER for each in told)
    if start is None or not is_over or (aside and aside[-1]):
        return None
    measures = photo_measures(events)
    today = days_since(start, at)
    for day, (first, last) in WINDOWS.items():
        taken = any(first <= each.day <= last for each in measures)
        # Without an earlier photo a later one has nothing to be compared with.
        is_first = not any(each.day < first for each in measures)
        if taken or today > last or (day and is_first):
            continue
        shows = tuple(dict.fromkeys(WORDS[each.subject] for each in measures))
        return Due(
            day=day,
            on=start + timedelta(seconds=day * DAY),
            until=start + timedelta(seconds=(last + 1) * DAY),
            is_due=today >= day,
            shows=shows or tuple(WORDS.values()),
        )
    return None


def photos_due(workshop: Workshop, *, at: datetime | None = None) -> Json:
    """Return which photos of which runs are due, and which come next.

    Parameters
    ----------
    workshop : Workshop
        Open.
    at : datetime, optional
        Now, where it is another time than the clock's.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    at = at or now()
    due: list[Json] = []
    coming: list[Json] = []
    for run in workshop.runs.listed():
        if run.practice is not None or days_since(run.created_at, at) > OLDEST:
            continue
        found = next_photo(workshop.runs.events(run.code), at)
        if found is not None:
            (due if found.is_due else coming).append(_as_json(workshop, run, found))
    return {
        "due": sorted(due, key=lambda each: str(each["until"])),
        "coming": sorted(coming, key=lambda each: str(each["on"])),
    }


def _as_json(workshop: Workshop, run: KeptRun, found: Due) -> Json:
    plan = workshop.plans.get(run.plan_code)
    return {
        "run": run.code,
        "recipe": plan.recipe.name,
        "mould": plan.mould.name,
        **due_json(found),
    }


def due_json(found: Due) -> Json:
    """Return a due photo for page and command line."""
    return {
        "day": found.day,
        "on": found.on.date().isoformat(),
        "until": found.until.date().isoformat(),
        "shows": list(found.shows),
        "is_due": found.is_due,
    }
