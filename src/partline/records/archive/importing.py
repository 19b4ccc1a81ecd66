"""Taking an archive into an empty workshop."""

from __future__ import annotations

import hashlib
import tempfile
import zlib
from collections.abc import Generator, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from zipfile import BadZipFile, ZipFile

from sqlalchemy import Connection, MetaData, Table, delete, select
from sqlalchemy.exc import IntegrityError

from partline.errors import NewerDatabase, NotFound, RecordError
from partline.records import migrations
from partline.records.archive.manifest import Manifest, damaged, file_of, read_manifest
from partline.records.archive.rows import Row, read_rows, row_of, write_rows
from partline.records.database import Database, staging_engine
from partline.records.models import Base, PhotoRow, WorkshopRow
from partline.records.trouble import spoken

#: Longest line: the largest photo in base 64 is 27 MB. [bytes]
LONGEST_LINE = 50_000_000


def import_archive(path: Path, database: Database, *, steps: Path = migrations.STEPS) -> Manifest:
    """Take everything in an archive into an empty workshop.

    All of it or nothing: whatever is wrong with the archive, the workshop stays as it was.

    Parameters
    ----------
    path : Path
        The archive.
    database : Database
        Open, with nothing kept in it yet.
    steps : Path
        Folder of migration steps.

    Returns
    -------
    Manifest
        What was taken in.

    Raises
    ------
    NotFound
        If there is no such file.
    NewerDatabase
        If a later Partline made it.
    RecordError
        If it is damaged or no archive, or the workshop is not empty.
    StorageFull
        If the disk took no more.
    """
    if not path.is_file():
        raise NotFound(f"There is no file {path}.")
    with spoken(path), _speaking_of_damage(), ZipFile(path) as archive:
        manifest = read_manifest(archive)
        if not migrations.is_known(manifest.schema, steps):
            raise NewerDatabase(
                "This archive was made by a later Partline. Install that one to take it in."
            )
        with database.writing() as session:
            connection = session.connection()
            _make_room(connection)
            if manifest.schema == migrations.newest(steps):
                _fill(connection, Base.metadata, archive, manifest)
            else:
                _fill_modernised(connection, archive, manifest, steps)
    return manifest


@contextmanager
def _speaking_of_damage() -> Iterator[None]:
    """Turn what a damaged archive provokes into a sentence."""
    try:
        yield
    except (BadZipFile, zlib.error, EOFError, NotImplementedError):
        raise damaged("it cannot be unpacked") from None
    except IntegrityError:
        raise damaged("its rows contradict each other") from None
    except (OverflowError, UnicodeError):
        raise damaged("it holds a value that cannot be kept") from None


def _make_room(connection: Connection) -> None:
    """Take away the identity of an empty workshop; refuse one that is not empty."""
    for table in Base.metadata.sorted_tables:
        if table.name == WorkshopRow.__tablename__:
            continue
        if connection.execute(select(table).limit(1)).first() is not None:
            raise RecordError(
                "This workshop is not empty, and an import never overwrites. "
                "Open a new workshop and take the archive in there."
            )
    connection.execute(delete(WorkshopRow))


def _fill(
    connection: Connection, metadata: MetaData, archive: ZipFile, manifest: Manifest
) -> None:
    """Insert every table of an archive; its tables must be those of `metadata`."""
    tables = metadata.sorted_tables
    if {table.name for table in tables} != set(manifest.tables):
        raise damaged("its tables are not those of the workshop it was made from")
    for table in tables:
        with closing(_rows(archive, manifest, table)) as rows:
            count = write_rows(connection, table, rows)
        if count != manifest.tables[table.name].rows:
            raise damaged(f"“{table.name}” has more or fewer rows than it should")
        if table.name == PhotoRow.__tablename__:
            _check_photos(connection, table)


def _check_photos(connection: Connection, table: Table) -> None:
    """Refuse photos whose bytes are not those that were taken in once."""
    found = select(table.c.name, table.c.sha256, table.c.content)
    for name, sha256, content in connection.execution_options(yield_per=1).execute(found):
        if hashlib.sha256(content).hexdigest() != sha256:
            raise damaged(f"the photo “{name}” is not as it was kept")


def _rows(archive: ZipFile, manifest: Manifest, table: Table) -> Generator[Row]:
    digest = hashlib.sha256()
    with archive.open(file_of(table.name)) as file:
        while line := file.readline(LONGEST_LINE):
            digest.update(line)
            yield row_of(line, table.name)
    if digest.hexdigest() != manifest.tables[table.name].sha256:
        raise damaged(f"“{table.name}” is not as it was written")


def _fill_modernised(
    connection: Connection, archive: ZipFile, manifest: Manifest, steps: Path
) -> None:
    """Take the archive of an older Partline through the steps it has missed, then insert it."""
    with tempfile.TemporaryDirectory() as folder:
        engine = staging_engine(Path(folder) / "staging.sqlite3")
        try:
            with engine.begin() as old:
                migrations.upgrade(old, to=manifest.schema, steps=steps)
                tables = MetaData()
                tables.reflect(old)
                tables.remove(tables.tables["alembic_version"])
                _fill(old, tables, archive, manifest)
                migrations.upgrade(old, steps=steps)
                for table in Base.metadata.sorted_tables:
                    write_rows(connection, table, read_rows(old, table))
        finally:
            engine.dispose()
