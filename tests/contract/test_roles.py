"""The script of roles gives each account what it needs on a real server, and nothing else.

Least privilege: common practice in PostgreSQL's own documentation, "Database Roles" and
"Privileges".
"""

from __future__ import annotations

from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url

from tests.helpers.example_trial import START, example_trial
from tests.helpers.postgres import PostgresServer
from trials.errors import StoreError
from trials.store import _tables as tables
from trials.store._engine import Database
from trials.workbench import Workbench

SCRIPT = Path(__file__).parents[2] / "docs/operations/roles.sql"


def account(address: str, name: str, group: str) -> str:
    """An address of the same database for a new account of a group; what `roles.sql` says to do."""
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(f"CREATE ROLE {name} LOGIN PASSWORD 'invented' IN ROLE {group}")
        if group == "holewise_keeper":
            connection.execute(f"ALTER ROLE {name} SET role = holewise_keeper")
    url = make_url(address).set(username=name, password="invented")
    return url.render_as_string(hide_password=False)


def run_script(address: str) -> None:
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(SCRIPT.read_bytes())


def test_each_account_can_do_its_work_and_no_more(postgres: PostgresServer, tmp_path: Path) -> None:
    address = postgres.new_database()
    run_script(address)
    mark = make_url(address).database
    keeper, writer, reader = (
        account(address, f"{group}_of_{mark}", f"holewise_{group}")
        for group in ("keeper", "writer", "reader")
    )

    with pytest.raises(StoreError, match="permission denied"):
        Workbench.use_server(tmp_path / "too-early", writer)
    Workbench.use_server(tmp_path / "keeper", keeper)
    run_script(address)  # as it asks for, once the tables are there
    Workbench.use_server(tmp_path / "shop", writer)
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        bench.plan_run("bracket", START)
        bench.end_run("bracket", 1, "stopped", holes=4)

    Workbench.use_server(tmp_path / "reader", reader)
    with Workbench.open(tmp_path / "reader") as bench:
        assert len(bench.runs("bracket")) == 1
        with pytest.raises(StoreError, match="permission denied"):
            bench.plan_run("bracket", START)

    with psycopg.connect(address) as connection:
        for table in tables.metadata.tables:
            may = {
                (group, right): connection.execute(
                    "SELECT has_table_privilege(%s, %s, %s)", (f"holewise_{group}", table, right)
                ).fetchone()[0]
                for group in ("writer", "reader")
                for right in ("SELECT", "INSERT", "UPDATE", "DELETE", "TRUNCATE", "TRIGGER")
            }
            changes = {right for (group, right), held in may.items() if group == "writer" and held}
            assert changes == {"SELECT", "INSERT", "UPDATE", "DELETE"}, table
            assert {r for (g, r), held in may.items() if g == "reader" and held} == {"SELECT"}, (
                table
            )

    for who, statement in (
        (writer, "DROP TABLE run"),
        (writer, "CREATE TABLE mine (n int)"),
        (writer, "UPDATE alembic_version SET version_num = '0001'"),
        (reader, "DELETE FROM run"),
    ):
        database = Database(make_url(who).set(drivername="postgresql+psycopg"))
        refused = pytest.raises(StoreError, match=r"permission denied|must be owner")
        with refused, database.writing() as connection:
            connection.exec_driver_sql(statement)
        database.close()
