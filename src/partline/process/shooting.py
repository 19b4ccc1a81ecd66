"""What a run of shots is made with, and what became of it: paces, shots, heats, a rotation."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from partline.materials.mould import Mould
from partline.process.emptying import CupInBand
from partline.process.mould_heat import MouldHeat
from partline.quantities.estimate import Estimate, Origin

#: From one push's end to the next push: draw, and take up the next mould, clamped and ready. With
#: a push of 6 s a shot takes 10 to 15 s. [s]
HANDLING = Estimate(
    value=7.0, low=4.0, high=9.0, origin=Origin.PRACTICE, narrows="times of your own shots"
)
#: A hand's stroke where the recipe names none. [s]
USUAL_PUSH = 6.0
#: To open a mould, take the baits out and close it again. [s]
UNLOADING = 30.0
#: From the last shot of a heat to the first of the next: topped up, stirred, read, fallen to the
#: start; and the same for a fresh melt. [s]
TOP_UP, FRESH_MELT = 120.0, 720.0


class Limit(StrEnum):
    """What ends a heat."""

    MELT = "the melt is used up"
    MOULDS = "no mould is free"
    BAND = "the cup is at the stop"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How fast the hands are.

    Parameters
    ----------
    push : float
        Of one shot. [s]
    handling : Estimate
        Between two pushes. [s]
    unloading : float
        To empty a mould and close it again. [s]
    top_up, fresh_melt : float
        From the last shot of a heat to the first of the next. [s]
    """

    push: float = USUAL_PUSH
    handling: Estimate = HANDLING
    unloading: float = UNLOADING
    top_up: float = TOP_UP
    fresh_melt: float = FRESH_MELT

    @property
    def shot(self) -> float:
        """From one push to the next at best. [s]"""
        return self.push + self.handling.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Shooting:
    """What a run of shots is made with.

    Parameters
    ----------
    mould : Mould
        All in rotation are alike.
    metal : MouldHeat
        Each of them in terms of heat.
    shot_mass : float
        Baits, sprue and runner. [kg]
    cups : tuple of CupInBand
        One a side.
    start, stop : float
        Of the working band. [K]
    room : float
        [K]
    wall : float
        Of every mould before its first shot. [K]
    open_at : float
        Core temperature to open at. [K]
    barrel_loss : float
        What a draw loses in its barrel before it enters the mould. The cup does not feel it.
        [K]
    pace : Pace
        Of the hands.
    """

    mould: Mould
    metal: MouldHeat
    shot_mass: float
    cups: tuple[CupInBand, ...]
    start: float
    stop: float
    room: float
    wall: float
    open_at: float
    barrel_loss: float = 0.0
    pace: Pace = Pace()


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One shot of the timeline.

    Parameters
    ----------
    number, melt, heat, mould : int
        From 1; heats count through the whole run.
    at, opens_at : float
        Since the first shot: it is pushed, and its mould may be opened. [s]
    cup : float
        Temperature of the colder cup as it is drawn. [K]
    wall : float
        Of the mould as it is filled. [K]
    """

    number: int
    melt: int
    heat: int
    mould: int
    at: float
    opens_at: float
    cup: float
    wall: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """One trip up to the band.

    Parameters
    ----------
    number, melt, shots : int
        From 1; how many shots it gave.
    at, lasts : float
        First shot of it since the run's first, and from its first to its last push. [s]
    limit : Limit
        Why it ended.
    """

    number: int
    melt: int
    shots: int
    at: float
    lasts: float
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Rotation:
    """A run with so many moulds.

    Parameters
    ----------
    moulds : int
        Ready in rotation.
    melts : tuple of int
        Shots of each.
    heats : tuple of Heat
        In order.
    shots : tuple of Shot
        In order.
    """

    moulds: int
    melts: tuple[int, ...]
    heats: tuple[Heat, ...]
    shots: tuple[Shot, ...]

    @property
    def top_ups(self) -> int:
        """Heats that bring a used cup up again."""
        return len(self.heats) - len(self.melts)

    @property
    def shots_per_heat(self) -> int:
        """Of the fullest heat."""
        return max(heat.shots for heat in self.heats)

    @property
    def lasts(self) -> float:
        """From the first push until the last mould may be opened. [s]"""
        return max(shot.opens_at for shot in self.shots)
