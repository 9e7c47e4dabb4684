"""Where the database of a data folder is: the file beside it, or a server that a shop shares."""

from __future__ import annotations

import tomllib
from pathlib import Path

import tomli_w
from sqlalchemy import make_url
from sqlalchemy.engine import URL
from sqlalchemy.exc import ArgumentError

from trials.errors import InputError, StoreError
from trials.store._errors import disk_error

ALLOWED = "an address such as postgresql://holewise@server/holewise"
_SERVER = "postgresql+psycopg"


def read_address(file: Path, own: Path) -> URL:
    """The address that a data folder's ``database.toml`` names; its own SQLite file without one.

    Raises:
        StoreError: the file cannot be read, or names nothing that can be used.
    """
    try:
        said = tomllib.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return URL.create("sqlite+pysqlite", database=str(own))
    except OSError as error:
        raise disk_error("address of the database", file, error) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise StoreError(
            f"address of the database in {file}", got=str(error), allowed=f'url = "{ALLOWED}"'
        ) from error
    try:
        return server_address(said.get("url"))
    except InputError as error:
        raise StoreError(
            f"address of the database in {file}", got=error.got, allowed=error.allowed,
            do="Mend the file, or take it away to use the database of this folder again.",
        ) from error  # fmt: skip


def server_address(text: object) -> URL:
    """An address of a PostgreSQL server, with the driver that this program uses.

    Raises:
        InputError: it is none.
    """
    what = "address of the database"
    if not isinstance(text, str):
        raise InputError(what, got=text, allowed=ALLOWED)
    try:
        url = make_url(text)
    except ArgumentError:
        # The text may hold a password: it is not said again.
        raise InputError(what, got="something that is no address", allowed=ALLOWED) from None
    if url.get_backend_name() not in ("postgresql", "postgres") or not url.database:
        raise InputError(what, got=url.render_as_string(), allowed=ALLOWED)
    return url.set(drivername=_SERVER)


def write_address(file: Path, url: URL) -> None:
    """Keep the address, readable by its owner alone: it may hold a password."""
    text = tomli_w.dumps({"url": url.render_as_string(hide_password=False)})
    partial = file.with_suffix(".partial")
    try:
        partial.touch(mode=0o600)
        partial.write_text(text, encoding="utf-8")
        partial.replace(file)
    except OSError as error:
        raise disk_error("address of the database", file, error) from error
