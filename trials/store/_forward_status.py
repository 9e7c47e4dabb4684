"""How a station's sending stands, read from what it remembers; the process itself is not asked."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import select

from trials.store import _tables as tables
from trials.store._engine import Database
from trials.store._folder import ShopFolder
from trials.store._forward_memory import Memory, Told
from trials.store._lock import holder_of
from trials.store._types import now_utc

MEMORY = "forward.db"


@dataclass(frozen=True, slots=True)
class Waiting:
    """Something that waits to be sent: what, since when, and what holds it up."""

    what: str
    since_utc: datetime
    trouble: str | None


@dataclass(frozen=True, slots=True)
class ForwardStatus:
    """How sending stands.

    Args:
        station, to, files: name of the station, and where it sends rows and files to.
        linked: whether the shop was reached at the last try; None before the first.
        linked_since_utc: since when that is so.
        tried_utc, reached_utc: the last try, and the last one that reached the shop.
        trouble: why the last try failed.
        by: the process that sends now; None when none does.
        waiting: what waits, the oldest first.
        conflicts: what was told and nobody has marked as seen.
    """

    station: str
    to: str
    files: str | None
    linked: bool | None
    linked_since_utc: datetime | None
    tried_utc: datetime | None
    reached_utc: datetime | None
    trouble: str | None
    by: str | None
    waiting: tuple[Waiting, ...]
    conflicts: tuple[Told, ...]

    @property
    def lag_s(self) -> float:
        """For how long the oldest change has been waiting, s; 0 when nothing waits."""
        if not self.waiting:
            return 0.0
        return max(0.0, (now_utc() - self.waiting[0].since_utc).total_seconds())


def forward_lock(folder: ShopFolder) -> Path:
    """Held by the one process that sends from a folder."""
    return folder.schema_lock.with_name("forward.lock")


def forward_status(folder: ShopFolder) -> ForwardStatus | None:
    """How sending from this folder stands; None when it never was sent from.

    Raises:
        StoreError: what is remembered, or the station's database, cannot be read.
    """
    path = folder.path / MEMORY
    if not path.exists():
        return None
    with closing(Memory(path, read_only=True)) as memory:
        link = memory.about("link")
        found = memory.waiting()
        holder = holder_of(forward_lock(folder))
        return ForwardStatus(
            memory.about("name") or "", memory.about("to") or "", memory.about("files"),
            None if link is None else link == "up", _time(memory.about("link_since")),
            _time(memory.about("tried")), _time(memory.about("reached")), memory.about("trouble"),
            None if holder is None else str(holder),
            _named(folder, found) if found else (), tuple(memory.conflicts()),
        )  # fmt: skip


def forward_seen(folder: ShopFolder) -> int:
    """Mark every conflict that was told as seen; how many there were."""
    path = folder.path / MEMORY
    if not path.exists():
        return 0
    with closing(Memory(path)) as memory:
        return memory.seen()


def _time(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def _named(
    folder: ShopFolder, found: list[tuple[str, datetime, str | None]]
) -> tuple[Waiting, ...]:
    trial, run = tables.trial.c, tables.run.c
    database = Database(folder.url)
    try:
        with database.reading() as connection:
            names = {
                f"{kind}:{row.uuid}": f"{words} {row.name}"
                for row in connection.execute(select(trial.uuid, trial.name))
                for kind, words in (("trial", "trial"), ("answers", "what came with packages for"))
            }
            query = select(run.uuid, run.number, trial.name)
            for row in connection.execute(query.join(tables.trial, run.trial_uuid == trial.uuid)):
                names[f"run:{row.uuid}"] = f"run {row.number} of {row.name}"
    finally:
        database.close()
    return tuple(
        Waiting(names.get(key, f"{key.partition(':')[0]} that was taken out"), since, trouble)
        for key, since, trouble in found
    )
