"""A PostgreSQL server that the tests of this folder share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.helpers.postgres import PostgresServer


@pytest.fixture(scope="session")
def postgres() -> Iterator[PostgresServer]:
    server = PostgresServer()
    yield server
    server.stop()
