"""The file: many writers, a killed program and a full disk lose nothing."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from unittest.mock import Mock

import pytest
from sqlalchemy import event, select

from partline.errors import NewerDatabase, RecordError, StorageFull
from partline.records.database import APPLICATION_ID, FILE_NAME
from partline.records.models import WorkshopRow
from partline.records.trouble import spoken
from partline.records.workshop import Workshop, open_workshop

# Reads a number, adds one, writes it back, a hundred times; prints each kept number.
COUNT = """
import sys, datetime, pathlib
from partline.records.models import WorkshopRow
from partline.records.workshop import open_workshop
with open_workshop(pathlib.Path(sys.argv[1]), now=datetime.datetime.now(datetime.UTC)) as workshop:
    for _ in range(int(sys.argv[2])):
        with workshop.database.writing() as session:
            row = session.query(WorkshopRow).one()
            row.name = str(int(row.name) + 1)
            kept = row.name
        print(kept, flush=True)
"""


def start_counting(folder: Path, times: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", COUNT, str(folder), str(times)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def set_pragma(workshop: Workshop, pragma: str) -> None:
    """Set something on every connection that is opened from now on."""

    def prepare(connection: sqlite3.Connection, _: object) -> None:
        connection.execute(f"PRAGMA {pragma}").close()

    event.listen(workshop.database.engine, "connect", prepare)
    workshop.database.engine.dispose()


def test_two_processes_counting_at_once_lose_nothing(tmp_path, now):
    with open_workshop(tmp_path, now=now) as workshop:
        workshop.rename("0")
    programs = [start_counting(tmp_path, 100) for _ in range(2)]
    for program in programs:
        _, trouble = program.communicate(timeout=100)
        assert program.returncode == 0, trouble
    with open_workshop(tmp_path, now=now) as workshop:
        assert workshop.name == "200"


def test_four_threads_counting_at_once_lose_nothing(workshop):
    workshop.rename("0")

    def add_one(_: int) -> None:
        with workshop.database.writing() as session:
            row = session.query(WorkshopRow).one()
            row.name = str(int(row.name) + 1)

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(add_one, range(200)))
    assert workshop.name == "200"


def test_a_program_killed_at_once_loses_nothing_it_said_was_kept(tmp_path, now):
    with open_workshop(tmp_path, now=now) as workshop:
        workshop.rename("0")
    program = start_counting(tmp_path, 100_000)
    assert program.stdout is not None
    acknowledged = [program.stdout.readline() for _ in range(30)]
    os.kill(program.pid, signal.SIGKILL)
    rest, _ = program.communicate(timeout=30)
    acknowledged += [line for line in rest.splitlines(keepends=True) if line.endswith("\n")]
    assert program.returncode == -signal.SIGKILL
    with open_workshop(tmp_path, now=now) as workshop:
        kept = int(workshop.name)
        # One more may have been kept just before the kill, without its word getting out.
        assert kept - int(acknowledged[-1]) in (0, 1)
        with workshop.database.reading() as session:
            check = session.connection().exec_driver_sql("PRAGMA integrity_check").scalar()
    assert check == "ok"


def test_many_processes_may_open_a_new_workshop_at_once(tmp_path):
    programs = [start_counting(tmp_path / "new", 0) for _ in range(3)]
    for program in programs:
        _, trouble = program.communicate(timeout=100)
        assert program.returncode == 0, trouble
    with closing(sqlite3.connect(tmp_path / "new" / FILE_NAME)) as file:
        assert file.execute("SELECT count(*) FROM workshop").fetchone() == (1,)


def test_a_reader_sees_one_state_while_a_writer_goes_on(workshop):
    workshop.rename("before")
    with workshop.database.reading() as session:
        name = select(WorkshopRow.name)
        assert session.scalar(name) == "before"
        workshop.rename("after")
        assert session.scalar(name) == "before"
    assert workshop.name == "after"


def test_a_change_that_fails_halfway_is_not_kept_at_all(workshop):
    workshop.rename("before")
    with pytest.raises(ZeroDivisionError), workshop.database.writing() as session:
        session.query(WorkshopRow).one().name = str(1 // 0)
    assert workshop.name == "before"


def test_the_settings_that_keep_data_safe_are_on(workshop):
    expected = {
        "journal_mode": "wal",
        "synchronous": 2,  # FULL
        "foreign_keys": 1,
        "busy_timeout": 15_000,
        "application_id": APPLICATION_ID,
        "user_version": 4,
    }
    with workshop.database.reading() as session:
        connection = session.connection()
        found = {key: connection.exec_driver_sql(f"PRAGMA {key}").scalar() for key in expected}
    assert found == expected


def test_a_full_disk_is_a_sentence_and_loses_nothing(workshop, recipe_text, now):
    kept = workshop.recipes.add(recipe_text, now=now).version
    with workshop.database.reading() as session:
        pages = session.connection().exec_driver_sql("PRAGMA page_count").scalar()
    set_pragma(workshop, f"max_page_count = {pages}")  # SQLite then fails as on a full disk
    long = recipe_text + "# a long remark\n" * 10_000
    with pytest.raises(StorageFull, match=r"disk is full\. Nothing was lost"):
        workshop.recipes.save(kept.document_id, long, based_on=1, now=now)
    assert workshop.recipes.get(kept.document_id).version == kept
    set_pragma(workshop, "max_page_count = 100000")  # space was freed
    assert workshop.recipes.save(kept.document_id, long, based_on=1, now=now).version.number == 2


def test_a_full_disk_that_sqlite_calls_failing_is_called_full(tmp_path, monkeypatch):
    fault = sqlite3.OperationalError("disk I/O error")
    fault.sqlite_errorcode = sqlite3.SQLITE_IOERR_SHMSIZE  # as met on a full tmpfs
    for free, says in ((0, "The disk is full"), (10**9, "The disk failed")):
        monkeypatch.setattr("shutil.disk_usage", lambda _, free=free: Mock(free=free))
        with pytest.raises(StorageFull, match=says), spoken(disk=tmp_path / FILE_NAME):
            raise fault


def test_a_workshop_that_may_not_be_written_to_is_a_sentence(workshop, recipe_text, now):
    set_pragma(workshop, "query_only = ON")  # SQLite then fails as on a read-only disk
    with pytest.raises(StorageFull, match="cannot be written to"):
        workshop.recipes.add(recipe_text, now=now)
    assert workshop.recipes.listed() == ()


def test_a_workshop_held_by_another_program_is_a_sentence(workshop, recipe_text, now):
    set_pragma(workshop, "busy_timeout = 1")
    with closing(sqlite3.connect(workshop.database.path)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(RecordError, match="Another program holds the workshop"):
            workshop.recipes.add(recipe_text, now=now)
    assert workshop.recipes.add(recipe_text, now=now).version.number == 1


def test_another_programs_database_is_left_alone(tmp_path, now):
    path = tmp_path / FILE_NAME
    with closing(sqlite3.connect(path)) as file:
        file.execute("CREATE TABLE songs (title)")
    before = path.read_bytes()
    with pytest.raises(RecordError, match="not a Partline workshop"):
        open_workshop(tmp_path, now=now)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_left_alone(tmp_path, now):
    path = tmp_path / FILE_NAME
    path.write_text("Dear diary, " * 1000)
    before = path.read_bytes()
    with pytest.raises(RecordError, match="not a Partline workshop"):
        open_workshop(tmp_path, now=now)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "sign",
    [
        "UPDATE alembic_version SET version_num = '0999_from_the_future'",
        "PRAGMA user_version = 999",
    ],
)
def test_a_newer_workshop_is_left_untouched(tmp_path, now, sign):
    with open_workshop(tmp_path, now=now):
        pass
    path = tmp_path / FILE_NAME
    with closing(sqlite3.connect(path)) as file:
        file.execute(sign)
        file.commit()
    before = path.read_bytes()
    with pytest.raises(NewerDatabase, match="by a later Partline"):
        open_workshop(tmp_path, now=now)
    assert path.read_bytes() == before
    assert not list(tmp_path.glob("*.before-*"))


def test_a_folder_may_have_any_name(tmp_path, now):
    folder = tmp_path / "50 % off? #1 & “Söhne”"
    with open_workshop(folder, now=now) as workshop:
        workshop.rename("kept")
    with open_workshop(folder, now=now) as workshop:
        assert workshop.name == "kept"
    assert [path.name for path in tmp_path.iterdir()] == [folder.name]


def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path, now):
    (tmp_path / "file").write_text("")
    with pytest.raises(RecordError, match="folder"):
        open_workshop(tmp_path / "file" / "shed", now=now)


def test_the_workshop_has_a_name_of_its_own(workshop):
    assert workshop.name == "shed"  # its folder's, until it is called something else
    workshop.rename(" Vessary Shed ")
    assert workshop.name == "Vessary Shed"
    with pytest.raises(ValueError, match="1 to 120 letters"):
        workshop.rename(" ")
