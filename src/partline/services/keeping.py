"""Take the whole workshop out, and bring it back."""

from __future__ import annotations

from pathlib import Path

from partline.records.exchange.archive import read_archive, write_archive
from partline.records.workshop import Workshop
from partline.services.workshop import now, program_version


def export_workshop(workshop: Workshop, archive: Path) -> None:
    """Write every table into one archive.

    Raises
    ------
    StorageFull
        If the archive cannot be written; a half-written one is taken away.
    """
    write_archive(workshop, archive, now=now(), program=program_version())


def import_workshop(workshop: Workshop, archive: Path) -> None:
    """Read an archive into an empty workshop.

    Raises
    ------
    RecordError
        If the workshop is not empty, or the archive is damaged or of a later Partline.
    """
    read_archive(workshop, archive)
