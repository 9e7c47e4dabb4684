"""How a journal stands on the disk: what is whole, what is torn, what was lost and where."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from trials.logger import JournalReader, Kind, Record
from trials.workbench._values import JournalLoss, JournalReport


def report(folder: Path) -> JournalReport:
    """Read a whole journal and report; damage is reported, never raised.

    Raises:
        JournalError: there is no journal in the folder.
    """
    reader = JournalReader(folder, strict=False)
    records = data_bytes = known = 0
    closed = False
    first: Record | None = None
    newest: Record | None = None
    settings: dict[str, Any] = {}
    losses: list[JournalLoss] = []
    for record in reader:
        losses += _losses(reader, known, newest, record)
        known = len(reader.damaged)
        records += 1
        closed = record.kind is Kind.CLOSED
        if record.kind is Kind.DATA:
            data_bytes += len(record.payload)
        elif record.kind is Kind.SETTINGS and not settings:
            settings = json.loads(record.payload)
        first = first or record
        newest = record
    losses += _losses(reader, known, newest, None)
    torn = None if reader.torn is None else str(reader.torn)
    return JournalReport(
        folder, records, data_bytes, _when(first), _when(newest), closed, tuple(losses), torn,
        settings,
    )  # fmt: skip


def _losses(
    reader: JournalReader, known: int, before: Record | None, behind: Record | None
) -> list[JournalLoss]:
    """Damage met between two whole records; how many records are missing is known for all of it."""
    new = reader.damaged[known:]
    # A missing record number says nothing new beside the bytes that were it.
    new = [damage for damage in new if damage.length > 0] or new
    missing = None
    if behind is not None:
        missing = behind.number - (0 if before is None else before.number + 1)
    return [
        JournalLoss(str(damage), missing if place == 0 else 0, _when(before), _when(behind))
        for place, damage in enumerate(new)
    ]


def _when(record: Record | None) -> datetime | None:
    return None if record is None else datetime.fromtimestamp(record.arrival.utc_ns / 1e9, UTC)
