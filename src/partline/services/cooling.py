"""The countdown of one or two cooling cups, from what a maker types."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from partline.process.bench import Bench
from partline.quantities.estimate import Estimate
from partline.services.cooling_asked import Cooling, read_cooling, read_schedule
from partline.studies.countdown import (
    Band,
    Countdown,
    Match,
    NextReading,
    Pair,
    Schedule,
    ShotsLeft,
    Slot,
    countdown,
)

#: A stop that is taken where nobody gave one, only to have a slot to look in: far below. [K]
NO_STOP = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingAnswer:
    """Everything that was asked about cups that cool.

    Parameters
    ----------
    asked : Cooling
        What was typed, read.
    cups : dict of Countdown
        By cup.
    start : Estimate
        When to start: when the later cup is down to the start. [s]
    stop : Estimate or None
        When the earlier cup is down to the stop, emptied on the way where draws were told. [s]
    slot : Slot or None
        Both cups' slot; None for one cup or without a stop.
    match : Match or None
        None for one cup.
    schedule : Schedule or None
        The draws to come.
    shots : dict of ShotsLeft
        By cup; empty where no draws were told.
    next_reading : NextReading
        Of the cup that is waited for.
    """

    asked: Cooling
    cups: dict[str, Countdown]
    start: Estimate
    stop: Estimate | None
    slot: Slot | None
    match: Match | None
    schedule: Schedule | None
    shots: dict[str, ShotsLeft]
    next_reading: NextReading

    @property
    def is_due(self) -> bool:
        """Whether the start is not ahead any more."""
        return self.start.value <= self.asked.now


def cool(
    readings: Iterable[str], given: Mapping[str, str], bench: Bench | None = None
) -> CoolingAnswer:
    """Count down to the start and the stop of a pour.

    Parameters
    ----------
    readings : iterable of str
        As typed, such as ``0s=174C`` or ``B:40s=168C unstirred``.
    given : mapping of str to str
        As typed: ``start``, ``stop``, ``room``, ``mass``, ``now``, ``draw``, ``every``,
        ``draws``; empty for what was left out.
    bench : Bench, optional
        Whose vessel, room and thermometer.

    Returns
    -------
    answer : CoolingAnswer
        With a range on every time.

    Raises
    ------
    Ambiguous, InputError, OutOfRange
        If something cannot be used, or must be asked about.
    """
    asked = read_cooling(readings, given, bench)
    cups = {cup: countdown(history, asked.now) for cup, history in asked.histories.items()}
    later = max(cups.values(), key=lambda each: each.crossing(asked.start).value)
    pair = _pair(cups)
    slot = pair.slot(*_bands(asked)) if pair else None
    start = slot.opens if slot else later.crossing(asked.start)
    schedule = read_schedule(given, asked, start.value)
    shots = {}
    stop = None
    if asked.stop is not None:
        stop = slot.closes if slot else later.crossing(asked.stop)
    if schedule is not None and asked.stop is not None:
        wanted = asked.stop
        shots = {cup: each.shots_left(wanted, schedule) for cup, each in cups.items()}
        stop = min((each.stop for each in shots.values()), key=lambda each: each.value)
    target = asked.start
    if start.value <= asked.now and asked.stop is not None:
        target = asked.stop
    return CoolingAnswer(
        asked=asked,
        cups=cups,
        start=start,
        stop=stop,
        slot=slot if asked.stop is not None else None,
        match=pair.match(asked.now) if pair else None,
        schedule=schedule,
        shots=shots,
        next_reading=later.next_reading(target),
    )


def _pair(cups: Mapping[str, Countdown]) -> Pair | None:
    if len(cups) < 2:
        return None
    back, belly = cups["A"], cups["B"]
    return Pair(back=back.posterior, belly=belly.posterior, between=back.history.between)


def _bands(asked: Cooling) -> tuple[Band, Band]:
    room = max(history.room for history in asked.histories.values())
    stop = asked.stop if asked.stop is not None else max(room + 1.0, asked.start - NO_STOP)
    band = Band(start=asked.start, stop=stop)
    return band, band
