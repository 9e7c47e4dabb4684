"""Which files the store names, with their checksums."""

from __future__ import annotations

from sqlalchemy import Connection, select

from trials.store import _tables as tables
from trials.store._engine import Database
from trials.store._objects import NamedFile


class FileRows:
    """What the store knows of files; part of `trials.store.Store`."""

    _database: Database

    def named_files(self) -> list[NamedFile]:
        """Traces of finished recordings, and photos; each once."""
        with self._database.reading() as connection:
            return select_named(connection)


def select_named(connection: Connection) -> list[NamedFile]:
    """See `FileRows.named_files`."""
    of, photo = tables.recording.c, tables.photo.c
    traces = select(of.trace, of.trace_sha256).where(of.trace.is_not(None),
                                                     of.trace_sha256.is_not(None))  # fmt: skip
    found = [NamedFile(name, sha256) for name, sha256 in connection.execute(traces)]
    found += [named_photo(sha256) for sha256 in connection.execute(select(photo.sha256)).scalars()]
    return list(dict.fromkeys(found))


def named_photo(sha256: str) -> NamedFile:
    """A photo as the store names it."""
    return NamedFile(f"photos/{sha256}.jpg", sha256)
