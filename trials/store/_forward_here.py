"""What there is to send at a station: which units, whether they changed, and their rows.

A unit is what one transaction brings to the shop: a trial, a run with all that belongs to it, or
what was taken in and answered for a trial.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from sqlalchemy import Column, Connection, Table, func, select

from trials.store import _tables as tables
from trials.store._forward_merge import Values, flat
from trials.store._merge_rows import row_from_plain, row_to_plain

UnitKind = Literal["trial", "run", "answers"]
# Series of rows, written by the machine alone, of which only new ones are sent while it records.
SERIES: dict[str, tuple[Table, str]] = {
    "hole": (tables.hole, "number"),
    "gap": (tables.gap, "position"),
}
OF_RUN: dict[str, Table] = {"wear_reading": tables.wear_reading, "photo": tables.photo}
ANSWERS: dict[str, Table] = {
    "remark": tables.remark, "proposal": tables.proposal, "taken_in": tables.taken_in,
}  # fmt: skip
# Said again at the other side, or of its own there: never compared.
_BOOKKEEPING = ("version", "changed_utc")


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: its kind, its key, the trial it is of, and a text that changes when it does."""

    kind: UnitKind
    key: uuid.UUID
    of_trial: uuid.UUID
    signature: str = ""

    @property
    def name(self) -> str:
        """How it is remembered."""
        return f"{self.kind}:{self.key}"

    @property
    def trial_name(self) -> str:
        """How the trial that it belongs to is remembered."""
        return f"trial:{self.of_trial}"

    @classmethod
    def read(cls, name: str, of_trial: str) -> Unit:
        """The unit that is remembered by a name."""
        kind, _, key = name.partition(":")
        return cls(kind, uuid.UUID(key), uuid.UUID(of_trial))  # type: ignore[arg-type]  # written by `name`


@dataclass(slots=True)
class UnitRows:
    """The rows of a unit as plain values, by table and key; bookkeeping beside them."""

    rows: dict[tuple[str, str], Values] = field(default_factory=dict)
    versions: dict[tuple[str, str], Values] = field(default_factory=dict)


def units(connection: Connection) -> list[Unit]:
    """Every unit of the station, parents before what belongs to them."""
    of_runs = _of_runs(connection)
    of_trials = _of_trials(connection)
    trials, runs, answers = [], [], []
    trial, run = tables.trial, tables.run
    query = select(trial.c.uuid, trial.c.version, trial.c.changed_utc)
    for row in connection.execute(query.order_by(trial.c.created_utc)):
        trials.append(Unit("trial", row.uuid, row.uuid, f"{row.version} {row.changed_utc}"))
        if row.uuid in of_trials:
            text = " ".join(of_trials[row.uuid])
            answers.append(Unit("answers", row.uuid, row.uuid, text))
    query = select(
        run.c.uuid, run.c.trial_uuid, run.c.version, run.c.changed_utc, run.c.state, run.c.holes
    )
    for one in connection.execute(query.order_by(run.c.trial_uuid, run.c.number)):
        own = f"{one.version} {one.changed_utc} {one.state} {one.holes}"
        text = " ".join([own, *of_runs[one.uuid]])
        runs.append(Unit("run", one.uuid, one.trial_uuid, text))
    return [*trials, *runs, *answers]


def _of_runs(connection: Connection) -> dict[uuid.UUID, list[str]]:
    """Counts and newest times of what belongs to each run."""
    recording = tables.recording.c
    wear, photo, alarm = tables.wear_reading.c, tables.photo.c, tables.alarm.c
    edit = tables.hole_edit.c
    direct: list[tuple[Table, list[Any]]] = [
        (tables.wear_reading, [func.max(wear.taken_utc), *_marks(wear.removed_utc)]),
        (tables.photo, [func.max(photo.added_utc), *_marks(photo.removed_utc),
                        func.sum(photo.mm_per_pixel)]),
        (tables.recording, [func.max(recording.started_utc), *_marks(recording.finished_utc)]),
    ]  # fmt: skip
    through: list[tuple[Table, list[Any]]] = [
        (tables.hole, [func.max(tables.hole.c.number)]),
        (tables.gap, []),
        (tables.alarm, [*_marks(alarm.over_utc), *_marks(alarm.acknowledged_utc)]),
        (tables.hole_edit, [func.max(edit.made_utc), *_marks(edit.undone_utc)]),
    ]
    found: dict[uuid.UUID, list[str]] = defaultdict(list)
    for table, more in direct:
        query = select(table.c.run_uuid, func.count(), *more).group_by(table.c.run_uuid)
        _add(connection, query, table, found)
    for table, more in through:
        query = (
            select(recording.run_uuid, func.count(), *more)
            .select_from(table)
            .join(tables.recording, table.c.recording_uuid == recording.uuid)
            .group_by(recording.run_uuid)
        )
        _add(connection, query, table, found)
    return found


def _of_trials(connection: Connection) -> dict[uuid.UUID, list[str]]:
    newest: dict[str, Column[Any]] = {
        "remark": tables.remark.c.taken_utc, "proposal": tables.proposal.c.taken_utc,
        "taken_in": tables.taken_in.c.imported_utc,
    }  # fmt: skip
    found: dict[uuid.UUID, list[str]] = defaultdict(list)
    for name, table in ANSWERS.items():
        more: list[Any] = [func.max(newest[name])]
        if "run_uuid" in table.c:
            more.append(func.count(table.c.run_uuid))
        query = select(table.c.trial_uuid, func.count(), *more).group_by(table.c.trial_uuid)
        _add(connection, query, table, found)
    return found


def _marks(column: Column[Any]) -> list[Any]:
    return [func.count(column), func.max(column)]


def _add(
    connection: Connection, query: Any, table: Table, found: dict[uuid.UUID, list[str]]
) -> None:
    for key, *rest in connection.execute(query):
        found[key].append(f"{table.name}({' '.join(map(str, rest))})")


def rows_of(connection: Connection, unit: Unit, *, lock: bool = False) -> UnitRows:
    """The rows of a unit, apart from its series; the same at both sides.

    Args:
        connection: of the station or of the shop.
        unit: which.
        lock: hold what is read until the transaction ends.
    """
    found = UnitRows()

    def read(table: Table, which: Any) -> Iterator[tuple[str, Values]]:
        query = select(table).where(which)
        for row in connection.execute(query.with_for_update() if lock else query).mappings():
            values = row_to_plain(row)
            key = "/".join(str(values[one.name]) for one in table.primary_key)
            found.versions[table.name, key] = {
                name: values.pop(name) for name in _BOOKKEEPING if name in values
            }
            yield key, values

    if unit.kind == "trial":
        for key, values in read(tables.trial, tables.trial.c.uuid == unit.key):
            whole = {"created_utc": values["created_utc"], **flat(values["plain"])}
            found.rows["trial", key] = whole
            names = [one["name"] for one in values["plain"]["drills"]]
            found.versions["trial", key]["drills"] = names
    elif unit.kind == "answers":
        for name, table in ANSWERS.items():
            for key, values in read(table, table.c.trial_uuid == unit.key):
                found.rows[name, key] = values
    else:
        for key, values in read(tables.run, tables.run.c.uuid == unit.key):
            found.rows["run", key] = values
        for name, table in OF_RUN.items():
            for key, values in read(table, table.c.run_uuid == unit.key):
                found.rows[name, key] = values
        for key, values in read(tables.recording, tables.recording.c.run_uuid == unit.key):
            # The journal stays at the station: the shop has no bytes of it.
            found.rows["recording", key] = {**values, "journal": None}
        for key in [key for name, key in found.rows if name == "recording"]:
            recording = uuid.UUID(key)
            of_it = tables.alarm.c.recording_uuid == recording
            for place, values in read(tables.alarm, of_it):
                found.rows["alarm", place] = values
            edits = list(read(tables.hole_edit, tables.hole_edit.c.recording_uuid == recording))
            edits.sort(key=lambda one: int(one[1]["position"]))
            found.rows["hole_edit", key] = {"edits": [values for _, values in edits]}
    return found


@dataclass(frozen=True, slots=True)
class SeriesNow:
    """What is new in a series since it was sent: from which place on, its rows, and where it is.

    ``whole`` says that what was sent before is to be replaced by these rows.
    """

    rows: list[Values]
    whole: bool
    count: int
    digest: str


def series_of(
    connection: Connection, name: str, recording: str, sent: tuple[int, str] | None, *, live: bool
) -> SeriesNow | None:
    """What of a series is to be sent; None when nothing is.

    While it is recorded only rows behind those sent are read; at the end all are compared.
    """
    table, place = SERIES[name]
    count, digest = sent or (0, "")
    query = select(table).where(table.c.recording_uuid == uuid.UUID(recording))
    query = query.order_by(table.c[place])
    if live and sent is not None:
        query = query.where(table.c[place] > count)
        rows = [row_to_plain(row) for row in connection.execute(query).mappings()]
        if not rows:
            return None
        return SeriesNow(rows, False, int(rows[-1][place]), chained(digest, rows))
    rows = [row_to_plain(row) for row in connection.execute(query).mappings()]
    last = int(rows[-1][place]) if rows else 0
    now = chained("", rows)
    if sent is None and not rows:
        return None
    return None if (last, now) == sent else SeriesNow(rows, True, last, now)


def chained(digest: str, rows: Iterable[Mapping[str, Any]]) -> str:
    """A digest that goes on with further rows as if all had come at once."""
    for row in rows:
        text = json.dumps(row, sort_keys=True, default=str)
        digest = hashlib.sha256(f"{digest} {text}".encode()).hexdigest()
    return digest


def to_row(table: Table, values: Mapping[str, Any]) -> dict[str, Any]:
    """Plain values as a row of a table."""
    return row_from_plain(table, {name: values[name] for name in table.c.keys() if name in values})  # noqa: SIM118 - a collection of columns
