"""What is asked about cooling cups, read and checked; what no cup does is asked about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from partline.errors import Ambiguous, InputError, OutOfRange
from partline.errors import Reading as Way
from partline.process.bench import Bench, Vessel
from partline.process.cup import cup_of
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, Origin
from partline.quantities.units import Kind, parse, show
from partline.services.cooling_entry import MELT, clock, read_readings, read_time
from partline.studies.countdown import CupHistory, Reading, Schedule, doubt, history_of
from partline.studies.countdown.history import BETWEEN_READINGS

#: Where a room is: no melt is read below it. [K]
ROOM = (-10 + ZERO_CELSIUS, 45 + ZERO_CELSIUS)
USUAL_ROOM = 22 + ZERO_CELSIUS
#: For a weighed filling in a vessel that nobody has described.
USUAL_VESSEL = Vessel(
    capacity=5e-4, fill_limit=0.6, film=Estimate.within(0.004, 0.5, Origin.DEFAULT)
)
#: Draws looked ahead where nobody says how many.
USUAL_DRAWS = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooling:
    """What was asked about one or two cooling cups, read.

    Parameters
    ----------
    histories : dict of CupHistory
        By cup, ``A`` and ``B``.
    start : float
        [K]
    stop : float or None
        [K]
    now : float
        On the clock of the readings. [s]
    is_fahrenheit : bool
        Whether the first reading was in °F; words then are too.
    is_described : bool
        Whether the filling was weighed.
    bench : Bench or None
        Whose vessel, room and thermometer.
    """

    histories: dict[str, CupHistory]
    start: float
    stop: float | None
    now: float
    is_fahrenheit: bool
    is_described: bool
    bench: Bench | None

    def shown(self, temperature: float) -> str:
        """Return a temperature [K] as the maker's thermometer shows it."""
        return show(temperature, "°F" if self.is_fahrenheit else "°C", 0)


def read_cooling(
    readings: Iterable[str], given: Mapping[str, str], bench: Bench | None
) -> Cooling:
    """Return what was typed, read and checked.

    Parameters
    ----------
    readings : iterable of str
        Such as ``40s=168.6C``.
    given : mapping of str to str
        As typed: ``start``, ``stop``, ``room``, ``mass``, ``now``, ``draw``, ``every``,
        ``draws``; empty for what was left out.
    bench : Bench or None
        Whose vessel, room and thermometer.

    Raises
    ------
    Ambiguous, InputError, OutOfRange
        If something cannot be used, or must be asked about.
    """
    by_cup, is_fahrenheit = read_readings(readings)
    start = _temperature(given, "start", MELT)
    if start is None:
        raise InputError(
            "No start is given: the upper end of the working band.",
            field="start",
            remedy="Read it from your jug’s label, such as --start 163C.",
        )
    stop = _temperature(given, "stop", MELT)
    room = _temperature(given, "room", ROOM)
    if room is None:
        room = bench.room if bench else USUAL_ROOM
    mass = parse(given["mass"], Kind.MASS, field="mass").value if given.get("mass") else None
    histories = {cup: _history(tuple(taken), room, mass, bench) for cup, taken in by_cup.items()}
    last = max(taken[-1].at for taken in by_cup.values())
    now = read_time(given["now"], "now") if given.get("now") else last
    if now < last:
        raise InputError(
            f"It is {clock(now)}, but there is a reading at {clock(last)}.",
            field="now", given=given["now"], remedy="Leave one of the two out.",
        )  # fmt: skip
    asked = Cooling(
        histories=histories,
        start=start,
        stop=stop,
        now=now,
        is_fahrenheit=is_fahrenheit,
        is_described=mass is not None,
        bench=bench,
    )
    _check(asked)
    return asked


def read_schedule(given: Mapping[str, str], asked: Cooling, first: float) -> Schedule | None:
    """Return the draws to come, from the start [s] or now on; None where none were told.

    Raises
    ------
    Ambiguous, InputError, OutOfRange
        If only a part of what they need is given.
    """
    wanted = {name: given.get(name, "") for name in ("draw", "every")}
    if not any(wanted.values()):
        return None
    for name, text in (*wanted.items(), ("stop", given.get("stop")), ("mass", given.get("mass"))):
        if not text:
            raise InputError(
                f"Shots before the stop are counted from draw, every, stop and mass; {name} is "
                "missing.",
                field=name,
                remedy="Such as --mass 162g --draw 26.4g --every 45s --stop 152C.",
            )
    count = USUAL_DRAWS
    if given.get("draws"):
        count = round(parse(given["draws"], Kind.NUMBER, field="draws", low=1, high=200).value)
    every = read_time(wanted["every"], "every")
    if every < 1:
        raise OutOfRange(
            f"“{wanted['every']}” is out of range: a shot takes a second at least.",
            low=1.0, unit="s", field="every", given=wanted["every"],
        )  # fmt: skip
    return Schedule(
        first=max(first, asked.now),
        every=every,
        mass=parse(wanted["draw"], Kind.MASS, field="draw", low=1e-4, high=1.0).value,
        draws=count,
    )


def _temperature(given: Mapping[str, str], name: str, likely: tuple[float, float]) -> float | None:
    text = given.get(name)
    if not text:
        return None
    return parse(text, Kind.TEMPERATURE, field=name, plausible=likely).value


def _history(
    readings: tuple[Reading, ...], room: float, mass: float | None, bench: Bench | None
) -> CupHistory:
    thermometer = bench.thermometer if bench else None
    between = thermometer.between_cups if thermometer else BETWEEN_READINGS
    if mass is None:
        return CupHistory(room=room, readings=readings, between=between)
    cup = cup_of(bench.vessel if bench else USUAL_VESSEL)
    try:
        return history_of(cup, mass, room, readings, between=between)
    except OutOfRange as error:
        raise error.at("mass") from error


def _check(asked: Cooling) -> None:
    """Refuse what no cup does, and ask about what it hardly does."""
    if asked.stop is not None and asked.stop >= asked.start:
        raise InputError(
            f"The stop, {asked.shown(asked.stop)}, is not below the start, "
            f"{asked.shown(asked.start)}.",
            field="stop",
            remedy="The start is the upper end of the working band, the stop the lower one.",
        )
    for cup, history in asked.histories.items():
        _check_cup(asked, cup, history)


def _check_cup(asked: Cooling, cup: str, history: CupHistory) -> None:
    first, *others = history.readings
    if len({each.at for each in history.readings}) < len(history.readings):
        raise InputError(
            f"Cup {cup} has two readings at the same time.",
            field="reading",
            remedy="Leave the wrong one out.",
        )
    if asked.start >= first.temperature:
        raise InputError(
            f"Cup {cup} read {asked.shown(first.temperature)} at first: it is not above the "
            f"start, {asked.shown(asked.start)}, any more.",
            field="start",
            remedy="If it is above the stop, start now; if not, it needs another heat.",
        )
    for each in others:
        _question(asked, cup, history, each)


def _question(asked: Cooling, cup: str, history: CupHistory, reading: Reading) -> None:
    """Ask about a reading that does not go with those before it."""
    found = doubt(history, reading)
    if found is None or not found.is_questioned:
        return
    said = asked.shown(reading.temperature)
    before = max(
        (each for each in history.readings if each.at < reading.at), key=lambda each: each.at
    )
    message = (
        f"Cup {cup} reads {said} at {clock(reading.at)}; {asked.shown(found.low)} to "
        f"{asked.shown(found.high)} was expected."
    )
    if reading.temperature > before.temperature:
        message += " A cup off the heat does not get warmer."
    if not found.meant:
        raise InputError(
            message,
            field="reading",
            given=said,
            remedy="Stir, read once more and enter that; after another heat, count from its end.",
        )
    unit = "°F" if asked.is_fahrenheit else "°C"
    ways = tuple(
        Way(write=f"{clock(reading.at)}={show(each.temperature, unit, 1)}", means=each.how)
        for each in found.meant
    )
    raise Ambiguous(message, readings=ways, field="reading", given=said)
