"""Runs with their events, and photos of a run."""

import sqlalchemy as sa
from alembic import op

revision = "0003_runs"
down_revision = "0002_photos"


def upgrade() -> None:
    """Make the tables of runs and let a photo belong to one."""
    op.create_table(
        "run",
        sa.Column("code", sa.String(12), nullable=False),
        sa.Column("plan_code", sa.String(12), nullable=False),
        sa.Column("moulds", sa.Integer(), nullable=False),
        sa.Column("practice", sa.JSON(), nullable=True),
        sa.Column("forecast", sa.JSON(), nullable=True),
        sa.Column("device", sa.String(60), nullable=False),
        sa.Column("program", sa.String(40), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["plan_code"], ["plan.code"], name="fk_run_plan_code"),
        sa.PrimaryKeyConstraint("code", name="pk_run"),
    )
    op.create_index("ix_run_plan_code", "run", ["plan_code"])
    op.create_index("ix_run_created_at", "run", ["created_at"])
    op.create_table(
        "run_event",
        sa.Column("run_code", sa.String(12), nullable=False),
        sa.Column("id", sa.String(26), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("cup", sa.String(1), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("device", sa.String(60), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["run_code"], ["run.code"], name="fk_run_event_run_code"),
        sa.PrimaryKeyConstraint("run_code", "id", name="pk_run_event"),
        sa.UniqueConstraint("run_code", "place", name="uq_run_event_run_code_place"),
    )
    _make_photos_anew()


def _make_photos_anew() -> None:
    """Written out: alembic's own rebuilding puts the checks in another order every time."""
    op.drop_index("ix_photo_document_id", "photo")
    op.rename_table("photo", "photo_of_before")
    op.create_table(
        "photo",
        sa.Column("id", sa.String(12), nullable=False),
        sa.Column("workshop_id", sa.String(12), nullable=False),
        sa.Column("document_id", sa.String(12), nullable=True),
        sa.Column("run_code", sa.String(12), nullable=True),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("media_type", sa.String(20), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("kind IN ('bottom_mark', 'slice', 'run')", name=op.f("ck_photo_kind")),
        sa.CheckConstraint(
            "(document_id IS NULL) <> (run_code IS NULL)", name=op.f("ck_photo_of_one_thing")
        ),
        sa.ForeignKeyConstraint(["workshop_id"], ["workshop.id"], name="fk_photo_workshop_id"),
        sa.ForeignKeyConstraint(["document_id"], ["document.id"], name="fk_photo_document_id"),
        sa.ForeignKeyConstraint(["run_code"], ["run.code"], name="fk_photo_run_code"),
        sa.PrimaryKeyConstraint("id", name="pk_photo"),
    )
    columns = "id, workshop_id, document_id, kind, name, media_type, size, sha256, created_at"
    op.execute(
        f"INSERT INTO photo ({columns}, content) SELECT {columns}, content FROM photo_of_before"
    )
    op.drop_table("photo_of_before")
    op.create_index("ix_photo_document_id", "photo", ["document_id"])
    op.create_index("ix_photo_run_code", "photo", ["run_code"])
