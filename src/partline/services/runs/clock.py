"""The time of a run: the wall's, or in a practice run a faster one."""

from __future__ import annotations

from datetime import datetime

from partline.records.runs import KeptRun


def speed_of(run: KeptRun) -> float:
    """Return how many times faster than a clock a run goes; 1 but in practice."""
    speed = (run.practice or {}).get("speed")
    is_number = isinstance(speed, int | float) and not isinstance(speed, bool)
    return float(speed) if is_number else 1.0  # type: ignore[arg-type]


def run_clock(run: KeptRun, wall: datetime) -> datetime:
    """Return the time of a run: the wall's, or in a practice run as much faster as was asked."""
    speed = speed_of(run)
    if speed == 1.0:
        return wall
    return run.created_at + speed * (wall - run.created_at)
