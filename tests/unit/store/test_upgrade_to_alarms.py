"""A shop of revision 0001, with data in it, comes up to date whole; alarms are kept then."""

from __future__ import annotations

import io
import uuid
from pathlib import Path

import pandas as pd
import pytest
from alembic import command

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream
from trials.errors import StoreError
from trials.holes import find_holes
from trials.store import (
    Recording,
    ShopFolder,
    StoredAlarm,
    open_store,
    shop_folder,
    upgrade_store,
)
from trials.store import _schema as schema
from trials.store._engine import Database

RECORDING = uuid.UUID("11111111-2222-3333-4444-555555555555")


def holes() -> pd.DataFrame:
    return find_holes(pd.read_csv(io.BytesIO(stream(3))))


def shop_of_0001(path: Path) -> ShopFolder:
    """A shop as the first program left it: a trial, and a recorded run with holes and a gap."""
    folder = shop_folder(path)
    with open_store(folder) as store:
        store.add_trial(example_trial())
        store.add_run("bracket", START)
        store.start_recording("bracket", 1, Recording(RECORDING, "live", "tcp://mill:1"))
        found = store.recordings("bracket", 1)[0]
        store.finish_recording("bracket", 1, found, holes(), [(1.0, 2.0, "link")], lambda run: run)
    database = Database(folder.url)
    config = schema._config()
    with database.writing() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, "0001")
    database.close()
    return folder


def test_data_of_the_first_revision_stay_and_alarms_can_be_kept(tmp_path: Path) -> None:
    folder = shop_of_0001(tmp_path / "shop")
    with pytest.raises(StoreError, match="doctor --upgrade"):
        open_store(folder)
    done = upgrade_store(folder)
    assert (done.before, done.after) == ("0001", schema.HEAD)
    assert done.backup is not None
    with open_store(folder) as store:
        assert store.trial("bracket").trial == example_trial()
        pd.testing.assert_frame_equal(store.holes("bracket", 1), holes(), check_dtype=False)
        assert len(store.holes("bracket", 1)) == 3
        assert store.gaps("bracket", 1) == [(1.0, 2.0, "link")]
        assert store.alarms("bracket", 1) == []
        store.raise_alarm(RECORDING, StoredAlarm(1, "over_limit", "Look.", 5.0, 1, 81.0))
        assert [alarm.text for alarm in store.alarms("bracket", 1)] == ["Look."]


def test_an_alarm_stands_until_it_is_acknowledged(tmp_path: Path) -> None:
    with open_store(shop_of_0001_upgraded(tmp_path)) as store:
        store.raise_alarm(RECORDING, StoredAlarm(1, "over_limit", "Over.", 5.0, None, 81.0))
        store.raise_alarm(RECORDING, StoredAlarm(2, "stale", "Silent.", 6.0))
        store.end_alarm(RECORDING, 1)
        store.end_alarm(RECORDING, 2)
        over, stale = store.alarms("bracket", 1)
        assert over.over_utc is not None
        assert (over.standing, stale.standing) == (True, False), "a link that is back is no alarm"
        assert store.acknowledge_alarms("bracket", 1, "screen") == 1
        over, stale = store.alarms("bracket", 1)
        assert (over.standing, over.acknowledged_by) == (False, "screen")
        assert stale.acknowledged_utc is None
        assert store.acknowledge_alarms("bracket", 1, "screen") == 0


def shop_of_0001_upgraded(tmp_path: Path) -> ShopFolder:
    folder = shop_of_0001(tmp_path / "shop")
    upgrade_store(folder)
    return folder
