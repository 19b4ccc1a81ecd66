"""From every older state to today's tables: backed up first, all steps or none."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import create_engine, inspect

from partline.errors import NewerDatabase
from partline.records import migrations
from partline.records.database import FILE_NAME, Database
from partline.records.models import Base
from partline.records.photos import PhotoKind
from partline.records.workshop import Workshop

NOW = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
STORED = Path(__file__).parent / "stored"
STORED_STEPS = sorted(path.stem for path in STORED.glob("*.sql"))

# A step as the next issue might write it: it rebuilds a table that others refer to.
LATER = """
import sqlalchemy as sa
from alembic import op

revision = "0005_only_in_tests"
down_revision = "0004_photo_cards"


def upgrade():
    op.create_table("shelf_life", sa.Column("days", sa.Integer(), primary_key=True))
    with op.batch_alter_table("document", recreate="always") as batch:
        batch.add_column(sa.Column("colour", sa.String(12), nullable=True))
    {end}
"""


def restore(revision: str, folder: Path) -> Path:
    """Make a workshop as a program of that step left it."""
    path = folder / FILE_NAME
    with closing(sqlite3.connect(path)) as file:
        file.executescript((STORED / f"{revision}.sql").read_text("utf-8"))
    return path


def steps_with(folder: Path, end: str = "pass") -> Path:
    """Return a folder of all steps and one more."""
    steps = folder / "steps"
    shutil.copytree(migrations.STEPS, steps)
    (steps / "step_0005_only_in_tests.py").write_text(LATER.format(end=end))
    return steps


def contents(path: Path) -> tuple[object, ...]:
    """Return everything in a file."""
    with closing(sqlite3.connect(path)) as file:
        return tuple(file.iterdump())


def test_migrations_lead_to_the_models(tmp_path):
    with Database(tmp_path / FILE_NAME, now=NOW) as database, database.reading() as session:
        connection = session.connection()
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, Base.metadata) == []
        checks = {
            table: inspect(connection).get_check_constraints(table)
            for table in Base.metadata.tables
        }
    engine = create_engine("sqlite://")  # alembic does not compare check constraints
    Base.metadata.create_all(engine)
    with engine.connect() as connection:
        for table, found in checks.items():
            assert found == inspect(connection).get_check_constraints(table)
    engine.dispose()


def test_every_step_has_a_stored_state_and_a_name_that_sorts():
    script = migrations._script(migrations.STEPS)
    steps = [step.revision for step in script.walk_revisions()][::-1]
    assert steps == sorted(steps)
    assert steps == STORED_STEPS
    assert all(len(step) <= 32 for step in steps)  # alembic's own column holds no more


@pytest.mark.parametrize("revision", STORED_STEPS)
def test_a_workshop_of_every_older_program_is_read_in_full(revision, tmp_path):
    path = restore(revision, tmp_path)
    workshop = Workshop(Database(path, now=NOW))
    with workshop:
        assert workshop.name == "Vessary Shed"
        recipe = workshop.recipes.named("peat-over-chalk")
        assert [v.number for v in workshop.recipes.history(recipe.version.document_id)] == [
            3,
            2,
            1,
        ]
        assert recipe.content.handling.push == 6.0
        assert {mould.name for mould in workshop.moulds.listed()} == {"reed-130", "fry-75"}
        (plan,) = workshop.plans.listed()
        assert (plan.count, plan.recipe.number, plan.mould.name) == (40, 2, "reed-130")
        mould = workshop.moulds.named("reed-130").version.document_id
        photos = [photo.name for photo in workshop.photos.listed(mould)]
        assert photos == (["mark.png"] if revision >= "0002_photos" else [])
        runs = [run.code for run in workshop.runs.listed()]
        assert runs == (["R7Q2MX9D40"] if revision >= "0003_runs" else [])
        for code in runs:
            told = [(event.kind, event.cup) for event in workshop.runs.events(code)]
            assert told == [("reading", "A"), ("correction", None)]
            assert [photo.name for photo in workshop.photos.of_run(code)] == ["wrong.png"]
        shelf = workshop.shelves.listed()[0].document_id
        has_chips = revision >= "0004_photo_cards"
        chips = [photo.name for photo in workshop.photos.listed(shelf, PhotoKind.CHIP)]
        assert chips == (["chip.png"] if has_chips else [])
        cards = [(card.number, card.line) for card in workshop.photo_cards.listed()]
        assert cards == ([(3, 0.0992)] if has_chips else [])
    needs_steps = revision != migrations.newest()
    assert (workshop.database.backup is not None) is needs_steps


def test_an_older_workshop_is_backed_up_whole_and_then_brought_up_to_date(tmp_path):
    path = restore("0001_first_pour", tmp_path)
    before = contents(path)
    steps = steps_with(tmp_path)
    with Database(path, now=NOW, steps=steps) as database:
        backup = database.backup
    assert backup is not None
    assert backup == tmp_path / "workshop.before-2026-03-01T183000-0001_first_pour.sqlite3"
    assert contents(backup) == before
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA user_version").fetchone() == (5,)
        assert file.execute("SELECT version_num FROM alembic_version").fetchone() == (
            "0005_only_in_tests",
        )
        assert file.execute("SELECT count(*) FROM document_version").fetchone() == (7,)
        assert file.execute("PRAGMA foreign_key_check").fetchall() == []
    with Database(path, now=NOW, steps=steps) as database:
        assert database.backup is None  # nothing left to do


def test_a_step_that_fails_leaves_the_workshop_as_it_was(tmp_path):
    path = restore(STORED_STEPS[-1], tmp_path)
    before = contents(path)
    with pytest.raises(ZeroDivisionError):
        Database(path, now=NOW, steps=steps_with(tmp_path, end="1 / 0"))
    assert contents(path) == before
    assert len(list(tmp_path.glob("*.before-*.sqlite3"))) == 1
    with Database(path, now=NOW) as database:  # the program of before still opens it
        assert database.backup is None


def test_a_workshop_taken_further_is_refused_by_the_program_of_before(tmp_path):
    path = restore("0001_first_pour", tmp_path)
    with Database(path, now=NOW, steps=steps_with(tmp_path)):
        pass
    before = path.read_bytes()
    with pytest.raises(NewerDatabase, match="by a later Partline"):
        Database(path, now=NOW)
    assert path.read_bytes() == before


def test_a_workshop_from_before_photos_takes_one_and_its_backup_has_no_room_for_it(tmp_path):
    path = restore("0001_first_pour", tmp_path)
    before = contents(path)
    with Workshop(Database(path, now=NOW)) as workshop:
        mould = workshop.moulds.named("reed-130").version.document_id
        kept = workshop.photos.add(
            mould, PhotoKind.SLICE, b"\xff\xd8\xff and so on", name="slice.jpg", now=NOW
        )
        assert workshop.photos.get(kept.id) == (kept, b"\xff\xd8\xff and so on")
        backup = workshop.database.backup
    assert backup is not None
    assert contents(backup) == before


def test_a_new_workshop_needs_no_backup(tmp_path):
    with Database(tmp_path / FILE_NAME, now=NOW) as database:
        assert database.backup is None
    assert [path.name for path in tmp_path.iterdir()] == [FILE_NAME]
