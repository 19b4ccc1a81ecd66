"""A practice run with all that was told of it and the pretended bench that goes with it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from partline.errors import InputError
from partline.process.run import Event, Kind, RunState, Told, as_it_stands, run_state, run_states
from partline.records.workshop import Workshop
from partline.services.runs.clock import run_clock
from partline.services.runs.practice.acts import NOBODY, acts_of
from partline.services.runs.practice.options import Practice, hidden_slips, read_practice
from partline.services.runs.practice.replay import Replay, Stage, replayed
from partline.services.runs.practice.slips import Hiding, hiding
from partline.services.runs.standing import Followed, followed
from partline.services.workshop import now as wall_now


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """A practice run at one moment.

    Parameters
    ----------
    run : Followed
        With what it follows.
    practice : Practice
        As it was asked for.
    events : tuple of Event
        All that was told up to now.
    told : tuple of Told
        The same, corrected, in order.
    steps : tuple of (Event, RunState, RunState)
        What counts, with where the run stood before and after it.
    state : RunState
        Where the run stands, questions not minded.
    hiding : Hiding
        The mistakes in it.
    replay : Replay
        The pretended bench.
    now : datetime
        On the run's own clock.
    """

    run: Followed
    practice: Practice
    events: tuple[Event, ...]
    told: tuple[Told, ...]
    steps: tuple[tuple[Event, RunState, RunState], ...]
    state: RunState
    hiding: Hiding
    replay: Replay
    now: datetime

    @property
    def begun(self) -> datetime:
        """When the clock of the bench began."""
        return self.run.run.created_at

    def seconds(self, at: datetime) -> float:
        """Return a moment on the clock of the bench. [s]"""
        return max((at - self.begun).total_seconds(), 0.0)

    def moment(self, seconds: float) -> datetime:
        """Return a moment [s] on the run's clock."""
        return self.begun + timedelta(seconds=seconds)

    def stage(self, at: datetime | None = None) -> Stage:
        """Return the bench at a moment, now when none is told."""
        return self.replay.at(self.seconds(self.now if at is None else at))

    @property
    def readings(self) -> tuple[Told, ...]:
        """Readings told so far, those that were taken back among them."""
        return tuple(each for each in self.told if each.event.kind is Kind.READING)


def session(workshop: Workshop, code: str, *, now: datetime | None = None) -> Session:
    """Return a practice run as it is now.

    Raises
    ------
    NotFound
        If there is no such run.
    InputError
        If it is no practice run.
    """
    run = followed(workshop, code)
    if run.run.practice is None:
        raise InputError(
            f"Run {run.run.code} is no practice run: its bench is the one before you.",
            field="run", given=code[:40],
        )  # fmt: skip
    at = run_clock(run.run, wall_now()) if now is None else now
    practice = read_practice(run.run.practice)
    events = tuple(each for each in workshop.runs.events(run.run.code) if each.at <= at)
    begun = run.run.created_at
    until = max((at - begun).total_seconds(), 0.0)
    acts = acts_of(events, run.plan, begun)
    return Session(
        run=run,
        practice=practice,
        events=events,
        told=as_it_stands(events),
        steps=tuple(run_states(events, run.plan, doubted=NOBODY)),
        state=run_state(events, run.plan, doubted=NOBODY),
        hiding=hiding(practice.seed, hidden_slips(practice, run.plan), run.plan),
        replay=replayed(run.run.code, practice.seed, run.plan, acts, until),
        now=at,
    )
