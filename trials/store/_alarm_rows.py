"""Alarms of a recording, between plain values and rows: raised, over, acknowledged."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select, update

from trials.store import _tables as tables
from trials.store._types import now_utc

_PASSES = ("stale", "disk")


@dataclass(frozen=True, slots=True)
class StoredAlarm:
    """One alarm as the logger raised it.

    Args:
        number: counted from 1 within the recording.
        kind: what it is about, such as ``over_limit``.
        text: one sentence for the person.
        time_s: time of the trace; hole, load_pct: what it is about, where that is known.
        began_utc, over_utc: when it was raised, and when what raised it had passed.
        acknowledged_utc, acknowledged_by: when and where somebody said that they had seen it.
    """

    number: int
    kind: str
    text: str
    time_s: float
    hole: int | None = None
    load_pct: float | None = None
    began_utc: datetime | None = None
    over_utc: datetime | None = None
    acknowledged_utc: datetime | None = None
    acknowledged_by: str = ""

    @property
    def standing(self) -> bool:
        """Whether it still asks for a look; a link or a disk comes back, a load was what it was."""
        passed = self.kind in _PASSES and self.over_utc is not None
        return self.acknowledged_utc is None and not passed


def insert_alarm(connection: Connection, recording: uuid.UUID, alarm: StoredAlarm) -> None:
    """Store an alarm as it is raised."""
    values: dict[str, Any] = {
        name: getattr(alarm, name) for name in StoredAlarm.__slots__ if name != "number"
    }
    values["began_utc"] = alarm.began_utc or now_utc()
    connection.execute(
        insert(tables.alarm).values(recording_uuid=recording, position=alarm.number, **values)
    )


def end_alarm(connection: Connection, recording: uuid.UUID, number: int) -> None:
    """Note that what raised an alarm has passed; an acknowledgement stays as it is."""
    table = tables.alarm
    connection.execute(
        update(table)
        .where(table.c.recording_uuid == recording, table.c.position == number)
        .where(table.c.over_utc.is_(None))
        .values(over_utc=now_utc())
    )


def acknowledge(connection: Connection, recordings: Iterable[uuid.UUID], who: str) -> int:
    """Mark every alarm that stands as seen; how many there were."""
    table = tables.alarm
    kept = list(recordings)
    standing = [
        (key, alarm.number)
        for key in kept
        for alarm in select_alarms(connection, [key])
        if alarm.standing
    ]
    for key, number in standing:
        connection.execute(
            update(table)
            .where(table.c.recording_uuid == key, table.c.position == number)
            .values(acknowledged_utc=now_utc(), acknowledged_by=who)
        )
    return len(standing)


def select_alarms(connection: Connection, recordings: Iterable[uuid.UUID]) -> list[StoredAlarm]:
    """Alarms of recordings, in the order in which they were raised."""
    table = tables.alarm
    rows = connection.execute(
        select(table)
        .where(table.c.recording_uuid.in_(list(recordings)))
        .order_by(table.c.began_utc, table.c.position)
    )
    return [
        StoredAlarm(
            row.position, row.kind, row.text, row.time_s, row.hole, row.load_pct, row.began_utc,
            row.over_utc, row.acknowledged_utc, row.acknowledged_by,
        )
        for row in rows
    ]  # fmt: skip
