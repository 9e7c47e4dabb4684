"""The schema of the store: is it this program's, how it is made, how it is brought up to date."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, inspect, text

from trials.errors import StoreError
from trials.store._copying import copy_rows
from trials.store._engine import Database, damage
from trials.store._errors import disk_error
from trials.store._types import now_utc

HEAD = "0009"  # the newest revision under migrations/versions; a test keeps the two together
MIGRATIONS = Path(__file__).with_name("migrations")
UPGRADE_COMMAND = "holewise doctor --upgrade"


@dataclass(frozen=True, slots=True)
class Upgrade:
    """What an upgrade did: revisions before and after, and the copy made before it."""

    before: str | None
    after: str
    backup: Path | None

    def __str__(self) -> str:
        if self.before == self.after:
            return f"The database is up to date ({self.after}); nothing was changed."
        copied = "" if self.backup is None else f" A copy from before is {self.backup}."
        return f"The database was brought from {self.before} to {self.after}.{copied}"


def revision(database: Database) -> str | None:
    """The schema's revision as stored; None for a database without any tables.

    Raises:
        StoreError: there are tables, but not this program's.
    """
    with database.reading() as connection:
        return _revision(connection, database.place)


def _revision(connection: Connection, place: str) -> str | None:
    names = inspect(connection).get_table_names()
    if not names:
        return None
    if "alembic_version" not in names:
        raise StoreError(
            f"{place}: this database was not made by Holewise",
            got=", ".join(sorted(names)[:5]),
            do="Choose another data folder with --data.",
        )
    return stored_revision(connection)


def stored_revision(connection: Connection) -> str | None:
    """The revision of tables that are known to be this program's."""
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def check_schema(database: Database) -> None:
    """Refuse a schema that is not this program's.

    Raises:
        StoreError: older (names the command that mends it) or newer (says to update Holewise).
    """
    found = revision(database)
    if found == HEAD:
        return
    if found is None or found in _known():
        raise StoreError(
            f"{database.place}: its tables are of an earlier version",
            got=found or "no tables",
            allowed=HEAD,
            do=f"Run '{UPGRADE_COMMAND}': it makes a copy of the database first and then brings "
            "it up to date.",
        )
    raise StoreError(
        f"{database.place}: its tables were made by a newer Holewise",
        got=found,
        allowed=HEAD,
        do="Install the newer Holewise on this computer. Nothing was changed.",
    )


def create_or_check(database: Database) -> None:
    """Make the tables in an empty database; otherwise `check_schema`."""
    if revision(database) is None:
        _migrate(database)
    check_schema(database)


def upgrade(database: Database, backups: Path | None) -> Upgrade:
    """Bring the schema to `HEAD`, after a verified copy of all rows as an SQLite file.

    The change is one transaction: it holds as a whole or the database stays as it was.

    Raises:
        StoreError: a newer or foreign schema, a damaged database, no room for the copy, or a
            migration that failed.
    """
    before = revision(database)
    if before == HEAD:
        return Upgrade(before, HEAD, None)
    if before is not None and before not in _known():
        check_schema(database)
    problems = damage(database)
    if problems:
        raise StoreError(
            f"{database.place}: damaged, so it was not upgraded",
            got="; ".join(problems[:3]),
            do="Put back the newest file from the folder 'backups', then try again.",
        )
    copy = None
    if before is not None and backups is not None:
        copy = backup(database, backups)
    _migrate(database)
    return Upgrade(before, HEAD, copy)


def backup(database: Database, backups: Path) -> Path:
    """Copy the database into an SQLite file of the same revision, also while others write.

    Raises:
        StoreError: the copy could not be written, or was not sound when it was read again.
    """
    stamp = now_utc().strftime("%Y%m%dT%H%M%S%fZ")
    target = backups / f"holewise-{revision(database) or 'empty'}-{stamp}.db"
    partial = target.with_suffix(".partial")
    try:
        backups.mkdir(parents=True, exist_ok=True)
        if not database.is_sqlite:
            _copy_to_file(database, partial)
        with closing(sqlite3.connect(partial)) as copy:
            if database.is_sqlite:
                with closing(sqlite3.connect(database.place)) as source:
                    source.backup(copy)
            found = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if found != "ok":
            raise StoreError(f"copy of the database {partial} is not sound", got=found)
        with partial.open("rb+") as file:
            os.fsync(file.fileno())
        partial.replace(target)
    except OSError as error:
        raise disk_error("copy of the database", target, error) from error
    except sqlite3.Error as error:
        raise StoreError(
            f"copy of the database {target} could not be made",
            got=str(error),
            do="Nothing was upgraded. Make room on the disk and try again.",
        ) from error
    finally:
        partial.unlink(missing_ok=True)
    return target


def _copy_to_file(database: Database, file: Path) -> None:
    """A server's rows in a new SQLite file whose tables are of the same revision."""
    found = revision(database)
    if found not in _known():
        check_schema(database)
    copy = Database(f"sqlite+pysqlite:///{file}")
    try:
        _migrate(copy, str(found))
        copy_rows(database, copy)
    finally:
        copy.close()


def put_back(database: Database, file: Path) -> Upgrade:
    """Fill an empty database from a backup, then bring its tables up to date.

    Raises:
        StoreError: the database is not empty, or the file is no sound backup of this program.
    """
    if revision(database) is not None:
        raise StoreError(
            f"{database.place}: there is a database already",
            do="Put the backup into a new data folder or an empty database. Nothing was changed.",
        )
    if not file.is_file():
        raise StoreError(f"backup {file} is not there")
    source = Database(f"sqlite+pysqlite:///{file}")
    try:
        problems, found = damage(source), revision(source)
        if problems:
            raise StoreError(f"backup {file} is damaged", got="; ".join(problems[:3]))
        if found is None or found not in _known():
            check_schema(source)
        _migrate(database, str(found))
        copy_rows(source, database)
    finally:
        source.close()
    _migrate(database)
    return Upgrade(found, HEAD, None)


def _config() -> Any:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def _known() -> set[str]:
    from alembic.script import ScriptDirectory

    return {script.revision for script in ScriptDirectory.from_config(_config()).walk_revisions()}


def _migrate(database: Database, to: str = "head") -> None:
    from alembic import command
    from alembic.util import CommandError

    config = _config()
    try:
        with database.writing() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, to)
    except CommandError as error:
        raise StoreError(
            f"{database.place}: the tables could not be brought up to date", got=str(error)
        ) from error
