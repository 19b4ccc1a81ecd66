"""What is known of each cup now: its temperature, when to start and stop, what to do next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from partline.errors import InputError
from partline.process.run import CupState, Phase, RunPlan, RunState
from partline.process.shots import Pace
from partline.quantities.estimate import Estimate
from partline.services.runs.heating import (
    LEAST_MASS,
    Kit,
    NextBurst,
    expected_after,
    exposure,
    is_as_warm_as_it_gets,
    learned_power,
    next_burst,
    seconds_to_warm,
    stir_every,
    wants_heat,
)
from partline.studies.countdown import (
    LEFT_ALONE,
    Addition,
    Countdown,
    CupHistory,
    Draw,
    Reading,
    Schedule,
    countdown,
    history_of,
)

Floats = NDArray[np.floating]

#: A moment further off than this is not counted down to. [s]
LONGEST = 4 * 3600.0
#: Moments for which a device is told the temperature, to go on by itself. [s]
AHEAD = np.array(
    [0, 10, 20, 30, 45, 60, 90, 120, 180, 240, 300, 420, 600, 900, 1200, 1500], dtype=float
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """A moment with its central 80 % range.

    Parameters
    ----------
    low, mid, high : datetime
        In UTC.
    """

    low: datetime
    mid: datetime
    high: datetime

    @classmethod
    def exact(cls, at: datetime) -> Moments:
        """Return a moment that is known."""
        return cls(low=at, mid=at, high=at)

    @classmethod
    def after(cls, zero: datetime, seconds: Estimate) -> Moments:
        """Return the moment so many seconds after another."""
        low, mid, high = (
            zero + timedelta(seconds=float(np.clip(each, -LONGEST, LONGEST)))
            for each in (seconds.low, seconds.value, seconds.high)
        )
        return cls(low=low, mid=mid, high=high)


@dataclass(frozen=True, slots=True, kw_only=True)
class CupForecast:
    """What is known of one cup.

    Parameters
    ----------
    now : tuple of float or None
        Low, middle and high of what a reading would show; None before anything is known. [K]
    curve_from : datetime or None
        Moment that the curve begins at.
    curve : tuple of tuple of float
        Seconds, then low, middle and high [K].
    start, stop : Moments or None
        When it falls to the ends of the working band; the stop with the draws to come.
    next_reading : datetime or None
        When a reading would narrow the start most.
    shots_left : tuple of int or None
        Middle, low and high.
    heats : int
        Trips up to the band in this melt.
    above_160 : float
        Time above 160 °C in this melt. [s]
    stir_every : float or None
        Longest time between stirs; None where nothing in it settles. [s]
    wants_heat : bool
        Whether it is still on its way up.
    burst : NextBurst or None
        The next time in the oven; None where it wants none, or none is possible.
    known : Countdown or None
        What it all rests on.
    """

    now: tuple[float, float, float] | None = None
    curve_from: datetime | None = None
    curve: tuple[tuple[float, float, float, float], ...] = ()
    start: Moments | None = None
    stop: Moments | None = None
    next_reading: datetime | None = None
    shots_left: tuple[int, int, int] | None = None
    heats: int = 0
    above_160: float = 0.0
    stir_every: float | None = None
    wants_heat: bool = False
    burst: NextBurst | None = None
    known: Countdown | None = field(default=None, repr=False)
    warming: Callable[[float], float | None] | None = field(default=None, repr=False)

    def warm_by(self, difference: float) -> float | None:
        """Return the seconds in the oven that warm the cup by so much [K]; None without one."""
        return None if self.warming is None else self.warming(difference)


def melt_zero(state: RunState) -> datetime | None:
    """Return the moment that a melt's clock begins at: its first reading or first heat."""
    moments = [
        each
        for cup in state.cups.values()
        for each in (*(r.at for r in cup.readings), *(b.at for b in cup.bursts))
    ]
    return min(moments) if moments else None


def cup_history(cup: CupState, kit: Kit, zero: datetime, expected: Estimate | None) -> CupHistory:
    """Return a cup's history on the melt's clock.

    Parameters
    ----------
    cup : CupState
        As the record has it.
    kit : Kit
        Of the run.
    zero : datetime
        Moment that the clock begins at.
    expected : Estimate or None
        Temperature forecast for the end of the last heat. [K]
    """

    def clock(at: datetime) -> float:
        return (at - zero).total_seconds()

    history = history_of(
        kit.cups[cup.letter],
        max(cup.filled, LEAST_MASS),
        kit.bench.room,
        tuple(
            Reading(
                at=clock(each.at), temperature=each.temperature,
                since_stir=_since_stir(cup, each.at, is_said=each.is_stirred),
            )
            for each in cup.readings
        ),
        between=kit.thermometer.between_cups,
    )  # fmt: skip
    return CupHistory(
        room=history.room, readings=history.readings, time_constant=history.time_constant,
        mass=history.mass, cup=history.cup, between=history.between,
        draws=tuple(Draw(at=clock(at), mass=mass) for at, mass in cup.draws),
        additions=tuple(
            Addition(at=clock(each.at), mass=each.mass) for each in cup.additions if each.mass > 0
        ),
        heats=tuple(clock(each.end) for each in cup.bursts),
        expected=expected,
        pace=LEFT_ALONE,  # a hand that pours stirs before a reading, and hardly between
    )  # fmt: skip


def _since_stir(cup: CupState, at: datetime, *, is_said: bool) -> float | None:
    stirs = [stir for stir in cup.stirs if stir <= at]
    if stirs:
        return (at - stirs[-1]).total_seconds()
    return 0.0 if is_said else None


def cup_forecast(
    cup: CupState, state: RunState, plan: RunPlan, now: datetime, kit: Kit
) -> CupForecast:
    """Return what is known of a cup.

    Parameters
    ----------
    cup : CupState
        Of the melt in hand.
    state : RunState
        Of the run.
    plan : RunPlan
        That it follows.
    now : datetime
        In UTC.
    kit : Kit
        Its cups in terms of heat.
    """
    power = learned_power(kit, state.cups)
    # Between two shots nobody heats; whether to heat again is decided when the heat is stopped.
    may_heat = state.phase is not Phase.SHOOTING
    zero = melt_zero(state)
    unknown = CupForecast(
        wants_heat=may_heat, burst=next_burst(kit, cup, plan, power, None) if may_heat else None
    )
    if zero is None:
        return unknown
    clock = (now - zero).total_seconds()
    try:
        history = cup_history(cup, kit, zero, expected_after(kit, cup, power))
        known = replace(_counted(history), now=clock)
    except InputError:  # nothing is known since it was last heated
        return unknown
    rows = known.temperature(clock + AHEAD)
    middle = rows[:, 0]
    wants = may_heat and wants_heat(cup, plan, kit, float(middle[1]))
    burst = next_burst(kit, cup, plan, power, float(middle[1])) if wants else None
    if wants and is_as_warm_as_it_gets(cup, plan, kit, power):
        wants, burst = False, None
    stop, left = _stop(cup, state, plan, known)
    start = known.crossing(plan.band[1])
    return CupForecast(
        now=(float(middle[0]), float(middle[1]), float(middle[2])),
        curve_from=now,
        curve=tuple(
            (float(at), float(low), float(mid), float(high))
            for at, (low, mid, high) in zip(AHEAD, rows.T, strict=True)
        ),
        start=Moments.after(zero, start),
        stop=Moments.after(zero, stop),
        next_reading=zero + timedelta(seconds=known.next_reading(_awaited(plan, start, clock)).at),
        shots_left=left,
        heats=state.heat,
        above_160=exposure(cup, now, float(middle[1])).above,
        stir_every=stir_every(kit, cup, plan),
        wants_heat=wants,
        burst=burst,
        known=known,
        warming=lambda by: seconds_to_warm(kit, cup, power, float(middle[1]), by),
    )


@lru_cache(maxsize=32)
def _counted(history: CupHistory) -> Countdown:
    """Return what a history tells; asked again and again between two taps."""
    return countdown(history, 0.0)


def _awaited(plan: RunPlan, start: Estimate, clock: float) -> float:
    """Return the end of the band that is waited for. [K]"""
    return plan.band[1] if start.value > clock else plan.band[0]


def _stop(
    cup: CupState, state: RunState, plan: RunPlan, known: Countdown
) -> tuple[Estimate, tuple[int, int, int] | None]:
    """Return when the cup is at its stop while it is drawn from, and the shots before it."""
    melt = plan.melts[state.melt - 1]
    each = plan.bench.syringes.shots_per_draw
    draws = max(melt.draws - len(cup.draws), 0)
    start = known.crossing(plan.band[1])
    schedule = Schedule(
        first=max(known.now, start.value),
        every=Pace().shot * each,
        mass=min(melt.cups[cup.letter].draw, max(cup.mass - 1e-3, 0.0) / max(draws, 1)),
        draws=draws,
        shots_per_draw=each,
    )
    left = known.shots_left(plan.band[0], schedule)
    return left.stop, (left.middle, left.low, left.high)
