"""Photos: of a mould's BOTTOM mark, and of sliced baits."""

import sqlalchemy as sa
from alembic import op

revision = "0002_photos"
down_revision = "0001_first_pour"


def upgrade() -> None:
    """Make the table of photos."""
    op.create_table(
        "photo",
        sa.Column("id", sa.String(12), nullable=False),
        sa.Column("workshop_id", sa.String(12), nullable=False),
        sa.Column("document_id", sa.String(12), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("media_type", sa.String(20), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("kind IN ('bottom_mark', 'slice')", name=op.f("ck_photo_kind")),
        sa.ForeignKeyConstraint(["workshop_id"], ["workshop.id"], name="fk_photo_workshop_id"),
        sa.ForeignKeyConstraint(["document_id"], ["document.id"], name="fk_photo_document_id"),
        sa.PrimaryKeyConstraint("id", name="pk_photo"),
    )
    op.create_index("ix_photo_document_id", "photo", ["document_id"])
