"""All rows from one database to another of the same schema, whatever the engines."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    Column,
    Connection,
    DateTime,
    MetaData,
    Table,
    Uuid,
    func,
    insert,
    null,
    select,
)

from trials.errors import StoreError
from trials.store._engine import Database

_ROWS = 1000  # at a time
Convert = Callable[[Any], Any]


def copy_rows(source: Database, target: Database) -> dict[str, int]:
    """Copy every row of every table into tables that are there, of the same revision, and empty.

    The source is read as one unchanging view, and all is written in one transaction.

    Returns:
        How many rows of each table.

    Raises:
        StoreError: a table of the target is not empty, differs, or holds another number of rows
            in the end.
    """
    counts = {}
    with source.reading() as reading, target.writing() as writing:
        theirs, ours = _tables(reading), _tables(writing)
        if set(theirs.tables) != set(ours.tables):
            raise StoreError(
                f"{target.place}: its tables are of another version",
                got=", ".join(sorted(set(theirs.tables) ^ set(ours.tables))),
            )
        for table in ours.sorted_tables:
            if table.name != "alembic_version":
                counts[table.name] = _copy(reading, theirs.tables[table.name], writing, table)
    return counts


def _tables(connection: Connection) -> MetaData:
    found = MetaData()
    found.reflect(connection)
    return found


def _copy(reading: Connection, there: Table, writing: Connection, here: Table) -> int:
    if writing.execute(select(here).limit(1)).first() is not None:
        raise StoreError(
            f"table {here.name} of the other database is not empty",
            do="Choose an empty database. Nothing was changed.",
        )
    names = [column.name for column in here.columns]
    convert = [_conversion(here.columns[name]) for name in names]
    rows = reading.execution_options(yield_per=_ROWS).execute(
        select(*(there.columns[name] for name in names))
    )
    copied = 0
    for part in rows.partitions(_ROWS):
        values = [
            {name: turn(value) for name, turn, value in zip(names, convert, row, strict=True)}
            for row in part
        ]
        writing.execute(insert(here), values)
        copied += len(values)
    stored = writing.execute(select(func.count()).select_from(here)).scalar()
    if stored != copied:
        raise StoreError(f"copy of table {here.name}", got=stored, allowed=f"{copied} rows")
    return copied


def _conversion(column: Column[Any]) -> Convert:
    """What SQLite keeps as text and other engines as a type of its own."""
    if isinstance(column.type, Uuid):
        return lambda value: uuid.UUID(value) if isinstance(value, str) else value
    if isinstance(column.type, JSON) and column.nullable:
        return lambda value: null() if value is None else value  # not JSON's own null
    if isinstance(column.type, DateTime):
        return _with_zone if column.type.timezone else _without_zone
    return lambda value: value.hex if isinstance(value, uuid.UUID) else value


def _with_zone(value: datetime | None) -> datetime | None:
    return value.replace(tzinfo=UTC) if value is not None and value.tzinfo is None else value


def _without_zone(value: datetime | None) -> datetime | None:
    return None if value is None else _with_zone(value).astimezone(UTC).replace(tzinfo=None)  # type: ignore[union-attr]
