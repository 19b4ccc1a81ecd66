"""Writing a whole workshop into one file."""

from __future__ import annotations

import hashlib
from datetime import datetime
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from sqlalchemy import Connection, Table

from partline.records.archive.manifest import MANIFEST, Manifest, TableEntry, file_of
from partline.records.archive.rows import read_rows, row_text
from partline.records.database import Database
from partline.records.migrations import newest
from partline.records.models import Base
from partline.records.trouble import spoken


def export_archive(database: Database, path: Path, *, program: str, now: datetime) -> Manifest:
    """Write everything that is kept into an archive.

    Parameters
    ----------
    database : Database
        Open; it may be in use meanwhile, since one state of it is read throughout.
    path : Path
        The archive; appears only when it is whole.
    program : str
        Version of Partline.
    now : datetime
        In UTC.

    Returns
    -------
    Manifest
        What was written.

    Raises
    ------
    StorageFull
        If the disk took no more; no archive is left behind.
    """
    unfinished = path.with_name(path.name + ".part")
    with spoken(path):
        try:
            with (
                database.reading() as session,
                ZipFile(unfinished, "w", compression=ZIP_DEFLATED) as archive,
            ):
                connection = session.connection()
                tables = {
                    table.name: _write_table(archive, connection, table, now)
                    for table in Base.metadata.sorted_tables
                }
                manifest = Manifest(
                    schema=newest(),
                    program=program,
                    created_at=now.isoformat(timespec="seconds"),
                    tables=tables,
                )
                archive.writestr(_entry(MANIFEST, now), manifest.to_json())
            unfinished.replace(path)
        finally:
            unfinished.unlink(missing_ok=True)
    return manifest


def _entry(name: str, now: datetime) -> ZipInfo:
    entry = ZipInfo(name, date_time=now.timetuple()[:6])
    entry.compress_type = ZIP_DEFLATED
    return entry


def _write_table(
    archive: ZipFile, connection: Connection, table: Table, now: datetime
) -> TableEntry:
    digest = hashlib.sha256()
    count = 0
    with archive.open(_entry(file_of(table.name), now), "w") as file:
        for row in read_rows(connection, table):
            line = row_text(row).encode()
            digest.update(line)
            file.write(line)
            count += 1
    return TableEntry(rows=count, sha256=digest.hexdigest())
