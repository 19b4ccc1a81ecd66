"""Export and import of the whole workshop."""

from __future__ import annotations

from pathlib import Path

from partline.interfaces.cli.speak import say, say_json
from partline.services.keeping import export_workshop, import_workshop
from partline.services.workshop import open_at


def export_to(archive: Path, folder: Path | None, *, as_json: bool) -> None:
    """Write everything into one archive."""
    with open_at(folder) as workshop:
        export_workshop(workshop, archive)
    if as_json:
        say_json({"archive": str(archive), "bytes": archive.stat().st_size})
    else:
        say(f"Everything is in {archive}.")


def import_from(archive: Path, folder: Path | None, *, as_json: bool) -> None:
    """Read an archive into an empty workshop."""
    with open_at(folder) as workshop:
        import_workshop(workshop, archive)
        name = workshop.name
    if as_json:
        say_json({"archive": str(archive), "workshop": name})
    else:
        say(f"{archive} is in the workshop “{name}”.")
