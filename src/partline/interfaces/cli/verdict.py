"""The command that says what spoiled a run, and what to do about it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import say, say_json
from partline.services.verdicts import run_verdict
from partline.services.workshop import open_at


def tell_verdict(code: str, folder: Path | None, *, as_json: bool) -> None:
    """Say what spoiled a run."""
    with open_at(folder) as workshop:
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
    change = found["change"]
    if change is not None:
        say(f"Change one thing: {change['text']}")
        say(change["leave"])
        say(change["check"])
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
    say()
    say(f"Note: {found['origin'][0].upper()}{found['origin'][1:]}.")
