"""The command that makes a mould's fine pictures."""

from __future__ import annotations

import sys
from pathlib import Path

from partline.interfaces.cli.speak import hint, say, say_json
from partline.services.scene import medium_of
from partline.services.tables import Progress, Stage, keeper, table_as_json
from partline.services.workshop import Sources

QUALITIES = {
    "slab": "rough, from slabs",
    "sections": "from ready sections",
    "preview": "traced through its own shape, first pass",
    "final": "traced through its own shape",
}


def make_tables(
    name: str,
    around: str,
    workshop: Path | None,
    *,
    is_preview: bool,
    is_status: bool,
    as_json: bool,
) -> None:
    """Make a mould's table, or say where it stands; stopped with Ctrl-C, it goes on next time."""
    medium = medium_of(around)
    mould = Sources(folder=workshop, shelf=None).mould(name)
    if is_status:
        found = keeper().progress(mould, medium)
    else:
        hint("Tracing light through the bait; Ctrl-C stops, and the next time it goes on.")
        try:
            found = keeper().build(mould, medium, passes=1 if is_preview else None, step=_tell)
        except KeyboardInterrupt:
            found = keeper().progress(mould, medium)
        hint("")
    if as_json:
        say_json({"mould": mould.name, "in": medium.value, **table_as_json(found)})
        return
    say(f"{mould.name} in {medium.value}: {QUALITIES[found.quality.value]}.")
    if found.stage is Stage.ELSEWHERE:
        say("Another process is making it just now.")
    if not found.is_kept:
        say("It could not be kept: the cache folder cannot be written. See PARTLINE_TABLES.")


def _tell(known: Progress) -> bool:
    print(f"\r{known.stage.value}: {known.share:4.0%} ", end="", file=sys.stderr, flush=True)
    return True
