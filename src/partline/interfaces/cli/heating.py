"""The command that says how to heat the cups of a plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from partline.interfaces.cli.answers import Asked
from partline.interfaces.cli.opening import span
from partline.interfaces.cli.speak import say, say_json
from partline.quantities.constants import ZERO_CELSIUS
from partline.quantities.units import Kind, parse
from partline.services.heating import heat_pour
from partline.services.heating_answer import heating_as_json

Answer = Mapping[str, Any]


def tell_heating(
    asked: Asked, count: int, which: Mapping[str, int], begins: str, *, as_json: bool
) -> None:
    """Say how to heat a melt: `which` names melt, heat and moulds."""
    temperatures = None
    if begins:
        likely = (ZERO_CELSIUS - 10, 180 + ZERO_CELSIUS)
        warm = parse(begins, Kind.TEMPERATURE, field="from", plausible=likely).value
        temperatures = {"A": warm, "B": warm}
    plan = asked.plan(count)
    answer: Any = heating_as_json(heat_pour(plan, temperatures=temperatures, **which))
    if as_json:
        say_json(answer)
        return
    cups = ", ".join(
        f"cup {each['cup']} {each['grams']:.1f} g at {each['from']['shown']}"
        for each in answer["cups"]
    )
    say(f"Melt {answer['melt']}, heat {answer['heat']} of {answer['heats']}: {cups}.")
    say(
        f"Target {answer['target']['shown']}; the hottest place stays under "
        f"{answer['limit']['shown']}: the label's {answer['ceiling']['shown']} less the "
        "thermometer's doubt."
    )
    say()
    for cup in ("A", "B"):
        cold = [each for each in answer["before"] if each["cup"] == cup]
        if cold:
            say(f"  Into {cup}, cold: {_amounts(cold)}")
    for burst in answer["bursts"]:
        _tell_burst(burst)
    say()
    _tell_band(answer)
    for note in answer["notes"]:
        say(f"Note: {note}")
    for caution in answer["cautions"]:
        say(f"! {caution}")


def _amounts(adds: list[Answer]) -> str:
    return ", ".join(
        f"{each['supply']} {each['grams']:g} g"
        + (f" = {each['drops']} drops" if each["drops"] else "")
        + (f" once it reads {each['not_above']} or less" if each.get("not_above") else "")
        for each in adds
    )


def _tell_burst(burst: Answer) -> None:
    reads = ", ".join(f"{cup['cup']} {cup['expected']['shown']}" for cup in burst["cups"])
    say(f"  {burst['burst']}. {burst['seconds']:>3} s, stir, read: {reads}")
    for cup in burst["cups"]:
        if cup["adds"]:
            say(f"       into {cup['cup']}: {_amounts(cup['adds'])}")


def _tell_band(answer: Answer) -> None:
    band = answer["band"]
    say(
        f"Shoot from {band['start']['shown']} ({band['start_binds']}) to "
        f"{band['stop']['shown']} ({band['stop_binds']})."
    )
    for each in answer["stir"]:
        known = each["interval_s"]
        grain = f" {each['supply']} is 2 % of the depth down in {span(known)}." if known else ""
        say(f"Cup {each['cup']}: {each['words']}{grain}")
    for each in answer["exposure"]:
        say(
            f"Cup {each['cup']}: {each['min_above_160_c']:.1f} min above 160 °C in this heat, "
            f"heat {each['heats']}."
        )
