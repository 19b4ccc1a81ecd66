"""Days of a run, counted from its first shot."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from partline.process.run import Event, Kind, as_it_stands

#: [s]
DAY = 86_400.0


def first_shot(events: Iterable[Event]) -> datetime | None:
    """Return when the first shot of a run was made; None where none was told."""
    told = as_it_stands(events)
    shots = [each.event.at for each in told if each.event.kind is Kind.SHOT and not each.is_void]
    return min(shots, default=None)


def days_since(start: datetime, at: datetime) -> int:
    """Return the whole days between two moments, never below 0. [d]"""
    return max(int((at - start).total_seconds() // DAY), 0)
