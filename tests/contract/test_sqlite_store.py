"""The one-file store of a single machine passes the contract."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.contract.store_contract import StoreContract


class TestSqlite(StoreContract):
    @pytest.fixture
    def url(self, tmp_path: Path) -> str:
        return f"sqlite+pysqlite:///{tmp_path / 'holewise.db'}"
