"""The commands that find what worked: pin, set aside, what changed, search, and is it luck."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import say, say_json
from partline.services.luck import luck_answer, read_tally
from partline.services.runs.recall import changed, find, pin, set_aside
from partline.services.workshop import open_at

#: What tells an event that is told this way.
DEVICE = "command line"


def pin_run(code: str, text: str, folder: Path | None, *, off: bool, as_json: bool) -> None:
    """Pin a run as a good one, or take the pin off."""
    with open_at(folder) as workshop:
        state = pin(workshop, code, pinned=not off, text=text, device=DEVICE)
    if as_json:
        say_json({"code": state["code"], "is_pinned": state["is_pinned"]})
    else:
        say(f"Run {state['code']} is {'no longer pinned' if off else 'pinned as a good run'}.")


def set_run_aside(code: str, why: str, folder: Path | None, *, off: bool, as_json: bool) -> None:
    """Set a run aside, or take it in again."""
    with open_at(folder) as workshop:
        state = set_aside(workshop, code, aside=not off, why=why, device=DEVICE)
    if as_json:
        say_json({"code": state["code"], "is_aside": state["is_aside"]})
    else:
        say(f"Run {state['code']} {'counts again' if off else 'is set aside'}.")


def tell_changes(code: str, since: str, folder: Path | None, *, as_json: bool) -> None:
    """Say what changed since the last good run."""
    with open_at(folder) as workshop:
        found = changed(workshop, code, since=since)
    if as_json:
        say_json(found)
        return
    say(found["says"])
    for each in found["changes"]:
        say(f"  {each['words']}")
    if found["luck"]:
        say(found["luck"])


def find_runs(conditions: Sequence[str], folder: Path | None, *, as_json: bool) -> None:
    """List the runs that all conditions hold of."""
    with open_at(folder) as workshop:
        found = find(workshop, conditions)
    if as_json:
        say_json(found)
        return
    for each in found["runs"]:
        say(_line(each))
    if not found["runs"]:
        say("None of the runs fits.")
    for each in found["unknown"]:
        say(f"Not known of run {each['code']}: {', '.join(each['missing'])}.")


def _line(each: dict[str, Any]) -> str:
    good = "" if each["good"] is None else f", {each['good']} of {each['moulded']} good"
    pinned = ", pinned" if each["is_pinned"] else ""
    shows = "".join(f"; {shown['what']} {shown['text']}" for shown in each["shows"])
    return (
        f"{each['code']}  {each['begun'][:10]}  {each['recipe']} version {each['version']} in "
        f"{each['mould']}: {each['state']}{good}{pinned}{shows}"
    )


def tell_luck(first: str, second: str, per_shot: int, *, as_json: bool) -> None:
    """Say what one count tells, or whether two differ."""
    one = read_tally(first, per_shot=per_shot)
    other = read_tally(second, per_shot=per_shot) if second else None
    found = luck_answer(one, other)
    if as_json:
        say_json(found)
        return
    for sentence in found["says"]:
        say(sentence)
    for told in filter(None, (found["first"], found["second"])):
        say()
        say(f"{told['good']} of {told['baits']}:")
        for each in told["ranges"]:
            low, high = each["range"]
            say(f"  {each['level']:.0%} range, {each['method']}: {low:.0%} to {high:.0%}")
    say()
    say(f"Note: {found['assumes']}")
