"""Packages taken in: their rows, and a whole trial put in or taken out in one step."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from trials.errors import ConflictError, InputError
from trials.model import Trial
from trials.store import _tables as tables
from trials.store._packing import PackedRow, TableName, insert_packed
from trials.store._run_rows import StoredRun, select_runs
from trials.store._trial_rows import StoredTrial, insert_trial, select_trial, update_trial
from trials.store._types import now_utc


@dataclass(frozen=True, slots=True)
class StoredPackage:
    """A package that was taken in.

    Args:
        digest: SHA-256 of it; trial_uuid: where it went; file: its name.
        licence: terms for passing it on; removed: what its sender had left out.
        made: ``{"trial": true}`` when it began the trial, ``{"runs": [numbers]}`` that it added,
            ``{"before": {...}}`` what it changed, as it was.
    """

    digest: str
    trial_uuid: uuid.UUID
    file: str
    licence: str = ""
    removed: tuple[str, ...] = ()
    made: Mapping[str, Any] = field(default_factory=dict)
    imported_utc: datetime = field(default_factory=now_utc)


@dataclass(frozen=True, slots=True)
class RowsToPut:
    """Rows of a trial that come in: for each table what gives them, in an order that is kept.

    ``recordings`` gives the key of each pair of run and recording number.
    """

    rows: Callable[[TableName], Iterable[PackedRow]]
    recordings: Mapping[tuple[int, int], uuid.UUID]


def put_trial(
    connection: Connection,
    trial: Trial,
    key: uuid.UUID,
    created_utc: datetime | None,
    incoming: RowsToPut,
    package: StoredPackage,
) -> StoredTrial:
    """Store a trial that is new here with all that belongs to it.

    Raises:
        ConflictError: its name is taken; InputError: a run that cannot be.
    """
    stored = insert_trial(connection, trial)
    _rename_key(connection, stored, key, created_utc)
    put_runs(connection, trial.name, incoming)
    insert_package(connection, package)
    return select_trial(connection, trial.name)


def _rename_key(
    connection: Connection, stored: StoredTrial, key: uuid.UUID, created_utc: datetime | None
) -> None:
    """Give a trial just stored the key that it has elsewhere."""
    connection.execute(delete(tables.drill).where(tables.drill.c.trial_uuid == stored.uuid))
    connection.execute(
        update(tables.trial)
        .where(tables.trial.c.uuid == stored.uuid)
        .values(uuid=key, created_utc=created_utc or stored.created_utc)
    )
    update_trial(connection, stored.trial.name, lambda trial: trial, None)
    connection.execute(update(tables.trial).where(tables.trial.c.uuid == key).values(version=1))


def put_runs(connection: Connection, trial_name: str, incoming: RowsToPut) -> list[StoredRun]:
    """Store runs with all that belongs to them; the model looks at each of them.

    Raises:
        InputError: a run that cannot be, or whose drill the trial does not have.
    """
    stored = select_trial(connection, trial_name)
    now = now_utc()
    keys: dict[Any, uuid.UUID] = {}

    def runs() -> Iterable[PackedRow]:
        for row in incoming.rows("runs"):
            keys[row["number"]] = row["uuid"]
            whole = {**row, "planned_utc": row["planned_utc"] or now}
            yield {**whole, "version": 1, "trial_uuid": stored.uuid, "changed_utc": now}

    insert_packed(connection, "runs", runs(), {})
    wear = ({**row, "taken_utc": row["taken_utc"] or now} for row in incoming.rows("wear"))
    _insert(connection, "wear", wear, keys)
    _insert(connection, "recordings", incoming.rows("recordings"), keys)
    for name in ("holes", "gaps", "alarms", "edits"):
        _insert(connection, name, incoming.rows(name), incoming.recordings)
    found = [one for one in select_runs(connection, trial_name) if one.uuid in keys.values()]
    for one in found:
        stored.trial.drill(one.run.drill)
    return found


def _insert(
    connection: Connection,
    name: TableName,
    rows: Iterable[PackedRow],
    keys: Mapping[Any, uuid.UUID],
) -> None:
    try:
        insert_packed(connection, name, rows, keys)
    except KeyError as error:
        raise InputError(f"table {name}: a row of a run or recording", got=str(error),
                         allowed="one that is in the package") from None  # fmt: skip


def insert_package(connection: Connection, package: StoredPackage) -> None:
    """Note that a package was taken in."""
    connection.execute(
        insert(tables.package).values(
            digest=package.digest, trial_uuid=package.trial_uuid, file=package.file,
            licence=package.licence, removed=list(package.removed), made=dict(package.made),
            imported_utc=package.imported_utc,
        )
    )  # fmt: skip


def select_packages(connection: Connection, trial_uuid: uuid.UUID | None) -> list[StoredPackage]:
    """Packages of a trial, or of all, the first one first."""
    query = select(tables.package).order_by(tables.package.c.imported_utc)
    if trial_uuid is not None:
        query = query.where(tables.package.c.trial_uuid == trial_uuid)
    return [
        StoredPackage(
            row.digest, row.trial_uuid, row.file, row.licence, tuple(row.removed), row.made,
            row.imported_utc,
        )
        for row in connection.execute(query)
    ]  # fmt: skip


def take_out(connection: Connection, package: StoredPackage) -> list[str]:
    """Take out a trial that a package began; names of the traces that nothing needs any more.

    Raises:
        ConflictError: the trial or one of its runs was changed since.
    """
    row = connection.execute(
        select(tables.trial).where(tables.trial.c.uuid == package.trial_uuid)
    ).one()
    runs = connection.execute(
        select(tables.run.c.version, tables.run.c.uuid, tables.run.c.number).where(
            tables.run.c.trial_uuid == row.uuid
        )
    ).all()
    changed = [f"run {run.number}" for run in runs if run.version != 1]
    new = [f"run {run.number}" for run in runs if run.number not in package.made.get("runs", ())]
    if row.version != 1 or changed or new:
        what = ", ".join((["the trial"] if row.version != 1 else []) + sorted({*changed, *new}))
        raise ConflictError(
            f"{row.name} was worked on since {package.file} was taken in: {what}",
            do="Taking it out would lose that. Nothing was changed.",
        )
    traces = connection.execute(
        select(tables.recording.c.trace).where(
            tables.recording.c.run_uuid.in_([run.uuid for run in runs])
        )
    ).scalars()
    names = [name for name in traces if name]
    connection.execute(delete(tables.trial).where(tables.trial.c.uuid == row.uuid))
    return names
