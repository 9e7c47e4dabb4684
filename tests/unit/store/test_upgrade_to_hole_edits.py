"""A shop of revision 0002, with data in it, comes to 0003 whole; edits of holes are kept then."""

from __future__ import annotations

import io
import uuid
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from alembic import command

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream
from trials.errors import ConflictError, StoreError
from trials.holes import find_holes
from trials.store import (
    Recording,
    ShopFolder,
    StoredAlarm,
    StoredEdit,
    open_store,
    shop_folder,
    upgrade_store,
)
from trials.store import _schema as schema
from trials.store._engine import Database
from trials.store._types import now_utc

RECORDING = uuid.UUID("11111111-2222-3333-4444-555555555555")
EDIT = StoredEdit("split", "hole 2 split", ((8.0, 11.5),), 9.5, ({"number": 2},), made_by="anna")


def holes() -> pd.DataFrame:
    return find_holes(pd.read_csv(io.BytesIO(stream(3))))


def shop_of_0002(path: Path) -> ShopFolder:
    """A shop as the program before left it: a trial, a recorded run with holes and an alarm."""
    folder = shop_folder(path)
    with open_store(folder) as store:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        store.start_recording("bracket", 1, Recording(RECORDING, "live", "tcp://mill:1"))
        found = store.recordings("bracket", 1)[0]
        store.raise_alarm(RECORDING, StoredAlarm(1, "over_limit", "Look.", 5.0, 1, 81.0))
        store.finish_recording("bracket", 1, found, holes(), [], lambda run: run)
    database = Database(folder.url)
    config = schema._config()
    with database.writing() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, "0002")
    database.close()
    return folder


def test_data_of_the_second_revision_stay_and_edits_can_be_kept(tmp_path: Path) -> None:
    folder = shop_of_0002(tmp_path / "shop")
    with pytest.raises(StoreError, match="doctor --upgrade"):
        open_store(folder)
    done = upgrade_store(folder)
    assert (done.before, done.after) == ("0002", schema.HEAD)
    with open_store(folder) as store:
        assert store.trial("bracket").trial == example_trial()
        pd.testing.assert_frame_equal(store.holes("bracket", 1), holes(), check_dtype=False)
        assert [alarm.text for alarm in store.alarms("bracket", 1)] == ["Look."]
        assert store.edits("bracket", 1) == []
        store.keep_edits("bracket", 1, RECORDING, [EDIT], lambda run: replace(run, holes=4))
        assert store.edits("bracket", 1) == [EDIT]
        assert store.run("bracket", 1).run.holes == 4
        assert len(store.holes("bracket", 1)) == 3, "the found holes stay as they were found"


def test_edits_are_replaced_as_a_whole_or_not_at_all(tmp_path: Path) -> None:
    folder = shop_of_0002(tmp_path / "shop")
    upgrade_store(folder)
    undone = replace(EDIT, undone_utc=now_utc(), undone_by="ben")
    with open_store(folder) as store:
        version = store.run("bracket", 1).version
        store.keep_edits("bracket", 1, RECORDING, [EDIT], lambda run: run, version=version)
        with pytest.raises(ConflictError):
            store.keep_edits("bracket", 1, RECORDING, [], lambda run: run, version=version)
        assert store.edits("bracket", 1) == [EDIT]
        store.keep_edits("bracket", 1, RECORDING, [undone, EDIT], lambda run: run)
        assert [edit.stands for edit in store.edits("bracket", 1)] == [False, True]
        assert store.edits("bracket", 1)[0] == undone
