"""Wear readings of runs: put in, taken back as wrong, put back again."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import asdict, dataclass, fields, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update

from trials.errors import ConflictError, NotFoundError
from trials.model import Run, WearReading
from trials.store import _tables as tables
from trials.store._engine import Database
from trials.store._run_rows import StoredRun, select_run, update_run
from trials.store._types import now_utc

_WEAR = tuple(field.name for field in fields(WearReading))


@dataclass(frozen=True, slots=True)
class StoredWear:
    """A wear reading as it is kept: its key, when it was noted, and when it was taken back."""

    uuid: uuid.UUID
    reading: WearReading
    taken_utc: datetime
    removed_utc: datetime | None = None
    removed_by: str = ""


class WearRows:
    """What the store knows of wear readings; part of `trials.store.Store`."""

    _database: Database

    def add_wear(
        self, trial: str, number: int | None, reading: WearReading, *, version: int | None = None
    ) -> StoredRun:
        """Store a wear reading of a run; readings stand in the order of their hole numbers."""
        with self._database.writing() as connection:
            stored = update_run(connection, trial, number, _with(reading), version)
            position = connection.execute(
                select(func.max(tables.wear_reading.c.position)).where(
                    tables.wear_reading.c.run_uuid == stored.uuid
                )
            ).scalar()
            connection.execute(
                insert(tables.wear_reading).values(
                    uuid=uuid.uuid4(), run_uuid=stored.uuid, position=(position or 0) + 1,
                    taken_utc=now_utc(), **asdict(reading),
                )
            )  # fmt: skip
            return stored

    def wear(self, trial: str, number: int | None = None) -> list[StoredWear]:
        """Every wear reading of a run by hole number, also those taken back."""
        with self._database.reading() as connection:
            run = select_run(connection, trial, number)
            table = tables.wear_reading
            rows = connection.execute(
                select(table)
                .where(table.c.run_uuid == run.uuid)
                .order_by(table.c.hole, table.c.position)
            )
            return [_stored(row) for row in rows]

    def remove_wear(
        self, trial: str, number: int | None, key: uuid.UUID, *, who: str = "",
        version: int | None = None,
    ) -> StoredRun:  # fmt: skip
        """Take a reading back as wrong; it stays to be put back.

        Raises:
            ConflictError: it was taken back already.
        """

        def without(reading: WearReading) -> Callable[[Run], Run]:
            def change(run: Run) -> Run:
                wear = list(run.wear)
                wear.remove(reading)
                return replace(run, wear=tuple(wear))

            return change

        return self._mark(trial, number, key, without, removed=True, who=who, version=version)

    def restore_wear(
        self, trial: str, number: int | None, key: uuid.UUID, *, version: int | None = None
    ) -> StoredRun:
        """Put a reading back that was taken back.

        Raises:
            ConflictError: it stands.
        """
        return self._mark(trial, number, key, _with, removed=False, who="", version=version)

    def _mark(
        self, trial: str, number: int | None, key: uuid.UUID,
        change: Callable[[WearReading], Callable[[Run], Run]], *, removed: bool, who: str,
        version: int | None,
    ) -> StoredRun:  # fmt: skip
        with self._database.writing() as connection:
            run = select_run(connection, trial, number, to_change=True)
            found = _one(connection, run.uuid, key)
            if (found.removed_utc is not None) == removed:
                raise ConflictError(
                    f"wear reading at hole {found.reading.hole}: it is "
                    f"{'taken back' if removed else 'in place'} already",
                    do="Somebody else may have done it. Nothing was changed; look again.",
                )
            stored = update_run(connection, trial, run.run.number, change(found.reading), version)
            connection.execute(
                update(tables.wear_reading)
                .where(tables.wear_reading.c.uuid == key)
                .values(removed_utc=now_utc() if removed else None, removed_by=who)
            )
            return stored


def _with(reading: WearReading) -> Callable[[Run], Run]:
    def change(run: Run) -> Run:
        return replace(run, wear=tuple(sorted((*run.wear, reading), key=lambda one: one.hole)))

    return change


def _one(connection: Connection, run: uuid.UUID, key: uuid.UUID) -> StoredWear:
    table = tables.wear_reading
    row = connection.execute(
        select(table).where(table.c.uuid == key, table.c.run_uuid == run)
    ).one_or_none()
    if row is None:
        raise NotFoundError("wear reading", got=str(key))
    return _stored(row)


def _stored(row: Row[Any]) -> StoredWear:
    reading = WearReading(**{name: row._mapping[name] for name in _WEAR})
    return StoredWear(row.uuid, reading, row.taken_utc, row.removed_utc, row.removed_by)
