"""How many heats a run takes with so many moulds, said in the maker's units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from partline.errors import InputError
from partline.process.barrel import Drawn, drawn, preheat_cost, preheat_gains
from partline.process.composition import compose
from partline.process.cup import cup_of
from partline.process.emptying import CupInBand
from partline.process.melt_viscosity import hot_melt
from partline.process.mould_heat import mould_heat
from partline.process.poured_side import EQUAL_PUSH, PouredSide, poured_side
from partline.process.shooting import USUAL_PUSH, Pace, Rotation, Shooting
from partline.process.shot_heat import OPEN_AT
from partline.process.shots import fewest_heats, rotation, shots_per_heat
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate
from partline.services.cautions import CAUTIONS
from partline.services.opening import WARM_MOULD, minutes, shown
from partline.services.plan import PlanAnswer
from partline.services.telling import figure

Json = dict[str, Any]

#: Numbers of moulds that are compared.
COMPARED = (1, 2, 3, 4)
#: A draw that waits this long in its barrel, push included, is the usual one. [s]
IN_BARREL = 8.0
#: Preheats that are compared beside the bench's own. [K]
PREHEATS = (100 + ZERO_CELSIUS, 130 + ZERO_CELSIUS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rotated:
    """A number of moulds, with the melts shared for the fewest heats, and as planned.

    Parameters
    ----------
    best, as_planned : Rotation
        The two.
    per_heat : Estimate
        Shots of a heat with a full cup.
    """

    best: Rotation
    as_planned: Rotation
    per_heat: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotsAnswer:
    """A run's heats for several numbers of moulds.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    shooting : Shooting
        With what.
    asked : int
        Moulds that the timeline is for.
    by_moulds : dict of int to Rotated
        For each number.
    band : float
        How long the fullest cup stays in the band, were nobody to draw. [s]
    draw : Drawn or None
        What the barrel does to a draw; None where its mass is not known.
    """

    plan: PlanAnswer
    shooting: Shooting
    asked: int
    by_moulds: dict[int, Rotated]
    band: float
    draw: Drawn | None


def sides_of(plan: PlanAnswer) -> tuple[PouredSide, ...]:
    """Return each side's plastic and what a shot takes of it."""
    part = EQUAL_PUSH if plan.recipe.is_two_colour else 1.0
    return tuple(
        poured_side(side.half, compose(side, plan.shelf), plan.mould, plan.bench, part)
        for side in plan.recipe.sides
    )


def band_of(plan: PlanAnswer) -> tuple[float, float]:
    """Return the start, the recipe's own where it has one, and the stop: the labels' band. [K]

    Raises
    ------
    InputError
        If the recipe's start is not above the labels' stop, or the labels do not overlap.
    """
    sides = sides_of(plan)
    stop = plan.bench.as_read(max(side.plastic.band[0] for side in sides))
    highest = plan.bench.as_read(min(side.plastic.band[1] for side in sides))
    start = plan.recipe.handling.start or highest
    if start <= stop:
        raise InputError(
            f"The start of {plan.bench.reading(start)} is not above the labels' stop of "
            f"{plan.bench.reading(stop)}: there is no band to shoot in.",
            field="handling.start",
            remedy="Start higher in the label's band.",
        )
    return start, stop


def shooting_of(
    plan: PlanAnswer, *, wall: float = WARM_MOULD, mould_mass: Estimate | None = None,
    open_at: float = OPEN_AT,
) -> Shooting:  # fmt: skip
    """Return what a plan's shots are made with.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    wall : float
        Of every mould before its first shot. [K]
    mould_mass : Estimate, optional
        Of each mould as weighed; guessed when left out. [kg]
    open_at : float
        Core temperature to open at. [K]

    Raises
    ------
    InputError
        As `band_of`.
    """
    sides, bench = sides_of(plan), plan.bench
    start, stop = band_of(plan)
    per_draw = bench.syringes.shots_per_draw
    cups = tuple(
        CupInBand(
            cup=cup_of(bench.vessel, density=side.plastic.hot_density(start)),
            draw=side.shot + side.heel.value / per_draw,
            film=side.film.value,
            room=bench.room,
        )
        for side in sides
    )
    draw = draw_of(plan, start)
    block = sum(side.block.value for side in sides)
    return Shooting(
        mould=plan.mould,
        metal=mould_heat(plan.mould, mould_mass),
        shot_mass=sum(side.shot for side in sides) - block,
        cups=cups,
        start=start,
        stop=stop,
        room=bench.room,
        wall=wall,
        open_at=open_at,
        barrel_loss=draw.lost if draw else 0.0,
        pace=Pace(push=plan.recipe.handling.push or USUAL_PUSH),
    )


def draw_of(plan: PlanAnswer, temperature: float, seconds: float = IN_BARREL) -> Drawn | None:
    """Return what the bench's barrels do to a draw; None where their mass is not known.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    temperature : float
        As drawn. [K]
    seconds : float
        From draw to gate. [s]
    """
    syringes, bench = plan.bench.syringes, plan.bench
    if syringes.barrel_mass is None:
        return None
    mass = max(side.shot * side.shots_per_draw + side.heel.value for side in sides_of(plan))
    return drawn(
        syringes, mass, temperature,
        barrel=syringes.preheat if syringes.preheat is not None else bench.room,
        seconds=seconds,
    )  # fmt: skip


def preheats_of(plan: PlanAnswer, draw: Drawn) -> tuple[tuple[Drawn, float], ...]:
    """Return the same draw in barrels of several temperatures, and the heat each takes first [J].

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    draw : Drawn
        From `draw_of`.
    """
    syringes, room = plan.bench.syringes, plan.bench.room
    if syringes.barrel_mass is None:
        return ()
    barrels = sorted({room, *(each for each in PREHEATS if each > room), draw.barrel})
    found = preheat_gains(
        syringes, draw.mass, draw.drawn_at, barrels=tuple(barrels), seconds=draw.seconds
    )
    weight = syringes.barrel_mass.value
    return tuple((each, preheat_cost(weight, room, each.barrel)) for each in found)


def rotate(shooting: Shooting, plan: PlanAnswer, moulds: int) -> Rotated:
    """Return a run with so many moulds, melts as planned and melts for the fewest heats."""
    planned = tuple(melt.shots for melt in plan.amounts.melts)
    best = fewest_heats(shooting, sum(planned), len(planned), largest_melt(plan), moulds)
    as_planned = rotation(shooting, planned, moulds)
    fewest = as_planned if best == planned else rotation(shooting, best, moulds)
    if len(fewest.heats) >= len(as_planned.heats):
        fewest = as_planned
    return Rotated(
        best=fewest,
        as_planned=as_planned,
        per_heat=shots_per_heat(shooting, moulds, max(fewest.melts)),
    )


def largest_melt(plan: PlanAnswer) -> int:
    """Return the most shots that the fuller cup holds plastic for."""
    shots, sides, limit = 1, sides_of(plan), plan.bench.vessel.limit
    while shots < plan.amounts.shots and all(
        side.hot_volume(side.cup(shots + 1).value) <= limit for side in sides
    ):
        shots += 1
    return shots


def plan_shots(
    plan: PlanAnswer, *, moulds: int = 1, wall: float = WARM_MOULD,
    mould_mass: Estimate | None = None,
) -> ShotsAnswer:  # fmt: skip
    """Say how many heats a plan takes with so many moulds, beside one to four of them.

    Parameters
    ----------
    plan : PlanAnswer
        What is poured.
    moulds : int
        Alike and ready.
    wall : float
        Of every mould before its first shot. [K]
    mould_mass : Estimate, optional
        Of each mould as weighed. [kg]

    Raises
    ------
    InputError, OutOfRange, Impossible
        As `shooting_of` and `partline.process.shots.rotation`.
    """
    shooting = shooting_of(plan, wall=wall, mould_mass=mould_mass)
    numbers = sorted({*COMPARED, moulds})
    fullest = max(melt.shots for melt in plan.amounts.melts)
    return ShotsAnswer(
        plan=plan,
        shooting=shooting,
        asked=moulds,
        by_moulds={number: rotate(shooting, plan, number) for number in numbers},
        band=min(cup.band_time(fullest, shooting.start, shooting.stop) for cup in shooting.cups),
        draw=draw_of(plan, shooting.start),
    )


def shots_as_json(answer: ShotsAnswer) -> Json:
    """Return a run's heats in the maker's units.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    shooting, bench = answer.shooting, answer.plan.bench
    asked = answer.by_moulds[answer.asked]
    return {
        "recipe": {"name": answer.plan.recipe.name, "version": answer.plan.recipe.version},
        "mould": answer.plan.mould.name,
        "bench": bench.name,
        "shots": answer.plan.amounts.shots,
        "moulds": answer.asked,
        **_told(asked),
        "start": shown(shooting.start, bench),
        "stop": shown(shooting.stop, bench),
        "budget": {
            "band_s": round(answer.band),
            "push_s": shooting.pace.push,
            "handling_s": figure(shooting.pace.handling, 0),
            "shot_s": round(shooting.pace.shot),
            "unloading_s": shooting.pace.unloading,
            "top_up_s": shooting.pace.top_up,
        },
        "timeline": [
            {"shot": shot.number, "melt": shot.melt, "heat": shot.heat, "mould": shot.mould,
             "at_s": round(shot.at), "opens_at_s": round(shot.opens_at),
             "cup": shown(shot.cup, bench), "wall": shown(shot.wall, bench)}
            for shot in asked.best.shots
        ],
        "heat_plan": [
            {"heat": heat.number, "melt": heat.melt, "shots": heat.shots, "at_s": round(heat.at),
             "lasts_s": round(heat.lasts), "ends_because": heat.limit.value}
            for heat in asked.best.heats
        ],
        "by_moulds": [
            {"moulds": number, **_told(each)} for number, each in answer.by_moulds.items()
        ],
        "barrel": _barrel(answer),
        "notes": _notes(answer),
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def _told(each: Rotated) -> Json:
    return {
        "heats": len(each.best.heats),
        "top_ups": each.best.top_ups,
        "shots_per_heat": figure(each.per_heat, 0),
        "melts": list(each.best.melts),
        "heats_with_planned_melts": len(each.as_planned.heats),
        "planned_melts": list(each.as_planned.melts),
        "lasts_min": round(each.best.lasts / 60, 1),
    }


def _barrel(answer: ShotsAnswer) -> Json | None:
    draw, bench = answer.draw, answer.plan.bench
    if draw is None:
        return None
    mean = draw.mean.map(lambda kelvin: kelvin - ZERO_CELSIUS)
    return {
        "barrel": shown(draw.barrel, bench),
        "seconds": draw.seconds,
        "plastic_celsius": figure(mean, 1),
        "skin": shown(draw.skin, bench),
        "worst": shown(draw.worst, bench),
        "preheats": [
            {
                "barrel": shown(each.barrel, bench),
                "plastic": shown(each.mean.value, bench),
                "skin": shown(each.skin, bench),
                "heat_kj": round(heat / 1e3, 1),
            }
            for each, heat in preheats_of(answer.plan, draw)
        ],
    }


def _notes(answer: ShotsAnswer) -> list[str]:
    told = []
    asked = answer.by_moulds[answer.asked]
    if asked.best.melts != asked.as_planned.melts:
        told.append(
            f"{len(asked.best.heats)} heats need melts of "
            f"{' and '.join(str(each) for each in asked.best.melts)} shots; the plan's "
            f"{' and '.join(str(each) for each in asked.as_planned.melts)} take "
            f"{len(asked.as_planned.heats)}."
        )
    told.append(
        "Start and stop are readings of the cup. What a barrel takes from a draw is the shot's "
        "and not the cup's: it is counted once, in how warm the plastic enters the mould."
    )
    longest = max(shot.opens_at - shot.at for shot in asked.best.shots)
    told.append(
        f"The moulds warm from shot to shot: the last ones stay closed up to {minutes(longest)} "
        "min. A fan or a cold metal plate between shots shortens that."
    )
    sets = max(hot_melt(side.plastic).sets.value for side in sides_of(answer.plan))
    if answer.draw is not None and answer.draw.skin < sets:
        reading = answer.plan.bench.reading
        told.append(
            f"At the barrel's wall the plastic is down at {reading(answer.draw.skin)} and sets "
            f"there, below about {reading(sets)}: warm the barrels before the first draw."
        )
    if answer.draw is None:
        told.append("The barrels' mass is not known, so that what they take is left out.")
    told += [note.text for note in answer.shooting.metal.notes]
    return told
