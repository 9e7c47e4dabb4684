"""Edits of the holes of a recording, between plain values and rows."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from trials.store import _tables as tables
from trials.store._types import now_utc


@dataclass(frozen=True, slots=True)
class StoredEdit:
    """One edit as a person made it.

    Args:
        kind: ``merge``, ``split``, ``drop`` or ``add``.
        text: one sentence that says what was done, with the numbers that the holes had then.
        spans: start and end, s, of the holes it was made on; of the new hole for ``add``.
        at_s: where a hole was split.
        made: the holes that it makes, as plain values.
        made_utc, made_by: when and by whom.
        undone_utc, undone_by: when and by whom it was taken back; None and empty while it stands.
    """

    kind: str
    text: str
    spans: tuple[tuple[float, float], ...]
    at_s: float | None = None
    made: tuple[Mapping[str, Any], ...] = ()
    made_utc: datetime = field(default_factory=now_utc)
    made_by: str = ""
    undone_utc: datetime | None = None
    undone_by: str = ""

    @property
    def stands(self) -> bool:
        """Whether it has not been taken back."""
        return self.undone_utc is None


def replace_edits(
    connection: Connection, recording: uuid.UUID, edits: Sequence[StoredEdit]
) -> None:
    """Store the edits of a recording in place of those there were."""
    table = tables.hole_edit
    connection.execute(delete(table).where(table.c.recording_uuid == recording))
    rows = [
        {
            "recording_uuid": recording,
            "position": position,
            **{name: getattr(edit, name) for name in StoredEdit.__slots__},
            "spans": [list(span) for span in edit.spans],
            "made": [dict(hole) for hole in edit.made],
        }
        for position, edit in enumerate(edits, 1)
    ]
    if rows:
        connection.execute(insert(table), rows)


def select_edits(connection: Connection, recordings: Iterable[uuid.UUID]) -> list[StoredEdit]:
    """Edits of recordings in the order in which they were made."""
    table = tables.hole_edit
    rows = connection.execute(
        select(table)
        .where(table.c.recording_uuid.in_(list(recordings)))
        .order_by(table.c.recording_uuid, table.c.position)
    )
    return [
        StoredEdit(
            row.kind, row.text, tuple((start, end) for start, end in row.spans), row.at_s,
            tuple(row.made), row.made_utc, row.made_by, row.undone_utc, row.undone_by,
        )
        for row in rows
    ]  # fmt: skip
