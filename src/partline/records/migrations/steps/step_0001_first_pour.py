"""First pour: workshop, documents with versions, plans."""

import sqlalchemy as sa
from alembic import op

revision = "0001_first_pour"
down_revision = None


def upgrade() -> None:
    """Make the first tables."""
    moment = sa.DateTime(timezone=True)
    op.create_table(
        "workshop",
        sa.Column("id", sa.String(12), nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("created_at", moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_workshop"),
    )
    op.create_table(
        "document",
        sa.Column("id", sa.String(12), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("name_key", sa.String(360), nullable=False),
        sa.Column("latest", sa.Integer(), nullable=False),
        sa.Column("created_at", moment, nullable=False),
        sa.Column("hidden_at", moment, nullable=True),
        sa.CheckConstraint(
            "kind IN ('recipe', 'mould', 'bench', 'shelf')", name=op.f("ck_document_kind")
        ),
        sa.PrimaryKeyConstraint("id", name="pk_document"),
        sa.UniqueConstraint("kind", "name_key", name="uq_document_kind_name_key"),
    )
    op.create_table(
        "document_version",
        sa.Column("id", sa.String(12), nullable=False),
        sa.Column("document_id", sa.String(12), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("created_at", moment, nullable=False),
        sa.ForeignKeyConstraint(
            ["document_id"], ["document.id"], name="fk_document_version_document_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_document_version"),
        sa.UniqueConstraint(
            "document_id", "number", name="uq_document_version_document_id_number"
        ),
    )
    documents = ("recipe", "mould", "bench", "shelf")
    op.create_table(
        "plan",
        sa.Column("code", sa.String(12), nullable=False),
        *(sa.Column(f"{each}_version_id", sa.String(12), nullable=False) for each in documents),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("inputs", sa.JSON(), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=False),
        sa.Column("program", sa.String(40), nullable=False),
        sa.Column("created_at", moment, nullable=False),
        *(
            sa.ForeignKeyConstraint(
                [f"{each}_version_id"],
                ["document_version.id"],
                name=f"fk_plan_{each}_version_id",
            )
            for each in documents
        ),
        sa.PrimaryKeyConstraint("code", name="pk_plan"),
    )
    for column in (*(f"{each}_version_id" for each in documents), "created_at"):
        op.create_index(f"ix_plan_{column}", "plan", [column])
