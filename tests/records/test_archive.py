"""A whole workshop as one file: everything comes back, nothing is overwritten, damage is said."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import zipfile
from base64 import b64encode
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import event

from partline.errors import NewerDatabase, NotFound, RecordError, StorageFull
from partline.records import migrations
from partline.records.archive import export_archive, import_archive
from partline.records.archive import manifest as manifest_module
from partline.records.database import Database
from partline.records.models import Base
from partline.records.photos import PhotoKind
from partline.records.workshop import Workshop, open_workshop

#: Every byte there is, so that no text in between may change one.
PHOTO = b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 50


@pytest.fixture
def photo(workshop, plan, now):
    """A photo of a mould's mark in the demo workshop, where a photo card was measured too."""
    workshop.photo_cards.add(3, entered="99.2 mm", line=0.0992, now=now)
    mould = workshop.moulds.named("reed-130").version.document_id
    return workshop.photos.add(mould, PhotoKind.BOTTOM_MARK, PHOTO, name="ma½rk.png", now=now)


@pytest.fixture
def archive(workshop, plan, photo, run, tmp_path, now):
    """The demo workshop as one file."""
    path = tmp_path / "shed.zip"
    export_archive(workshop.database, path, program="0.1.0", now=now)
    return path


@pytest.fixture
def empty(tmp_path, now):
    """A second workshop with nothing in it."""
    with open_workshop(tmp_path / "other", now=now + timedelta(days=1)) as opened:
        yield opened


def contents(workshop: Workshop) -> tuple[str, ...]:
    """Return everything in a workshop's file, in an order that does not depend on its making."""
    with closing(sqlite3.connect(workshop.database.path)) as file:
        return tuple(sorted(file.iterdump()))


def rewritten(archive: Path, change: Callable[[dict[str, bytes]], object]) -> Path:
    """Return a copy of an archive with some of its files changed."""
    with zipfile.ZipFile(archive) as file:
        files = {name: file.read(name) for name in file.namelist()}
    change(files)
    copy = archive.with_name("changed.zip")
    with zipfile.ZipFile(copy, "w", zipfile.ZIP_DEFLATED) as file:
        for name, data in files.items():
            file.writestr(name, data)
    return copy


def in_manifest(key: str, value: object) -> Callable[[dict[str, bytes]], None]:
    def change(files: dict[str, bytes]) -> None:
        files["manifest.json"] = json.dumps(
            json.loads(files["manifest.json"]) | {key: value}
        ).encode()

    return change


def assert_refused(archive: Path, workshop: Workshop, says: str) -> None:
    """The archive is refused in a sentence and the workshop stays as it was."""
    before = contents(workshop)
    with pytest.raises(RecordError, match=says):
        import_archive(archive, workshop.database)
    assert contents(workshop) == before


def test_every_table_is_in_the_archive(workshop, archive):
    """A table that somebody adds and forgets here would be lost in every export."""
    with closing(sqlite3.connect(workshop.database.path)) as file:
        kept = {
            name
            for (name,) in file.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
            if name != "alembic_version"
        }
    with zipfile.ZipFile(archive) as file:
        archived = {Path(name).stem for name in file.namelist() if name.startswith("tables/")}
    assert archived == kept == set(Base.metadata.tables)


def test_every_table_of_the_demo_has_rows(workshop, photo, run, tmp_path, now):
    """Else the round trip below would prove nothing about an empty one."""
    manifest = export_archive(workshop.database, tmp_path / "a.zip", program="0", now=now)
    assert all(entry.rows > 0 for entry in manifest.tables.values())


def test_an_archive_brings_everything_back_identically(workshop, plan, archive, empty):
    import_archive(archive, empty.database)
    assert contents(empty) == contents(workshop)
    assert empty.plans.get(plan.code) == plan
    assert empty.recipes.listed() == workshop.recipes.listed()


def test_a_photo_travels_byte_for_byte(archive, photo, empty):
    import_archive(archive, empty.database)
    assert empty.photos.get(photo.id) == (photo, PHOTO)
    mould = empty.moulds.named("reed-130").version.document_id
    assert empty.photos.listed(mould) == (photo,)


def photo_row(change: Callable[[dict[str, object]], object]) -> Callable[[dict[str, bytes]], None]:
    """Change the photo's row as a careful hand would: the table's own hash is put right too."""

    def changed(files: dict[str, bytes]) -> None:
        row = json.loads(files["tables/photo.jsonl"])
        change(row)
        line = json.dumps(row).encode() + b"\n"
        manifest = json.loads(files["manifest.json"])
        manifest["tables"]["photo"]["sha256"] = hashlib.sha256(line).hexdigest()
        files |= {"tables/photo.jsonl": line, "manifest.json": json.dumps(manifest).encode()}

    return changed


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            {"sha256": "0" * 64},
            "the photo “ma½rk.png” is not as it was kept.*Nothing was taken in",
        ),
        ({"content": b64encode(PHOTO[:-1]).decode()}, "the photo .* is not as it was kept"),
        ({"content": "no*base64"}, "“content” of “photo” is not in base 64"),
        ({"content": 4}, "“content” of “photo” is no bytes"),
        ({"document_id": "NOWHERE"}, "its rows contradict each other"),
        ({"kind": "holiday"}, "its rows contradict each other"),
    ],
)
def test_a_damaged_photo_is_told_and_nothing_is_half_taken_in(archive, empty, change, says):
    assert_refused(rewritten(archive, photo_row(lambda row: row.update(change))), empty, says)


def test_an_archive_from_before_photos_is_taken_in(tmp_path, now, empty):
    """Rewritten as the program of step 1 wrote it: it knew of no photos and no runs."""
    stored = Path(__file__).parents[1] / "migrations" / "stored" / "0001_first_pour.sql"
    path = tmp_path / "old.sqlite3"
    with closing(sqlite3.connect(path)) as file:
        file.executescript(stored.read_text("utf-8"))
    with Database(path, now=now) as database:
        export_archive(database, tmp_path / "new.zip", program="0.1.0", now=now)

    def without_photos(files: dict[str, bytes]) -> None:
        manifest = json.loads(files["manifest.json"])
        for table in ("photo", "photo_card", "run", "run_event"):
            del files[f"tables/{table}.jsonl"]
            del manifest["tables"][table]
        files["manifest.json"] = json.dumps(manifest | {"schema": "0001_first_pour"}).encode()

    import_archive(rewritten(tmp_path / "new.zip", without_photos), empty.database)
    assert empty.plans.listed()[0].count == 40
    assert empty.moulds.named("fry-75").version.number == 1


def test_an_archive_of_an_archive_holds_the_same_tables(archive, empty, tmp_path, now):
    import_archive(archive, empty.database)
    again = tmp_path / "again.zip"
    export_archive(empty.database, again, program="0.1.0", now=now)
    with zipfile.ZipFile(archive) as first, zipfile.ZipFile(again) as second:
        assert first.namelist() == second.namelist()
        assert all(first.read(name) == second.read(name) for name in first.namelist())


def test_an_archive_is_read_without_partline(archive):
    with zipfile.ZipFile(archive) as file:
        lines = file.read("tables/document_version.jsonl").decode().splitlines()
    (row,) = [row for row in map(json.loads, lines) if row["note"] == "peat-over-chalk-3.toml"]
    assert row["text"].startswith("# Brown back with copper flake")
    assert (row["number"], row["created_at"]) == (3, "2026-03-01T18:30:00+00:00")


def test_an_import_never_overwrites(archive, empty, recipe_text, now):
    empty.recipes.add(recipe_text, now=now)
    assert_refused(archive, empty, "not empty, and an import never overwrites")


def test_a_newer_archive_is_refused(archive, empty):
    for change in (in_manifest("schema", "0999_later"), in_manifest("layout", 2)):
        with pytest.raises(NewerDatabase, match="later Partline"):
            import_archive(rewritten(archive, change), empty.database)


def test_an_older_archive_is_taken_through_the_steps_it_missed(archive, tmp_path, now):
    steps = tmp_path / "steps"
    shutil.copytree(migrations.STEPS, steps)
    (steps / "step_0005_only_in_tests.py").write_text(
        "from alembic import op\n"
        'revision, down_revision = "0005_only_in_tests", "0004_photo_cards"\n'
        "def upgrade():\n"
        "    op.execute(\"UPDATE document SET name = name || ' (taken further)'\")\n"
    )
    with Database(tmp_path / "new.sqlite3", now=now, steps=steps) as database:
        import_archive(archive, database, steps=steps)
        workshop = Workshop(database)
        assert workshop.plans.listed()[0].count == 40
        with closing(sqlite3.connect(database.path)) as file:
            names = {name for (name,) in file.execute("SELECT name FROM document")}
    assert "reed-130 (taken further)" in names


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda f: f.update({"tables/plan.jsonl": f["tables/plan.jsonl"] + b"\n"}), "damaged"),
        (lambda f: f.update({"tables/plan.jsonl": b""}), "“plan” is not as it was written"),
        (
            lambda f: f.update(
                {"tables/document.jsonl": f["tables/document.jsonl"].replace(b"fry-75", b"fry-76")}
            ),
            "“document” is not as it was written",
        ),
        (lambda f: f.pop("tables/plan.jsonl"), "does not hold the files"),
        (lambda f: f.update({"../../evil": b"x"}), "does not hold the files"),
        (lambda f: f.update({"manifest.json": b"{"}), "manifest cannot be read"),
        (lambda f: f.update({"manifest.json": b"[" * 100_000}), "manifest cannot be read"),
        (lambda f: f.update({"manifest.json": b"[]"}), "manifest cannot be read"),
        (lambda f: f.pop("manifest.json"), "not a Partline archive"),
        (in_manifest("format", "holiday photos"), "not a Partline archive"),
        (in_manifest("tables", {}), "does not hold the files"),
    ],
)
def test_a_damaged_archive_is_refused_and_changes_nothing(archive, empty, change, says):
    assert_refused(rewritten(archive, change), empty, says)


def forged(table: str, **values: object) -> Callable[[dict[str, bytes]], None]:
    """Change a table's first row and make the checksum fit, as a hand-edited archive might."""
    import hashlib

    def change(files: dict[str, bytes]) -> None:
        name = f"tables/{table}.jsonl"
        first, *rest = files[name].splitlines(keepends=True)
        row = {k: v for k, v in (json.loads(first) | values).items() if v is not ...}
        files[name] = json.dumps(row).encode() + b"\n" + b"".join(rest)
        manifest = json.loads(files["manifest.json"])
        manifest["tables"][table]["sha256"] = hashlib.sha256(files[name]).hexdigest()
        files["manifest.json"] = json.dumps(manifest).encode()

    return change


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (forged("plan", recipe_version_id="NOWHERE"), "contradict each other"),
        (forged("document", kind="song"), "contradict each other"),
        (forged("document", latest="three"), "“latest” of “document” is no int"),
        (forged("document", latest=True), "“latest” of “document” is no int"),
        (forged("document", latest=10**30), "a value that cannot be kept"),
        (forged("document", created_at="yesterday"), "is no time"),
        (forged("document", name="\ud800"), "a value that cannot be kept"),
        (forged("document", id=None), "“id” of “document” is no str"),
        (forged("document", colour="red"), "other columns"),
        (forged("document", latest=...), "other columns"),
    ],
)
def test_rows_that_do_not_fit_are_refused_and_change_nothing(archive, empty, change, says):
    assert_refused(rewritten(archive, change), empty, says)


def test_a_file_that_is_no_zip_is_refused(empty, tmp_path):
    path = tmp_path / "x.zip"
    path.write_bytes(b"PK\x03\x04" + b"nonsense" * 100)
    assert_refused(path, empty, "cannot be unpacked")


def test_an_archive_cut_short_or_scratched_is_refused(archive, empty):
    whole = archive.read_bytes()
    archive.write_bytes(whole[: len(whole) // 2])
    assert_refused(archive, empty, "cannot be unpacked")
    middle = len(whole) // 3
    archive.write_bytes(
        whole[:middle]
        + bytes(b ^ 0xFF for b in whole[middle : middle + 20])
        + whole[middle + 20 :]
    )
    assert_refused(archive, empty, "damaged")


def test_an_archive_that_unpacks_beyond_measure_is_refused(archive, empty, monkeypatch):
    monkeypatch.setattr(manifest_module, "LARGEST", 20_000_000)
    bomb = rewritten(archive, lambda f: f.update({"tables/plan.jsonl": b"0" * 30_000_000}))
    assert bomb.stat().st_size < 100_000
    assert_refused(bomb, empty, "would unpack to 30 MB")


def test_a_missing_archive_is_not_found(empty, tmp_path):
    with pytest.raises(NotFound):
        import_archive(tmp_path / "gone.zip", empty.database)


def test_a_full_disk_takes_in_nothing(archive, empty):
    before = contents(empty)

    def limit(connection: sqlite3.Connection, _: object) -> None:
        connection.execute("PRAGMA max_page_count = 1").close()  # no more than there are

    event.listen(empty.database.engine, "connect", limit)
    empty.database.engine.dispose()
    with pytest.raises(StorageFull, match="Nothing was lost"):
        import_archive(archive, empty.database)
    assert contents(empty) == before


def test_a_failed_export_leaves_no_file(workshop, plan, tmp_path, now):
    path = tmp_path / "nowhere" / "shed.zip"
    with pytest.raises(RecordError):
        export_archive(workshop.database, path, program="0.1.0", now=now)
    assert not path.parent.exists()
