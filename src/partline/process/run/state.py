"""Where a run stands: everything here is recomputed from its events, nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from partline.process.run.event import Event, Told


class Phase(StrEnum):
    """How far a run is."""

    PLANNED = "planned"
    SET_UP = "set up"
    MELTING = "melting"
    SHOOTING = "shooting"
    COOLING = "cooling"
    JUDGED = "judged"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A thermometer's word.

    Parameters
    ----------
    id : str
        Of its event.
    at : datetime
        When.
    temperature : float
        As it was read. [K]
    is_stirred : bool
        Whether the cup had been stirred just before.
    """

    id: str
    at: datetime
    temperature: float
    is_stirred: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Burst:
    """One time in the oven.

    Parameters
    ----------
    id : str
        Of its event.
    at : datetime
        When it was started.
    seconds : float
        How long. [s]
    is_shared : bool
        Whether both cups stood in the oven.
    """

    id: str
    at: datetime
    seconds: float
    is_shared: bool

    @property
    def end(self) -> datetime:
        """When the oven stops."""
        return self.at + timedelta(seconds=self.seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """Something that went into a hot cup, or was left out.

    Parameters
    ----------
    at : datetime
        When.
    supply : str
        Its name.
    mass : float
        0 where it was left out. [kg]
    heat : int
        Of the melt in hand; what was left out is asked about again in the next one.
    """

    at: datetime
    supply: str
    mass: float
    heat: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class CupState:
    """One cup of the melt in hand.

    Parameters
    ----------
    letter : str
        A or B.
    mass : float
        In it now. [kg]
    is_weighed : bool
        Whether it was weighed; else the mass is the plan's.
    is_rest_weighed : bool
        Whether what its shots have left in it was weighed.
    readings, bursts : tuple
        Of this melt, in order; readings that were asked about and not answered are left out.
    stirs : tuple of datetime
        Of this melt.
    draws : tuple of (datetime, float)
        Of this melt, with what was taken. [kg]
    additions : tuple of Added
        What went in hot, or was left out.
    heat_from : datetime or None
        When the heat in hand began; None in the first of its melt.
    """

    letter: str
    mass: float
    is_weighed: bool = False
    is_rest_weighed: bool = False
    readings: tuple[Reading, ...] = ()
    bursts: tuple[Burst, ...] = ()
    stirs: tuple[datetime, ...] = ()
    draws: tuple[tuple[datetime, float], ...] = ()
    additions: tuple[Added, ...] = ()
    heat_from: datetime | None = None

    @property
    def last_burst(self) -> Burst | None:
        """The newest time in the oven."""
        return self.bursts[-1] if self.bursts else None

    @property
    def heat_bursts(self) -> tuple[Burst, ...]:
        """Times in the oven in the heat in hand: since it began, and since the newest draw."""
        drawn = self.draws[-1][0] if self.draws else None
        return tuple(
            burst
            for burst in self.bursts
            if (drawn is None or burst.at > drawn)
            and (self.heat_from is None or burst.at >= self.heat_from)
        )

    @property
    def warmed_from(self) -> datetime | None:
        """From when on a reading tells whether the heat in hand is done; None from the first."""
        if self.heat_bursts:
            return self.heat_bursts[0].at
        known = [self.heat_from, self.draws[-1][0] if self.draws else None]
        return max((each for each in known if each is not None), default=None)

    @property
    def fresh_readings(self) -> tuple[Reading, ...]:
        """Readings since the oven was last started."""
        last = self.last_burst
        return tuple(r for r in self.readings if last is None or r.at >= last.at)

    @property
    def added(self) -> frozenset[str]:
        """Supplies that are in it."""
        return frozenset(each.supply for each in self.additions if each.mass > 0)

    def is_settled(self, supply: str, heat: int) -> bool:
        """Whether a supply is in it, or was left out of it in this heat of the melt."""
        return supply in self.added or any(
            each.supply == supply and each.heat == heat for each in self.additions
        )

    @property
    def filled(self) -> float:
        """Plastic in it before the first draw. [kg]"""
        return self.mass + sum(mass for _, mass in self.draws)

    @property
    def stirred_at(self) -> datetime | None:
        """When it was last stirred; None where never."""
        return self.stirs[-1] if self.stirs else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One filling of the mould.

    Parameters
    ----------
    id : str
        Of its event.
    at : datetime
        When the push ended.
    melt, heat : int
        It came from.
    mould : int
        Which of those in rotation, from 1.
    push : float or None
        How long the stroke took. [s]
    opened_at : datetime or None
        When that mould was opened after it.
    """

    id: str
    at: datetime
    melt: int
    heat: int
    mould: int
    push: float | None = None
    opened_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunState:
    """Where a run stands.

    Parameters
    ----------
    phase : Phase
        How far it is.
    is_stopped : bool
        Whether somebody stopped it and it has not been resumed.
    melt : int
        In hand, from 1.
    heat : int
        Trips up to the band so far in this melt, the one in hand included; 0 before the first.
    cups : dict of str to CupState
        Of the melt in hand, by letter.
    ticks, skipped : frozenset of str
        Set-up ticks that are done, and those gone on without.
    shots : tuple of Shot
        Of the whole run.
    is_drawn : bool
        Whether the syringes are full.
    is_heat_over : bool
        Whether no more shots come from this heat: the next time in the oven begins another.
    stir_ages : dict of str to float or None
        By each draw's id, how long before it the cup that waited longest was stirred; None where
        one was not stirred at all since it was filled. [s]
    wrong_side_up : bool
        Whether the newest look at a first bait found its dark side down.
    is_first_shot_seen : bool
        Whether the first bait of this melt was looked at.
    went_wrong : tuple of Event
        What the maker marked as wrong.
    good, moulded : int or None
        As it was judged.
    is_pinned : bool
        Whether it is a good run to go back to.
    is_aside : bool
        Whether it was set aside: nothing is learned from it, and nothing goes back to it.
    told : tuple of Told
        All events as they stand.
    """

    phase: Phase = Phase.PLANNED
    is_stopped: bool = False
    melt: int = 1
    heat: int = 0
    cups: dict[str, CupState] = field(default_factory=dict)
    ticks: frozenset[str] = frozenset()
    skipped: frozenset[str] = frozenset()
    shots: tuple[Shot, ...] = ()
    is_drawn: bool = False
    is_heat_over: bool = False
    stir_ages: dict[str, float | None] = field(default_factory=dict)
    wrong_side_up: bool = False
    is_first_shot_seen: bool = False
    went_wrong: tuple[Event, ...] = ()
    good: int | None = None
    moulded: int | None = None
    is_pinned: bool = False
    is_aside: bool = False
    told: tuple[Told, ...] = ()

    def melt_shots(self, melt: int | None = None) -> int:
        """Return the shots of a melt; of the one in hand when not told."""
        wanted = self.melt if melt is None else melt
        return sum(1 for shot in self.shots if shot.melt == wanted)

    @property
    def closed_moulds(self) -> dict[int, Shot]:
        """Moulds that are filled and shut, with the shot in each."""
        full = {shot.mould: shot for shot in self.shots}
        return {mould: shot for mould, shot in full.items() if shot.opened_at is None}
