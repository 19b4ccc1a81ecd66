"""The tables: documents with their versions, plans, runs, photos, and their workshop."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime

from sqlalchemy import (
    JSON,
    CheckConstraint,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    LargeBinary,
    MetaData,
    String,
    Text,
    TypeDecorator,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

# Without I, L, O and U: read aloud and typed back without a slip (Crockford's base 32).
_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


def new_code(letters: int = 12) -> str:
    """Return a random code; twelve letters are 60 bits, so two workshops can be merged."""
    return "".join(secrets.choice(_LETTERS) for _ in range(letters))


class UTCTime(TypeDecorator[datetime]):
    """A moment, kept in UTC; a time without a zone is refused, since nobody knows when it was."""

    impl = DateTime(timezone=True)
    cache_ok = True

    @property
    def python_type(self) -> type[datetime]:
        """What a program sees."""
        return datetime

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002  # SQLAlchemy's signature
        """Return what the database keeps."""
        if value is None:
            return None
        if value.tzinfo is None:
            message = f"{value} has no time zone"
            raise ValueError(message)
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002  # SQLAlchemy's signature
        """Return the moment with its zone, which SQLite drops."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Base(DeclarativeBase):
    """Base of all tables."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map = {datetime: UTCTime()}  # noqa: RUF012  # SQLAlchemy's own form


class WorkshopRow(Base):
    """The workshop itself: one row."""

    __tablename__ = "workshop"

    id: Mapped[str] = mapped_column(String(12), primary_key=True)
    name: Mapped[str] = mapped_column(String(120))
    created_at: Mapped[datetime]


class DocumentRow(Base):
    """A recipe, mould, bench or shelf through all its versions."""

    __tablename__ = "document"
    __table_args__ = (
        UniqueConstraint("kind", "name_key"),
        CheckConstraint("kind IN ('recipe', 'mould', 'bench', 'shelf')", name="kind"),
    )

    id: Mapped[str] = mapped_column(String(12), primary_key=True)
    kind: Mapped[str] = mapped_column(String(12))
    name: Mapped[str] = mapped_column(String(120))
    name_key: Mapped[str] = mapped_column(String(360))  # folded, so that capitals do not count
    latest: Mapped[int] = mapped_column()
    created_at: Mapped[datetime]
    hidden_at: Mapped[datetime | None]

    versions: Mapped[list[DocumentVersionRow]] = relationship(
        back_populates="document", order_by="DocumentVersionRow.number"
    )

    # An update of a document that somebody else has moved on finds no row, on any database.
    __mapper_args__ = {"version_id_col": latest, "version_id_generator": False}  # noqa: RUF012  # SQLAlchemy's own form


class DocumentVersionRow(Base):
    """One version of a document, word for word; never changed again."""

    __tablename__ = "document_version"
    __table_args__ = (UniqueConstraint("document_id", "number"),)

    id: Mapped[str] = mapped_column(String(12), primary_key=True)
    document_id: Mapped[str] = mapped_column(ForeignKey("document.id"))
    number: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))
    text: Mapped[str] = mapped_column(Text)
    note: Mapped[str] = mapped_column(Text)
    created_at: Mapped[datetime]

    document: Mapped[DocumentRow] = relationship(back_populates="versions")


class PlanRow(Base):
    """One plan with everything it was made from and everything it said; never changed again."""

    __tablename__ = "plan"

    code: Mapped[str] = mapped_column(String(12), primary_key=True)
    recipe_version_id: Mapped[str] = mapped_column(ForeignKey("document_version.id"), index=True)
    mould_version_id: Mapped[str] = mapped_column(ForeignKey("document_version.id"), index=True)
    bench_version_id: Mapped[str] = mapped_column(ForeignKey("document_version.id"), index=True)
    shelf_version_id: Mapped[str] = mapped_column(ForeignKey("document_version.id"), index=True)
    count: Mapped[int]
    inputs: Mapped[dict[str, object]] = mapped_column(JSON)
    answer: Mapped[dict[str, object]] = mapped_column(JSON)
    program: Mapped[str] = mapped_column(String(40))
    created_at: Mapped[datetime] = mapped_column(index=True)

    recipe: Mapped[DocumentVersionRow] = relationship(foreign_keys=recipe_version_id)
    mould: Mapped[DocumentVersionRow] = relationship(foreign_keys=mould_version_id)
    bench: Mapped[DocumentVersionRow] = relationship(foreign_keys=bench_version_id)
    shelf: Mapped[DocumentVersionRow] = relationship(foreign_keys=shelf_version_id)


class RunRow(Base):
    """One run of a plan; what happens in it are its events. Never changed again."""

    __tablename__ = "run"

    code: Mapped[str] = mapped_column(String(12), primary_key=True)
    plan_code: Mapped[str] = mapped_column(ForeignKey("plan.code"), index=True)
    moulds: Mapped[int]  # alike, in rotation
    practice: Mapped[dict[str, object] | None] = mapped_column(JSON(none_as_null=True))
    # Said before the result is known, and kept with the run so that it cannot be said later.
    forecast: Mapped[dict[str, object] | None] = mapped_column(JSON(none_as_null=True))
    device: Mapped[str] = mapped_column(String(60))
    program: Mapped[str] = mapped_column(String(40))
    created_at: Mapped[datetime] = mapped_column(index=True)

    plan: Mapped[PlanRow] = relationship()


class RunEventRow(Base):
    """One thing that happened in a run, as it was told; a correction is another one."""

    __tablename__ = "run_event"
    __table_args__ = (UniqueConstraint("run_code", "place"),)

    run_code: Mapped[str] = mapped_column(ForeignKey("run.code"), primary_key=True)
    # Made by the device that told it, so that what is sent twice is kept once.
    id: Mapped[str] = mapped_column(String(26), primary_key=True)
    place: Mapped[int]  # in the order of arrival, from 1 without a gap
    kind: Mapped[str] = mapped_column(String(16))
    cup: Mapped[str | None] = mapped_column(String(1))
    at: Mapped[datetime]
    received_at: Mapped[datetime]
    device: Mapped[str] = mapped_column(String(60))
    data: Mapped[dict[str, object]] = mapped_column(JSON)


class PhotoRow(Base):
    """One photo of a document's thing or of a run, byte for byte; never changed again."""

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint("kind IN ('bottom_mark', 'slice', 'run', 'chip')", name="kind"),
        CheckConstraint("(document_id IS NULL) <> (run_code IS NULL)", name="of_one_thing"),
    )

    id: Mapped[str] = mapped_column(String(12), primary_key=True)
    workshop_id: Mapped[str] = mapped_column(ForeignKey("workshop.id"))
    document_id: Mapped[str | None] = mapped_column(ForeignKey("document.id"), index=True)
    run_code: Mapped[str | None] = mapped_column(ForeignKey("run.code"), index=True)
    kind: Mapped[str] = mapped_column(String(12))
    name: Mapped[str] = mapped_column(String(200))  # of the file, as it was given
    media_type: Mapped[str] = mapped_column(String(20))
    size: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    created_at: Mapped[datetime]
    content: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)  # a list needs none


class PhotoCardRow(Base):
    """A printed photo card's line under a ruler; measured again, it is another row."""

    __tablename__ = "photo_card"
    __table_args__ = (
        CheckConstraint("number > 0", name="number"),
        CheckConstraint("line_m > 0", name="line"),
    )

    id: Mapped[str] = mapped_column(String(12), primary_key=True)
    workshop_id: Mapped[str] = mapped_column(ForeignKey("workshop.id"))
    number: Mapped[int] = mapped_column(index=True)  # that its fifth marker says
    entered: Mapped[str] = mapped_column(String(40))  # word for word
    line_m: Mapped[float] = mapped_column(Double)
    created_at: Mapped[datetime]


#: Rows that are written once; `database` refuses to change or remove them.
WRITTEN_ONCE = (DocumentVersionRow, PlanRow, PhotoRow, PhotoCardRow, RunRow, RunEventRow)
