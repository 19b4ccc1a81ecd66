"""Recipes, moulds, benches and shelves through all their versions.

One repository serves all four: a version is a document's text, word for word, with a number, a
time and a note. An edit adds a version; no version is ever changed or removed.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Generic, TypeVar, cast

from sqlalchemy import select
from sqlalchemy.orm import Session
from sqlalchemy.orm.exc import StaleDataError

from partline.errors import EditedElsewhere, InputError, Locked, NotFound
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.recipe import Recipe
from partline.records.database import Database
from partline.records.exchange import Content, DocumentKind, read_document
from partline.records.models import DocumentRow, DocumentVersionRow, new_code

C = TypeVar("C", bound=Content)
T = TypeVar("T", bound=Content)

#: Names that a refusal lists; the list of all is elsewhere.
MOST_NAMED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """Facts of one version of a document.

    Parameters
    ----------
    document_id, id : str
        Codes of the document and of this version of it.
    kind : DocumentKind
        What it describes.
    name : str
        As this version calls it.
    number : int
        Counts up from 1 with every edit.
    latest : int
        Number of the newest version there is.
    text : str
        The document, word for word.
    note : str
        Why it was edited.
    created_at : datetime
        When it was saved, in UTC.
    is_hidden : bool
        Whether the document is kept out of lists.
    """

    document_id: str
    id: str
    kind: DocumentKind
    name: str
    number: int
    latest: int
    text: str
    note: str
    created_at: datetime
    is_hidden: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept(Generic[C]):
    """One version and what it describes.

    Parameters
    ----------
    version : Version
        Its facts.
    content : Recipe, Mould, Bench or Shelf
        What its text says; a recipe carries the version's number.
    """

    version: Version
    content: C


class Documents(Generic[C]):
    """All documents of one kind in a workshop.

    Parameters
    ----------
    database : Database
        The open workshop.
    kind : DocumentKind
        Which of the four.
    """

    def __init__(self, database: Database, kind: DocumentKind) -> None:
        self._database = database
        self._kind = kind

    def add(self, text: str, *, now: datetime, note: str = "", name: str = "") -> Kept[C]:
        """Keep a new document as its version 1.

        Parameters
        ----------
        text : str
            The document.
        now : datetime
            With its time zone.
        note : str
            Why it was written.
        name : str
            For a document that does not say its own, as a shelf.

        Raises
        ------
        InputError
            If the text is no such document, or its name is taken.
        """
        content = self._read(text)
        with self._database.writing() as session:
            return self._add(session, content, _title(content, name), text, note, now)

    def add_all(
        self, texts: Sequence[str], *, now: datetime, note: str = ""
    ) -> tuple[Kept[C], ...]:
        """Keep several new documents, each as its version 1: all of them, or none.

        Raises
        ------
        InputError
            If one of the texts is no such document, or one of the names is taken.
        """
        contents = [self._read(text) for text in texts]
        with self._database.writing() as session:
            return tuple(
                self._add(session, content, _title(content, ""), text, note, now)
                for content, text in zip(contents, texts, strict=True)
            )

    def _add(
        self, session: Session, content: C, title: str, text: str, note: str, now: datetime
    ) -> Kept[C]:
        taken = self._row_named(session, title)
        if taken is not None:
            raise self._name_taken(taken)
        document = DocumentRow(
            id=new_code(),
            kind=self._kind.value,
            name=title,
            name_key=name_key(title),
            latest=0,
            created_at=now,
        )
        session.add(document)
        return self._next(session, document, content, text=text, note=note, now=now)

    def save(
        self,
        document_id: str,
        text: str,
        *,
        based_on: int,
        now: datetime,
        note: str = "",
        unlocks: bool = False,
    ) -> Kept[C]:
        """Keep an edited document as its next version.

        Parameters
        ----------
        document_id : str
            Code of the document.
        text : str
            All of it, as edited.
        based_on : int
            Number of the version that the edit began from.
        now : datetime
            With its time zone.
        note : str
            Why it was edited.
        unlocks : bool
            Whether a bench's locked ceiling may be changed with it.

        Raises
        ------
        EditedElsewhere
            If there is a newer version than `based_on`; nothing is overwritten.
        Locked
            If it changes a bench's locked ceiling without leave.
        InputError
            If the text is no such document, or its new name is taken.
        NotFound
            If there is no such document.
        """
        content = self._read(text)
        try:
            with self._database.writing() as session:
                document = self._row(session, document_id)
                if document.latest != based_on:
                    raise _edited_elsewhere(self._version_row(session, document), based_on)
                if not unlocks:
                    _hold_the_lock(self._kept(self._version_row(session, document)), content)
                title = _title(content, document.name)
                taken = self._row_named(session, title)
                if taken is not None and taken is not document:
                    raise self._name_taken(taken)
                document.name, document.name_key = title, name_key(title)
                return self._next(session, document, content, text=text, note=note, now=now)
        except StaleDataError as error:  # where writers do not wait in line
            with self._database.reading() as session:
                newest = self._version_row(session, self._row(session, document_id))
                raise _edited_elsewhere(newest, based_on) from error

    def keep(self, text: str, *, now: datetime, note: str = "", name: str = "") -> Kept[C]:
        """Keep a document that came as a file, under the name it says.

        A new name makes a new document, a known one its next version; the very text of the
        newest version makes nothing.

        Raises
        ------
        InputError
            If the text is no such document.
        """
        title = _title(self._read(text), name)
        try:
            known = self.named(title)
        except NotFound:
            return self.add(text, now=now, note=note, name=name)
        if known.version.text == text:
            return known
        facts = known.version
        return self.save(facts.document_id, text, based_on=facts.number, now=now, note=note)

    def get(self, document_id: str, number: int | None = None) -> Kept[C]:
        """Return a version of a document, the newest when no number is given.

        Raises
        ------
        NotFound
            If there is none.
        """
        with self._database.reading() as session:
            return self._kept(self._version_row(session, self._row(session, document_id), number))

    def named(self, name: str, number: int | None = None) -> Kept[C]:
        """Return a version of the document of this name, whatever its capitals.

        Raises
        ------
        NotFound
            If there is none.
        """
        with self._database.reading() as session:
            document = self._row_named(session, name)
            if document is None:
                raise NotFound(
                    f"No {self._kind} is kept under the name “{name}”. {self._kept_here(session)}"
                )
            return self._kept(self._version_row(session, document, number))

    def version(self, version_id: str) -> Kept[C]:
        """Return the version of this code.

        Raises
        ------
        NotFound
            If there is none.
        """
        with self._database.reading() as session:
            row = session.get(DocumentVersionRow, version_id)
            if row is None or row.document.kind != self._kind:
                raise NotFound(f"No version of a {self._kind} has the code {version_id}.")
            return self._kept(row)

    def history(self, document_id: str) -> tuple[Version, ...]:
        """Return the facts of all versions of a document, newest first.

        Raises
        ------
        NotFound
            If there is no such document.
        """
        with self._database.reading() as session:
            rows = self._row(session, document_id).versions
            return tuple(facts_of(row) for row in reversed(rows))

    def listed(self, *, hidden: bool = False) -> tuple[Version, ...]:
        """Return the newest version of each document by name; hidden ones only when asked."""
        newest = (
            select(DocumentVersionRow)
            .join(DocumentRow)
            .where(
                DocumentRow.kind == self._kind.value,
                DocumentVersionRow.number == DocumentRow.latest,
                DocumentRow.hidden_at.is_not(None) if hidden else DocumentRow.hidden_at.is_(None),
            )
            .order_by(DocumentRow.name_key)
        )
        with self._database.reading() as session:
            return tuple(facts_of(row) for row in session.scalars(newest))

    def hide(self, document_id: str, *, now: datetime) -> None:
        """Keep a document out of lists; its versions stay, and `unhide` brings it back.

        Raises
        ------
        NotFound
            If there is no such document.
        """
        with self._database.writing() as session:
            self._row(session, document_id).hidden_at = now

    def unhide(self, document_id: str) -> None:
        """Bring a hidden document back into lists.

        Raises
        ------
        NotFound
            If there is no such document.
        """
        with self._database.writing() as session:
            self._row(session, document_id).hidden_at = None

    def _read(self, text: str) -> C:
        return cast(C, _content(text, self._kind))

    def _row(self, session: Session, document_id: str) -> DocumentRow:
        row = session.get(DocumentRow, document_id)
        if row is None or row.kind != self._kind:
            raise NotFound(f"No {self._kind} has the code {document_id}.")
        return row

    def _kept_here(self, session: Session) -> str:
        """Say which names are kept, as the remedy for one that is not."""
        found = select(DocumentRow.name).where(
            DocumentRow.kind == self._kind.value, DocumentRow.hidden_at.is_(None)
        )
        names = sorted(session.scalars(found))
        if not names:
            return f"No {self._kind} is kept at all yet: name a file, or keep one first."
        more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
        return f"Kept here: {', '.join(names[:MOST_NAMED])}{more}."

    def _row_named(self, session: Session, name: str) -> DocumentRow | None:
        found = select(DocumentRow).where(
            DocumentRow.kind == self._kind.value, DocumentRow.name_key == name_key(name)
        )
        return session.scalars(found).one_or_none()

    def _version_row(
        self, session: Session, document: DocumentRow, number: int | None = None
    ) -> DocumentVersionRow:
        wanted = document.latest if number is None else number
        found = select(DocumentVersionRow).where(
            DocumentVersionRow.document_id == document.id, DocumentVersionRow.number == wanted
        )
        row = session.scalars(found).one_or_none()
        if row is None:
            many = "one version" if document.latest == 1 else f"{document.latest} versions"
            message = f"“{document.name}” has {many}; there is no {wanted}."
            raise NotFound(message)
        return row

    def _next(
        self,
        session: Session,
        document: DocumentRow,
        content: C,
        *,
        text: str,
        note: str,
        now: datetime,
    ) -> Kept[C]:
        document.latest += 1
        row = DocumentVersionRow(
            id=new_code(),
            document=document,
            number=document.latest,
            name=document.name,
            text=text,
            note=note,
            created_at=now,
        )
        session.add(row)
        return Kept(version=facts_of(row), content=_numbered(content, row.number))

    def _kept(self, row: DocumentVersionRow) -> Kept[C]:
        content = _numbered(self._read(row.text), row.number)
        return Kept(version=facts_of(row), content=content)

    def _name_taken(self, taken: DocumentRow) -> InputError:
        hidden = " It is hidden." if taken.hidden_at is not None else ""
        return InputError(
            f"There is a {self._kind} called “{taken.name}” already.{hidden}",
            field="name",
            given=taken.name,
            remedy="Save this as its next version, or choose another name.",
        )


@lru_cache(maxsize=256)
def _content(text: str, kind: DocumentKind) -> Content:
    """Return what a text says; the same text says the same, and its content never changes."""
    return read_document(text, kind)


def name_key(name: str) -> str:
    """Return a name as it is compared: capitals, accents' spelling and spaces do not count."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def _title(content: Content, name: str) -> str:
    """Return what a document calls itself; a shelf does not, and is given a name."""
    if isinstance(content, Shelf):
        return name or "shelf"
    return content.name


def _numbered(content: T, number: int) -> T:
    """Return a recipe with the number its version has here; anything else as it is."""
    return replace(content, version=number) if isinstance(content, Recipe) else content


def facts_of(row: DocumentVersionRow) -> Version:
    """Return a row as plain facts."""
    document = row.document
    return Version(
        document_id=document.id,
        id=row.id,
        kind=DocumentKind(document.kind),
        name=row.name,
        number=row.number,
        latest=document.latest,
        text=row.text,
        note=row.note,
        created_at=row.created_at,
        is_hidden=document.hidden_at is not None,
    )


def _hold_the_lock(before: Kept[C], after: Content) -> None:
    """Refuse a bench whose locked ceiling was changed or unlocked."""
    held = before.content
    if not isinstance(held, Bench) or not held.is_ceiling_locked or held.ceiling is None:
        return
    if isinstance(after, Bench) and after.is_ceiling_locked and after.ceiling == held.ceiling:
        return
    raise Locked(
        f"The ceiling of this bench is locked at {held.reading(held.ceiling)}; nothing was kept.",
        field="ceiling",
        remedy="Leave it as it is, or ask whoever keeps the bench: it is unlocked at the computer "
        "with  partline bench NAME --unlock",
    )


def _edited_elsewhere(newest: DocumentVersionRow, based_on: int) -> EditedElsewhere:
    about = f" (“{newest.note}”)" if newest.note else ""
    return EditedElsewhere(
        f"“{newest.name}” was saved elsewhere as version {newest.number}{about} at "
        f"{newest.created_at:%Y-%m-%d %H:%M} UTC; your edit began from version {based_on}. "
        f"Nothing was overwritten. Look at version {newest.number}, then save yours after it.",
        newest=newest.number,
    )
