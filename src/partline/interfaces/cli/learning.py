"""The command that says what a bench's runs have taught of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import say, say_json
from partline.services.bench_known import known_bench
from partline.services.workshop import open_at


def tell_learned(bench: str, folder: Path | None, *, as_json: bool) -> None:
    """Say what is known of a bench, and from what."""
    with open_at(folder) as workshop:
        found: Any = known_bench(workshop, bench)
    if as_json:
        say_json(found)
        return
    count = len(found["runs"])
    say(f"{found['bench']}: {count} run{'' if count == 1 else 's'} read")
    for each in found["constants"]:
        unit = f" {each['unit']}" if each["unit"] else ""
        say()
        say(f"  {each['words'][0].upper()}{each['words'][1:]}")
        for word, key in (("before", "before"), ("now", "after"), ("next run", "next_run")):
            told = each[key]
            say(
                f"    {word:9}{told['value']:g}{unit} ({told['low']:g} to {told['high']:g})  "
                f"{told['origin']}: {told['source']}"
            )
        for run in each["evidence"]:
            told = f"{run['bound']} {run['value']:g}{unit}".strip()
            say(f"    run {run['run']}: {told}, known to {run['doubt']:.0%}")
        say(f"    {each['used']}")
        say(f"    Most would tell: {each['narrows']}")
    say()
    say(found["narrows_most"]["text"])
    if found["aside"]:
        say(f"Set aside: {', '.join(found['aside'])}.")
    say(f"Note: {found['note']}")
