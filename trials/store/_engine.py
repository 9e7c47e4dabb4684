"""The database behind the store: one writing connection, reading connections beside it."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.engine import URL
from sqlalchemy.exc import SQLAlchemyError

from trials.errors import InputError, StoreError
from trials.store._errors import told
from trials.store._types import plain

BUSY_S = 15.0  # how long one process waits for another one's short write


class Database:
    """An engine to write and an engine to read, by SQLAlchemy URL.

    SQLite runs in WAL mode with synchronous FULL and foreign keys on. Writing goes through one
    connection, in transactions that take the write lock at their start (``BEGIN IMMEDIATE``), so
    that several processes on one file wait for each other instead of failing half-way.

    On a server, reading sees one unchanging view (``REPEATABLE READ``) and cannot write; rows to
    be changed are locked when they are read. A connection that a restart of the server has cut is
    replaced before it is used.

    Raises:
        StoreError: the database cannot be opened as described.
    """

    def __init__(self, url: str | URL) -> None:
        self.url = make_url(url)
        self.place = self.url.render_as_string()  # without a password
        common: dict[str, Any] = {"json_serializer": to_json}
        reading: dict[str, Any] = {}
        if self.is_sqlite:
            if self.url.database in (None, "", ":memory:"):
                raise InputError("store", got=str(self.url), allowed="a file or a server")
            self.place = str(self.url.database)
            common["connect_args"] = {"timeout": BUSY_S}
        else:
            common |= {
                "pool_pre_ping": True,
                "connect_args": {"connect_timeout": int(BUSY_S), "application_name": "holewise"},
            }
            reading = {"isolation_level": "REPEATABLE READ"}
        self._writer = create_engine(
            self.url, pool_size=1, max_overflow=0, pool_timeout=2 * BUSY_S, **common
        )
        self._reader = create_engine(self.url, **common, **reading)
        if not self.is_sqlite:
            self._reader = self._reader.execution_options(postgresql_readonly=True)
        if self.is_sqlite:
            _listen_sqlite(self._writer, writes=True)
            _listen_sqlite(self._reader, writes=False)

    @property
    def is_sqlite(self) -> bool:
        """True for the one-file store of a single machine."""
        return self.url.get_backend_name() == "sqlite"

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction that either holds as a whole or leaves nothing behind."""
        with told(self.place), self._writer.begin() as connection:
            yield connection

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One unchanging view of the store."""
        with told(self.place), self._reader.begin() as connection:
            yield connection

    def close(self) -> None:
        """Give back every connection. SQLite folds its write-ahead log into the file."""
        self._reader.dispose()
        self._writer.dispose()


def to_json(value: Any) -> str:
    """JSON with plain scalars; NaN and infinity are refused, other readers stumble over them."""
    try:
        return json.dumps(plain(value), allow_nan=False, ensure_ascii=False)
    except (TypeError, ValueError) as error:
        raise InputError("value to be stored", got=str(error), allowed="plain JSON") from None


def _listen_sqlite(engine: Engine, *, writes: bool) -> None:
    begin = "BEGIN IMMEDIATE" if writes else "BEGIN"

    @event.listens_for(engine, "connect")
    def prepare(connection: sqlite3.Connection, _record: object) -> None:
        # Transactions begin where the listener below says so, not where the driver guesses.
        connection.isolation_level = None
        cursor = connection.cursor()
        try:
            if writes:
                mode = cursor.execute("PRAGMA journal_mode = WAL").fetchone()[0]
                if str(mode).lower() != "wal":
                    raise StoreError(
                        "this disk does not let the database keep a write-ahead log",
                        got=mode,
                        do="Network drives often do not. Choose a folder on a disk of this "
                        "machine with --data.",
                    )
            cursor.execute("PRAGMA synchronous = FULL")
            cursor.execute("PRAGMA foreign_keys = ON")
            if not writes:
                cursor.execute("PRAGMA query_only = ON")
        finally:
            cursor.close()

    @event.listens_for(engine, "begin")
    def begin_it(connection: Connection) -> None:
        connection.exec_driver_sql(begin)


def damage(database: Database, most: int = 20) -> list[str]:
    """What SQLite finds wrong in its file, one sentence each; empty when it is sound.

    Reads the whole file. Other engines look after themselves: empty.
    """
    if not database.is_sqlite:
        return []
    try:
        with database.reading() as connection:
            found = [
                str(row[0])
                for row in connection.exec_driver_sql(f"PRAGMA integrity_check({int(most)})")
            ]
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    except StoreError as error:
        return [str(error)]
    except SQLAlchemyError as error:  # pragma: no cover - told() has turned all of these
        return [str(error)]
    problems = [] if found == ["ok"] else found
    problems += [f"a row of {row[0]} points to {row[2]}, which is not there" for row in broken]
    return problems
