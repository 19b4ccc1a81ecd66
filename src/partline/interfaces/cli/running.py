"""The commands about runs: begin one, tell what happens, say where it stands, write it out."""

from __future__ import annotations

import json
import shlex
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from partline.errors import InputError
from partline.interfaces.cli.speak import say, say_json, writing
from partline.services import runs
from partline.services.cautions import CAUTIONS
from partline.services.runs.export import as_csv, export_run
from partline.services.runs.typed import tell
from partline.services.workshop import open_at

Answer = Mapping[str, Any]


def list_runs(folder: Path | None, *, as_json: bool) -> None:
    """List the runs of a workshop."""
    with open_at(folder) as workshop:
        found: list[Any] = runs.listed(workshop)
    if as_json:
        say_json({"runs": found})
        return
    for each in found:
        practice = ", practice" if each["is_practice"] else ""
        good = "" if each["moulded"] is None else f", {each['good']} of {each['moulded']} good"
        say(
            f"{each['code']}  {each['begun'][:16].replace('T', ' ')} UTC  {each['recipe']} "
            f"version {each['version']} in {each['mould']}: {each['state']}, "
            f"{each['shots']} shots{good}{practice}"
        )
    if not found:
        say("No run yet. Keep a plan on its recipe's page, then: partline run begin PLAN")


def begin_run(plan: str, moulds: int, device: str, folder: Path | None, *, as_json: bool) -> None:
    """Begin a run and say its code."""
    with open_at(folder) as workshop:
        code = runs.begin(workshop, plan, device=device, moulds=moulds)
    if as_json:
        say_json({"code": code})
        return
    say(f"Run {code}")
    for caution in CAUTIONS:
        say(f"! {caution}")


def show_run(code: str, folder: Path | None, *, as_json: bool) -> None:
    """Say where a run stands."""
    with open_at(folder) as workshop:
        state: Any = runs.state(workshop, code)
    if as_json:
        say_json(state)
    else:
        _show(state)


def tell_run(
    code: str,
    kind: str,
    words: Sequence[str],
    given: Mapping[str, str],
    folder: Path | None,
    *,
    as_json: bool,
) -> None:
    """Tell one event and say where the run stands then."""
    with open_at(folder) as workshop:
        answer: Any = tell(workshop, code, kind, words, cup=given["cup"], at=given["at"])
    if as_json:
        say_json(answer)
        return
    state = answer["state"]
    (kept,) = answer["kept"]
    entry = next((each for each in state["log"] if each["id"] == kept), None)
    say(f"Kept as {kept}" + ("." if entry is None else f": {entry['text']}"))
    _standing(state)
    _questions(state)


def export_run_to(code: str, output: Path | None, folder: Path | None, *, as_json: bool) -> None:
    """Write a run out, as the file's name says, or onto the screen."""
    ending = ".json" if output is None else output.suffix.lower()
    if ending not in (".json", ".csv"):
        raise InputError(
            f"A run is written as .json or .csv, not as “{ending or output}”.",
            field="output", given=str(output),
            remedy="Name the file run.json or run.csv.",
        )  # fmt: skip
    with open_at(folder) as workshop:
        export = export_run(workshop, code)
    if output is None:
        say_json(export)
        return
    text = as_csv(export) if ending == ".csv" else json.dumps(export, ensure_ascii=False, indent=2)
    with writing(output):
        output.write_text(text, encoding="utf-8", newline="")
    count = len(export["events"])
    if as_json:
        say_json({"file": str(output), "events": count})
    else:
        say(f"Wrote {output}: {count} event{'' if count == 1 else 's'} of run {code}.")


def _show(state: Answer) -> None:
    recipe, melt = state["recipe"], state["melt"]
    practice = ", a practice run: nothing is heated" if state["is_practice"] else ""
    say(
        f"Run {state['code']}: {recipe['name']}, version {recipe['version']}, in "
        f"{state['mould']}{practice}"
    )
    _standing(state)
    if state["state"] in ("melting", "shooting"):
        say(
            f"Melt {melt['number']} of {melt['of']}, heat {melt['heat']}: {melt['shots_done']} of "
            f"{melt['shots']} shots"
        )
        for letter, cup in state["cups"].items():
            if cup["now_c"] is not None:
                say(f"Cup {letter}: {_span(cup, state['unit'])}, {cup['grams']} g")
        for timer in state["timers"]:
            say(f"{timer['label']} at {timer['at'][11:19]} UTC{_ends(timer)}")
    _questions(state)
    for alert in state["alerts"]:
        say(f"! {alert['text']}")
    say()
    for entry in state["record"] or state["log"]:
        _entry(entry)


def _standing(state: Answer) -> None:
    paused = ", paused" if state["is_stopped"] else ""
    good = "" if state["good"] is None else f", {state['good']} good"
    shots = state["shots"]
    say(f"State: {state['state']}{paused}; {shots['done']} of {shots['of']} shots{good}")
    if state["state"] not in ("judged", "closed"):
        screen = state["screen"]
        say(f"Next: {' '.join([screen['title'] + '.', *screen['says']])}")


def _questions(state: Answer) -> None:
    """Say what is asked, each answer as the command that gives it."""
    for question in state["questions"]:
        say(f"Asked: {question['text']} Until it is answered it counts for nothing.")
        for choice in question["choices"]:
            event = choice["event"]
            words = [f"{key}={_value(value)}" for key, value in event["data"].items()]
            command = ["partline", "run", "tell", state["code"], event["kind"], *words]
            say(f"  {choice['label']}: {shlex.join(command)}")


def _value(value: object) -> str:
    return value if isinstance(value, str) else json.dumps(value)


def _entry(entry: Answer) -> None:
    mark = " (struck out)" if entry["is_void"] else ""
    was = f" (was: {entry['was']})" if entry["was"] else ""
    say(f"  {entry['at'][:19].replace('T', ' ')}  {entry['text']}{was}{mark}")


def _span(cup: Answer, unit: str) -> str:
    mid, low, high = (_degrees(cup[key], unit) for key in ("now_c", "low_c", "high_c"))
    return f"{mid} °{unit} ({low}–{high})"


def _degrees(celsius: float, unit: str) -> str:
    return f"{celsius * 1.8 + 32 if unit == 'F' else celsius:.0f}"


def _ends(timer: Answer) -> str:
    low, high = timer["low"], timer["high"]
    return "" if low == high or low is None else f" ({low[11:19]}–{high[11:19]})"
