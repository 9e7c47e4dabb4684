"""What was taken in: its rows, and a whole trial put in or taken out in one step."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import Connection, Table, delete, func, insert, select, update

from trials.errors import ConflictError, InputError
from trials.model import Trial
from trials.store import _tables as tables
from trials.store._packing import PackedRow, TableName, insert_packed
from trials.store._run_rows import StoredRun, select_runs
from trials.store._trial_rows import StoredTrial, insert_trial, select_trial, update_trial
from trials.store._types import now_utc

_ANSWERS: tuple[tuple[TableName, Table], ...] = (
    ("remarks", tables.remark), ("proposals", tables.proposal),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A package or a sheet of runs that was taken in.

    Args:
        kind: ``package`` or ``sheet``.
        digest: SHA-256 of the file; trial_uuid: where it went; file: its name.
        licence: terms for passing it on; removed: what its sender had left out.
        made: ``{"trial": true}`` when it began the trial, ``{"runs": [keys]}`` that it added, and
            further keys for what it changed; see `trials.store._merge_rows`.
    """

    kind: Literal["package", "sheet"]
    digest: str
    trial_uuid: uuid.UUID
    file: str
    licence: str = ""
    removed: tuple[str, ...] = ()
    made: Mapping[str, Any] = field(default_factory=dict)
    imported_utc: datetime = field(default_factory=now_utc)
    key: uuid.UUID = field(default_factory=uuid.uuid4)


@dataclass(frozen=True, slots=True)
class RowsToPut:
    """Rows of a trial that come in: for each table what gives them, in an order that is kept.

    ``recordings`` gives the key of each pair of run and recording number that comes in.
    """

    rows: Callable[[TableName], Iterable[PackedRow]]
    recordings: Mapping[tuple[int, int], uuid.UUID]


def put_trial(
    connection: Connection,
    trial: Trial,
    key: uuid.UUID,
    created_utc: datetime | None,
    incoming: RowsToPut,
    taken: TakenIn,
) -> StoredTrial:
    """Store a trial that is new here with all that belongs to it.

    Raises:
        ConflictError: its name is taken; InputError: a run that cannot be.
    """
    stored = insert_trial(connection, trial)
    _rename_key(connection, stored, key, created_utc)
    put_runs(connection, trial.name, incoming, taken.file)
    insert_taken(connection, taken)
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


def put_runs(
    connection: Connection, trial_name: str, incoming: RowsToPut, file: str
) -> list[StoredRun]:
    """Store runs with all that belongs to them; the model looks at each of them.

    Rows of other tables may also belong to runs that are here already.

    Raises:
        InputError: a run that cannot be, or whose drill the trial does not have.
    """
    stored = select_trial(connection, trial_name)
    now = now_utc()
    before = select_runs(connection, trial_name)
    keys: dict[Any, uuid.UUID] = {one.run.number: one.uuid for one in before}
    new: set[uuid.UUID] = set()

    def runs() -> Iterable[PackedRow]:
        for row in incoming.rows("runs"):
            keys[row["number"]] = row["uuid"]
            new.add(row["uuid"])
            whole = {**row, "planned_utc": row["planned_utc"] or now}
            yield {**whole, "version": 1, "trial_uuid": stored.uuid, "changed_utc": now}

    insert_packed(connection, "runs", runs(), {})
    wear = ({**row, "taken_utc": row["taken_utc"] or now} for row in incoming.rows("wear"))
    _insert(connection, "wear", wear, keys)
    photos = ({**row, "added_utc": row["added_utc"] or now} for row in incoming.rows("photos"))
    _insert(connection, "photos", photos, keys)
    _insert(connection, "recordings", incoming.rows("recordings"), keys)
    for name in ("holes", "gaps", "alarms", "edits"):
        _insert(connection, name, incoming.rows(name), incoming.recordings)
    for answer, table in _ANSWERS:
        query = select(func.max(table.c.position)).where(table.c.trial_uuid == stored.uuid)
        last = connection.execute(query).scalar() or 0
        rows = (
            {**row, "made_utc": row["made_utc"] or now, "trial_uuid": stored.uuid,
             "position": place, "came_from": file, "taken_utc": now}
            for place, row in enumerate(incoming.rows(answer), last + 1)
        )  # fmt: skip
        _insert(connection, answer, rows, keys)
    found = [one for one in select_runs(connection, trial_name) if one.uuid in new]
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


def insert_taken(connection: Connection, taken: TakenIn) -> None:
    """Note that something was taken in."""
    connection.execute(
        insert(tables.taken_in).values(
            uuid=taken.key, kind=taken.kind, digest=taken.digest, trial_uuid=taken.trial_uuid,
            file=taken.file, licence=taken.licence, removed=list(taken.removed),
            made=dict(taken.made), imported_utc=taken.imported_utc,
        )
    )  # fmt: skip


def select_taken(connection: Connection, trial_uuid: uuid.UUID | None) -> list[TakenIn]:
    """What was taken in for a trial, or for all, the first one first."""
    query = select(tables.taken_in).order_by(tables.taken_in.c.imported_utc, tables.taken_in.c.uuid)
    if trial_uuid is not None:
        query = query.where(tables.taken_in.c.trial_uuid == trial_uuid)
    return [
        TakenIn(
            row.kind, row.digest, row.trial_uuid, row.file, row.licence, tuple(row.removed),
            row.made, row.imported_utc, row.uuid,
        )
        for row in connection.execute(query)
    ]  # fmt: skip


def take_out_trial(connection: Connection, taken: TakenIn) -> list[str]:
    """Take out a trial that a package began; names of the traces that nothing needs any more.

    Raises:
        ConflictError: the trial or one of its runs was changed since.
    """
    row = connection.execute(
        select(tables.trial).where(tables.trial.c.uuid == taken.trial_uuid)
    ).one()
    runs = connection.execute(
        select(tables.run.c.version, tables.run.c.uuid, tables.run.c.number).where(
            tables.run.c.trial_uuid == row.uuid
        )
    ).all()
    known = set(taken.made.get("runs", ()))
    changed = {f"run {run.number}" for run in runs
               if run.version != 1 or not {str(run.uuid), run.number} & known}  # fmt: skip
    if has_other_photos(connection, [run.uuid for run in runs], taken):
        changed.add("a new photo")
    if row.version != 1 or changed:
        what = ", ".join((["the trial"] if row.version != 1 else []) + sorted(changed))
        raise ConflictError(
            f"{row.name} was worked on since {taken.file} was taken in: {what}",
            do="Taking it out would lose that. Nothing was changed.",
        )
    names = traces_of(connection, [run.uuid for run in runs])
    connection.execute(delete(tables.trial).where(tables.trial.c.uuid == row.uuid))
    return names


def has_other_photos(connection: Connection, runs: list[uuid.UUID], taken: TakenIn) -> bool:
    """Whether a photo of these runs did not come with what was taken in."""
    photo = tables.photo
    found = connection.execute(select(photo.c.uuid).where(photo.c.run_uuid.in_(runs))).scalars()
    return bool({str(key) for key in found} - set(taken.made.get("photos", ())))


def traces_of(connection: Connection, runs: list[uuid.UUID]) -> list[str]:
    """Names of the traces of runs, below the shop folder."""
    found = connection.execute(
        select(tables.recording.c.trace).where(tables.recording.c.run_uuid.in_(runs))
    ).scalars()
    return [name for name in found if name]
