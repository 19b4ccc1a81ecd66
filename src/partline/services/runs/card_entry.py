"""What was pencilled on a card: its blanks, and what cannot be true of them at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time

from partline.errors import InputError, Invalid

#: Marks that a maker can put against a run.
WRONG = ("short", "mixed", "swapped", "upside down", "too hot", "spill", "other")
#: A column of the card that holds temperatures.
COLUMNS = ("fused", "start", "stop")


@dataclass(frozen=True, slots=True, kw_only=True)
class CardShape:
    """What a plan's card has room for.

    Parameters
    ----------
    letters : tuple of str
        Cups.
    melts : tuple of int
        Shots of each melt.
    cavities : int
        Of the mould.
    """

    letters: tuple[str, ...]
    melts: tuple[int, ...]
    cavities: int

    @property
    def shots(self) -> int:
        """Shots of the whole plan."""
        return sum(self.melts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A temperature off the card.

    Parameters
    ----------
    entered : str
        Its figure as typed.
    unit : str
        C or F.
    celsius : float
        [°C]
    """

    entered: str
    unit: str
    celsius: float


Figures = tuple[Figure | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardEntry:
    """A card as it was typed in; None or empty is a blank that stayed empty.

    Parameters
    ----------
    day : date or None
        Of the start, by this computer's clock.
    clock : time or None
        Of the start.
    moulds, heats, shots : int or None
        In rotation; trips up to the band; fillings of the mould.
    temperatures : dict of (str, str) to tuple
        By column and cup: one, one a melt, or one a heat.
    pushes : tuple of (float or None)
        One for all shots or one a shot. [s]
    bad : dict of int to tuple of int
        Cavities marked bad, by shot.
    good, moulded : int or None
        Baits.
    tares : dict of str to float
        Empty cups. [g]
    wrong : tuple of str
        Marks.
    note : str
        In the maker's words.
    is_set_up, is_weighed, is_closed : bool
        Every box before the heat is ticked; every amount is; no more is to be told.
    left_in : tuple of str
        Fields that still hold what was carried over.
    """

    day: date | None = None
    clock: time | None = None
    moulds: int | None = None
    heats: int | None = None
    shots: int | None = None
    temperatures: dict[tuple[str, str], Figures] = field(default_factory=dict)
    pushes: tuple[float | None, ...] = ()
    bad: dict[int, tuple[int, ...]] = field(default_factory=dict)
    good: int | None = None
    moulded: int | None = None
    tares: dict[str, float] = field(default_factory=dict)
    wrong: tuple[str, ...] = ()
    note: str = ""
    is_set_up: bool = False
    is_weighed: bool = False
    is_closed: bool = False
    left_in: tuple[str, ...] = ()


def moulded_of(entry: CardEntry, shape: CardShape) -> int | None:
    """Return the baits moulded: as typed, or every cavity of every shot."""
    if entry.moulded is not None:
        return entry.moulded
    return None if entry.shots is None else entry.shots * shape.cavities


def bad_count(entry: CardEntry) -> int:
    """Return how many cavities are marked bad."""
    return sum(map(len, entry.bad.values()))


def contradictions(entry: CardEntry, shape: CardShape) -> Iterator[InputError]:
    """Yield what cannot be true at once.

    Parameters
    ----------
    entry : CardEntry
        As it was read.
    shape : CardShape
        Of the plan's card.
    """
    moulded = moulded_of(entry, shape)
    if entry.good is not None and moulded is not None:
        bad = bad_count(entry)
        if entry.good > moulded:
            message = f"{entry.good} good of {moulded} moulded cannot be."
            yield InputError(message, field="good", given=str(entry.good))
        elif entry.good + bad > moulded:
            message = f"{entry.good} good and {bad} marked bad are more than {moulded} moulded."
            yield InputError(message, field="good", given=str(entry.good))
    if entry.good is not None and moulded is None:
        yield InputError(
            f"{entry.good} good, of how many? Neither shots nor baits moulded are given.",
            field="moulded",
        )
    if entry.shots is not None:
        if entry.bad and max(entry.bad) > entry.shots:
            message = f"Shot {max(entry.bad)} is marked, and {entry.shots} were made."
            yield InputError(message, field="bad")
        if len(entry.pushes) not in (0, 1, entry.shots):
            yield InputError(
                f"{len(entry.pushes)} pushes for {entry.shots} shots.",
                field="push",
                remedy="Write one for all, or one a shot with - where it is blank.",
            )
    yield from _heats_together(entry, shape)


def _heats_together(entry: CardEntry, shape: CardShape) -> Iterator[InputError]:
    melts = melts_used(entry, shape)
    heats = max(entry.heats or melts, melts)
    if entry.heats is not None and entry.heats < melts:
        yield InputError(
            f"{entry.shots} shots are of {melts} melts, and each takes a heat: {entry.heats} "
            "cannot be all.",
            field="heats", given=str(entry.heats),
        )  # fmt: skip
    for (column, cup), figures in entry.temperatures.items():
        if len(figures) not in (1, melts, heats):
            ways = ", ".join(map(str, sorted({1, melts, heats})))
            yield InputError(
                f"{len(figures)} temperatures stand here; it is one, one for each melt or one "
                f"for each heat ({ways}).",
                field=f"{column}_{cup.lower()}",
                remedy="Write - where the card is blank.",
            )


def melts_used(entry: CardEntry, shape: CardShape) -> int:
    """Return how many melts the shots made come from, as they were planned; at least 1.

    Where no shots are told, as many as temperatures are.
    """
    if entry.shots is None:
        told = max(map(len, entry.temperatures.values()), default=1)
        return min(told, len(shape.melts))
    left, used = entry.shots, 0
    for shots in shape.melts:
        used += 1
        left -= shots
        if left <= 0:
            break
    return used


def started(entry: CardEntry, *, now: datetime, lasts: float) -> tuple[datetime, tuple[str, ...]]:
    """Return when the run started, in UTC, and which of day and time are not known.

    Parameters
    ----------
    entry : CardEntry
        As typed, by this computer's own clock and zone.
    now : datetime
        In UTC.
    lasts : float
        How long the run is taken to have lasted. [s]

    Raises
    ------
    Invalid
        If it lies ahead.
    """
    here = now.astimezone()
    unknown = tuple(
        name for name, value in (("day", entry.day), ("clock", entry.clock)) if value is None
    )
    day = entry.day or here.date()
    if entry.clock is not None:
        start = datetime.combine(day, entry.clock).astimezone(UTC)
    else:
        noon = datetime.combine(day, time(12)).astimezone(UTC)
        start = min(noon, datetime.fromtimestamp(now.timestamp() - lasts, UTC))
    if start > now or day > here.date():
        wrong = "clock" if day == here.date() else "day"
        ahead = InputError(
            f"That start lies ahead: it is {here:%Y-%m-%d %H:%M} now, by this computer's clock.",
            field=wrong,
        )
        raise Invalid((ahead,), what="The card")
    return start, unknown
