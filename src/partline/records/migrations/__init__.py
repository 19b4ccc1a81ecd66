"""Named steps from an empty file to today's tables, and how they are taken."""

from __future__ import annotations

from pathlib import Path

from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.runtime.migration import MigrationContext, RevisionStep
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection

from partline.records.models import Base

STEPS = Path(__file__).parent / "steps"


def _script(steps: Path) -> ScriptDirectory:
    return ScriptDirectory(str(steps.parent), version_locations=[str(steps)])


def revision_of(connection: Connection) -> str | None:
    """Return the last step a database has taken; None for an empty one."""
    return MigrationContext.configure(connection).get_current_revision()


def newest(steps: Path = STEPS) -> str:
    """Return the last step this program knows."""
    head = _script(steps).get_current_head()
    if head is None:
        raise LookupError(steps)
    return head


def is_known(revision: str, steps: Path = STEPS) -> bool:
    """Whether this program knows a step; it does not when a later one took it."""
    try:
        return _script(steps).get_revision(revision) is not None
    except CommandError:
        return False


def count_to(revision: str, steps: Path = STEPS) -> int:
    """Return how many steps lead to a revision, itself included."""
    return sum(1 for _ in _script(steps).iterate_revisions(revision, "base"))


def upgrade(connection: Connection, *, to: str = "head", steps: Path = STEPS) -> None:
    """Take the steps that are missing, inside the connection's own transaction."""
    script = _script(steps)

    def missing(revision: str, _: MigrationContext) -> list[RevisionStep]:
        return script._upgrade_revs(to, revision)  # what alembic's command calls

    with EnvironmentContext(Config(), script, fn=missing) as environment:
        environment.configure(
            connection=connection, target_metadata=Base.metadata, render_as_batch=True
        )
        with environment.begin_transaction():
            environment.run_migrations()
