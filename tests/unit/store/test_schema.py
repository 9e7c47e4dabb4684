"""The schema: made by migrations alone, checked on opening, mended by a command that is named."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from tests.helpers.example_trial import START, example_trial
from trials.errors import ConflictError, StoreError
from trials.store import (
    FileLock,
    ShopFolder,
    back_up_store,
    open_store,
    shop_folder,
    upgrade_store,
)
from trials.store import _schema as schema
from trials.store._engine import Database
from trials.store._tables import metadata

NOW = schema.HEAD
NEXT = f"{int(NOW) + 1:04d}"


@pytest.fixture
def folder(tmp_path: Path) -> ShopFolder:
    return shop_folder(tmp_path / "shop")


def sql(path: Path, statement: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection, connection:
        return connection.execute(statement).fetchall()


def test_migrations_make_exactly_the_tables_that_the_program_uses(folder: ShopFolder) -> None:
    open_store(folder).close()
    database = Database(folder.url)
    with database.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        differences = compare_metadata(context, metadata)
    database.close()
    assert differences == []


def test_the_newest_revision_is_the_one_that_is_checked_for() -> None:
    assert ScriptDirectory(str(schema.MIGRATIONS)).get_current_head() == schema.HEAD


def test_the_first_revision_can_be_taken_back(folder: ShopFolder) -> None:
    """Each revision's way back is run here, so that it is not found broken when it is needed."""
    from alembic import command

    open_store(folder).close()
    database = Database(folder.url)
    config = schema._config()
    with database.writing() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, "base")
    database.close()
    assert sql(folder.database, "SELECT name FROM sqlite_master WHERE type = 'table'") == [
        ("alembic_version",)
    ]


def test_how_sqlite_is_set(folder: ShopFolder) -> None:
    open_store(folder).close()
    database = Database(folder.url)
    for connect in (database.writing, database.reading):
        with connect() as connection:
            found = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
            }
        assert found["journal_mode"] == "wal"
        assert found["synchronous"] == 2  # FULL, by SQLite's documentation of the pragma
        assert found["foreign_keys"] == 1
        assert found["busy_timeout"] >= 5000
    database.close()


def test_reading_cannot_write(folder: ShopFolder) -> None:
    open_store(folder).close()
    database = Database(folder.url)
    with pytest.raises(StoreError), database.reading() as connection:
        connection.exec_driver_sql("DELETE FROM trial")
    database.close()


@pytest.fixture
def next_revision(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program that is one revision ahead; the revision's file can be changed by the test."""
    copy = tmp_path / "migrations"
    shutil.copytree(schema.MIGRATIONS, copy, ignore=shutil.ignore_patterns("__pycache__"))
    revision = copy / "versions" / f"{NEXT}_shift.py"
    revision.write_text(
        "import sqlalchemy as sa\nfrom alembic import op\n"
        f"revision = '{NEXT}'\ndown_revision = '{NOW}'\n"
        "def upgrade():\n    op.add_column('trial', sa.Column('shift', sa.Text()))\n"
    )
    monkeypatch.setattr(schema, "MIGRATIONS", copy)
    monkeypatch.setattr(schema, "HEAD", NEXT)
    return revision


def older(folder: ShopFolder) -> None:
    """A shop as the earlier program left it, with a trial and a run in it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(schema, "HEAD", NOW)
        patch.setattr(schema, "MIGRATIONS", Path(schema.__file__).with_name("migrations"))
        with open_store(folder) as store:
            store.add_trial(example_trial())
            store.add_run("bracket", START)


@pytest.mark.usefixtures("next_revision")
def test_an_older_schema_names_the_command_that_mends_it(folder: ShopFolder) -> None:
    older(folder)
    with pytest.raises(StoreError, match="'holewise doctor --upgrade'") as refused:
        open_store(folder)
    assert NOW in str(refused.value)
    assert NEXT in str(refused.value)


@pytest.mark.usefixtures("next_revision")
def test_an_upgrade_keeps_the_data_and_a_copy_from_before(folder: ShopFolder) -> None:
    older(folder)
    done = upgrade_store(folder)
    assert (done.before, done.after) == (NOW, NEXT)
    assert str(done.backup) in str(done)
    with open_store(folder) as store:
        assert store.trial("bracket").trial == example_trial()
        assert len(store.runs("bracket")) == 1
    assert done.backup is not None
    assert done.backup.parent == folder.backups
    assert sql(done.backup, "SELECT version_num FROM alembic_version") == [(NOW,)]
    assert sql(done.backup, "SELECT name FROM trial") == [("bracket",)]
    again = upgrade_store(folder)
    assert again.backup is None, "nothing to do, so nothing to copy"
    assert "nothing was changed" in str(again)


def test_an_upgrade_that_fails_leaves_everything_as_it_was(
    folder: ShopFolder, next_revision: Path
) -> None:
    with next_revision.open("a") as file:
        file.write("    op.drop_table('nowhere')\n")
    older(folder)
    with pytest.raises(StoreError, match="nowhere"):
        upgrade_store(folder)
    assert sql(folder.database, "SELECT version_num FROM alembic_version") == [(NOW,)]
    assert "shift" not in str(sql(folder.database, "SELECT sql FROM sqlite_master"))
    assert sql(folder.database, "SELECT name FROM trial") == [("bracket",)]


@pytest.mark.usefixtures("next_revision")
def test_only_one_upgrades(folder: ShopFolder) -> None:
    older(folder)
    with (
        FileLock(folder.schema_lock, "upgrading"),
        pytest.raises(ConflictError, match="process"),
    ):
        upgrade_store(folder)


def test_a_newer_schema_asks_for_a_newer_program(folder: ShopFolder) -> None:
    open_store(folder).close()
    sql(folder.database, "UPDATE alembic_version SET version_num = '9999'")
    for what in (open_store, upgrade_store):
        with pytest.raises(StoreError, match="newer Holewise") as refused:
            what(folder)
        assert "--upgrade" not in str(refused.value)


def test_somebody_else_s_database_is_left_alone(folder: ShopFolder) -> None:
    sql(folder.database, "CREATE TABLE recipes (name TEXT)")
    for what in (open_store, upgrade_store):
        with pytest.raises(StoreError, match="not made by Holewise"):
            what(folder)
    assert sql(folder.database, "SELECT name FROM sqlite_master") == [("recipes",)]


def test_a_copy_is_whole_while_the_store_is_in_use(folder: ShopFolder) -> None:
    with open_store(folder) as store:
        store.add_trial(example_trial())
        copy = back_up_store(folder)
        store.add_run("bracket", START)
    assert copy is not None
    assert sql(copy, "SELECT name FROM trial") == [("bracket",)]
    assert sql(copy, "SELECT count(*) FROM run") == [(0,)]
    assert list(folder.backups.glob("*.partial")) == []
