"""A shop of revision 0005 that took a package in comes to now with it, and can still undo it."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

from alembic import command

from tests.helpers.example_trial import START, example_trial
from trials.store import _schema as schema
from trials.store import open_store, shop_folder, upgrade_store
from trials.store._engine import Database


def test_a_package_of_the_fifth_revision_stays_and_is_undone(tmp_path: Path) -> None:
    folder = shop_folder(tmp_path / "shop")
    with open_store(folder) as store:
        trial = store.add_trial(example_trial())
        store.add_run("bracket", START)
    database = Database(folder.url)
    config = schema._config()
    with database.writing() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, "0005")
    database.close()
    made = json.dumps({"trial": True, "runs": [1]})  # runs by their numbers, as it was then
    with closing(sqlite3.connect(folder.database)) as connection, connection:
        connection.execute(
            "INSERT INTO package VALUES (?, ?, 'a.zip', 'CC0-1.0', '[\"prices\"]', ?, ?)",
            ("f" * 64, trial.uuid.hex, made, "2026-03-01 12:00:00.000000"),
        )
    assert upgrade_store(folder).before == "0005"
    with open_store(folder) as store:
        (taken,) = store.taken_in("bracket")
        assert (taken.kind, taken.file, taken.licence) == ("package", "a.zip", "CC0-1.0")
        assert taken.removed == ("prices",)
        assert f"{taken.imported_utc:%Y-%m-%d %H}" == "2026-03-01 12"
        store.take_out("bracket", taken)
        assert store.trials() == []
