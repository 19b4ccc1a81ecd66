"""Photos of colour chips, and the line of a printed photo card under a ruler."""

import sqlalchemy as sa
from alembic import op

revision = "0004_photo_cards"
down_revision = "0003_runs"


def upgrade() -> None:
    """Make the table of photo cards and let a photo show a chip."""
    op.create_table(
        "photo_card",
        sa.Column("id", sa.String(12), nullable=False),
        sa.Column("workshop_id", sa.String(12), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("entered", sa.String(40), nullable=False),
        sa.Column("line_m", sa.Double(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("number > 0", name=op.f("ck_photo_card_number")),
        sa.CheckConstraint("line_m > 0", name=op.f("ck_photo_card_line")),
        sa.ForeignKeyConstraint(
            ["workshop_id"], ["workshop.id"], name="fk_photo_card_workshop_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_photo_card"),
    )
    op.create_index("ix_photo_card_number", "photo_card", ["number"])
    _make_photos_anew()


def _make_photos_anew() -> None:
    """Written out: alembic's own rebuilding puts the checks in another order every time."""
    op.drop_index("ix_photo_document_id", "photo")
    op.drop_index("ix_photo_run_code", "photo")
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
        sa.CheckConstraint(
            "kind IN ('bottom_mark', 'slice', 'run', 'chip')", name=op.f("ck_photo_kind")
        ),
        sa.CheckConstraint(
            "(document_id IS NULL) <> (run_code IS NULL)", name=op.f("ck_photo_of_one_thing")
        ),
        sa.ForeignKeyConstraint(["workshop_id"], ["workshop.id"], name="fk_photo_workshop_id"),
        sa.ForeignKeyConstraint(["document_id"], ["document.id"], name="fk_photo_document_id"),
        sa.ForeignKeyConstraint(["run_code"], ["run.code"], name="fk_photo_run_code"),
        sa.PrimaryKeyConstraint("id", name="pk_photo"),
    )
    columns = (
        "id, workshop_id, document_id, run_code, kind, name, media_type, size, sha256, created_at"
    )
    op.execute(
        f"INSERT INTO photo ({columns}, content) SELECT {columns}, content FROM photo_of_before"
    )
    op.drop_table("photo_of_before")
    op.create_index("ix_photo_document_id", "photo", ["document_id"])
    op.create_index("ix_photo_run_code", "photo", ["run_code"])
