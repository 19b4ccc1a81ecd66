"""The command that says what spoiled a run, and what to do about it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import say, say_json
from partline.services.verdicts import confirm_cause, run_verdict
from partline.services.workshop import open_at


def tell_verdict(
    code: str, folder: Path | None, *, confirmed: str = "", as_json: bool = False
) -> None:
    """Say what spoiled a run, with what it was after all kept first where it is told."""
    with open_at(folder) as workshop:
        if confirmed:
            cause = None if confirmed.strip().lower() == "none" else confirmed
            confirm_cause(workshop, code, cause, device="command line")
        found: Any = run_verdict(workshop, code)
    if as_json:
        say_json(found)
        return
    say(found["headline"])
    say()
    for each in found["causes"]:
        say(f"  {each['share']:4.0%}  {each['cause']}")
        for reason in each["because"] if each["share"] >= 0.1 else []:
            say(f"        {reason}")
    say()
    _say_change(found["change"])
    looked = found["next_look"]
    if looked is not None:
        say(
            f"Look next: {looked['question']} ({looked['source']}, {looked['minutes']:g} min). "
            f"Yes would make the best action {looked['if_yes']:.0%}, no {looked['if_no']:.0%}; "
            f"now it is {looked['now']:.0%}."
        )
        say(f"Tell it: partline run tell {code} look look={looked['look']} seen=true")
    elif found["is_action_told"]:
        say("No further look would change what to do.")
    if found["confirmed"] is not None:
        say(f"It was this, as you found out: {found['confirmed']}.")
    if found["after_it"] is not None:
        say(_after(found["after_it"]))
    say()
    say(f"Note: {found['origin'][0].upper()}{found['origin'][1:]}.")


def _after(told: Any) -> str:
    said = f"The next run, {told['run']}: {told['good']} of {told['moulded']} good"
    chance = told["chance_better"]
    return f"{said}." if chance is None else f"{said}; better with a chance of {chance:.0%}."


def _say_change(change: Any) -> None:
    if change is None:
        return
    if change["is_trial"]:
        say("It is not told, and no further look would tell it. Try the likeliest:")
    say(f"Change one thing: {change['text']}")
    say(change["leave"])
    say(change["check"])
