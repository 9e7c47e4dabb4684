"""Recordings with their holes and gaps, between plain values and rows."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache
from typing import Any, Literal

import pandas as pd
from sqlalchemy import Connection, delete, insert, select, update

from trials.holes import frame_of
from trials.store import _tables as tables
from trials.store._types import now_utc, plain

# The columns of `trials.holes.find_holes`, in its order; a test keeps the two together.
HOLE_COLUMNS = tuple(c.name for c in tables.hole.columns if c.name != "recording_uuid")
_MAY_BE_UNKNOWN = tuple(c.name for c in tables.hole.columns if c.nullable)


@dataclass(frozen=True, slots=True)
class Recording:
    """What was recorded for a run: from where, understood how, and where its files lie.

    Args:
        uuid: also the name of its journal folder and of its trace.
        kind: ``live`` has a journal, ``import`` was read from a file in one go.
        source: name of the source, such as ``tcp://host:port`` or the imported file.
        line_format, mapping: how bytes became samples.
        journal, trace: names below the shop folder; None where there is none (yet).
        trace_sha256: checksum of the whole trace file.
        samples: number of samples in the trace.
        counters: what was counted while reading: lines, rejects by reason and so on.
        finished_utc: None while it is recorded, and after a logger was killed.
    """

    uuid: uuid.UUID
    kind: Literal["live", "import"]
    source: str
    line_format: Mapping[str, Any] = field(default_factory=dict)
    mapping: Mapping[str, Any] = field(default_factory=dict)
    journal: str | None = None
    trace: str | None = None
    trace_sha256: str | None = None
    samples: int = 0
    counters: Mapping[str, Any] = field(default_factory=dict)
    started_utc: datetime = field(default_factory=now_utc)
    finished_utc: datetime | None = None


def insert_recording(connection: Connection, run_uuid: uuid.UUID, recording: Recording) -> None:
    """Store what is known of a recording before its first byte."""
    connection.execute(
        insert(tables.recording).values(
            uuid=recording.uuid, run_uuid=run_uuid, kind=recording.kind, **_columns(recording)
        )
    )


def update_recording(connection: Connection, recording: Recording) -> None:
    """Store what is known of a recording by now."""
    connection.execute(
        update(tables.recording)
        .where(tables.recording.c.uuid == recording.uuid)
        .values(**_columns(recording))
    )


def finish_recording(
    connection: Connection,
    recording: Recording,
    holes: pd.DataFrame,
    gaps: Sequence[tuple[float, float, str]],
) -> None:
    """Store a finished recording with all of its holes and gaps, in place of what was there."""
    update_recording(connection, replace(recording, finished_utc=now_utc()))
    for table in (tables.hole, tables.gap):  # a rebuild may find fewer
        connection.execute(delete(table).where(table.c.recording_uuid == recording.uuid))
    if not holes.empty:
        _insert(connection, recording.uuid, holes)
    if gaps:
        connection.execute(
            insert(tables.gap),
            [
                {
                    "recording_uuid": recording.uuid,
                    "position": position,
                    "start_s": start_s,
                    "end_s": end_s,
                    "reason": reason,
                }
                for position, (start_s, end_s, reason) in enumerate(gaps, 1)
            ],
        )


def insert_holes(connection: Connection, recording_uuid: uuid.UUID, holes: pd.DataFrame) -> None:
    """Store holes in place of any of the same or higher numbers; columns as the finder's."""
    if holes.empty:
        return
    again = tables.hole.c.number >= int(holes["number"].min())
    connection.execute(
        delete(tables.hole).where(tables.hole.c.recording_uuid == recording_uuid, again)
    )
    _insert(connection, recording_uuid, holes)


def _insert(connection: Connection, recording_uuid: uuid.UUID, holes: pd.DataFrame) -> None:
    columns = {name: holes[name].tolist() for name in HOLE_COLUMNS}
    columns["peck_peaks_pct"] = [plain(peaks) for peaks in columns["peck_peaks_pct"]]
    for name in _MAY_BE_UNKNOWN:
        columns[name] = [None if value is None or value != value else value
                         for value in columns[name]]  # fmt: skip
    rows = [
        {"recording_uuid": recording_uuid, **dict(zip(HOLE_COLUMNS, values, strict=True))}
        for values in zip(*columns.values(), strict=True)
    ]
    connection.execute(insert(tables.hole), rows)


def set_holes_drilled(connection: Connection, run_uuid: uuid.UUID, holes: int) -> None:
    """Note how far a recording has come; no edit of a person, so the version stays."""
    connection.execute(update(tables.run).where(tables.run.c.uuid == run_uuid).values(holes=holes))


def select_recordings(connection: Connection, run_uuid: uuid.UUID) -> list[Recording]:
    """The recordings of a run, the first one first."""
    table = tables.recording
    rows = connection.execute(
        select(table).where(table.c.run_uuid == run_uuid).order_by(table.c.started_utc)
    )
    return [
        Recording(**{name: value for name, value in row._mapping.items() if name != "run_uuid"})
        for row in rows
    ]


@dataclass(frozen=True, slots=True)
class FinishedRecording:
    """Where a recording with a trace belongs, and where its trace lies in the shop folder."""

    trial: str
    run: int
    recording: uuid.UUID
    trace: str
    trace_sha256: str | None
    samples: int
    run_uuid: uuid.UUID


def select_finished(connection: Connection, trial: str | None) -> list[FinishedRecording]:
    """The newest recording of every run that has a trace, by trial and run."""
    found, run, of = tables.recording, tables.run, tables.trial
    query = (
        select(of.c.name, run.c.number, found.c.uuid, found.c.trace, found.c.trace_sha256,
               found.c.samples, run.c.uuid)
        .join(run, run.c.uuid == found.c.run_uuid)
        .join(of, of.c.uuid == run.c.trial_uuid)
        .where(found.c.trace.is_not(None), run.c.state.in_(("drilled", "ended")))
        .order_by(of.c.name, run.c.number, found.c.started_utc)
    )  # fmt: skip
    if trial is not None:
        query = query.where(of.c.name == trial)
    newest = {(row.name, row.number): FinishedRecording(*row) for row in connection.execute(query)}
    return list(newest.values())


def select_holes(connection: Connection, recordings: Iterable[uuid.UUID]) -> pd.DataFrame:
    """The holes of recordings as a frame with the columns of `trials.holes.find_holes`."""
    asked = list(recordings)
    if not asked:
        return _no_holes().copy(deep=False)
    query = (
        select(*(tables.hole.c[name] for name in HOLE_COLUMNS))
        .where(tables.hole.c.recording_uuid.in_(asked))
        .order_by(tables.hole.c.number)
    )
    return frame_of([tuple(row) for row in connection.execute(query)])


@cache
def _no_holes() -> pd.DataFrame:
    return frame_of([])


def select_gaps(
    connection: Connection, recordings: Iterable[uuid.UUID]
) -> list[tuple[float, float, str]]:
    """Start, end and reason of every gap, in order."""
    table = tables.gap
    query = (
        select(table.c.start_s, table.c.end_s, table.c.reason)
        .where(table.c.recording_uuid.in_(list(recordings)))
        .order_by(table.c.position)
    )
    return [(row.start_s, row.end_s, row.reason) for row in connection.execute(query)]


def _columns(recording: Recording) -> dict[str, Any]:
    return {
        "source": recording.source,
        "line_format": dict(recording.line_format),
        "mapping": dict(recording.mapping),
        "journal": recording.journal,
        "trace": recording.trace,
        "trace_sha256": recording.trace_sha256,
        "samples": recording.samples,
        "counters": dict(recording.counters),
        "started_utc": recording.started_utc,
        "finished_utc": recording.finished_utc,
    }
