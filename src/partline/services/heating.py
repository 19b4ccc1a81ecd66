"""How to heat the cups of a plan, said in the maker's units: bursts, band, stirring, exposure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from partline.errors import Impossible, InputError, OutOfRange
from partline.process.bench import Bench
from partline.process.burst_plan import oven_power, plan_bursts
from partline.process.bursts import BurstPlan, Goal, ToHeat
from partline.process.composition import Composition
from partline.process.cup import cup_of
from partline.process.going_cup import TOLERANCE
from partline.process.heating import CupState, heated_cup
from partline.process.ingredients import Ingredient
from partline.process.shooting import Rotation
from partline.process.shots import rotation
from partline.process.stirring import Stirring, stirring
from partline.process.working_band import USUAL_DOUBT, Learned, WorkingBand, working_band
from partline.quantities.estimate import Estimate
from partline.services.plan import PlanAnswer
from partline.services.shots import band_of, shooting_of, sides_of

#: How far above the start a top-up goes, so that there is time to stir, read and draw. [K]
TOP_UP_MARGIN = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Which heat of which melt.

    Parameters
    ----------
    melt, heat, heats : int
        From 1; the melt's heats in all.
    shots_done : int
        Taken from this melt before this heat.
    """

    melt: int = 1
    heat: int = 1
    heats: int = 1
    shots_done: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingAnswer:
    """One heat of a plan, with what it was made from.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    part : Part
        Which heat.
    begins : dict of str to float
        Temperature of each cup as it begins, by cup. [K]
    masses : dict of str to float
        In each cup at the end. [kg]
    power : Estimate
        Into the melt. [W]
    bursts : BurstPlan
        The heat.
    band : WorkingBand
        To shoot in.
    stirs : dict of str to Stirring
        By cup.
    """

    plan: PlanAnswer
    part: Part
    begins: dict[str, float]
    masses: dict[str, float]
    power: Estimate
    bursts: BurstPlan
    band: WorkingBand
    stirs: dict[str, Stirring]


def part_of(plan: PlanAnswer, *, melt: int, heat: int, moulds: int) -> Part:
    """Return which heat of a melt is meant, and of how many with so many moulds.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    melt, heat : int
        From 1.
    moulds : int
        Ready in rotation.

    Raises
    ------
    OutOfRange
        If there is no such melt or heat.
    """
    melts = len(plan.amounts.melts)
    if not 1 <= melt <= melts:
        raise OutOfRange(
            f"This plan has {melts} melt(s); melt {melt} was asked for.",
            low=1, high=melts, field="melt", given=str(melt),
        )  # fmt: skip
    found: Rotation = rotation(
        shooting_of(plan), tuple(each.shots for each in plan.amounts.melts), moulds
    )
    heats = [each for each in found.heats if each.melt == melt]
    if not 1 <= heat <= len(heats):
        raise OutOfRange(
            f"With {moulds} mould(s) melt {melt} takes {len(heats)} heat(s); heat {heat} was "
            "asked for.",
            low=1, high=len(heats), field="heat", given=str(heat),
        )  # fmt: skip
    done = sum(each.shots for each in heats[: heat - 1])
    return Part(melt=melt, heat=heat, heats=len(heats), shots_done=done)


def goal_of(plan: PlanAnswer, part: Part) -> Goal:
    """Return where a heat is to end: the label's target, or a little above the start.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    part : Part
        Which heat.
    """
    grades = [grade for side in sides_of(plan) for grade, _ in side.plastic.grades]
    start, _ = band_of(plan)
    target = plan.bench.as_read(max(grade.target for grade in grades))
    known = plan.bench.thermometer
    return Goal(
        target=target if part.heat == 1 else min(target, start + TOP_UP_MARGIN),
        ceiling=plan.bench.limit(min(grade.ceiling for grade in grades)),
        doubt=known.doubt if known else USUAL_DOUBT,
        noise=known.between_cups if known else 1.0,
    )


def cups_to_heat(
    plan: PlanAnswer, part: Part, temperatures: Mapping[str, float] | None = None
) -> tuple[ToHeat, ...]:
    """Return a melt's cups as a heat finds them.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    part : Part
        Which heat; what was shot before is out of the cups.
    temperatures : mapping of str to float, optional
        Reading of each cup; the room's for a fresh melt and the stop's for a top-up when left
        out. [K]
    """
    bench, melt = plan.bench, plan.amounts.melts[part.melt - 1]
    _, stop = band_of(plan)
    usual = bench.room if part.heat == 1 else stop
    found = []
    for side, filled in zip(sides_of(plan), melt.cups, strict=True):
        gone = part.shots_done * (side.shot + side.heel.value / side.shots_per_draw)
        left = filled.mass - gone
        share = left / filled.mass
        warm = (temperatures or {}).get(filled.half.cup, usual)
        cup = heated_cup(
            cup_of(bench.vessel, density=side.plastic.hot_density(stop)), side.plastic, left,
            bench.room,
        )  # fmt: skip
        is_cold = warm <= bench.room + 5
        found.append(
            ToHeat(
                name=filled.half.cup,
                cup=cup,
                state=CupState(melt=warm, glass=warm) if is_cold else cup.resting(warm),
                ingredients=tuple(scaled(each, share) for each in filled.ingredients),
            )
        )
    return tuple(found)


def scaled(ingredient: Ingredient, share: float) -> Ingredient:
    """Return the same for a share [-] of a cup: what is left of it."""
    exact = ingredient.drops_exact
    spoons = ingredient.teaspoons
    return replace(
        ingredient,
        mass=ingredient.mass * share,
        drops=None if exact is None else round(exact * share),
        drops_exact=None if exact is None else exact * share,
        teaspoons=None if spoons is None else spoons.map(lambda each: each * share),
    )


def heat_cups(
    plan: PlanAnswer,
    part: Part,
    *,
    temperatures: Mapping[str, float] | None = None,
    power: Estimate | None = None,
    target: float | None = None,
    only: str = "",
) -> BurstPlan:
    """Plan a heat's bursts: from a fresh melt, from a top-up, or on from a reading.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    part : Part
        Which heat.
    temperatures : mapping of str to float, optional
        Latest stirred reading of each cup. [K]
    power : Estimate, optional
        Into the melt, as learned; the bench's when left out. [W]
    target : float, optional
        Where to end; see `goal_of` when left out. [K]
    only : str
        A or B for a cup that is in the oven alone; both together when empty.

    Raises
    ------
    InputError
        If the bench has no oven, or there is no such cup.
    Impossible
        If the target lies too near the ceiling for this thermometer.
    """
    goal = goal_of(plan, part)
    if target is not None:
        goal = replace(goal, target=target)
    cups = cups_to_heat(plan, part, temperatures)
    if only:
        cups = tuple(each for each in cups if each.name == only)
        if not cups:
            raise InputError(f"There is no cup {only} in this plan.", field="cup", given=only)
    start, _ = band_of(plan)
    known = power or oven_power(plan.bench.oven)

    def bursts_to(goal: Goal) -> BurstPlan:
        return _planned(cups, known, goal, part.heat, part.heats, start)

    if part.heat == 1 or target is not None:
        return bursts_to(goal)
    try:
        return bursts_to(goal)
    except Impossible:  # a small cup: without the margin, to be drawn from at once
        return bursts_to(replace(goal, target=start + TOLERANCE))


@lru_cache(maxsize=256)
def _planned(
    cups: tuple[ToHeat, ...], power: Estimate, goal: Goal, heat: int, heats: int, start: float
) -> BurstPlan:
    """Plan once what a screen asks for again and again."""
    return plan_bursts(cups, power, goal, heat=heat, heats=heats, start=start)


def band_for(plan: PlanAnswer, learned: Learned | None = None) -> WorkingBand:
    """Return the working band of a plan, each end with the limit that binds.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    learned : Learned, optional
        From earlier runs.

    Raises
    ------
    Impossible
        If no temperature is left to work in.
    """
    sides = sides_of(plan)
    volume = sum(side.hot_volume(side.shot) for side in sides)
    push = shooting_of(plan).pace.push
    return working_band(
        [side.plastic for side in sides], plan.mould, plan.bench, shot=volume, push=push,
        learned=learned,
    )  # fmt: skip


def stirs_for(plan: PlanAnswer, masses: Mapping[str, float]) -> dict[str, Stirring]:
    """Return how often each cup must be stirred with so much [kg] in it, by cup.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    masses : mapping of str to float
        In each cup. [kg]
    """
    start, _ = band_of(plan)
    between = shooting_of(plan).pace.shot
    return {
        side.half.cup: _stirs(side.plastic, plan.bench, masses[side.half.cup], start, between)
        for side in sides_of(plan)
        if side.half.cup in masses
    }


def _stirs(
    plastic: Composition, bench: Bench, mass: float, start: float, between: float
) -> Stirring:
    cup = cup_of(bench.vessel, density=plastic.hot_density(start))
    return stirring(
        plastic, temperature=start, depth=float(cup.depth(mass)), between_draws=between
    )


def heat_pour(
    plan: PlanAnswer,
    *,
    melt: int = 1,
    heat: int = 1,
    moulds: int = 1,
    temperatures: Mapping[str, float] | None = None,
) -> HeatingAnswer:
    """Say how to heat one melt of a plan.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    melt, heat : int
        Which, from 1.
    moulds : int
        Ready in rotation: they decide how many heats the melt takes.
    temperatures : mapping of str to float, optional
        Of each cup as it begins. [K]

    Raises
    ------
    InputError, OutOfRange, Impossible
        As `part_of`, `heat_cups` and `band_for`.
    """
    part = part_of(plan, melt=melt, heat=heat, moulds=moulds)
    cups = cups_to_heat(plan, part, temperatures)
    masses = {each.name: each.cup.mass for each in cups}
    power = oven_power(plan.bench.oven)
    return HeatingAnswer(
        plan=plan,
        part=part,
        begins={each.name: each.state.melt for each in cups},
        masses=masses,
        power=power,
        bursts=heat_cups(plan, part, temperatures=temperatures, power=power),
        band=band_for(plan),
        stirs=stirs_for(plan, masses),
    )
