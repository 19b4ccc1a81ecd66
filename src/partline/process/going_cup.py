"""A cup on its way up: what is in it by now, how warm it is, and how hot its worst place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

import numpy as np
from numpy.typing import NDArray

from partline.physics.yellowing import exposure_dose
from partline.process.additions import CLEAR, Sorted, sort_out
from partline.process.bursts import Burst, CupAfter, Exposed, Goal, ToHeat
from partline.process.heating import CupState, HeatedCup
from partline.process.hot_place import excess, worst_share
from partline.process.ingredients import Ingredient
from partline.quantities.estimate import Estimate, Origin

Floats = NDArray[np.floating]

#: Shortest burst that an oven's clock takes; longest: raw plastic gels in lumps that want to be
#: stirred. Common practice. [s]
SHORTEST_BURST, LONGEST_BURST = 2.0, 180.0
#: To take a cup out, stir it and read it, and to put it back: common practice. [s]
STIR_AND_READ, PUT_BACK = 8.0, 12.0
#: How near the target a heat is to end. [K]
TOLERANCE = 3.0
#: So far under its target a heat may end where a burst brings it no nearer: a small cup loses as
#: much while it is stirred as its hottest place lets a burst give. A default. [K]
NEAR = 6.0
#: Above it yellowing is counted in minutes. [K]
COUNTED_ABOVE = 433.15


@dataclass(slots=True)
class GoingCup:
    """A cup on its way: what is in it by now, how warm, and every moment of it."""

    name: str
    cup: HeatedCup
    state: CupState
    waiting: Sorted
    worst: Estimate
    times: list[float]
    melt: list[float]

    def stand(self, seconds: float, power: float) -> None:
        """Go on for a while and remember it."""
        went = self.cup.after(self.state, seconds, power)
        now = self.times[-1]
        self.times += [now + float(each) for each in went.times[1:]]
        self.melt += [float(each) for each in went.melt[1:]]
        self.state = went.state

    def add(self, ingredients: Sequence[Ingredient]) -> None:
        """Stir something in that is as cold as the room."""
        salt = sum(each.mass for each in ingredients if each.kind == "salt")
        plastic = sum(each.mass for each in ingredients) - salt
        self.cup, self.state = self.cup.with_added(
            self.state, plastic=plastic, salt=salt, warm=self.cup.room
        )


def begin(each: ToHeat, *, heat: int, heats: int) -> GoingCup:
    """Return a cup with what is in it before the first burst."""
    waiting = sort_out(each.ingredients, heat=heat, heats=heats)
    later = [*waiting.colour, *waiting.salt, *waiting.last]
    later += [held.ingredient for held in waiting.held_back]
    salt = sum(one.mass for one in later if one.kind == "salt")
    plastic = sum(one.mass for one in later) - salt
    cup = replace(
        each.cup, plastic=each.cup.plastic - plastic, salt=max(each.cup.salt - salt, 0.0)
    )
    return GoingCup(
        name=each.name, cup=cup, state=each.state, waiting=waiting,
        worst=worst_share(cup.cup.bore), times=[0.0], melt=[each.state.melt],
    )  # fmt: skip


def is_there(going: Sequence[GoingCup], goal: Goal) -> bool:
    """Return whether the warmer cup is as near the target as a heat is to end."""
    return max(cup.state.melt for cup in going) >= goal.target - TOLERANCE


def is_near(going: Sequence[GoingCup], goal: Goal) -> bool:
    """Return whether the warmer cup is near enough to end a heat that gets no further."""
    return max(cup.state.melt for cup in going) >= goal.target - NEAR


def shared_power(going: Sequence[GoingCup], power: float) -> list[float]:
    """Return what each of the cups in the oven gets of its power [W]: by its mass. [W]"""
    total = sum(cup.cup.mass for cup in going)
    return [power * cup.cup.mass / total for cup in going]


def trace(cup: GoingCup, power: float, most: float) -> tuple[Floats, Floats]:
    """Return times and temperatures of a burst, until well past what may be. [s], [K]"""
    # At the least heat that the melt takes per degree, so that the trace ends before the table.
    reach = (most + 15.0 - cup.state.melt) * cup.cup.base / power
    horizon = min(LONGEST_BURST, max(np.floor(reach), 2 * SHORTEST_BURST))
    went = cup.cup.after(cup.state, float(horizon), power)
    seconds = np.arange(0.0, horizon + 0.5)
    return seconds, np.interp(seconds, went.times, went.melt)


def burst_trace(cup: GoingCup, power: float, seconds: float) -> tuple[Floats, Floats]:
    """Return times and temperatures of a burst of this length. [s], [K]"""
    went = cup.cup.after(cup.state, seconds, power)
    return went.times, went.melt


def hottest_place(cup: GoingCup, melt: tuple[float, float], seconds: float) -> tuple[float, float]:
    """Hottest place after a burst: as likely as not, and at the high end. [K]

    The two ends of the mean come from the oven's likely and its strong power. That the oven is
    strong and that the place is bad are doubts of their own, and are added in quadrature.
    """
    usual, strong = melt
    risen = usual - cup.state.melt
    middle = usual + excess(cup.worst.value, risen, seconds)
    by_power = strong - usual + excess(cup.worst.value, strong - usual, seconds)
    by_place = excess(cup.worst.high, risen, seconds) - excess(cup.worst.value, risen, seconds)
    return middle, middle + hypot(by_power, by_place)


def run_burst(
    going: Sequence[GoingCup], seconds: float, power: Estimate, goal: Goal, *, is_first: bool
) -> Burst:
    """Heat, stir, read and stir in what goes in now."""
    cups, rates = [], []
    shares = [shared_power(going, each) for each in (power.low, power.value, power.high)]
    for place, cup in enumerate(going):
        begun = cup.state
        ends = [cup.cup.after(begun, seconds, share[place]) for share in shares]
        risen = ends[1].state.melt - begun.melt
        middle, high_end = hottest_place(cup, (ends[1].state.melt, ends[2].state.melt), seconds)
        low_end = ends[0].state.melt + excess(
            cup.worst.low, ends[0].state.melt - begun.melt, seconds
        )
        rates.append(risen / seconds)
        cup.stand(seconds, shares[1][place])
        cup.stand(STIR_AND_READ, 0.0)
        fell = ends[1].state.melt - cup.state.melt
        low, value, high = (end.state.melt - fell for end in ends)
        expected = Estimate(
            value=value, low=low - goal.noise, high=high + goal.noise, origin=Origin.COMPUTED,
            source="power into the melt, if the reading before was as expected",
            narrows=power.narrows,
        )  # fmt: skip
        hottest = Estimate(
            value=middle, low=min(low_end, middle), high=high_end, origin=Origin.COMPUTED,
            source="worst place before the stir", narrows=cup.worst.narrows,
        )  # fmt: skip
        adds = _due(cup, is_first=is_first)
        if adds:
            cup.add(adds)
        cups.append(CupAfter(name=cup.name, expected=expected, hottest=hottest, adds=adds))
    return Burst(seconds=seconds, cups=tuple(cups), seconds_per_kelvin=1 / max(max(rates), 1e-6))


def _due(cup: GoingCup, *, is_first: bool) -> tuple[Ingredient, ...]:
    """Return what goes in after this stir; it is taken off what waits."""
    due: tuple[Ingredient, ...] = ()
    if is_first:
        due += cup.waiting.colour
        cup.waiting = replace(cup.waiting, colour=())
    if cup.state.melt >= CLEAR:
        due += cup.waiting.salt
        cup.waiting = replace(cup.waiting, salt=())
    return due


def wait_for(cup: GoingCup, start: float | None) -> float:
    """How long a cup takes down to the start. [s]"""
    if start is None or cup.state.melt <= start:
        return 0.0
    went = cup.cup.after(cup.state, 900.0)
    return float(np.interp(-start, -went.melt, went.times))


def exposed(cup: GoingCup, start: float | None) -> Exposed:
    """Return what the heat has done to a cup, its way down to the start included."""
    times, melt = list(cup.times), list(cup.melt)
    if wait := wait_for(cup, start):
        went = cup.cup.after(cup.state, wait)
        times += [times[-1] + float(each) for each in went.times[1:]]
        melt += [float(each) for each in went.melt[1:]]
    moments, warm = np.array(times), np.array(melt)
    return Exposed(
        name=cup.name,
        above=time_above(moments, warm, COUNTED_ABOVE),
        dose=float(exposure_dose(warm, moments)),
    )


def time_above(times: Floats, values: Floats, level: float) -> float:
    """Time that a line through points spends above a level. [s]"""
    first, second = values[:-1] - level, values[1:] - level
    reach = np.abs(second - first)
    share = np.divide(
        np.maximum(first, 0) + np.maximum(second, 0), reach, out=np.zeros_like(reach),
        where=reach > 0,
    )  # fmt: skip
    both = (first > 0) & (second > 0)
    part = np.where(both, 1.0, np.minimum(share, 1.0))
    return float(np.sum(np.diff(times) * part))
