"""Whether the start that was forecast held, against the pretended cups left to fall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from partline.process.run import Event, Kind
from partline.services.runs.matching import start_of
from partline.services.runs.practice.acts import Act, Does
from partline.services.runs.practice.replay import Stage
from partline.services.runs.practice.session import Session
from partline.services.runs.standing import standing

#: A start further off than this is not waited for. [s]
LONGEST = 900.0
#: Where it lies is looked for in such steps. [s]
STEP = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastStart:
    """One start, as it was told by the last reading before the first draw.

    Parameters
    ----------
    melt, heat : int
        Of which.
    low, mid, high : float
        From that reading on, as it was told. [s]
    true : float or None
        When both cups would have read the start of the band; None where not within a quarter of
        an hour. [s]
    """

    melt: int
    heat: int
    low: float
    mid: float
    high: float
    true: float | None

    @property
    def is_held(self) -> bool:
        """Whether the truth lies within the range that was told."""
        return self.true is not None and self.low <= self.true <= self.high


def starts(session: Session) -> tuple[ForecastStart, ...]:
    """Return the start of every heat that was waited for with a reading."""
    return tuple(_starts(session))


def _starts(session: Session) -> Iterator[ForecastStart]:
    last: Event | None = None
    done: set[tuple[int, int]] = set()
    for event, before, after in session.steps:
        if event.kind is Kind.READING:
            last = event
        is_drawn = any(len(cup.draws) > len(before.cups[k].draws) for k, cup in after.cups.items())
        heat = (after.melt, max(after.heat, 1))
        if not is_drawn or heat in done:
            continue
        done.add(heat)
        if last is not None and (found := _start(session, last, heat)) is not None:
            yield found
        last = None


def _start(session: Session, reading: Event, heat: tuple[int, int]) -> ForecastStart | None:
    known = [e for e in session.events if e.at <= reading.at and e.place <= reading.place]
    stands = standing(session.run, tuple(known), reading.at)
    start = start_of(stands.cups, stands.match)
    if start is None or start.mid <= reading.at or any(c.wants_heat for c in stands.cups.values()):
        return None
    low, mid, high = (
        (at - reading.at).total_seconds() for at in (start.low, start.mid, start.high)
    )
    return ForecastStart(
        melt=heat[0], heat=heat[1], low=low, mid=mid, high=high,
        true=_true_start(session, reading.at),
    )  # fmt: skip


def _true_start(session: Session, at: datetime) -> float | None:
    """Return when the cups would read the start, stirred as they were, nothing drawn. [s]"""
    zero = session.seconds(at)
    stage = session.replay.at(zero)
    stirs = [
        act for act in session.replay.acts
        if zero < act.at <= zero + LONGEST and act.does is Does.STIR
    ]  # fmt: skip
    start, clock = session.run.plan.band[1], zero
    while clock < zero + LONGEST:
        if stage.bench.stirred_reading().max() <= start:
            return clock - zero
        clock += STEP
        stage = _gone_on(stage, stirs, clock)
    return None


def _gone_on(stage: Stage, stirs: list[Act], clock: float) -> Stage:
    while stirs and stirs[0].at <= clock:
        stage = stage.after(stirs.pop(0))
    return stage.later(clock)
