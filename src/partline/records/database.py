"""The database file: how it is opened, locked, brought up to date and backed up.

Everything that only SQLite understands stands here, so that the rest works on PostgreSQL too.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.orm import ORMExecuteState, Session, UOWTransaction
from sqlalchemy.pool import ConnectionPoolEntry

from partline.errors import NewerDatabase, RecordError
from partline.records import migrations
from partline.records.models import WRITTEN_ONCE, WorkshopRow, new_code
from partline.records.trouble import spoken

FILE_NAME = "workshop.sqlite3"
#: Marks the file as ours for `file` and other tools: "PLIN".
APPLICATION_ID = 0x504C494E
#: How long a writer waits for another before it gives up. [ms]
PATIENCE = 15_000


class Database:
    """An open workshop file.

    Parameters
    ----------
    path : Path
        The SQLite file; made when it is not there.
    now : datetime
        For the name of a backup and the birthday of a new workshop.
    steps : Path
        Folder of migration steps.

    Raises
    ------
    NewerDatabase
        If a later Partline has written it; the file is left as it is.
    StorageFull
        If it cannot be written.
    RecordError
        If it is no workshop or is damaged.
    """

    def __init__(self, path: Path, *, now: datetime, steps: Path = migrations.STEPS) -> None:
        self.path = path
        #: The backup made before migrating; None where none was needed.
        self.backup: Path | None = None
        with spoken(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            revision = _look_at(path, steps)
            if revision != migrations.newest(steps):
                if revision is not None:
                    self.backup = _back_up(path, revision, now)
                _migrate(path, steps)
        self.engine = _engine(path)
        try:
            self._greet(now)
        except BaseException:
            self.close()
            raise

    def _greet(self, now: datetime) -> None:
        """Give a new workshop its identity."""
        with self.reading() as session:
            if session.query(WorkshopRow).first() is not None:
                return
        with self.writing() as session:  # looked at again: another process may be quicker
            if session.query(WorkshopRow).first() is None:
                session.add(WorkshopRow(id=new_code(), name=self.path.parent.name, created_at=now))

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Return a session that sees one state of the database throughout."""
        with spoken(disk=self.path), Session(self.engine) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Return the one session that may write; keeps all of its work, or none.

        Other writers wait until it is done, so what was read inside is still true when it is
        written back.
        """
        bind = self.engine.execution_options(writes=True)
        session = Session(bind, expire_on_commit=False)
        with spoken(disk=self.path), session, session.begin():
            yield session

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()

    def __enter__(self) -> Database:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.close()


def open_database(folder: Path, *, now: datetime) -> Database:
    """Open the workshop kept in a folder; a new one is made when there is none.

    Raises
    ------
    RecordError
        As `Database` does.
    """
    return Database(folder / FILE_NAME, now=now)


def _engine(path: Path, *, foreign_keys: bool = True) -> Engine:
    engine = create_engine(
        URL.create("sqlite", database=str(path)),  # a path may hold any sign
        json_serializer=lambda value: json.dumps(value, ensure_ascii=False, allow_nan=False),
    )

    def prepare(connection: sqlite3.Connection, _: ConnectionPoolEntry) -> None:
        _prepare(connection, foreign_keys=foreign_keys)

    event.listen(engine, "connect", prepare)
    event.listen(engine, "begin", _begin)
    return engine


def staging_engine(path: Path) -> Engine:
    """Return an engine for a passing file in which an old archive is brought up to date."""
    return _engine(path, foreign_keys=False).execution_options(writes=True)


def _prepare(connection: sqlite3.Connection, *, foreign_keys: bool) -> None:
    """Set what SQLite forgets with every connection."""
    connection.isolation_level = None  # the driver's own transactions lose concurrent writes
    for pragma in (
        f"busy_timeout = {PATIENCE}",
        f"foreign_keys = {int(foreign_keys)}",
        "journal_mode = WAL",
        "synchronous = FULL",
    ):
        connection.execute(f"PRAGMA {pragma}").close()


def _begin(connection: Connection) -> None:
    """Take the write lock at once where something is to be written, not halfway through."""
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _look_at(path: Path, steps: Path) -> str | None:
    """Return the last step a file has taken, None for a new one; refuse what is not ours.

    The file is opened for reading only, so that a refused one stays as it is.
    """
    if not path.exists() or path.stat().st_size == 0:
        return None
    with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as file:
        tables = {name for (name,) in file.execute("SELECT name FROM sqlite_schema")}
        if not tables:
            return None
        if "alembic_version" not in tables:
            message = f"{path} is not a Partline workshop. It was left alone."
            raise RecordError(message)
        row = file.execute("SELECT version_num FROM alembic_version").fetchone()
        (number,) = file.execute("PRAGMA user_version").fetchone()
    if row is None:
        return None
    revision = str(row[0])
    newest = migrations.count_to(migrations.newest(steps), steps)
    if number > newest or not migrations.is_known(revision, steps):
        message = (
            f"{path} was written by a later Partline than this one, and was left as it is. "
            "Install the later one, or open a backup made before it."
        )
        raise NewerDatabase(message)
    return revision


def _back_up(path: Path, revision: str, now: datetime) -> Path:
    """Copy the whole file beside itself before it is changed; the copy is kept."""
    copy = path.with_name(f"{path.stem}.before-{now:%Y-%m-%dT%H%M%S}-{revision}{path.suffix}")
    unfinished = copy.with_name(copy.name + ".part")
    try:
        with (
            closing(sqlite3.connect(path)) as source,
            closing(sqlite3.connect(unfinished)) as target,
        ):
            source.backup(target)  # in one piece: in small ones it never ends beside a writer
        unfinished.replace(copy)
    finally:
        unfinished.unlink(missing_ok=True)
    return copy


def _migrate(path: Path, steps: Path) -> None:
    """Take all missing steps in one transaction, or none."""
    # A step may have to rebuild a table, which is not possible while its rows are referred to.
    engine = _engine(path, foreign_keys=False)
    try:
        with engine.execution_options(writes=True).begin() as connection:
            newest = migrations.newest(steps)
            if migrations.revision_of(connection) == newest:
                return  # another process was quicker
            migrations.upgrade(connection, steps=steps)
            if connection.exec_driver_sql("PRAGMA foreign_key_check").first():
                message = "The workshop could not be brought up to date and was left as it was."
                raise RecordError(message)
            number = migrations.count_to(newest, steps)
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.exec_driver_sql(f"PRAGMA user_version = {number}")
    finally:
        engine.dispose()


@event.listens_for(Session, "before_flush")
def _refuse_changes(session: Session, _: UOWTransaction, __: object) -> None:
    """Refuse to change or remove a row that is written once."""
    changed = [row for row in session.dirty if session.is_modified(row)]
    for row in (*changed, *session.deleted):
        if isinstance(row, WRITTEN_ONCE):
            message = f"A {row.__tablename__} is never changed: write a new one."
            raise TypeError(message)


@event.listens_for(Session, "do_orm_execute")
def _refuse_bulk_changes(state: ORMExecuteState) -> None:
    """Refuse the same by statement."""
    mapper = state.bind_mapper
    changes = state.is_update or state.is_delete
    if changes and mapper is not None and issubclass(mapper.class_, WRITTEN_ONCE):
        message = f"A {mapper.local_table} is never changed: write a new one."
        raise TypeError(message)
