"""The doctor looks at every part of a shop, and one that fails keeps no other from being seen."""

from __future__ import annotations

import shutil
import sys
import uuid
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import START, example_trial
from trials.logger import Journal, LineFormat, Mapping
from trials.store import Clock, Forwarder, Recording, now_utc, open_store, shop_folder
from trials.store._operation_rows import OperationRows
from trials.workbench import Workbench

NAME = "bracket"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    with open_store(shop_folder(folder)) as store:
        store.add_trial(example_trial(NAME))
        store.add_run(NAME, START)
    return folder


def seen(data: Path) -> dict[str, list[str]]:
    """What was found, by what was looked at: the outcome and the rest of its line."""
    found: dict[str, list[str]] = {}
    for line in holewise("doctor", data=data).out.splitlines()[1:]:
        outcome, _, rest = line.strip().partition(" ")
        what = next((one for one in PARTS if rest.strip().startswith(one)), "")
        found.setdefault(what, []).append(f"{outcome} {rest.strip().removeprefix(what).strip()}")
    return found


PARTS = ("extra postgres", "extra objects", "extra cluster", "extra metrics", "data folder",
         "disk space", "database", "tables", "object store", "traces", "journal", "loggers",
         "logger", "station", "dashboard", "clock", "sending")  # fmt: skip


def recording(data: Path, key: uuid.UUID | None = None) -> Recording:
    key = key or uuid.uuid4()
    form, mapping = LineFormat().to_dict(), Mapping.parse("load=load,time=t").to_dict()
    settings = {"line_format": form, "mapping": mapping}
    with Journal.create(data / "journals" / str(key), settings):
        pass
    return Recording(key, "live", "tcp://mill:1", form, mapping, f"journals/{key}")


def test_a_sound_shop(data: Path) -> None:
    found = seen(data)
    for part in ("extra metrics", "data folder", "disk space", "database", "tables", "traces",
                 "loggers", "dashboard", "clock"):  # fmt: skip
        assert found[part][0].startswith("ok"), found[part]


def test_a_recording_that_was_cut_off(data: Path) -> None:
    with open_store(shop_folder(data)) as store:
        store.start_recording(NAME, 1, recording(data))
    (told,) = seen(data)["logger"]
    assert told.startswith("look")
    assert f"holewise log {NAME} --run 1 --resume" in told


def test_a_journal_that_cannot_be_read_hides_no_other(data: Path) -> None:
    with open_store(shop_folder(data)) as store:
        store.start_recording(NAME, 1, recording(data))
        store.add_run(NAME, START)
        damaged = recording(data)
        store.start_recording(NAME, 2, damaged)
    for path in (data / str(damaged.journal)).iterdir():
        path.unlink()
    found = seen(data)
    assert found["journal"][0].startswith("bad")
    assert "--run 2" in found["journal"][0]
    assert "--run 1 --resume" in found["logger"][0]


def test_what_is_recorded_on_another_computer_is_not_called_cut_off(data: Path) -> None:
    with open_store(shop_folder(data)) as store:
        store.start_recording(NAME, 1, recording(data))
    shutil.rmtree(data / "journals")
    assert "logger" not in seen(data)


def test_what_is_recorded_at_a_station_is_its_station_s(tmp_path: Path, data: Path) -> None:
    office = tmp_path / "office"
    Workbench.open(office).close()
    with open_store(shop_folder(data)) as store:
        store.start_recording(NAME, 1, recording(data))
    with closing(Forwarder(shop_folder(data), str(office), station="mill 2")) as sender:
        sender.round()
    found = seen(office)
    assert "logger" not in found, "it is not for the office to resume it"
    assert found["station"][0].startswith("ok mill 2 sent last at"), found["station"]
    with Workbench.open(office) as bench:
        assert bench.ready().loggers == "ok"
        assert [one.name for one in bench.stations()] == ["mill 2"]
    assert "no process sends to the shop" in str(seen(data)["sending"])


def test_a_trace_that_is_gone(data: Path) -> None:
    gone = replace(recording(data), trace="traces/gone.parquet", trace_sha256="0" * 64)
    with open_store(shop_folder(data)) as store:
        store.start_recording(NAME, 1, gone)
    (told,) = seen(data)["traces"]
    assert told.startswith("look")
    assert "traces/gone.parquet" in told


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such rights")
def test_a_private_file_that_others_can_read(data: Path) -> None:
    with Workbench.open(data) as bench:
        bench.add_person("anna", "a-long-password", "editor")
    (data / "people.json").chmod(0o644)
    told = seen(data)["dashboard"]
    assert told[0].startswith("bad")
    assert "chmod 600" in told[0]


def test_a_clock_that_is_behind(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_store(shop_folder(data)) as store:
        assert store.clock().ahead_s == 0.0
    monkeypatch.setattr("trials.store._operation_rows.now_utc",
                        lambda: now_utc() - timedelta(hours=1))  # fmt: skip
    assert "in the future" in seen(data)["clock"][0]
    off = Clock(now_utc(), 0.0, 90.0)
    monkeypatch.setattr(OperationRows, "clock", lambda _: off)
    assert "the server's differs by 90 s" in seen(data)["clock"][0]


def test_one_part_that_fails_hides_no_other(data: Path) -> None:
    (data / "files.toml").write_text("url = 7")
    found = seen(data)
    assert found["traces"][0].startswith("bad")
    assert found["clock"][0].startswith("ok")
