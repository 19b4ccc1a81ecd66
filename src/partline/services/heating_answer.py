"""One heat of a plan in the maker's units, for the page and the command line."""

from __future__ import annotations

from typing import Any

from partline.process.additions import HeldBack
from partline.process.bench import Bench
from partline.process.bursts import Burst, CupAfter
from partline.process.going_cup import TOLERANCE
from partline.process.ingredients import Ingredient
from partline.process.stirring import Stirring
from partline.process.working_band import End
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate
from partline.services.cautions import CAUTIONS, not_above, supply_caution
from partline.services.heating import HeatingAnswer
from partline.services.opening import minutes, shown
from partline.services.plan import scale_reading
from partline.services.shots import band_of
from partline.services.telling import figure

Json = dict[str, Any]

#: Bursts below this are hard to set. [s]
SHORT = 8.0


def told(known: Estimate, bench: Bench) -> Json:
    """Return a temperature with its range, in °C and as the bench's thermometer shows it."""
    ends = [bench.reading(each) for each in (known.low, known.high)]
    text = bench.reading(known.value)
    if ends[0] != ends[1]:
        text += f" ({ends[0].split()[0]}–{ends[1].split()[0]})"
    return {"celsius": figure(known.map(lambda each: each - ZERO_CELSIUS), 1), "shown": text}


def heating_as_json(answer: HeatingAnswer) -> Json:
    """Return a heat in the maker's units.

    Returns
    -------
    dict
        Keys are documented in ``docs/reference/answers.md``.
    """
    plan, bench, made = answer.plan, answer.plan.bench, answer.bursts
    goal = made.goal
    return {
        "recipe": {"name": plan.recipe.name, "version": plan.recipe.version},
        "mould": plan.mould.name,
        "bench": bench.name,
        "temperatures": "°F" if bench.reads_fahrenheit else "°C",
        "melt": answer.part.melt,
        "heat": answer.part.heat,
        "heats": answer.part.heats,
        "cups": [
            {"cup": name, "grams": scale_reading(mass),
             "from": shown(answer.begins[name], bench)}
            for name, mass in answer.masses.items()
        ],
        "power_w": figure(answer.power, 0),
        "target": shown(goal.target, bench),
        "ceiling": shown(goal.ceiling, bench),
        "limit": shown(goal.limit, bench),
        "thermometer_doubt_k": goal.doubt,
        "before": [
            {"cup": cup, **_adds(each, bench)}
            for cup, each_in in made.before.items() for each in each_in
        ],
        "bursts": [_burst(place, each, bench) for place, each in enumerate(made.bursts, start=1)],
        "oven_s": round(made.oven_seconds),
        "start": shown(band_of(plan)[0], bench),
        "start_after_s": round(made.cool_s),
        "held_back": [
            {"cup": cup, **_held(each)} for cup, waits in made.held_back.items() for each in waits
        ],
        "habit": {
            "bursts_s": [round(each) for each in made.habit.bursts],
            "hottest": told(made.habit.hottest, bench),
            "stays_under_limit": made.habit.hottest.high <= goal.limit,
        },
        "exposure": [
            {"cup": each.name, "min_above_160_c": round(each.above / 60, 1),
             "dose_min": round(each.dose / 60, 1), "heats": answer.part.heat}
            for each in made.exposed
        ],
        "band": {
            "start": told(answer.band.start.temperature, bench),
            "start_binds": answer.band.start.limit.value,
            "stop": told(answer.band.stop.temperature, bench),
            "stop_binds": answer.band.stop.limit.value,
            "start_limits": [_end(each, bench) for each in answer.band.starts],
            "stop_limits": [_end(each, bench) for each in answer.band.stops],
        },
        "stir": [_stir(name, each) for name, each in answer.stirs.items()],
        "notes": _notes(answer),
        "cautions": [*_supply_cautions(answer), *CAUTIONS],
    }  # fmt: skip


def _adds(ingredient: Ingredient, bench: Bench) -> Json:
    return {
        "supply": ingredient.supply,
        "grams": scale_reading(ingredient.mass, 2),
        "drops": ingredient.drops,
        "caution": supply_caution(ingredient, bench) or None,
    }


def _once(ingredient: Ingredient, bench: Bench) -> Json:
    """Return the reading that a flake which sheds waits for, the thermometer's doubt taken off."""
    below = not_above(ingredient, bench)
    if below is None:
        return {"not_above_celsius": None, "not_above": None}
    return {
        "not_above_celsius": round(below - ZERO_CELSIUS, 1),
        "not_above": bench.reading(below),
    }


def _held(held: HeldBack) -> Json:
    return {"supply": held.ingredient.supply, "reason": held.reason}


def _burst(place: int, burst: Burst, bench: Bench) -> Json:
    def after(cup: CupAfter) -> Json:
        return {
            "cup": cup.name,
            "expected": told(cup.expected, bench),
            "hottest": told(cup.hottest, bench),
            "adds": [_adds(each, bench) | _once(each, bench) for each in cup.adds],
        }

    return {
        "burst": place,
        "seconds": round(burst.seconds),
        "cups": [after(cup) for cup in burst.cups],
        "seconds_per_kelvin": round(burst.seconds_per_kelvin, 1),
    }


def _end(end: End, bench: Bench) -> Json:
    return {"limit": end.limit.value, "temperature": told(end.temperature, bench)}


def _stir(name: str, each: Stirring) -> Json:
    return {
        "cup": name,
        "words": each.words,
        "per_draw": each.is_per_draw,
        "interval_s": None if each.interval is None else figure(each.interval, 0),
        "supply": each.sinking[0].supply if each.sinking else None,
        "mm_per_min": None
        if not each.sinking
        else figure(each.sinking[0].speed.map(lambda speed: speed * 60e3), 2),
    }


def _supply_cautions(answer: HeatingAnswer) -> list[str]:
    found = []
    for cup in answer.plan.amounts.melts[answer.part.melt - 1].cups:
        for each in cup.ingredients:
            text = supply_caution(each, answer.plan.bench)
            if text:
                found.append(f"{each.supply}: {text}")
    return found


def _notes(answer: HeatingAnswer) -> list[str]:
    made, part = answer.bursts, answer.part
    notes = [
        "Stir well and read after every burst, and plan on from that reading: the ranges are "
        "those of one burst after a reading that was as expected.",
        "Where the hottest place lies nobody can see, and no reading finds it: short bursts and "
        "stirring keep it under the limit.",
    ]
    if made.cool_s:
        notes.append(
            "From the last stir the warmer cup falls to the start of "
            f"{answer.plan.bench.reading(band_of(answer.plan)[0])} in about "
            f"{minutes(made.cool_s)} min."
        )
    if made.short_by > TOLERANCE:
        notes.append(
            f"It ends {made.short_by:.0f} K under the target: so little plastic loses as much "
            "while it is stirred as a burst may give. Fused plastic is clear and glossy; where "
            "yours stays cloudy, melt for more baits at a time, or set the oven to half its power "
            "and twice the time."
        )
    waits = [held for each in made.held_back.values() for held in each]
    names = list(dict.fromkeys(held.ingredient.supply for held in waits))
    if names:
        notes.append(
            f"This melt takes {part.heats} heats, and {' and '.join(names)} must wait for the "
            "last: the shots before would be without. Shoot the melt in one heat (more moulds "
            "ready), or melt less at a time."
        )
    if any(burst.seconds < SHORT for burst in made.bursts):
        notes.append(
            "So little plastic heats fast. Where the oven cannot be set so short, set half its "
            "power and twice the time, or put a second cup of plastic in."
        )
    habit = made.habit
    if habit.bursts:
        tells = (
            "stays under the limit"
            if habit.hottest.high <= made.goal.limit
            else "may pass the limit at the hottest place"
        )
        notes.append(
            f"The custom of 60, 30 and 15 s would take {_times(len(habit.bursts))} and {tells}; "
            f"this plan takes {_times(len(made.bursts))}."
        )
    return notes


def _times(bursts: int) -> str:
    return "one burst" if bursts == 1 else f"{bursts} bursts"
