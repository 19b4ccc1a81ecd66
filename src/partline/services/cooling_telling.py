"""A countdown said in the maker's units: as JSON, as notes, and in words."""

from __future__ import annotations

from typing import Any

from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate, Origin
from partline.services.cautions import CAUTIONS
from partline.services.cooling import CoolingAnswer
from partline.services.cooling_asked import Cooling
from partline.services.cooling_entry import clock
from partline.services.origins import Input
from partline.services.telling import figure
from partline.studies.countdown import Countdown, Match, Slot
from partline.studies.countdown.history import LEAST_MASS
from partline.studies.countdown.pair import MATCHED

Json = dict[str, Any]


def cooling_as_json(answer: CoolingAnswer) -> Json:
    """Return the answer in the maker's units; the page of answers has every key."""
    asked, stop = answer.asked, answer.stop
    return {
        "start_s": round(answer.start.value, 1),
        "low_s": round(answer.start.low, 1),
        "high_s": round(answer.start.high, 1),
        "stop_s": None if stop is None else round(stop.value, 1),
        "stop_low_s": None if stop is None else round(stop.low, 1),
        "stop_high_s": None if stop is None else round(stop.high, 1),
        "now_s": round(asked.now, 1),
        "is_due": answer.is_due,
        "unit": "°F" if asked.is_fahrenheit else "°C",
        "start_at": _temperature(asked, asked.start),
        "stop_at": None if asked.stop is None else _temperature(asked, asked.stop),
        "next_reading_s": round(answer.next_reading.at, 1),
        "next_reading_narrows": {
            "from_s": round(answer.next_reading.width, 1),
            "to_s": round(answer.next_reading.width_after, 1),
        },
        "cups": [_cup_as_json(answer, cup) for cup in answer.cups],
        "slot": _slot_as_json(answer.slot),
        "match": _match_as_json(answer.match),
        "origins": [each.as_dict() for each in inputs_of(answer)],
        "notes": notes_of(answer),
        "cautions": list(CAUTIONS),
    }


def _temperature(asked: Cooling, temperature: float) -> Json:
    return {
        "celsius": round(temperature - ZERO_CELSIUS, 2),
        "shown": asked.shown(temperature),
    }


def _cup_as_json(answer: CoolingAnswer, cup: str) -> Json:
    asked, counted = answer.asked, answer.cups[cup]
    shots = answer.shots.get(cup)
    return {
        "cup": cup,
        "readings": len(counted.history.readings),
        "now_celsius": figure(_now(counted), 1),
        "start": figure(counted.crossing(asked.start), 1),
        "stop": None
        if asked.stop is None
        else figure(shots.stop if shots else counted.crossing(asked.stop), 1),
        "tau_s": figure(counted.time_constant(), 0),
        "shots_left": None
        if shots is None
        else {
            "value": shots.middle,
            "low": shots.low,
            "high": shots.high,
            "all_wanted": shots.is_emptied,
        },
    }


def _now(counted: Countdown) -> Estimate:
    """Return what the cup reads now, just stirred. [°C]"""
    low, middle, high = (float(each) for each in counted.temperature(counted.now)[:, 0])
    return Estimate(
        value=middle - ZERO_CELSIUS,
        low=low - ZERO_CELSIUS,
        high=high - ZERO_CELSIUS,
        origin=Origin.COMPUTED,
        source="its readings, cooling by air and radiation",
        narrows="a reading, just stirred",
    )


def _slot_as_json(slot: Slot | None) -> Json | None:
    if slot is None:
        return None
    return {
        "opens": figure(slot.opens, 1),
        "closes": figure(slot.closes, 1),
        "chance": round(slot.chance, 3),
    }


def _match_as_json(match: Match | None) -> Json | None:
    if match is None:
        return None
    return {
        "difference_k": figure(match.difference, 1),
        "waits": match.waits or None,
        "seconds": figure(match.seconds, 0),
        "closes_at_s": None if match.closes_at is None else round(match.closes_at, 1),
    }


def inputs_of(answer: CoolingAnswer) -> list[Input]:
    """Return the numbers that the answer rests on."""
    found = []
    bench = answer.asked.bench
    for cup, counted in answer.cups.items():
        known = counted.history.time_constant
        found.append(
            Input(
                name=f"time constant of cup {cup} before any reading",
                value=round(known.value),
                low=round(known.low),
                high=round(known.high),
                unit="s",
                origin=known.origin,
                source=known.source,
                narrows=known.narrows,
            )
        )
    between = next(iter(answer.cups.values())).history.between
    is_told = bench is not None and bench.thermometer is not None
    found.append(
        Input(
            name="two readings of one thermometer agree within",
            value=between,
            low=between,
            high=between,
            unit="K",
            origin=Origin.ENTERED if is_told else Origin.DEFAULT,
            source="the bench's thermometer" if is_told else "a hand thermometer for infrared",
            narrows="ten readings in a row of one matt spot on a warm mould",
        )
    )
    return found


def notes_of(answer: CoolingAnswer) -> list[str]:
    """Return what to know beside the numbers."""
    asked = answer.asked
    notes = [
        "Readings count as just stirred, and the band as read with the same thermometer: how far "
        "it is off altogether does not matter to the countdown.",
    ]
    if not asked.is_described:
        notes.append(
            "Nothing is known of the cup but its readings. With its filling weighed, and the "
            "bench named, the range is narrower and shots can be counted."
        )
    elif asked.bench is None:
        notes.append("The vessel is taken to be 500 mL of glass; name the bench to use yours.")
    few = [cup for cup, each in answer.cups.items() if len(each.history.readings) < 2]
    if few:
        notes.append(
            f"Cup {' and '.join(few)}: one reading tells no cooling. Stir, and read again 40 s "
            "after the first."
        )
    if any(r.since_stir is None for each in asked.histories.values() for r in each.readings):
        colder = "10 to 35 °F" if asked.is_fahrenheit else "5 to 20 °C"
        notes.append(
            f"A reading that was not stirred may be {colder} below the melt: it counts little."
        )
    if answer.slot is not None and answer.slot.chance < 0.9:
        notes.append(
            f"Both cups are in the band together with a chance of {answer.slot.chance:.0%}: "
            "keep the cooler one warm, or heat it once more."
        )
    return [*notes, *_shot_notes(answer)]


def _shot_notes(answer: CoolingAnswer) -> list[str]:
    notes = []
    for cup, shots in answer.shots.items():
        history, schedule = answer.cups[cup].history, answer.schedule
        if schedule is None or history.mass is None or not shots.middle:
            continue
        left = max(history.mass - shots.middle * schedule.mass, LEAST_MASS)
        notes.append(
            f"Cup {cup}: after {shots.middle} draw(s) {left * 1e3:.0f} g are left, which cool "
            f"{1 / history.slowness(left):.1f} times as fast; the stop reckons with it."
        )
    return notes


def match_words(match: Match, closes: float | None, *, is_fahrenheit: bool = False) -> str:
    """Return what to do about two cups that differ.

    Parameters
    ----------
    match : Match
        How they stand.
    closes : float or None
        When the slot closes, where it is known. [s]
    is_fahrenheit : bool
        Whether to speak of °F.
    """
    scale, unit = (1.8, "°F") if is_fahrenheit else (1.0, "°C")
    if not match.waits:
        return f"The cups are matched within {MATCHED * scale:.0f} {unit}."
    other = "B" if match.waits == "A" else "A"
    low, high = clock(match.seconds.low), clock(match.seconds.high)
    said = (
        f"Cup {match.waits} is {abs(match.difference.value) * scale:.0f} {unit} warmer: it waits "
        f"{clock(match.seconds.value)} ({low}–{high}) while cup {other} is kept warm."
    )
    if match.closes_at is not None and (closes is None or match.closes_at < closes):
        said += f" Left standing, they match at {clock(match.closes_at)}."
    return said
