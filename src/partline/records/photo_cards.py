"""Photo cards that were printed: the line of each under a ruler, measured once and kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from partline.errors import InputError, OutOfRange
from partline.records.database import Database
from partline.records.models import PhotoCardRow, WorkshopRow, new_code

LONGEST_ENTRY = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCard:
    """One measuring of one printed card.

    Parameters
    ----------
    number : int
        Of the print, as the card's fifth marker says it.
    entered : str
        The line's length as the maker typed it.
    line : float
        The same. [m]
    created_at : datetime
        When it was kept, in UTC.
    """

    number: int
    entered: str
    line: float
    created_at: datetime


class PhotoCards:
    """All printed photo cards of a workshop whose line was measured.

    Parameters
    ----------
    database : Database
        The open workshop.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, number: int, *, entered: str, line: float, now: datetime) -> KeptCard:
        """Keep the line of a card; of the same number the newest holds from now on.

        Parameters
        ----------
        number : int
            Of the print.
        entered : str
            As the maker typed it.
        line : float
            The same. [m]
        now : datetime
            In UTC.

        Raises
        ------
        OutOfRange
            If the number or the length is none.
        InputError
            If the text is longer than a length ever is.
        """
        if number < 1 or not line > 0.0:
            message = f"A card has a number from 1 and a line that is longer than nothing: {line}."
            raise OutOfRange(message, low=1, field="number", given=str(number))
        if len(entered) > LONGEST_ENTRY:
            message = f"A length is written in at most {LONGEST_ENTRY} signs."
            raise InputError(message, field="line", given=entered[:LONGEST_ENTRY])
        with self._database.writing() as session:
            row = PhotoCardRow(
                id=new_code(),
                workshop_id=session.scalars(select(WorkshopRow.id)).one(),
                number=number,
                entered=entered,
                line_m=line,
                created_at=now,
            )
            session.add(row)
            return _kept(row)

    def newest(self, number: int) -> KeptCard | None:
        """Return the measuring of a card that holds; None where it was never measured."""
        found = (
            select(PhotoCardRow)
            .where(PhotoCardRow.number == number)
            .order_by(PhotoCardRow.created_at.desc(), PhotoCardRow.id.desc())
            .limit(1)
        )
        with self._database.reading() as session:
            row = session.scalars(found).first()
            return None if row is None else _kept(row)

    def listed(self) -> tuple[KeptCard, ...]:
        """Return what holds of every card that was measured, by number."""
        numbers = select(PhotoCardRow.number).distinct().order_by(PhotoCardRow.number)
        with self._database.reading() as session:
            every = tuple(session.scalars(numbers))
        return tuple(card for each in every if (card := self.newest(each)) is not None)


def _kept(row: PhotoCardRow) -> KeptCard:
    return KeptCard(
        number=row.number,
        entered=row.entered,
        line=row.line_m,
        created_at=row.created_at,
    )
