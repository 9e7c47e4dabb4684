"""Runs and their wear readings, between model values and rows."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, case, delete, func, insert, select, update

from trials.errors import ConflictError, NotFoundError
from trials.model import CuttingData, Origin, Run, WearReading
from trials.store import _tables as tables
from trials.store._trial_rows import StoredTrial, check_version, select_trial
from trials.store._types import now_utc

_CUTTING = tuple(field.name for field in fields(CuttingData))
_WEAR = tuple(field.name for field in fields(WearReading))


@dataclass(frozen=True, slots=True)
class StoredRun:
    """A run as it is stored, with the version that a later change is checked against."""

    uuid: uuid.UUID
    version: int
    run: Run
    planned_utc: datetime
    ended_utc: datetime | None


def insert_run(
    connection: Connection,
    trial_name: str,
    cutting_data: CuttingData,
    *,
    drill: str | None,
    origin: Origin,
    note: str,
    only_if_none_planned: bool,
    batch: str = "",
    machine: str = "",
    regrinds_done: int = 0,
    test_holes: int | None = None,
) -> StoredRun:
    """Number and store a planned run.

    Raises:
        ConflictError: with ``only_if_none_planned``, a run of the trial is planned or recording.
        NotFoundError: no such trial, or no such drill in it.
    """
    stored = select_trial(connection, trial_name, to_change=True)
    mine = tables.run.c.trial_uuid == stored.uuid
    if only_if_none_planned:
        open_runs = connection.execute(
            select(tables.run.c.number, tables.run.c.state)
            .where(mine, tables.run.c.state.in_(("planned", "recording")))
            .order_by(tables.run.c.number)
        ).first()
        if open_runs is not None:
            raise ConflictError(
                f"run {open_runs.number} of {trial_name} is {open_runs.state}",
                do="Drill it, or end it, before the next run is planned.",
            )
    last = connection.execute(select(func.max(tables.run.c.number)).where(mine)).scalar()
    run = Run(
        number=(last or 0) + 1,
        drill=stored.trial.drill(drill).name,
        cutting_data=cutting_data,
        origin=origin,
        note=note,
        batch=batch,
        machine=machine,
        regrinds_done=regrinds_done,
        test_holes=test_holes,
    )
    key, now = uuid.uuid4(), now_utc()
    connection.execute(
        insert(tables.run).values(
            uuid=key, version=1, trial_uuid=stored.uuid, number=run.number, planned_utc=now,
            changed_utc=now, **_columns(run),
        )
    )  # fmt: skip
    return StoredRun(key, 1, run, now, None)


def select_runs(connection: Connection, trial_name: str) -> list[StoredRun]:
    """Every run of a trial in the order of their numbers."""
    stored = select_trial(connection, trial_name)
    rows = connection.execute(
        select(tables.run)
        .where(tables.run.c.trial_uuid == stored.uuid)
        .order_by(tables.run.c.number)
    ).all()
    wear = _wear(connection, [row.uuid for row in rows])
    return [_stored(row, wear.get(row.uuid, ())) for row in rows]


def select_runs_of_trials(
    connection: Connection, trials: Iterable[uuid.UUID] | None = None
) -> dict[uuid.UUID, list[Run]]:
    """The runs of every trial, or of some of them, by the trial's UUID."""
    query = select(tables.run).order_by(tables.run.c.number)
    if trials is not None:
        query = query.where(tables.run.c.trial_uuid.in_(list(trials)))
    rows = connection.execute(query).all()
    wear = _wear(connection, None if trials is None else [row.uuid for row in rows])
    found: dict[uuid.UUID, list[Run]] = defaultdict(list)
    for row in rows:
        found[row.trial_uuid].append(_stored(row, wear.get(row.uuid, ())).run)
    return found


def select_run(
    connection: Connection, trial_name: str, number: int | None, *, to_change: bool = False
) -> StoredRun:
    """One run of a trial; without a number the open one that is at work.

    That is the one being recorded, else the newest that was drilled, else the first planned: runs
    of a plan are drilled in their order.

    Raises:
        NotFoundError: no such trial or run, or with no number, none that is open.
    """
    stored = select_trial(connection, trial_name, to_change=to_change)
    return select_run_of(connection, stored, number)


def select_run_of(connection: Connection, stored: StoredTrial, number: int | None) -> StoredRun:
    """The same of a trial that was read already."""
    query = select(tables.run).where(tables.run.c.trial_uuid == stored.uuid)
    if number is None:
        query = query.where(tables.run.c.state != "ended")
    else:
        query = query.where(tables.run.c.number == number)
    number_of, state = tables.run.c.number, tables.run.c.state
    at_work = case((state == "recording", 0), (state == "drilled", 1), else_=2)
    in_order = case((state == "planned", number_of), else_=-number_of)
    row = connection.execute(query.order_by(at_work, in_order).limit(1)).one_or_none()
    if row is None:
        raise _no_run(connection, stored, number)
    return _stored(row, _wear(connection, [row.uuid]).get(row.uuid, ()))


def _no_run(connection: Connection, stored: StoredTrial, number: int | None) -> NotFoundError:
    name = stored.trial.name
    if number is None:
        return NotFoundError(
            f"trial {name} has no open run", do="Plan one first, or give the number of a run."
        )
    last = connection.execute(
        select(func.max(tables.run.c.number)).where(tables.run.c.trial_uuid == stored.uuid)
    ).scalar()
    return NotFoundError(
        f"run of trial {name}",
        got=number,
        allowed=f"1 to {last}" if last else None,
        do=None if last else "This trial has no run yet; plan one first.",
    )


def update_run(
    connection: Connection,
    trial_name: str,
    number: int | None,
    change: Callable[[Run], Run],
    version: int | None = None,
) -> StoredRun:
    """Replace a run, without its wear readings, by what ``change`` makes of it.

    Raises:
        ConflictError: it is no longer at ``version``.
        NotFoundError: no such trial or run.
    """
    stored = select_run(connection, trial_name, number, to_change=True)
    check_version(f"run {stored.run.number} of {trial_name}", stored.version, version)
    changed = change(stored.run)
    now = now_utc()
    ended = None if changed.end is None else stored.ended_utc or now
    connection.execute(
        update(tables.run)
        .where(tables.run.c.uuid == stored.uuid)
        .values(version=stored.version + 1, changed_utc=now, ended_utc=ended, **_columns(changed))
    )
    return StoredRun(stored.uuid, stored.version + 1, changed, stored.planned_utc, ended)


def delete_plan(
    connection: Connection, trial_name: str, number: int, version: int | None
) -> StoredRun:
    """Delete the newest run of a trial while nothing belongs to it but its plan.

    Raises:
        ConflictError: it is not planned any more, something belongs to it, or a newer run is there.
    """
    stored = select_run(connection, trial_name, number, to_change=True)
    check_version(f"run {stored.run.number} of {trial_name}", stored.version, version)
    why = None if stored.run.state == "planned" else f"it is {stored.run.state}"
    for table, what in (
        (tables.recording, "a recording"), (tables.wear_reading, "a wear reading"),
        (tables.photo, "a photo"),
    ):  # fmt: skip
        if connection.execute(select(table.c.uuid).where(table.c.run_uuid == stored.uuid)).first():
            why = why or f"it has {what}"
    newest = select(func.max(tables.run.c.number)).where(
        tables.run.c.trial_uuid == select(tables.run.c.trial_uuid)
        .where(tables.run.c.uuid == stored.uuid).scalar_subquery()
    )  # fmt: skip
    if connection.execute(newest).scalar() != number:
        why = why or "a newer run is there"
    if why is not None:
        raise ConflictError(
            f"plan of run {number} of {trial_name} cannot be taken back: {why}",
            do="End the run instead, and say how. Nothing was changed.",
        )
    connection.execute(delete(tables.run).where(tables.run.c.uuid == stored.uuid))
    return stored


def _columns(run: Run) -> dict[str, Any]:
    return {
        "drill": run.drill,
        **{name: getattr(run.cutting_data, name) for name in _CUTTING},
        "state": run.state,
        "end": run.end,
        "holes": run.holes,
        "load_fresh_pct": run.load_fresh_pct,
        "load_worn_pct": run.load_worn_pct,
        "cycle_min": run.cycle_min,
        "origin": run.origin,
        "note": run.note,
        "batch": run.batch,
        "machine": run.machine,
        "regrinds_done": run.regrinds_done,
        "test_holes": run.test_holes,
    }


def _wear(
    connection: Connection, runs: Sequence[uuid.UUID] | None
) -> dict[uuid.UUID, tuple[WearReading, ...]]:
    wear = tables.wear_reading
    query = select(wear.c.run_uuid, *(wear.c[name] for name in _WEAR))
    query = query.where(wear.c.removed_utc.is_(None))
    query = query.order_by(wear.c.hole, wear.c.position)
    if runs is not None:
        query = query.where(wear.c.run_uuid.in_(runs))
    found: dict[uuid.UUID, list[WearReading]] = defaultdict(list)
    for key, *values in connection.execute(query):
        found[key].append(WearReading(*values))
    return {key: tuple(readings) for key, readings in found.items()}


def _stored(row: Row[Any], wear: tuple[WearReading, ...]) -> StoredRun:
    values = row._mapping
    run = Run(
        number=row.number,
        drill=row.drill,
        cutting_data=CuttingData(**{name: values[name] for name in _CUTTING}),
        state=row.state,
        end=row.end,
        holes=row.holes,
        load_fresh_pct=row.load_fresh_pct,
        load_worn_pct=row.load_worn_pct,
        cycle_min=row.cycle_min,
        wear=wear,
        origin=row.origin,
        note=row.note,
        batch=row.batch,
        machine=row.machine,
        regrinds_done=row.regrinds_done,
        test_holes=row.test_holes,
    )
    return StoredRun(row.uuid, row.version, run, row.planned_utc, row.ended_utc)
