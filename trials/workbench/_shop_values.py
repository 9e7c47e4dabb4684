"""What is told about the shop itself: its folder, its machines, its recordings at work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from trials.model import Machine


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy of the database: its file, when it was made, and its size in bytes."""

    path: Path
    made_utc: datetime
    bytes: int


@dataclass(frozen=True, slots=True)
class AboutShop:
    """Where a shop's data lie and how much room they take.

    Args:
        folder: the data folder.
        version: of this program; schema: revision of the database's tables.
        database_bytes, free_bytes: size of the database, and room left on its disk.
        trials, runs: how many there are.
        backups: copies of the database, the newest first.
        machines: every machine that a trial names, with the names of those trials.
        materials: how many work materials the catalogue knows; own_catalogue: whether the shop
            has values of its own over the catalogue that ships.
        profiles: names of the kept profiles of how machines talk.
    """

    folder: Path
    version: str
    schema: str
    database_bytes: int
    free_bytes: int
    trials: int
    runs: int
    backups: tuple[Backup, ...]
    machines: tuple[tuple[Machine, tuple[str, ...]], ...]
    materials: int
    own_catalogue: bool
    profiles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RecordingHealth:
    """How one recording at work stands, from its journal and the store alone.

    Args:
        trial, run: what is recorded; source: from where.
        state: as `LiveView.state`; holder: the process that records it, None when none does.
        age_s: time since the newest bytes came in; None before the first.
        stale: too long for this source.
        lines, rejected: lines so far, and those that could not be read, by reason.
        lines_per_s: over the newest ten seconds; None until it was watched for a second.
        samples: how many values were understood.
        gaps: how many stretches without values among those shown live.
        behind_bytes: bytes of the journal that were not read by this program yet.
        journal_bytes: size of the journal on disk.
        alarms: sentences of the alarms that stand.
    """

    trial: str
    run: int
    source: str
    state: str
    holder: str | None
    age_s: float | None
    stale: bool
    lines: int
    rejected: Mapping[str, int]
    lines_per_s: float | None
    samples: int
    gaps: int
    behind_bytes: int
    journal_bytes: int
    alarms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LoggerHealth:
    """Every recording at work, and the room left on the disk that they write to, in bytes."""

    recordings: tuple[RecordingHealth, ...]
    free_bytes: int


@dataclass(frozen=True, slots=True)
class Readiness:
    """Whether requests can be answered, part by part; each is one word, ``ok`` when it is well.

    Args:
        store: ``ok`` or ``away``; tables: ``ok``, ``older`` or other than this program's, or
            ``unknown`` while the store is away.
        loggers: ``ok``, ``stale`` when one sends no new values, ``stopped`` when one was cut off.
        disk: ``ok``, ``low`` or ``full``.
    """

    store: str
    tables: str
    loggers: str
    disk: str

    @property
    def ready(self) -> bool:
        """Loggers that are stale are no fault of whoever answers."""
        return self.store == self.tables == "ok" and self.disk != "full"
