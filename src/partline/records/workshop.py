"""A maker's workshop: everything that is kept, behind one door."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from partline.errors import InputError
from partline.materials.mould import Mould
from partline.materials.shelf import Shelf
from partline.process.bench import Bench
from partline.process.recipe import Recipe
from partline.records.database import Database, open_database
from partline.records.documents import Documents
from partline.records.exchange import DocumentKind
from partline.records.models import WorkshopRow
from partline.records.photo_cards import PhotoCards
from partline.records.photos import Photos
from partline.records.plans import Plans
from partline.records.runs import Runs


class Workshop:
    """Everything that is kept in one database.

    Parameters
    ----------
    database : Database
        Open, and closed by `close`.
    """

    def __init__(self, database: Database) -> None:
        self.database = database
        self.recipes: Documents[Recipe] = Documents(database, DocumentKind.RECIPE)
        self.moulds: Documents[Mould] = Documents(database, DocumentKind.MOULD)
        self.benches: Documents[Bench] = Documents(database, DocumentKind.BENCH)
        self.shelves: Documents[Shelf] = Documents(database, DocumentKind.SHELF)
        self.plans = Plans(database)
        self.photos = Photos(database)
        self.photo_cards = PhotoCards(database)
        self.runs = Runs(database)

    @property
    def name(self) -> str:
        """What the maker calls it."""
        with self.database.reading() as session:
            return session.query(WorkshopRow).one().name

    def rename(self, name: str) -> None:
        """Call it something else.

        Raises
        ------
        InputError
            If the name is empty or longer than 120 letters.
        """
        if not 0 < len(name.strip()) <= 120:
            message = "A workshop's name has 1 to 120 letters."
            raise InputError(message, field="name", given=name[:200])
        with self.database.writing() as session:
            session.query(WorkshopRow).one().name = name.strip()

    def close(self) -> None:
        """Let go of the file."""
        self.database.close()

    def __enter__(self) -> Workshop:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def open_workshop(folder: Path, *, now: datetime) -> Workshop:
    """Open the workshop kept in a folder; a new one is made when there is none.

    Parameters
    ----------
    folder : Path
        Where `workshop.sqlite3` and its backups are.
    now : datetime
        With its time zone; names the backup that precedes a migration.

    Raises
    ------
    NewerDatabase
        If a later Partline has written it; the file is left as it is.
    StorageFull
        If it cannot be written.
    RecordError
        If the file there is no workshop, or damaged.
    """
    return Workshop(open_database(folder, now=now))
