"""A whole trial as rows, out of the tables in one view and into them in one step.

Columns come from the tables themselves, so what is added to a table later goes along. Parents are
named by what people call them, the number of the run and of the recording within it; row keys of
the database stay where a row can be met again elsewhere (trial, run, reading, recording).
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Connection,
    RowMapping,
    Table,
    Uuid,
    insert,
    select,
)

from trials.store import _tables as tables
from trials.store._trial_rows import StoredTrial, select_trial
from trials.store._types import PlainFloat, PlainInteger, UtcTime

CellKind = Literal["text", "whole", "number", "yes_no", "json", "time", "uuid"]
TableName = Literal[
    "runs", "wear", "recordings", "holes", "gaps", "alarms", "edits", "photos", "remarks",
    "proposals",
]  # fmt: skip
PackedRow = dict[str, Any]

_ROWS_AT_A_TIME = 2000


@dataclass(frozen=True, slots=True)
class PackedColumn:
    """One column: its name, what kind of value it holds, and whether that may be absent."""

    name: str
    kind: CellKind
    may_be_absent: bool = False


@dataclass(frozen=True, slots=True)
class PackedTable:
    """One table of a trial as it is packed."""

    name: TableName
    columns: tuple[PackedColumn, ...]


_RUN = PackedColumn("run", "whole")
_RUN_IF_ANY = PackedColumn("run", "whole", True)
_RECORDING = PackedColumn("recording", "whole")
_OF_TRIAL = ("trial_uuid", "run_uuid", "position", "came_from", "taken_utc")
_SOURCES: dict[TableName, tuple[Table, tuple[PackedColumn, ...], tuple[str, ...]]] = {
    "runs": (tables.run, (), ("version", "trial_uuid", "changed_utc")),
    "wear": (tables.wear_reading, (_RUN,), ("run_uuid", "removed_utc", "removed_by")),
    "recordings": (
        tables.recording, (_RUN, _RECORDING), ("run_uuid", "journal", "trace", "trace_sha256")
    ),
    "holes": (tables.hole, (_RUN, _RECORDING), ("recording_uuid",)),
    "gaps": (tables.gap, (_RUN, _RECORDING), ("recording_uuid",)),
    "alarms": (tables.alarm, (_RUN, _RECORDING), ("recording_uuid",)),
    "edits": (tables.hole_edit, (_RUN, _RECORDING), ("recording_uuid",)),
    "photos": (tables.photo, (_RUN,), ("run_uuid", "removed_utc", "removed_by")),
    "remarks": (tables.remark, (_RUN_IF_ANY,), _OF_TRIAL),
    "proposals": (tables.proposal, (_RUN_IF_ANY,), _OF_TRIAL),
}  # fmt: skip


def _kind(column: Column[Any]) -> CellKind:
    kinds: tuple[tuple[type, CellKind], ...] = (
        (PlainFloat, "number"), (PlainInteger, "whole"), (UtcTime, "time"), (Uuid, "uuid"),
        (JSON, "json"), (Boolean, "yes_no"),
    )  # fmt: skip
    return next((kind for of, kind in kinds if isinstance(column.type, of)), "text")


PACKED_TABLES: dict[TableName, PackedTable] = {
    name: PackedTable(
        name,
        (
            *parents,
            *(
                PackedColumn(column.name, _kind(column), bool(column.nullable))
                for column in table.columns
                if column.name not in left_out
            ),
        ),
    )
    for name, (table, parents, left_out) in _SOURCES.items()
}


@dataclass(frozen=True, slots=True)
class PackedTrace:
    """Where the trace of a recording lies, below the shop folder."""

    run: int
    recording: int
    trace: str
    sha256: str | None
    samples: int


class PackedTrial:
    """One unchanging view of a trial, to be read while `Database.reading` holds it."""

    def __init__(self, connection: Connection, name: str) -> None:
        self._connection = connection
        self.stored: StoredTrial = select_trial(connection, name)
        self._recording_numbers: dict[uuid.UUID, int] = {}
        self.traces: list[PackedTrace] = []
        per_run: dict[int, int] = {}
        for row in self._select("recordings"):
            number = row["run_number"]
            per_run[number] = per_run.get(number, 0) + 1
            self._recording_numbers[row["uuid"]] = per_run[number]
            if row["trace"] is not None:
                self.traces.append(
                    PackedTrace(
                        number, per_run[number], row["trace"], row["trace_sha256"], row["samples"]
                    )
                )

    def rows(self, name: TableName) -> Iterator[PackedRow]:
        """The rows of one table in an order that is always the same; columns as it is described."""
        parents = len(_SOURCES[name][1])
        own = [column.name for column in PACKED_TABLES[name].columns[parents:]]
        key = "uuid" if name == "recordings" else "recording_uuid"
        for row in self._select(name):
            found: PackedRow = {} if parents == 0 else {"run": row["run_number"]}
            if parents == 2:
                found["recording"] = self._recording_numbers[row[key]]
            for column in own:
                found[column] = row[column]
            yield found

    def _select(self, name: TableName) -> Iterator[RowMapping]:
        table = _SOURCES[name][0]
        query = select(table)
        run, recording = tables.run, tables.recording
        if name == "runs":
            query = query.order_by(run.c.number)
        elif name in ("remarks", "proposals"):
            query = query.add_columns(run.c.number.label("run_number")).outerjoin(
                run, table.c.run_uuid == run.c.uuid
            )
            query = query.where(table.c.trial_uuid == self.stored.uuid)
            query = query.order_by(table.c.position)
        elif name == "photos":
            query = query.add_columns(run.c.number.label("run_number")).join(
                run, table.c.run_uuid == run.c.uuid
            )
            query = query.where(table.c.removed_utc.is_(None))
            query = query.order_by(run.c.number, table.c.hole, table.c.uuid)
        elif name == "wear":
            query = query.add_columns(run.c.number.label("run_number")).join(
                run, table.c.run_uuid == run.c.uuid
            )
            query = query.where(table.c.removed_utc.is_(None))
            query = query.order_by(run.c.number, table.c.position)
        else:
            query = query.add_columns(run.c.number.label("run_number"))
            if name == "recordings":
                query = query.join(run, table.c.run_uuid == run.c.uuid)
            else:
                query = query.join(recording, table.c.recording_uuid == recording.c.uuid).join(
                    run, recording.c.run_uuid == run.c.uuid
                )
            last = {"recordings": [], "holes": ["number"]}.get(name, ["position"])
            query = query.order_by(
                run.c.number,
                recording.c.started_utc,
                recording.c.uuid,
                *(table.c[column] for column in last),
            )
        if name not in ("remarks", "proposals"):
            query = query.where(run.c.trial_uuid == self.stored.uuid)
        by_portion = {"yield_per": _ROWS_AT_A_TIME}
        for row in self._connection.execute(query, execution_options=by_portion):
            yield row._mapping


def insert_packed(
    connection: Connection, name: TableName, rows: Iterable[PackedRow], parent: Mapping[Any, Any]
) -> int:
    """Insert rows of one table; how many there were.

    Args:
        connection: of a transaction.
        name: the table.
        rows: columns as `PACKED_TABLES` describes them, and what else the table wants.
        parent: for every run number (or pair of run and recording number) the key of its row.
    """
    table, parents, _ = _SOURCES[name]
    count, waiting = 0, []
    for row in rows:
        values = dict(row)
        if parents:
            keys = tuple(values.pop(column.name) for column in parents)
            if "recording_uuid" in table.c:
                values["recording_uuid"] = parent[keys]
            else:
                values["run_uuid"] = None if keys[0] is None else parent[keys[0]]
        waiting.append(values)
        count += 1
        if len(waiting) >= _ROWS_AT_A_TIME:
            connection.execute(insert(table), waiting)
            waiting = []
    if waiting:
        connection.execute(insert(table), waiting)
    return count
