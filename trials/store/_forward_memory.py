"""What a station remembers of its sending: ``forward.db``, a small file beside its database.

Losing it only means that everything is sent again, which changes nothing at the shop.
"""

from __future__ import annotations

import json
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from trials.errors import StoreError
from trials.store._forward_merge import Base
from trials.store._types import now_utc

_TABLES = """
CREATE TABLE IF NOT EXISTS about (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS sent (
    kind TEXT, key TEXT, unit TEXT NOT NULL, here TEXT NOT NULL, there TEXT NOT NULL,
    PRIMARY KEY (kind, key));
CREATE INDEX IF NOT EXISTS sent_unit ON sent (unit);
CREATE TABLE IF NOT EXISTS series (
    kind TEXT, key TEXT, unit TEXT NOT NULL, count INTEGER NOT NULL, digest TEXT NOT NULL,
    PRIMARY KEY (kind, key));
CREATE INDEX IF NOT EXISTS series_unit ON series (unit);
CREATE TABLE IF NOT EXISTS unit (
    key TEXT PRIMARY KEY, of_trial TEXT NOT NULL, signature TEXT, waits_since TEXT, trouble TEXT);
CREATE TABLE IF NOT EXISTS file (name TEXT, place TEXT, PRIMARY KEY (name, place));
CREATE TABLE IF NOT EXISTS pending (number INTEGER PRIMARY KEY, portion TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS conflict (
    id INTEGER PRIMARY KEY, at_utc TEXT NOT NULL, text TEXT NOT NULL, seen_utc TEXT);
"""
BUSY_S = 10.0


@dataclass(slots=True)
class Portion:
    """What one transaction at the shop changes in what is remembered of one unit."""

    unit: str
    of_trial: str
    signature: str | None
    sent: dict[tuple[str, str], Base] = field(default_factory=dict)
    gone: list[tuple[str, str]] = field(default_factory=list)
    series: dict[tuple[str, str], tuple[int, str]] = field(default_factory=dict)
    conflicts: list[str] = field(default_factory=list)

    def to_json(self) -> str:
        """As it is kept until it is known whether the shop took it."""
        return json.dumps({
            "unit": self.unit, "of_trial": self.of_trial, "signature": self.signature,
            "sent": [[*key, base.here, base.there] for key, base in self.sent.items()],
            "gone": self.gone, "series": [[*key, *what] for key, what in self.series.items()],
            "conflicts": self.conflicts,
        })  # fmt: skip

    @classmethod
    def from_json(cls, text: str) -> Portion:
        """What `to_json` gave."""
        said = json.loads(text)
        return cls(
            said["unit"], said["of_trial"], said["signature"],
            {(kind, key): Base(here, there) for kind, key, here, there in said["sent"]},
            [(kind, key) for kind, key in said["gone"]],
            {(kind, key): (count, digest) for kind, key, count, digest in said["series"]},
            said["conflicts"],
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Told:
    """A conflict as it was told, and when."""

    at_utc: datetime
    text: str


class Memory:
    """The file ``forward.db``; every method is one transaction on the disk.

    Raises:
        StoreError: the file cannot be used.
    """

    def __init__(self, path: Path, *, read_only: bool = False) -> None:
        self._path = path
        with self._said():
            if read_only:
                self._db = sqlite3.connect(
                    f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=BUSY_S,
                    isolation_level=None,
                )  # fmt: skip
                return
            self._db = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
            self._db.execute("PRAGMA journal_mode = WAL")
            self._db.execute("PRAGMA synchronous = FULL")
            self._db.executescript(_TABLES)

    def close(self) -> None:
        """Give the file back."""
        self._db.close()

    @contextmanager
    def _said(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.Error as error:
            raise StoreError(
                f"{self._path}: what was sent cannot be kept", got=str(error),
                do="Remove the file: everything is then compared and sent again, nothing doubled.",
            ) from error  # fmt: skip

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with self._said():
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield
            except BaseException:
                self._db.execute("ROLLBACK")
                raise
            self._db.execute("COMMIT")

    # About this station

    def about(self, name: str) -> str | None:
        """One remembered text."""
        with self._said():
            row = self._db.execute("SELECT value FROM about WHERE name = ?", (name,)).fetchone()
        return None if row is None else str(row[0])

    def note(self, **texts: str | None) -> None:
        """Remember texts; None forgets."""
        with self._writing():
            for name, text in texts.items():
                self._db.execute("DELETE FROM about WHERE name = ?", (name,))
                if text is not None:
                    self._db.execute("INSERT INTO about VALUES (?, ?)", (name, text))

    def station(self) -> uuid.UUID:
        """The key of this station, made when it is first asked for."""
        found = self.about("station")
        if found is None:
            found = str(uuid.uuid4())
            self.note(station=found)
        return uuid.UUID(found)

    @property
    def number(self) -> int:
        """Number of the last portion that the shop is known to have."""
        return int(self.about("number") or 0)

    # Portions

    def expect(self, number: int, portion: Portion) -> None:
        """Keep what a transaction is about to bring to the shop, before it is."""
        with self._writing():
            self._db.execute("DELETE FROM pending")
            self._db.execute("INSERT INTO pending VALUES (?, ?)", (number, portion.to_json()))

    def pending(self) -> tuple[int, Portion] | None:
        """A portion of which it is not known whether the shop has it."""
        with self._said():
            row = self._db.execute("SELECT number, portion FROM pending").fetchone()
        return None if row is None else (row[0], Portion.from_json(row[1]))

    def settle(self, number: int | None, portion: Portion | None) -> None:
        """Remember a portion that the shop has; with none, that the one expected is not there."""
        with self._writing():
            self._db.execute("DELETE FROM pending")
            if number is not None:
                self._db.execute("DELETE FROM about WHERE name = 'number'")
                self._db.execute("INSERT INTO about VALUES ('number', ?)", (str(number),))
            if portion is not None:
                self._take(portion)

    def _take(self, portion: Portion) -> None:
        db = self._db
        for (kind, key), base in portion.sent.items():
            db.execute(
                "INSERT OR REPLACE INTO sent VALUES (?, ?, ?, ?, ?)",
                (kind, key, portion.unit, json.dumps(base.here), json.dumps(base.there)),
            )
        for kind, key in portion.gone:
            db.execute("DELETE FROM sent WHERE kind = ? AND key = ?", (kind, key))
        for (kind, key), (count, digest) in portion.series.items():
            db.execute(
                "INSERT OR REPLACE INTO series VALUES (?, ?, ?, ?, ?)",
                (kind, key, portion.unit, count, digest),
            )
        if portion.signature is None:
            for table in ("sent", "series"):
                db.execute(f"DELETE FROM {table} WHERE unit = ?", (portion.unit,))  # noqa: S608
            db.execute("DELETE FROM unit WHERE key = ?", (portion.unit,))
        else:
            db.execute(
                "INSERT OR REPLACE INTO unit VALUES (?, ?, ?, NULL, NULL)",
                (portion.unit, portion.of_trial, portion.signature),
            )
        now = now_utc().isoformat()
        db.executemany(
            "INSERT INTO conflict (at_utc, text) VALUES (?, ?)",
            [(now, text) for text in portion.conflicts],
        )

    # Units

    def signatures(self) -> dict[str, tuple[str, str | None]]:
        """For every unit that was seen: its trial, and its signature when it was last sent."""
        with self._said():
            return {
                row[0]: (row[1], row[2])
                for row in self._db.execute("SELECT key, of_trial, signature FROM unit")
            }

    def waits(self, units: dict[str, str], troubles: dict[str, str]) -> None:
        """Note which units wait to be sent and no others, each with its trial.

        What holds a unit up stays noted until other trouble comes or it is sent.
        """
        now = now_utc().isoformat()
        with self._writing():
            self._db.executemany(
                "UPDATE unit SET waits_since = NULL, trouble = NULL WHERE key = ?",
                [(key,) for key, _, _ in self.waiting() if key not in units],
            )
            for key, of_trial in units.items():
                self._db.execute(
                    "INSERT OR IGNORE INTO unit (key, of_trial) VALUES (?, ?)", (key, of_trial)
                )
                self._db.execute(
                    "UPDATE unit SET waits_since = coalesce(waits_since, ?), "
                    "trouble = coalesce(?, trouble) WHERE key = ?",
                    (now, troubles.get(key), key),
                )

    def waiting(self) -> list[tuple[str, datetime, str | None]]:
        """Units that wait, since when, and what holds them up."""
        with self._said():
            rows = self._db.execute(
                "SELECT key, waits_since, trouble FROM unit WHERE waits_since IS NOT NULL "
                "ORDER BY waits_since"
            ).fetchall()
        return [(key, datetime.fromisoformat(since), trouble) for key, since, trouble in rows]

    def bases(self, unit: str) -> dict[tuple[str, str], Base]:
        """Every row of a unit as it was last sent."""
        with self._said():
            rows = self._db.execute(
                "SELECT kind, key, here, there FROM sent WHERE unit = ?", (unit,)
            ).fetchall()
        return {(kind, key): Base(json.loads(here), json.loads(there))
                for kind, key, here, there in rows}  # fmt: skip

    def series(self, unit: str) -> dict[tuple[str, str], tuple[int, str]]:
        """How much of every series of rows of a unit was sent, and its digest."""
        with self._said():
            rows = self._db.execute(
                "SELECT kind, key, count, digest FROM series WHERE unit = ?", (unit,)
            ).fetchall()
        return {(kind, key): (count, digest) for kind, key, count, digest in rows}

    def forget(self, *, of_trial: str | None = None, number: int | None = None) -> None:
        """Forget what was sent, of one trial or at all, so that it is compared and sent again."""
        with self._writing():
            keys = [
                row[0] for row in self._db.execute("SELECT key, of_trial FROM unit")
                if of_trial in (None, row[1])
            ]  # fmt: skip
            for key in keys:
                for table in ("sent", "series"):
                    self._db.execute(f"DELETE FROM {table} WHERE unit = ?", (key,))  # noqa: S608
                self._db.execute("UPDATE unit SET signature = NULL WHERE key = ?", (key,))
            if number is not None:
                self._db.execute("DELETE FROM about WHERE name = 'number'")
                self._db.execute("INSERT INTO about VALUES ('number', ?)", (str(number),))

    # Files

    def files(self, place: str) -> set[str]:
        """Names of the files that are known to be in a place."""
        with self._said():
            rows = self._db.execute("SELECT name FROM file WHERE place = ?", (place,)).fetchall()
        return {row[0] for row in rows}

    def note_file(self, name: str, place: str) -> None:
        """Remember that a file is in a place, whole."""
        with self._writing():
            self._db.execute("INSERT OR REPLACE INTO file VALUES (?, ?)", (name, place))

    # Conflicts

    def tell(self, text: str) -> None:
        """Keep something that a person should know."""
        with self._writing():
            self._db.execute(
                "INSERT INTO conflict (at_utc, text) VALUES (?, ?)", (now_utc().isoformat(), text)
            )

    def conflicts(self) -> list[Told]:
        """What was told and nobody has seen yet, the oldest first."""
        with self._said():
            rows = self._db.execute(
                "SELECT at_utc, text FROM conflict WHERE seen_utc IS NULL ORDER BY id"
            ).fetchall()
        return [Told(datetime.fromisoformat(at), text) for at, text in rows]

    def seen(self) -> int:
        """Mark everything told as seen; how many there were. It stays in the file."""
        with self._writing():
            done: Any = self._db.execute(
                "UPDATE conflict SET seen_utc = ? WHERE seen_utc IS NULL", (now_utc().isoformat(),)
            )
            return int(done.rowcount)
