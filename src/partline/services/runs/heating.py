"""How the cups of a run are heated: what their oven gives, and the next time in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from itertools import zip_longest
from math import exp, floor, hypot, log, sqrt

import numpy as np

from partline.errors import Impossible, OutOfRange
from partline.materials.shelf import Shelf
from partline.physics.yellowing import exposure_dose
from partline.process.bench import Bench, Thermometer
from partline.process.burst_plan import (
    REPEATS,
    STALLED,
    Goal,
    ToHeat,
    oven_power,
    plan_bursts,
)
from partline.process.composition import Composition, compose
from partline.process.cup import Cup, cup_of
from partline.process.going_cup import COUNTED_ABOVE, NEAR, TOLERANCE, time_above
from partline.process.heating import HeatedCup, heated_cup
from partline.process.recipe import Recipe
from partline.process.run import Burst, CupState, Reading, RunPlan
from partline.process.shots import Pace
from partline.process.stirring import stirring
from partline.quantities.estimate import HALF_RANGE, Estimate, Origin, propagate
from partline.services.heating import TOP_UP_MARGIN

#: Where nobody has said how well a thermometer agrees with itself: two cups apart, and all. [K]
UNKNOWN_THERMOMETER = Thermometer(emissivity=0.95, between_cups=1.0, absolute=5.0)
#: Bursts that must bring nothing before a heat ends under its target, common practice.
STALLS = 2
#: A burst so short hardly makes up for the walk to the oven, common practice. [s]
HARDLY = 5.0
#: A rise smaller than this tells nothing about the oven. [K]
LEAST_RISE = 10.0
#: A burst that an oven's rate is tried with, and the shortest that is worth a walk to it. [s]
TRIED, LEAST_BURST = 5.0, 3.0
#: Plastic that a cup holds at least, for its law of heat. [kg]
LEAST_MASS = 5e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class NextBurst:
    """The next time in the oven.

    Parameters
    ----------
    seconds : float
        [s]
    target : float
        Where the heat is to end. [K]
    expected : Estimate
        Reading after it, stirred. [K]
    hottest : Estimate
        Of the hottest place just before the stir. [K]
    """

    seconds: float
    target: float
    expected: Estimate
    hottest: Estimate


@dataclass(frozen=True, kw_only=True, eq=False)
class Kit:
    """What a run's cups are in terms of heat.

    Parameters
    ----------
    bench : Bench
        That they stand on.
    plastics : dict of str to Composition
        By the cup's letter.
    cups : dict of str to Cup
        By the cup's letter.
    power : Estimate or None
        Into the melt; None where the bench has no oven. [W]
    """

    bench: Bench
    plastics: dict[str, Composition]
    cups: dict[str, Cup]
    power: Estimate | None

    @property
    def thermometer(self) -> Thermometer:
        """The bench's, or what is taken for it."""
        return self.bench.thermometer or UNKNOWN_THERMOMETER

    def heated(self, letter: str, mass: float) -> HeatedCup:
        """Return a cup with so much [kg] in it."""
        return heated_cup(
            self.cups[letter], self.plastics[letter], max(mass, LEAST_MASS), self.bench.room
        )


@lru_cache(maxsize=8)
def kit_of(recipe: Recipe, bench: Bench, shelf: Shelf) -> Kit:
    """Return what the cups of a recipe are in terms of heat.

    Raises
    ------
    InputError
        If a supply is not on the shelf.
    """
    plastics = {side.half.cup: compose(side, shelf) for side in recipe.sides}
    return Kit(
        bench=bench,
        plastics=plastics,
        cups={
            letter: cup_of(bench.vessel, density=plastic.hot_density(plastic.hottest_working))
            for letter, plastic in plastics.items()
        },
        power=None if bench.oven is None else oven_power(bench.oven),
    )


def learned_power(kit: Kit, cups: dict[str, CupState]) -> Estimate | None:
    """Return what the oven gives, as far as readings before and after its bursts tell. [W]

    Each burst between two readings is a measurement of it; what was thought before counts as one
    more, by its own range.
    """
    if kit.power is None:
        return None
    known = kit.power
    deviation = log(known.high / known.low) / (2 * HALF_RANGE)
    weight, total, count = deviation**-2, log(known.value) * deviation**-2, 0
    for cup in cups.values():
        for found, doubt in power_measured(kit, replace(cup, stirs=(), additions=())):
            weight, total, count = weight + doubt**-2, total + log(found) * doubt**-2, count + 1
    if count == 0:
        return known
    middle, spread = exp(total / weight), exp(HALF_RANGE * hypot(weight**-0.5, REPEATS))
    return Estimate(
        value=middle, low=middle / spread, high=middle * spread, origin=Origin.MEASURED,
        source="readings before and after a burst", count=count,
    )  # fmt: skip


@lru_cache(maxsize=64)
def power_measured(kit: Kit, cup: CupState) -> tuple[tuple[float, float], ...]:
    """Return the power that each stretch between two readings tells, and its doubt. [W], [-]

    Parameters
    ----------
    kit : Kit
        Of the run; without an oven nothing is told.
    cup : CupState
        With its readings and bursts.
    """
    if kit.power is None:
        return ()
    return tuple(_each_measured(kit, cup))


def _each_measured(kit: Kit, cup: CupState) -> Iterator[tuple[float, float]]:
    """Yield the power that each stretch between two readings tells, and its doubt. [W], [-]"""
    assert kit.power is not None  # asked for by who knows it
    for before, after in zip(cup.readings[:-1], cup.readings[1:], strict=True):
        bursts = [burst for burst in cup.bursts if before.at <= burst.at <= after.at]
        if not bursts or any(before.at < at <= after.at for at, _ in cup.draws):
            continue
        heated = kit.heated(cup.letter, _mass_at(cup, before.at))
        try:
            cold = _followed(heated, before, bursts, after.at, 0.0)
            warm = _followed(heated, before, bursts, after.at, kit.power.value)
        except OutOfRange:  # so long in the oven that no law reaches there
            continue
        if warm - cold < LEAST_RISE or after.temperature - cold < LEAST_RISE:
            continue
        share = (after.temperature - cold) / (warm - cold)
        noise = sqrt(2) * kit.thermometer.between_cups / (after.temperature - cold)
        yield kit.power.value * share, hypot(noise / HALF_RANGE, REPEATS)


def _mass_at(cup: CupState, at: datetime) -> float:
    return cup.filled - sum(mass for when, mass in cup.draws if when <= at)


def _followed(
    heated: HeatedCup, first: Reading, bursts: list[Burst], until: datetime, power: float
) -> float:
    """Return the temperature at a moment, from a reading on, bursts and waits followed. [K]"""
    state, clock = heated.resting(first.temperature), first.at
    for burst in bursts:
        state = heated.after(state, max((burst.at - clock).total_seconds(), 0.0)).state
        share = 0.5 if burst.is_shared else 1.0
        state = heated.after(state, burst.seconds, power * share).state
        clock = max(burst.end, clock)
    return heated.after(state, max((until - clock).total_seconds(), 0.0)).state.melt


@lru_cache(maxsize=64)
def expected_after(kit: Kit, cup: CupState, power: Estimate | None) -> Estimate | None:
    """Return what a cup reads as it comes out of the oven, for want of a reading. [K]

    Parameters
    ----------
    kit : Kit
        Of the run.
    cup : CupState
        With its bursts.
    power : Estimate or None
        Of the oven into the melt. [W]
    """
    last = cup.last_burst
    if last is None or cup.fresh_readings or power is None:
        return None
    before = [reading for reading in cup.readings if reading.at < last.at]
    first = before[-1] if before else Reading(
        id="", at=cup.bursts[0].at, temperature=kit.bench.room, is_stirred=True
    )  # fmt: skip
    bursts = [burst for burst in cup.bursts if burst.at >= first.at]
    heated = kit.heated(cup.letter, _mass_at(cup, first.at))

    def law(watts: float, exposed: float) -> float:
        open_cup = replace(heated.cup, exposure=Estimate.exact(exposed))
        return _followed(replace(heated, cup=open_cup), first, bursts, last.end, watts)

    try:
        found = propagate(
            law, [power, heated.cup.exposure],
            source="the oven's power, the bursts told and what the cup loses between",
        )  # fmt: skip
    except OutOfRange:  # so long in the oven that no law reaches there
        return None
    doubt = kit.thermometer.between_cups
    return replace(found, low=found.low - doubt, high=found.high + doubt)


def heat_goal(cup: CupState, plan: RunPlan, kit: Kit) -> Goal:
    """Return where the heat in hand is to end: fused at first, in the band for a top-up."""
    target = plan.target
    if cup.draws:
        target = min(plan.band[1] + TOP_UP_MARGIN, plan.target)
    return Goal(
        target=target, ceiling=plan.ceiling, doubt=kit.thermometer.doubt,
        noise=kit.thermometer.between_cups,
    )  # fmt: skip


def wants_heat(cup: CupState, plan: RunPlan, kit: Kit, now: float | None) -> bool:
    """Whether a cup is still on its way up: no reading in this heat was where it should be.

    Parameters
    ----------
    cup : CupState
        Of the melt in hand.
    plan : RunPlan
        That the run follows.
    kit : Kit
        Of the run.
    now : float or None
        Temperature of the cup; None before anything is known of it. [K]
    """
    goal = heat_goal(cup, plan, kit)
    # A top-up that comes near the start is hot enough to shoot: nearer, and the other cup cools.
    enough = (plan.band[1] if cup.draws else goal.target) - TOLERANCE
    since = cup.warmed_from
    read = [r.temperature for r in cup.readings if since is None or r.at >= since]
    return max([*read, 0.0 if now is None else now]) < enough


def is_as_warm_as_it_gets(cup: CupState, plan: RunPlan, kit: Kit, power: Estimate | None) -> bool:
    """Whether a heat may end under its target, since bursts bring the cup no nearer.

    Parameters
    ----------
    cup : CupState
        Of the melt in hand, that still wants heat.
    plan : RunPlan
        That the run follows.
    kit : Kit
        Of the run.
    power : Estimate or None
        Of the oven into the melt. [W]

    Notes
    -----
    Told from the readings alone: a cup that was warm enough and falls meanwhile stays so.
    """
    goal, since = heat_goal(cup, plan, kit), cup.warmed_from
    read = [r.temperature for r in cup.readings if since is None or r.at >= since]
    if not read:
        return False
    if power is not None and max(read) >= goal.target - NEAR:
        burst = next_burst(kit, cup, plan, power, max(read))
        if burst is None or burst.seconds < HARDLY:
            return True
    # A hand that takes longer than planned loses more: the readings tell what bursts brought.
    peaks = _peaks(cup)
    is_stalled = len(peaks) > STALLS and max(peaks[-STALLS:]) < max(peaks[:-STALLS]) + STALLED
    return is_stalled and max(read) >= plan.band[1]


def _peaks(cup: CupState) -> list[float]:
    """Return the highest reading after each burst of this heat that was read. [K]"""
    bursts = cup.heat_bursts
    ends = [burst.at for burst in bursts[1:]]
    peaks = []
    for burst, end in zip_longest(bursts, ends):
        read = [
            r.temperature for r in cup.readings if r.at >= burst.at and (end is None or r.at < end)
        ]
        peaks += [max(read)] if read else []
    return peaks


def next_burst(
    kit: Kit, cup: CupState, plan: RunPlan, power: Estimate | None, now: float | None
) -> NextBurst | None:
    """Return the next time in the oven of a cup that wants heat; None where there is none.

    Parameters
    ----------
    kit : Kit
        Of the run.
    cup : CupState
        Of the melt in hand.
    plan : RunPlan
        That the run follows.
    power : Estimate or None
        Of the oven into the melt. [W]
    now : float or None
        Temperature of the cup; None before anything is known of it. [K]
    """
    if power is None:
        return None
    warm = _halves(kit.bench.room if now is None else now)
    goal = heat_goal(cup, plan, kit)
    # A cup that is nearly empty cannot be heated as far evenly: for a top-up the start is enough.
    targets = (goal.target, (goal.target + plan.band[1]) / 2, plan.band[1])
    for target in targets if cup.draws else targets[:1]:
        found = _next_burst(
            kit, ((cup.letter, round(cup.mass, 4), warm),), power, replace(goal, target=target)
        )
        if found is not None:
            return found
    return None


def next_burst_of_both(
    kit: Kit, cups: dict[str, CupState], plan: RunPlan, power: Estimate, now: dict[str, float]
) -> NextBurst | None:
    """Return the next time in the oven of all cups together, which share what it gives.

    Parameters
    ----------
    kit, plan, power
        As `next_burst`.
    cups : dict of str to CupState
        By letter.
    now : dict of str to float
        Temperature of each. [K]
    """
    goal = heat_goal(next(iter(cups.values())), plan, kit)
    warm = tuple(
        (letter, round(cup.mass, 4), _halves(now[letter])) for letter, cup in cups.items()
    )
    return _next_burst(kit, warm, power, goal)


def _halves(kelvin: float) -> float:
    """Return a temperature in half degrees, downwards: a cup that wants heat still does."""
    return floor(kelvin * 2) / 2


@lru_cache(maxsize=128)
def _next_burst(
    kit: Kit, cups: tuple[tuple[str, float, float], ...], power: Estimate, goal: Goal
) -> NextBurst | None:
    """Return the next burst of cups, each told by letter, mass [kg] and temperature [K]."""
    to_heat = []
    for letter, mass, warm in cups:
        heated = kit.heated(letter, mass)
        to_heat.append(ToHeat(name=letter, cup=heated, state=heated.resting(warm)))
    try:
        bursts = plan_bursts(to_heat, power, goal).bursts
    except (Impossible, OutOfRange):
        return None
    if not bursts:  # warm enough for this goal as it is
        return None
    burst = bursts[0]
    hottest = max(burst.cups, key=lambda cup: cup.expected.value)
    return NextBurst(
        seconds=burst.seconds, target=goal.target, expected=hottest.expected,
        hottest=hottest.hottest,
    )  # fmt: skip


def seconds_to_warm(
    kit: Kit, cup: CupState, power: Estimate | None, warm: float, by: float
) -> float | None:
    """Return the time in the oven that warms a cup by so much [K]; None where it is too short."""
    if power is None:
        return None
    heated = kit.heated(cup.letter, cup.mass)
    try:
        rise = heated.after(heated.resting(warm), TRIED, power.value).state.melt - warm
    except OutOfRange:  # hardly anything left in it
        return None
    seconds = float(round(by / rise * TRIED)) if rise > 0 else 0.0
    return seconds if seconds >= LEAST_BURST else None


def stir_every(kit: Kit, cup: CupState, plan: RunPlan) -> float | None:
    """Return the longest time between stirs; None where nothing in the cup sinks soon. [s]"""
    mass = max(cup.mass, LEAST_MASS)
    pace = Pace().shot * kit.bench.syringes.shots_per_draw
    found = _stirring(kit.plastics[cup.letter], plan.band[1], _depth(kit, cup.letter, mass), pace)
    return None if found is None else found.value


def _depth(kit: Kit, letter: str, mass: float) -> float:
    return round(float(kit.cups[letter].depth(mass)), 3)


@lru_cache(maxsize=64)
def _stirring(
    plastic: Composition, temperature: float, depth: float, between: float
) -> Estimate | None:
    return stirring(plastic, temperature=temperature, depth=depth, between_draws=between).interval


#: A cup that nobody heats or reads is taken to be cold after this long. [s]
COLD_AFTER = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """What a melt's heat has done to one cup so far.

    Parameters
    ----------
    above : float
        Time above 160 °C. [s]
    dose : float
        Of yellowing, in seconds at 450 K. [s]
    """

    above: float = 0.0
    dose: float = 0.0


def exposure(cup: CupState, now: datetime, warm: float | None) -> Exposure:
    """Return what a cup has been exposed to, by straight lines between its readings.

    Parameters
    ----------
    cup : CupState
        With its readings.
    now : datetime
        In UTC.
    warm : float or None
        What it would read now; None where nobody knows. [K]
    """
    points = [(reading.at.timestamp(), reading.temperature) for reading in cup.readings]
    if warm is not None and points:
        # A cup that stood for days has been cold since its first hour.
        points.append((min(now.timestamp(), points[-1][0] + COLD_AFTER), warm))
    if len(points) < 2:
        return Exposure()
    at = np.array(points)
    above = time_above(at[:, 0], at[:, 1], COUNTED_ABOVE)
    times = np.linspace(at[0, 0], at[-1, 0], max(int(at[-1, 0] - at[0, 0]), 1) + 1)
    warmth = np.interp(times, at[:, 0], at[:, 1])
    return Exposure(above=above, dose=float(exposure_dose(warmth, times - times[0])))
