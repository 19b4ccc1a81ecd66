"""Rows of any table as plain values, and back, by the types of its columns."""

from __future__ import annotations

import json
from base64 import b64decode, b64encode
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime

from sqlalchemy import JSON, Column, Connection, LargeBinary, Table, insert, select

from partline.records.archive.manifest import damaged

Row = dict[str, object]
#: Rows that are read or written at once; of a table with photos one, for the sake of memory.
BATCH = 200


def _at_once(table: Table) -> int:
    has_bytes = any(isinstance(column.type, LargeBinary) for column in table.columns)
    return 1 if has_bytes else BATCH


def read_rows(connection: Connection, table: Table) -> Iterator[Row]:
    """Return all rows of a table in the order of their keys, as values that JSON knows.

    A time is written as ISO 8601, bytes in base 64 (RFC 4648).
    """
    result = connection.execution_options(yield_per=_at_once(table)).execute(
        select(table).order_by(*table.primary_key)
    )
    for row in result:
        # SQLAlchemy's public name for it
        yield {name: _plain(value) for name, value in row._mapping.items()}


def _plain(value: object) -> object:
    match value:
        case datetime():
            return value.isoformat()
        case bytes():
            return b64encode(value).decode("ascii")
        case _:
            return value


def write_rows(connection: Connection, table: Table, rows: Iterable[Row]) -> int:
    """Insert rows as `read_rows` gave them, and return how many.

    Raises
    ------
    RecordError
        If a row does not fit the table.
    """
    count, most = 0, _at_once(table)
    batch: list[Row] = []
    for row in rows:
        batch.append(_as_stored(table, row))
        count += 1
        if len(batch) == most:
            connection.execute(insert(table), batch)
            batch = []
    if batch:
        connection.execute(insert(table), batch)
    return count


def row_text(row: Row) -> str:
    """Return a row as one line of an archive."""
    return json.dumps(row, ensure_ascii=False, allow_nan=False) + "\n"


def row_of(line: bytes, table: str) -> Row:
    """Return the row that a line of an archive says.

    Raises
    ------
    RecordError
        If it says none.
    """
    try:
        row = json.loads(line)
    except (ValueError, RecursionError):
        row = None
    if not isinstance(row, dict):
        raise damaged(f"a row of “{table}” cannot be read")
    return row


def _as_stored(table: Table, row: Row) -> Row:
    if row.keys() != set(table.columns.keys()):
        raise damaged(f"a row of “{table.name}” has other columns than the table")
    return {column.name: _value(column, row[column.name]) for column in table.columns}


def _value(column: Column[object], value: object) -> object:
    """Return a value as the column's type takes it; refuse one of another type."""
    if isinstance(column.type, JSON):
        return value
    if value is None and column.nullable:
        return None
    wanted = column.type.python_type
    if wanted is datetime and isinstance(value, str):
        return _moment(column, value)
    if wanted is bytes and isinstance(value, str):
        return _bytes(column, value)
    if type(value) is not wanted:
        raise damaged(f"“{column.name}” of “{column.table.name}” is no {wanted.__name__}")
    return value


def _moment(column: Column[object], text: str) -> datetime:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise damaged(f"“{column.name}” of “{column.table.name}” is no time") from None
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


def _bytes(column: Column[object], text: str) -> bytes:
    try:
        return b64decode(text, validate=True)
    except ValueError:
        raise damaged(f"“{column.name}” of “{column.table.name}” is not in base 64") from None
