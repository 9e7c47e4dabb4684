"""Both sides of a trial made one, and the way back: what stood there before is kept whole.

``made`` of a `TakenIn` then holds, beside ``runs``: ``remarks``, ``proposals`` and ``recordings``
(keys of rows that came in), ``before`` (rows as they were) and ``versions`` (what the trial and the
runs were left at, so that later work is never undone with it).
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, Uuid, delete, insert, select, update

from trials.errors import ConflictError
from trials.model import Trial
from trials.model.plain import from_plain, to_plain
from trials.store import _tables as tables
from trials.store._packing import PackedRow
from trials.store._run_rows import select_runs
from trials.store._taken_rows import (
    RowsToPut,
    TakenIn,
    has_other_photos,
    insert_taken,
    put_runs,
    traces_of,
)
from trials.store._trial_rows import select_trial, update_trial
from trials.store._types import UtcTime, now_utc


@dataclass(frozen=True, slots=True)
class Merge:
    """What a person chose to take from the other side.

    Args:
        trial: the trial as it becomes; None leaves it.
        runs: for the number of a run here, columns and their new values.
        wear: for the number of a run here, readings that are put in or in place of the same one.
        edits: for the number of a run and of its recording here, all its edits as they become.
    """

    trial: Trial | None = None
    runs: Mapping[int, PackedRow] = field(default_factory=dict)
    wear: Mapping[int, list[PackedRow]] = field(default_factory=dict)
    edits: Mapping[tuple[int, uuid.UUID], list[PackedRow]] = field(default_factory=dict)


def put_merge(
    connection: Connection, trial: str, merge: Merge, incoming: RowsToPut, taken: TakenIn
) -> None:
    """Change what was chosen and add what is new, and note what stood there before.

    Raises:
        InputError: what comes of it cannot be; nothing was changed.
    """
    stored = select_trial(connection, trial, to_change=True)
    here = {one.run.number: one for one in select_runs(connection, trial)}
    touched = {*merge.runs, *merge.wear, *(number for number, _ in merge.edits)}
    before: dict[str, Any] = {"runs": [], "wear": [], "edits": []}
    for number in sorted(touched):
        key = here[number].uuid
        before["runs"] += _kept(connection, tables.run, tables.run.c.uuid == key)
        before["wear"] += _kept(
            connection, tables.wear_reading, tables.wear_reading.c.run_uuid == key
        )
    for _, recording in merge.edits:
        before["edits"] += _kept(
            connection, tables.hole_edit, tables.hole_edit.c.recording_uuid == recording
        )
    if merge.trial is not None:
        before["trial"] = to_plain(stored.trial)
        before["trial_version"] = stored.version
        changed = merge.trial
        update_trial(connection, trial, lambda _: changed, None)
    _change(connection, merge, {number: one.uuid for number, one in here.items()})
    now = now_utc()
    for number in touched:
        key = here[number].uuid
        connection.execute(
            update(tables.run)
            .where(tables.run.c.uuid == key)
            .values(version=tables.run.c.version + 1, changed_utc=now)
        )
    name = trial if merge.trial is None else merge.trial.name
    came: dict[str, list[str]] = {
        "remarks": [], "proposals": [], "recordings": [], "runs": [], "photos": [],
    }  # fmt: skip

    def noted(table: Any) -> Iterable[PackedRow]:
        for row in incoming.rows(table):
            if table in came:
                came[table].append(str(row["uuid"]))
            yield row

    put_runs(connection, name, replace(incoming, rows=noted), taken.file)
    versions = {str(one.uuid): one.version for one in select_runs(connection, name)
                if one.run.number in touched}  # fmt: skip
    made = {**taken.made, **came, "before": before, "versions": versions,
            "edited": [str(recording) for _, recording in merge.edits]}  # fmt: skip
    if merge.trial is not None:
        made["trial_version"] = select_trial(connection, name).version
    insert_taken(connection, replace(taken, made=made))


def _change(connection: Connection, merge: Merge, keys: Mapping[int, uuid.UUID]) -> None:
    for number, values in merge.runs.items():
        connection.execute(
            update(tables.run).where(tables.run.c.uuid == keys[number]).values(**values)
        )
    for number, rows in merge.wear.items():
        table = tables.wear_reading
        mine = table.c.run_uuid == keys[number]
        positions = select(table.c.uuid, table.c.position).where(mine)
        known = {row.uuid: row.position for row in connection.execute(positions)}
        last = max(known.values(), default=0)
        for row in rows:
            last += row["uuid"] not in known
            values = {**row, "run_uuid": keys[number], "position": known.get(row["uuid"], last),
                      "taken_utc": row["taken_utc"] or now_utc(), "removed_utc": None,
                      "removed_by": ""}  # fmt: skip
            connection.execute(delete(table).where(table.c.uuid == row["uuid"]))
            connection.execute(insert(table), [values])
    for (_, recording), rows in merge.edits.items():
        edits = tables.hole_edit
        connection.execute(delete(edits).where(edits.c.recording_uuid == recording))
        own = [{**row, "recording_uuid": recording, "made_utc": row["made_utc"] or now_utc()}
               for row in rows]  # fmt: skip
        if own:
            connection.execute(insert(edits), own)


def take_out_merge(connection: Connection, trial: str, taken: TakenIn) -> list[str]:
    """Put back what stood before and take out what came; traces that nothing needs any more.

    Raises:
        ConflictError: something of it was changed since.
    """
    stored = select_trial(connection, trial, to_change=True)
    made = taken.made
    runs = select_runs(connection, trial)
    new = {str(one.uuid): one for one in runs if {str(one.uuid), one.run.number}
           & set(made.get("runs", ()))}  # fmt: skip
    versions = made.get("versions", {})
    changed = [
        f"run {one.run.number}"
        for one in runs
        if one.version != versions.get(str(one.uuid), 1 if str(one.uuid) in new else one.version)
    ]
    gone = [one.uuid for one in new.values()]
    if has_other_photos(connection, gone, taken):
        changed.append("a new photo")
    if "trial_version" in made and stored.version != made["trial_version"]:
        changed.insert(0, "the trial")
    if changed:
        raise ConflictError(
            f"{trial} was worked on since {taken.file} was taken in: {', '.join(changed)}",
            do="Taking it out would lose that. Nothing was changed.",
        )
    names = traces_of(connection, gone)
    recordings = [uuid.UUID(key) for key in made.get("recordings", ())]
    table = tables.recording
    lost = select(table.c.trace).where(table.c.uuid.in_(recordings))
    names += [name for name in connection.execute(lost).scalars() if name and name not in names]
    connection.execute(delete(table).where(table.c.uuid.in_(recordings)))
    photos = [uuid.UUID(key) for key in made.get("photos", ())]
    connection.execute(delete(tables.photo).where(tables.photo.c.uuid.in_(photos)))
    connection.execute(delete(tables.run).where(tables.run.c.uuid.in_(gone)))
    for kind, other in (("remarks", tables.remark), ("proposals", tables.proposal)):
        keys = [uuid.UUID(key) for key in made.get(kind, ())]
        used = select(tables.proposal.c.run_uuid).where(
            tables.proposal.c.uuid.in_(keys), tables.proposal.c.run_uuid.is_not(None)
        )
        if kind == "proposals" and connection.execute(used).first() is not None:
            raise ConflictError(
                f"a proposal of {taken.file} became a run of {trial}",
                do="Taking it out would lose where that run came from. Nothing was changed.",
            )
        connection.execute(delete(other).where(other.c.uuid.in_(keys)))
    _put_back(connection, trial, made.get("before", {}), made.get("edited", ()))
    connection.execute(delete(tables.taken_in).where(tables.taken_in.c.uuid == taken.key))
    return names


def _put_back(
    connection: Connection, trial: str, before: Mapping[str, Any], edited: Iterable[str]
) -> None:
    for row in before.get("runs", ()):
        values = row_from_plain(tables.run, row)
        key = values.pop("uuid")
        connection.execute(delete(tables.wear_reading).where(tables.wear_reading.c.run_uuid == key))
        values["changed_utc"] = now_utc()
        connection.execute(update(tables.run).where(tables.run.c.uuid == key).values(**values))
    edits = tables.hole_edit
    for recording in edited:
        connection.execute(delete(edits).where(edits.c.recording_uuid == uuid.UUID(recording)))
    for name, table in (("wear", tables.wear_reading), ("edits", edits)):
        rows = [row_from_plain(table, row) for row in before.get(name, ())]
        if rows:
            connection.execute(insert(table), rows)
    if "trial" in before:
        plain = before["trial"]
        back = update_trial(connection, trial, lambda _: from_plain(Trial, plain, trial), None)
        connection.execute(
            update(tables.trial)
            .where(tables.trial.c.uuid == back.uuid)
            .values(version=before["trial_version"])
        )


def _kept(connection: Connection, table: Table, which: Any) -> list[dict[str, Any]]:
    """Rows as they can stand in JSON."""
    rows = connection.execute(select(table).where(which)).mappings()
    return [row_to_plain(row) for row in rows]


def row_to_plain(row: Mapping[str, Any] | RowMapping) -> dict[str, Any]:
    """A row as it can stand in JSON."""
    return {name: _plain(value) for name, value in row.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat()
    return str(value) if isinstance(value, uuid.UUID) else value


def row_from_plain(table: Table, row: Mapping[str, Any]) -> dict[str, Any]:
    """A row as `row_to_plain` gave it, with the values that the table takes."""
    readers: tuple[tuple[type, Callable[[str], Any]], ...] = (
        (UtcTime, datetime.fromisoformat), (Uuid, uuid.UUID),
    )  # fmt: skip
    found = {}
    for name, value in row.items():
        column = table.c[name]
        kind = column.type if not column.foreign_keys else _of_key(column)
        read = next((reader for of, reader in readers if isinstance(kind, of)), None)
        found[name] = value if read is None or value is None else read(value)
    return found


def _of_key(column: Any) -> Any:
    return next(iter(column.foreign_keys)).column.type
