"""The command that counts a cooling cup down to its start and its stop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from partline.interfaces.cli.speak import say, say_json
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate
from partline.services.cautions import CAUTIONS
from partline.services.cooling import CoolingAnswer, cool
from partline.services.cooling_entry import clock
from partline.services.cooling_telling import cooling_as_json, match_words, notes_of
from partline.services.workshop import Sources


def tell_cooling(
    readings: Iterable[str],
    given: Mapping[str, str],
    bench: str,
    workshop: Path | None,
    *,
    as_json: bool,
) -> None:
    """Count a cup down."""
    at = Sources(folder=workshop).bench(bench) if bench else None
    answer = cool(readings, given, at)
    if as_json:
        say_json(cooling_as_json(answer))
        return
    say(_start(answer))
    if answer.stop is not None:
        say(f"Stop at {span(answer.stop)}")
    _tell_cups(answer)
    reading = answer.next_reading
    say(
        f"Next reading at {clock(reading.at)}, just stirred: it would narrow "
        f"{reading.width:.0f} s to about {reading.width_after:.0f} s."
    )
    if answer.match is not None:
        closes = answer.stop.value if answer.stop else None
        say(match_words(answer.match, closes, is_fahrenheit=answer.asked.is_fahrenheit))
    say()
    for note in notes_of(answer):
        say(f"Note: {note}")
    for caution in CAUTIONS:
        say(f"! {caution}")


def span(known: Estimate) -> str:
    """Return a time with its range as a clock shows it."""
    return f"{clock(known.value)} ({clock(known.low)}–{clock(known.high)})"


def _start(answer: CoolingAnswer) -> str:
    """Return the start on the clock of the readings, and how far off it is."""
    if answer.is_due:
        return f"Start now: it was due at {span(answer.start)}"
    ahead = clock(answer.start.value - answer.asked.now)
    return (
        f"Start in {span(answer.start)} from 0:00 of the readings, {ahead} from "
        f"{clock(answer.asked.now)}"
    )


def _tell_cups(answer: CoolingAnswer) -> None:
    asked = answer.asked
    for cup, counted in answer.cups.items():
        low, now, high = (float(each) for each in counted.temperature(asked.now)[:, 0])
        shots = answer.shots.get(cup)
        left = ""
        if shots is not None:
            left = f"; {shots.middle} shots before the stop ({shots.low}–{shots.high})"
        tau = counted.time_constant()
        say(
            f"Cup {cup} at {clock(asked.now)}: {asked.shown(now)} "
            f"({_bare(low, asked.is_fahrenheit)}–{_bare(high, asked.is_fahrenheit)}), time "
            f"constant {tau.value:.0f} s ({tau.low:.0f}–{tau.high:.0f}){left}"
        )


def _bare(temperature: float, is_fahrenheit: bool) -> str:
    celsius = temperature - ZERO_CELSIUS
    return f"{celsius * 1.8 + 32 if is_fahrenheit else celsius:.0f}"
