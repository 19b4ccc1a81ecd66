"""Plans: what was asked, of which versions, and all that was answered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from partline.errors import NotFound
from partline.records.database import Database
from partline.records.documents import Version, facts_of
from partline.records.exchange import DocumentKind
from partline.records.models import DocumentVersionRow, PlanRow, new_code

Json = dict[str, object]
#: Letters of a plan's code: short enough to type from a card, long enough never to repeat.
CODE_LETTERS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPlan:
    """A plan as it was kept.

    Parameters
    ----------
    code : str
        Stands on the card and in its QR code.
    recipe, mould, bench, shelf : Version
        Exactly what it was made from.
    count : int
        Good baits wanted.
    inputs : dict
        Everything else that was asked, as JSON; SI.
    answer : dict
        Everything that was answered, as JSON; SI.
    program : str
        Version of Partline that answered.
    created_at : datetime
        When, in UTC.
    """

    code: str
    recipe: Version
    mould: Version
    bench: Version
    shelf: Version
    count: int
    inputs: Json
    answer: Json
    program: str
    created_at: datetime


class Plans:
    """All plans of a workshop; a plan is never changed, only followed by another.

    Parameters
    ----------
    database : Database
        The open workshop.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(
        self,
        *,
        recipe: Version,
        mould: Version,
        bench: Version,
        shelf: Version,
        count: int,
        inputs: Json,
        answer: Json,
        program: str,
        now: datetime,
    ) -> KeptPlan:
        """Keep a plan.

        Raises
        ------
        NotFound
            If one of the versions is not kept here.
        """
        with self._database.writing() as session:
            for kind, version in zip(DocumentKind, (recipe, mould, bench, shelf), strict=True):
                row = session.get(DocumentVersionRow, version.id)
                if row is None or row.document.kind != kind:
                    raise NotFound(f"The {kind} “{version.name}” is not kept in this workshop.")
            plan = PlanRow(
                code=new_code(CODE_LETTERS),
                recipe_version_id=recipe.id,
                mould_version_id=mould.id,
                bench_version_id=bench.id,
                shelf_version_id=shelf.id,
                count=count,
                inputs=inputs,
                answer=answer,
                program=program,
                created_at=now,
            )
            session.add(plan)
            session.flush()
            return _kept(plan)

    def get(self, code: str) -> KeptPlan:
        """Return the plan of this code, as it was typed or scanned.

        Raises
        ------
        NotFound
            If there is none.
        """
        with self._database.reading() as session:
            row = session.get(PlanRow, tidy_code(code))
            if row is None:
                raise NotFound(f"No plan has the code “{code}”. Check it on the card.")
            return _kept(row)

    def listed(self, *, document_id: str = "", most: int = 100) -> tuple[KeptPlan, ...]:
        """Return the newest plans first; those of one recipe, mould, bench or shelf if asked."""
        rows = select(PlanRow).order_by(PlanRow.created_at.desc(), PlanRow.code).limit(most)
        if document_id:
            versions = select(DocumentVersionRow.id).where(
                DocumentVersionRow.document_id == document_id
            )
            rows = rows.where(
                PlanRow.recipe_version_id.in_(versions)
                | PlanRow.mould_version_id.in_(versions)
                | PlanRow.bench_version_id.in_(versions)
                | PlanRow.shelf_version_id.in_(versions)
            )
        with self._database.reading() as session:
            return tuple(_kept(row) for row in session.scalars(rows))

    def of_class(self, code: str) -> tuple[KeptPlan, ...]:
        """Return the plans of a class, group by group; none where there is no such class."""
        rows = select(PlanRow).where(PlanRow.inputs["class"].as_string() == tidy_code(code))
        with self._database.reading() as session:
            found = [_kept(row) for row in session.scalars(rows)]
        return tuple(sorted(found, key=lambda each: int(str(each.inputs["group"]))))

    def classes(self) -> tuple[KeptPlan, ...]:
        """Return the first group's plan of every class, the newest first."""
        rows = (
            select(PlanRow)
            .where(PlanRow.inputs["class"].as_string().is_not(None))
            .where(PlanRow.inputs["group"].as_integer() == 1)
            .order_by(PlanRow.created_at.desc(), PlanRow.code)
        )
        with self._database.reading() as session:
            return tuple(_kept(row) for row in session.scalars(rows))


def tidy_code(code: str) -> str:
    """Return a code as it is kept: no dashes, capitals, and the letters it is made of.

    Examples
    --------
    >>> tidy_code("7qk2m-x9d4o")
    '7QK2MX9D40'
    """
    plain = "".join(code.upper().replace("-", "").split())
    return plain.translate(str.maketrans("OIL", "011"))


def _kept(row: PlanRow) -> KeptPlan:
    return KeptPlan(
        code=row.code,
        recipe=facts_of(row.recipe),
        mould=facts_of(row.mould),
        bench=facts_of(row.bench),
        shelf=facts_of(row.shelf),
        count=row.count,
        inputs=row.inputs,
        answer=row.answer,
        program=row.program,
        created_at=row.created_at,
    )
