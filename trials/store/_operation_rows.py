"""What the store knows about how the shop runs: its stations, its clock, its answering."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select

from trials.store import _schema as schema
from trials.store import _tables as tables
from trials.store._engine import Database
from trials.store._types import now_utc


@dataclass(frozen=True, slots=True)
class Station:
    """A station that sends to this store: its name, and when it brought something last."""

    name: str
    sent_utc: datetime


@dataclass(frozen=True, slots=True)
class Clock:
    """This computer's time; by how many seconds what was stored last is ahead of it, and by how
    many the server's clock is (None without a server)."""

    now_utc: datetime
    ahead_s: float
    server_off_s: float | None


class OperationRows:
    """What the store knows of how the shop runs; part of `trials.store.Store`."""

    _database: Database

    def stations(self) -> list[Station]:
        """Every station that ever sent here, by name."""
        of = tables.station.c
        with self._database.reading() as connection:
            rows = connection.execute(select(of.name, of.sent_utc).order_by(of.name))
            return [Station(*row) for row in rows]

    def clock(self) -> Clock:
        """How clocks stand against each other."""
        newest = select(func.max(tables.run.c.changed_utc))
        with self._database.reading() as connection:
            last = connection.execute(newest).scalar()
            server = None
            if not self._database.is_sqlite:
                server = connection.execute(select(func.clock_timestamp())).scalar()
        now = now_utc()
        ahead = 0.0 if last is None else max(0.0, (last - now).total_seconds())
        return Clock(now, ahead, None if server is None else (server - now).total_seconds())

    def revision(self) -> str | None:
        """The revision of the tables, read now: does the database answer?"""
        with self._database.reading() as connection:
            return schema.stored_revision(connection)
