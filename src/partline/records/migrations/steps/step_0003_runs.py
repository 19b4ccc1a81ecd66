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
        sa.Column("practice", sa.JSON(), nullable=True),
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
    with op.batch_alter_table("photo") as photo:
        photo.drop_constraint(op.f("ck_photo_kind"), type_="check")
        photo.alter_column("document_id", existing_type=sa.String(12), nullable=True)
        photo.add_column(sa.Column("run_code", sa.String(12), nullable=True))
        photo.create_foreign_key("fk_photo_run_code", "run", ["run_code"], ["code"])
        photo.create_check_constraint(
            op.f("ck_photo_kind"), "kind IN ('bottom_mark', 'slice', 'run')"
        )
        photo.create_check_constraint(
            op.f("ck_photo_of_one_thing"), "(document_id IS NULL) <> (run_code IS NULL)"
        )
        photo.create_index("ix_photo_run_code", ["run_code"])
