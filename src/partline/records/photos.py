"""Photos of a mould, a chip or a run: kept byte for byte, known by their content, never changed.

The bytes stand in the database itself, so that a photo and the row about it are kept together
or not at all (decision 0020).
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from partline.errors import InputError, NotFound, OutOfRange, RecordError
from partline.records.database import Database
from partline.records.models import DocumentRow, PhotoRow, RunRow, WorkshopRow, new_code

#: Largest photo that is taken. [bytes]
LARGEST_PHOTO = 20_000_000
LONGEST_NAME = 200


class PhotoKind(StrEnum):
    """What a photo shows."""

    BOTTOM_MARK = "bottom_mark"  # the mark on the half that lies below
    SLICE = "slice"  # a sliced bait on a card with millimetres
    RUN = "run"  # whatever was to be seen of a run
    CHIP = "chip"  # a colour chip on the photo card; belongs to the shelf

    @property
    def words(self) -> str:
        """What it shows, as a maker reads it."""
        return self.value.replace("bottom_mark", "BOTTOM mark")


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """Facts of one photo.

    Parameters
    ----------
    id : str
        Its code.
    document_id : str or None
        Code of the mould or shelf that it belongs to; None for one of a run.
    run_code : str or None
        Code of the run that it belongs to; None for one of a document.
    kind : PhotoKind
        What it shows.
    name : str
        Of the file, as it was given.
    media_type : str
        By its first bytes, such as ``image/jpeg``.
    size : int
        [bytes]
    sha256 : str
        Of its bytes.
    created_at : datetime
        When it was kept, in UTC.
    """

    id: str
    document_id: str | None
    run_code: str | None
    kind: PhotoKind
    name: str
    media_type: str
    size: int
    sha256: str
    created_at: datetime


def too_large(size: int | None) -> OutOfRange:
    """Return the refusal of a photo of so many bytes; None where nobody knows how many."""
    given = "larger" if size is None else f"{size / 1e6:,.4g} MB"
    than = " than" if size is None else "; at most"
    most = f"{LARGEST_PHOTO / 1e6:.0f} MB"
    verb = "" if size is None else " is taken"
    return OutOfRange(
        f"This photo is {given}{than} {most}{verb}: photos are kept in the workshop's one file, "
        "which must stay small enough to copy. Nothing was kept of it, and nothing else on the "
        "page was lost.",
        high=LARGEST_PHOTO,
        unit="bytes",
        field="photo",
        remedy="Take it again at a lower resolution, or crop it to the slice or the mark.",
    )


def media_type_of(content: bytes) -> str:
    """Return what a photo is by its first bytes, whatever its name says.

    Parameters
    ----------
    content : bytes
        All of it, or its first twelve bytes.

    Raises
    ------
    InputError
        If it is neither JPEG nor PNG nor WebP.

    References
    ----------
    .. [1] ITU-T T.81 (JPEG), B.1.1.3: SOI, then a marker. [2] W3C, "Portable Network Graphics
       (PNG) Specification (Third Edition)," 5.2. [3] RFC 9649, "WebP Image Format," 2.3 to 2.4.
       All from memory.
    """
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    raise InputError(
        "This file is no photo that every browser shows: it begins neither as a JPEG nor as a "
        "PNG nor as a WebP, whatever its name says.",
        field="photo",
        remedy="Save the picture as JPEG, then choose that. Phones may call it “compatible”.",
    )


class Photos:
    """All photos in a workshop.

    Parameters
    ----------
    database : Database
        The open workshop.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(
        self, document_id: str, kind: PhotoKind, content: bytes, *, name: str, now: datetime
    ) -> Photo:
        """Keep a photo of a document; the very bytes that are newest there make nothing new.

        Raises
        ------
        NotFound
            If there is no such document.
        InputError
            If it is no photo, or too large.
        """
        if len(content) > LARGEST_PHOTO:
            raise too_large(len(content))
        with self._database.writing() as session:
            if session.get(DocumentRow, document_id) is None:
                raise NotFound(f"Nothing is kept under the code {document_id}.")
            of = PhotoRow.document_id == document_id
            row = _row(content, kind, name=name, now=now)
            row.document_id = document_id
            return _add(session, row, of)

    def add_to_run(self, run_code: str, content: bytes, *, name: str, now: datetime) -> Photo:
        """Keep a photo of a run; the very bytes that are newest there make nothing new.

        Raises
        ------
        NotFound
            If there is no such run.
        InputError
            If it is no photo, or too large.
        """
        if len(content) > LARGEST_PHOTO:
            raise too_large(len(content))
        with self._database.writing() as session:
            if session.get(RunRow, run_code) is None:
                raise NotFound(f"No run has the code “{run_code[:40]}”.")
            row = _row(content, PhotoKind.RUN, name=name, now=now)
            row.run_code = run_code
            return _add(session, row, PhotoRow.run_code == run_code)

    def listed(self, document_id: str, kind: PhotoKind | None = None) -> tuple[Photo, ...]:
        """Return the facts of a document's photos, newest first; of one kind when asked."""
        found = select(PhotoRow).where(PhotoRow.document_id == document_id)
        if kind is not None:
            found = found.where(PhotoRow.kind == kind.value)
        with self._database.reading() as session:
            rows = session.scalars(found.order_by(PhotoRow.created_at.desc(), PhotoRow.id))
            return tuple(_facts(row) for row in rows)

    def of_run(self, run_code: str) -> tuple[Photo, ...]:
        """Return the facts of a run's photos, newest first."""
        found = select(PhotoRow).where(PhotoRow.run_code == run_code)
        with self._database.reading() as session:
            rows = session.scalars(found.order_by(PhotoRow.created_at.desc(), PhotoRow.id))
            return tuple(_facts(row) for row in rows)

    def get(self, photo_id: str) -> tuple[Photo, bytes]:
        """Return a photo's facts and its bytes, as they were given.

        Raises
        ------
        NotFound
            If there is none of this code.
        RecordError
            If the bytes are not those that were kept.
        """
        with self._database.reading() as session:
            row = session.get(PhotoRow, photo_id)
            if row is None:
                raise NotFound(f"No photo has the code {photo_id[:20]}.")
            facts, content = _facts(row), row.content
        if hashlib.sha256(content).hexdigest() != facts.sha256:
            raise RecordError(
                f"The photo {facts.id} is damaged: its bytes are not those that were kept. "
                "Take it again, or bring back a backup of the workshop."
            )
        return facts, content


def _row(content: bytes, kind: PhotoKind, *, name: str, now: datetime) -> PhotoRow:
    return PhotoRow(
        id=new_code(),
        kind=kind.value,
        name=_plain_name(name),
        media_type=media_type_of(content),
        size=len(content),
        sha256=hashlib.sha256(content).hexdigest(),
        created_at=now,
        content=content,
    )


def _add(session: Session, row: PhotoRow, of: ColumnElement[bool]) -> Photo:
    newest = session.scalars(
        select(PhotoRow)
        .where(of, PhotoRow.kind == row.kind)
        .order_by(PhotoRow.created_at.desc(), PhotoRow.id)
        .limit(1)
    ).first()
    if newest is not None and newest.sha256 == row.sha256:
        return _facts(newest)
    row.workshop_id = session.scalars(select(WorkshopRow.id)).one()
    session.add(row)
    return _facts(row)


def _plain_name(name: str) -> str:
    """Return a file's own name without folders and without signs that show as nothing."""
    last = name.replace("\\", "/").rpartition("/")[2]
    return "".join(sign for sign in last if sign.isprintable()).strip()[:LONGEST_NAME]


def _facts(row: PhotoRow) -> Photo:
    return Photo(
        id=row.id,
        document_id=row.document_id,
        run_code=row.run_code,
        kind=PhotoKind(row.kind),
        name=row.name,
        media_type=row.media_type,
        size=row.size,
        sha256=row.sha256,
        created_at=row.created_at,
    )
