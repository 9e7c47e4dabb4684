"""Batch, machine and regrinds of a run are kept; runs from before have none."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic import command

from tests.helpers.example_trial import START, example_trial
from trials.errors import InputError
from trials.store import _schema as schema
from trials.store import open_store, shop_folder, upgrade_store
from trials.store._engine import Database
from trials.workbench import Workbench


def test_they_are_kept(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        bench.plan_run("bracket", START, batch=" heat 12 ", machine="mill 3", regrinds_done=2,
                       test_holes=120)  # fmt: skip
        bench.end_run("bracket", 1, "worn", holes=40)
    with Workbench.open(tmp_path / "shop") as bench:
        run = bench.run("bracket", 1)
    assert (run.batch, run.machine, run.regrinds_done) == ("heat 12", "mill 3", 2)
    assert run.test_holes == 120


def test_impossible_ones_are_refused(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        with pytest.raises(InputError, match="regrinds done"):
            bench.plan_run("bracket", START, regrinds_done=-1)
        with pytest.raises(InputError, match="batch of the run"):
            bench.plan_run("bracket", START, batch="x" * 101)
        assert bench.runs("bracket") == []


def test_runs_from_before_have_none(tmp_path: Path) -> None:
    folder = shop_folder(tmp_path / "shop")
    with open_store(folder) as store:
        store.add_trial(example_trial())
        store.add_run("bracket", START, batch="lost on the way down")
    database = Database(folder.url)
    config = schema._config()
    with database.writing() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, "0003")
    database.close()
    upgrade_store(folder)
    with open_store(folder) as store:
        run = store.run("bracket", 1).run
    assert (run.batch, run.machine, run.regrinds_done) == ("", "", 0)
    assert run.test_holes is None
