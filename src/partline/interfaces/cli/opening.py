"""The commands that say when a mould may be opened, and how many heats a run takes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from partline.interfaces.cli.answers import Asked
from partline.interfaces.cli.speak import say, say_json
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.estimate import Estimate
from partline.quantities.units import Kind, parse
from partline.services.opening import WARM_MOULD, minutes, open_mould, opening_as_json
from partline.services.shots import plan_shots, shots_as_json
from partline.services.workshop import Sources

Answer = Mapping[str, Any]


def tell_opening(
    mould: str,
    bench: str,
    given: Mapping[str, str],
    shots: int,
    workshop: Path | None,
    *,
    as_json: bool,
) -> None:
    """Say when a mould may be opened."""
    sources = Sources(folder=workshop)
    at = sources.bench(bench) if bench else None
    answer: Any = opening_as_json(open_mould(sources.mould(mould), at, given, shots=shots))
    if as_json:
        say_json(answer)
        return
    say(
        f"{answer['mould']}, filled at {answer['from']['shown']}, wall at "
        f"{answer['wall']['shown']}: open after {span(answer['open_s'])} min, when the core of "
        f"the {answer['station']} is at {answer['open_at']['shown']}."
    )
    for station in answer["stations"]:
        say(f"  {station['name']:<12}{span(station['open_s'])}")
    if answer["run"]:
        say()
        say("Shot after shot in this one mould:")
    for each in answer["run"]:
        say(
            f"  {each['shot']:>3}  wall {each['wall']['shown']} to "
            f"{each['wall_when_opened']['shown']}, open after {span(each['open_s'])}"
        )
    say()
    _rest(answer)


def span(known: Answer) -> str:
    """Return a time with its range as a clock shows it."""
    return f"{minutes(known['value'])} ({minutes(known['low'])}–{minutes(known['high'])})"


def tell_shots(
    asked: Asked, count: int, moulds: int, given: Mapping[str, str], *, as_json: bool
) -> None:
    """Say how many heats a run takes."""
    wall, mass = WARM_MOULD, None
    if given.get("wall"):
        likely = (ZERO_CELSIUS, 110 + ZERO_CELSIUS)
        wall = parse(given["wall"], Kind.TEMPERATURE, field="wall", plausible=likely).value
    if given.get("mould-mass"):
        heavy = parse(given["mould-mass"], Kind.MASS, field="mould-mass", low=0.02, high=50.0)
        mass = Estimate.exact(heavy.value)
    planned = plan_shots(asked.plan(count), moulds=moulds, wall=wall, mould_mass=mass)
    answer: Any = shots_as_json(planned)
    if as_json:
        say_json(answer)
        return
    budget = answer["budget"]
    say(
        f"{answer['shots']} shots from {answer['start']['shown']} to {answer['stop']['shown']}: a "
        f"full cup stays {minutes(budget['band_s'])} min in the band, a shot takes "
        f"{budget['shot_s']} s."
    )
    say()
    for each in answer["by_moulds"]:
        some = "moulds" if each["moulds"] > 1 else "mould "
        say(
            f"  {each['moulds']} {some}: {each['heats']} heats, "
            f"{each['top_ups']} of them top-ups; {_count(each['shots_per_heat'])} a heat at most; "
            f"melts of {' + '.join(map(str, each['melts']))}, about {each['lasts_min']:.0f} min"
        )
    say()
    say(f"With {answer['moulds']}:")
    for shot in answer["timeline"]:
        say(
            f"  {minutes(shot['at_s']):>6}  heat {shot['heat']}, shot {shot['shot']}: mould "
            f"{shot['mould']}, cup {shot['cup']['shown']}, opens {minutes(shot['opens_at_s'])}"
        )
    say()
    if answer["barrel"]:
        _tell_barrel(answer["barrel"])
    _rest(answer)


def _tell_barrel(barrel: Answer) -> None:
    say(f"A draw is {barrel['seconds']:.0f} s in its barrel:")
    for each in barrel["preheats"]:
        say(
            f"  barrel at {each['barrel']['shown']} ({each['heat_kj']:.0f} kJ to warm it): the "
            f"plastic enters at {each['plastic']['shown']}, its skin at {each['skin']['shown']}"
        )
    say()


def _count(known: Answer) -> str:
    low, high = round(known["low"]), round(known["high"])
    return f"{low}" if low == high else f"{low}–{high}"


def _rest(answer: Answer) -> None:
    for note in answer["notes"]:
        say(f"Note: {note}")
    for caution in answer["cautions"]:
        say(f"! {caution}")
