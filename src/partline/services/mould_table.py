"""Keep many moulds that came as one table: all of them, or none."""

from __future__ import annotations

from partline.errors import InputError, Invalid
from partline.records.documents import Version, name_key
from partline.records.exchange.document import decode
from partline.records.exchange.mould_table import read_mould_table
from partline.records.workshop import Workshop
from partline.services.workshop import now


def keep_moulds(workshop: Workshop, content: bytes, filename: str) -> tuple[Version, ...]:
    """Keep every mould of a table as a document of its own.

    Raises
    ------
    Invalid
        With every fault and its row, a name that is kept already among them; nothing is kept
        then.
    InputError
        If it is no table at all.
    """
    rows = read_mould_table(decode(content, filename))
    listed = [*workshop.moulds.listed(), *workshop.moulds.listed(hidden=True)]
    taken = {name_key(each.name) for each in listed}
    faults = tuple(
        InputError(
            f"There is a mould called “{row.name}” already.",
            field=f"{row.place}, name",
            given=row.name,
            remedy="Give it another name: a table changes no mould that is kept.",
        )
        for row in rows
        if name_key(row.name) in taken
    )
    if faults:
        raise Invalid(faults, what="This table of moulds")
    texts = [row.text for row in rows]
    note = f"from {filename}"[:200]
    return tuple(kept.version for kept in workshop.moulds.add_all(texts, now=now(), note=note))
