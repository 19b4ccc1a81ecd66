"""Take the whole workshop out, and bring it back."""

from __future__ import annotations

from pathlib import Path

from partline.records.archive import export_archive, import_archive
from partline.records.workshop import Workshop
from partline.services.workshop import now, program_version


def export_workshop(workshop: Workshop, archive: Path) -> None:
    """Write every table into one archive.

    Raises
    ------
    StorageFull
        If the archive cannot be written; a half-written one is taken away.
    """
    export_archive(workshop.database, archive, program=program_version(), now=now())


def import_workshop(workshop: Workshop, archive: Path) -> None:
    """Read an archive into an empty workshop.

    Raises
    ------
    RecordError
        If the workshop is not empty, or the archive is damaged or of a later Partline.
    """
    import_archive(archive, workshop.database)
