"""A shop of every earlier revision, with data in it, comes up to date whole, on every engine."""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import MetaData, inspect, select

from tests.helpers.example_trial import START, example_trial
from tests.helpers.postgres import PostgresServer
from tests.unit.store.test_upgrade_to_alarms import holes
from trials.errors import StoreError
from trials.model import WearReading
from trials.store import (
    Recording,
    ShopFolder,
    StoredAlarm,
    open_store,
    shop_folder,
    upgrade_store,
    use_server,
)
from trials.store import _schema as schema
from trials.store._engine import Database
from trials.store._tables import metadata

REVISIONS = sorted(
    script.revision
    for script in ScriptDirectory(str(schema.MIGRATIONS)).walk_revisions()
    if script.revision != schema.HEAD
)


@pytest.fixture(params=["sqlite", "postgres"])
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[ShopFolder]:
    found = shop_folder(tmp_path / "shop")
    if request.param == "postgres":
        server: PostgresServer = request.getfixturevalue("postgres")
        use_server(found, server.new_database())
    return found


def fill(folder: ShopFolder) -> None:
    """A trial, and a recorded run with holes, a gap, a wear reading and an alarm."""
    recording = uuid.UUID("11111111-2222-3333-4444-555555555555")
    with open_store(folder) as store:
        store.add_trial(example_trial(note="ünïcode"))
        store.add_run("bracket", START)
        store.start_recording("bracket", 1, Recording(recording, "live", "tcp://mill:1"))
        found = store.recordings("bracket", 1)[0]
        store.raise_alarm(recording, StoredAlarm(1, "over_limit", "Look.", 5.0, 1, 81.0))
        store.finish_recording("bracket", 1, found, holes(), [(1.0, 2.0, "link")], lambda run: run)
        store.add_wear("bracket", 1, WearReading(hole=3, vb_average_mm=0.07))


def go_back(folder: ShopFolder, revision: str) -> dict[str, list[dict[str, Any]]]:
    """Take the tables back to an earlier revision; what they hold then."""
    database = Database(folder.url)
    config = schema._config()
    with database.writing() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, revision)
    found = rows(database)
    database.close()
    return found


def rows(database: Database) -> dict[str, list[dict[str, Any]]]:
    tables = MetaData()
    with database.reading() as connection:
        tables.reflect(connection)
        return {
            table.name: [dict(row._mapping) for row in connection.execute(select(table))]
            for table in tables.sorted_tables
            if table.name != "alembic_version"
        }


@pytest.mark.parametrize("revision", REVISIONS)
def test_data_of_an_earlier_revision_stay(folder: ShopFolder, revision: str) -> None:
    fill(folder)
    before = go_back(folder, revision)
    assert len(before["hole"]) == 3
    with pytest.raises(StoreError, match="holewise doctor --upgrade"):
        open_store(folder)
    done = upgrade_store(folder)
    assert (done.before, done.after) == (revision, schema.HEAD)

    database = Database(folder.url)
    after = rows(database)
    database.close()
    for table, found in before.items():
        if found:  # a table without a row may go with a revision
            kept = [{name: row[name] for name in found[0] if name in row} for row in after[table]]
            assert kept == [{n: v for n, v in row.items() if n in kept[0]} for row in found], table
    with open_store(folder) as store:
        assert store.trial("bracket").trial == example_trial(note="ünïcode")
        assert store.run("bracket", 1).run.wear[0].vb_average_mm == 0.07
        assert len(store.holes("bracket", 1)) == 3

    assert done.backup is not None, "a copy from before, also of a server"
    with closing(sqlite3.connect(done.backup)) as copy:
        assert copy.execute("SELECT version_num FROM alembic_version").fetchall() == [(revision,)]
        for table, found in before.items():
            count = copy.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0]  # noqa: S608
            assert count == len(found), table


def test_the_tables_of_a_server_are_those_of_the_program(
    postgres: PostgresServer, tmp_path: Path
) -> None:
    folder = shop_folder(tmp_path / "shop")
    use_server(folder, postgres.new_database())
    database = Database(folder.url)
    with database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        differences = compare_metadata(context, metadata)
        names = inspect(connection).get_table_names()
    database.close()
    assert differences == []
    assert "trial" in names


def test_reading_a_server_cannot_write(postgres: PostgresServer, tmp_path: Path) -> None:
    folder = shop_folder(tmp_path / "shop")
    use_server(folder, postgres.new_database())
    database = Database(folder.url)
    with pytest.raises(StoreError, match="read-only"), database.reading() as connection:
        connection.exec_driver_sql("DELETE FROM trial")
    database.close()
