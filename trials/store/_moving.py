"""A data folder changes its database: from its own file to a shop's server, or back."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import text

from trials.errors import ConflictError, StoreError
from trials.store import _schema as schema
from trials.store._address import server_address, write_address
from trials.store._copying import copy_rows
from trials.store._engine import Database
from trials.store._errors import disk_error
from trials.store._folder import ShopFolder
from trials.store._lock import FileLock, holder_of
from trials.store._types import now_utc


@dataclass(frozen=True, slots=True)
class Moved:
    """Where the database is now, without a password, and how many rows were taken along."""

    place: str
    rows: int
    joined: bool  # the server had a shop already


def use_server(folder: ShopFolder, address: str) -> Moved:
    """Use a PostgreSQL database from now on; an empty one takes over what is here.

    The SQLite file goes to ``backups``, so that it cannot be taken for the shop's by mistake.

    Raises:
        InputError: no address of a PostgreSQL server.
        ConflictError: something is being recorded here, or both places have trials.
        StoreError: the server cannot be used, or the copy failed; then nothing has changed.
    """
    url = server_address(address)
    with FileLock(folder.schema_lock, f"moving the database of {folder.path}"):
        _nothing_records(folder)
        server = Database(url)
        try:
            joined = schema.revision(server) is not None
            schema.create_or_check(server)
            rows = _take_along(folder, server, joined) if folder.has_database else 0
        finally:
            server.close()
        write_address(folder.address, url)
        _set_aside(folder)
    return Moved(server.place, rows, joined)


def use_file(folder: ShopFolder) -> Moved:
    """Use an SQLite file in the data folder again, with all rows that the server has now.

    Raises:
        ConflictError: something is being recorded, or no server is used.
        StoreError: the server cannot be read; then nothing has changed.
    """
    if not folder.address.exists():
        raise ConflictError(f"data folder {folder.path}", got="it uses its own file already")
    with FileLock(folder.schema_lock, f"moving the database of {folder.path}"):
        _nothing_records(folder)
        server = Database(folder.url)
        partial = folder.path / "holewise.db.partial"
        partial.unlink(missing_ok=True)
        own = Database(f"sqlite+pysqlite:///{partial}")
        try:
            schema.check_schema(server)
            schema.create_or_check(own)
            rows = sum(copy_rows(server, own).values())
        finally:
            own.close()
            server.close()
        try:
            partial.replace(folder.database)
            folder.address.unlink()
        except OSError as error:
            raise disk_error("data folder", folder.path, error) from error
    return Moved(str(folder.database), rows, joined=False)


def _take_along(folder: ShopFolder, server: Database, joined: bool) -> int:
    own = Database(folder.url)
    try:
        if schema.revision(own) is None:
            return 0
        schema.check_schema(own)
        if not joined:
            return sum(copy_rows(own, server).values())
        if _trials(own):
            raise ConflictError(
                f"{server.place} has a shop already, and so has {folder.path}",
                do="Put the trials of this folder into packages ('holewise export'), use the "
                "server from a new data folder, and import them there.",
            )
        return 0
    finally:
        own.close()


def _trials(database: Database) -> int:
    with database.reading() as connection:
        return int(connection.execute(text("SELECT count(*) FROM trial")).scalar_one())


def _nothing_records(folder: ShopFolder) -> None:
    for path in folder.schema_lock.parent.glob("run-*.lock"):
        holder = holder_of(path)
        if holder is not None:
            raise ConflictError(
                f"{holder.what} is going on: {holder}", do="Let it end first, then move."
            )


def _set_aside(folder: ShopFolder) -> None:
    if not folder.database.exists():
        return
    stamp = now_utc().strftime("%Y%m%dT%H%M%SZ")
    try:
        folder.backups.mkdir(exist_ok=True)
        folder.database.replace(folder.backups / f"holewise-before-the-server-{stamp}.db")
    except OSError as error:
        raise StoreError(
            f"database {folder.database} could not be put aside", got=error.strerror,
            do="The server is used from now on; move the file away by hand.",
        ) from error  # fmt: skip
