"""Runs: what was told of them, in the order it came, and nothing ever taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from partline.errors import NotFound
from partline.process.run.event import Event, Kind
from partline.records.database import Database
from partline.records.models import (
    DocumentVersionRow,
    PlanRow,
    RunEventRow,
    RunRow,
    new_code,
)
from partline.records.plans import tidy_code

Json = dict[str, object]
#: Letters of a run's code.
CODE_LETTERS = 10
LONGEST_DEVICE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRun:
    """Facts of one run.

    Parameters
    ----------
    code : str
        Stands in its address.
    plan_code : str
        The plan that is poured.
    moulds : int
        Alike, in rotation.
    practice : dict or None
        How the pretended bench was drawn; None for a run with hot plastic.
    forecast : dict or None
        Of its good baits, said as it was begun; None for a practice run.
    device : str
        That it was begun on.
    program : str
        Version of Partline that began it.
    created_at : datetime
        When, in UTC.
    """

    code: str
    plan_code: str
    moulds: int
    practice: Json | None
    forecast: Json | None
    device: str
    program: str
    created_at: datetime


class Runs:
    """All runs of a workshop; their events are only ever added to.

    Parameters
    ----------
    database : Database
        The open workshop.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def begin(
        self,
        plan_code: str,
        *,
        now: datetime,
        program: str,
        device: str = "",
        moulds: int = 1,
        practice: Json | None = None,
        forecast: Json | None = None,
    ) -> KeptRun:
        """Begin a run of a plan.

        Raises
        ------
        NotFound
            If there is no such plan.
        """
        with self._database.writing() as session:
            plan = session.get(PlanRow, tidy_code(plan_code))
            if plan is None:
                raise NotFound(f"No plan has the code “{plan_code}”. Check it on the card.")
            row = RunRow(
                code=new_code(CODE_LETTERS),
                plan_code=plan.code,
                moulds=moulds,
                practice=practice,
                forecast=forecast,
                device=device[:LONGEST_DEVICE],
                program=program,
                created_at=now,
            )
            session.add(row)
            return _kept(row)

    def get(self, code: str) -> KeptRun:
        """Return the run of this code.

        Raises
        ------
        NotFound
            If there is none.
        """
        with self._database.reading() as session:
            return _kept(_row(session, code))

    def listed(
        self,
        *,
        most: int = 200,
        planned_from: str = "",
        planned_as: str = "",
        with_kind: Kind | None = None,
    ) -> tuple[KeptRun, ...]:
        """Return the newest runs first.

        Parameters
        ----------
        most : int
            At most so many.
        planned_from : str
            Code of a document: only runs of plans that were made from any version of it.
        planned_as : str
            Code of a plan: only its runs.
        with_kind : Kind, optional
            Only runs of which such an event was told.
        """
        rows = select(RunRow).order_by(RunRow.created_at.desc(), RunRow.code).limit(most)
        if planned_from:
            versions = select(DocumentVersionRow.id).where(
                DocumentVersionRow.document_id == planned_from
            )
            plans = select(PlanRow.code).where(
                PlanRow.recipe_version_id.in_(versions)
                | PlanRow.mould_version_id.in_(versions)
                | PlanRow.bench_version_id.in_(versions)
            )
            rows = rows.where(RunRow.plan_code.in_(plans))
        if planned_as:
            rows = rows.where(RunRow.plan_code == planned_as)
        if with_kind is not None:
            told = select(RunEventRow.run_code).where(RunEventRow.kind == with_kind.value)
            rows = rows.where(RunRow.code.in_(told))
        with self._database.reading() as session:
            return tuple(_kept(row) for row in session.scalars(rows))

    def add(
        self, code: str, events: Sequence[Event], *, device: str, now: datetime
    ) -> tuple[str, ...]:
        """Keep events in the order given; one that is kept already is left as it is.

        Parameters
        ----------
        code : str
            Of the run.
        events : sequence of Event
            Several devices may add to one run at once; each event's id tells it from all others.
        device : str
            That they come from.
        now : datetime
            When they came, in UTC.

        Returns
        -------
        tuple of str
            Ids of the events that are kept now: all that were given.

        Raises
        ------
        NotFound
            If there is no such run.
        """
        with self._database.writing() as session:
            run = _row(session, code)
            known = set(
                session.scalars(
                    select(RunEventRow.id).where(
                        RunEventRow.run_code == run.code,
                        RunEventRow.id.in_([event.id for event in events]),
                    )
                )
            )
            last = session.scalar(
                select(func.max(RunEventRow.place)).where(RunEventRow.run_code == run.code)
            )
            place = last or 0
            for event in events:
                if event.id in known:
                    continue
                known.add(event.id)
                place += 1
                session.add(
                    RunEventRow(
                        run_code=run.code,
                        id=event.id,
                        place=place,
                        kind=event.kind.value,
                        cup=event.cup,
                        at=event.at,
                        received_at=now,
                        device=device[:LONGEST_DEVICE],
                        data=dict(event.data),
                    )
                )
        return tuple(event.id for event in events)

    def number_before(self, moment: datetime) -> int:
        """Return how many events the runs begun before a moment have, all together."""
        with self._database.reading() as session:
            found = session.scalar(
                select(func.count())
                .select_from(RunEventRow)
                .join(RunRow, RunRow.code == RunEventRow.run_code)
                .where(RunRow.created_at < moment)
            )
            return found or 0

    def events(self, code: str) -> tuple[Event, ...]:
        """Return all that was told of a run, in the order it came.

        Raises
        ------
        NotFound
            If there is no such run.
        """
        with self._database.reading() as session:
            run = _row(session, code)
            rows = session.scalars(
                select(RunEventRow)
                .where(RunEventRow.run_code == run.code)
                .order_by(RunEventRow.place)
            )
            return tuple(_event(row) for row in rows)


def _row(session: Session, code: str) -> RunRow:
    row = session.get(RunRow, tidy_code(code))
    if row is None:
        raise NotFound(f"No run has the code “{code[:40]}”.")
    return row


def _kept(row: RunRow) -> KeptRun:
    return KeptRun(
        code=row.code,
        plan_code=row.plan_code,
        moulds=row.moulds,
        practice=row.practice,
        forecast=row.forecast,
        device=row.device,
        program=row.program,
        created_at=row.created_at,
    )


def _event(row: RunEventRow) -> Event:
    return Event(
        id=row.id,
        place=row.place,
        kind=Kind(row.kind),
        cup=row.cup,
        at=row.at,
        received_at=row.received_at,
        device=row.device,
        data=row.data,
    )
