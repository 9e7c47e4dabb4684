"""The store that a shop shares, on a real PostgreSQL server, passes the same contract."""

from __future__ import annotations

import pytest

from tests.contract.store_contract import StoreContract
from tests.helpers.postgres import PostgresServer
from trials.store._address import server_address


class TestPostgres(StoreContract):
    @pytest.fixture
    def url(self, postgres: PostgresServer) -> str:
        address = server_address(postgres.new_database())
        return address.render_as_string(hide_password=False)
