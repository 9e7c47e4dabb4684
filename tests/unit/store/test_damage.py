"""A damaged database, a full disk, a busy store: told in words, and nothing is lost."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from tests.helpers.example_trial import START, example_trial
from trials.errors import HolewiseError, StoreError
from trials.store import ShopFolder, _engine, open_store, shop_folder


@pytest.fixture
def folder(tmp_path: Path) -> ShopFolder:
    found = shop_folder(tmp_path / "shop")
    with open_store(found) as store:
        for number in range(20):
            store.add_trial(example_trial(f"trial {number}", note="x" * 2000))
    return found


def test_rubbish_in_the_place_of_the_database_is_not_overwritten(tmp_path: Path) -> None:
    folder = shop_folder(tmp_path / "shop")
    rubbish = bytes(range(256)) * 40
    folder.database.write_bytes(rubbish)
    with pytest.raises(StoreError, match="not a database") as refused:
        open_store(folder)
    assert "\n" not in str(refused.value)
    assert "backups" in str(refused.value)
    assert folder.database.read_bytes() == rubbish


def test_damaged_pages_are_found_and_told(folder: ShopFolder) -> None:
    """Pages are overwritten; reading either says so or gives what was stored, never another."""
    whole = folder.database.read_bytes()
    rng = random.Random(7)
    found = 0
    for _ in range(30):
        spoiled = bytearray(whole)
        start = 4096 * rng.randrange(1, len(whole) // 4096)
        spoiled[start : start + 4096] = rng.randbytes(4096)
        folder.database.write_bytes(spoiled)
        try:
            with open_store(folder) as store:
                told = bool(store.damage())
                trials = store.trials()
                assert all(
                    stored.trial == example_trial(stored.trial.name, note="x" * 2000)
                    for stored in trials
                )
        except HolewiseError as error:
            told = "\n" not in str(error)
        found += told
    assert found == 30


def test_a_store_that_is_kept_busy_says_so(
    folder: ShopFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_engine, "BUSY_S", 0.1)
    with (
        open_store(folder) as store,
        closing(sqlite3.connect(folder.database, isolation_level=None)) as other,
    ):
        other.execute("BEGIN IMMEDIATE")
        assert len(store.trials()) == 20, "readers do not wait for a writer"
        with pytest.raises(StoreError, match="busy"):
            store.add_run("trial 1", START)
        other.execute("ROLLBACK")
        store.add_run("trial 1", START)


_FILL = """
import resource, signal, sys
from pathlib import Path
from tests.helpers.example_trial import example_trial
from trials.store import open_store, shop_folder
folder = shop_folder(Path(sys.argv[1]))
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
stored = 0
with open_store(folder) as store:
    resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))
    try:
        while True:
            store.add_trial(example_trial(f"more {stored}", note="y" * 5000))
            stored += 1
    except Exception as error:
        print(type(error).__name__, error)
    print(stored, len(store.trials()))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="file size limits are POSIX")
def test_a_full_disk_keeps_all_that_was_stored(folder: ShopFolder) -> None:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", _FILL, str(folder.path)],
        capture_output=True, text=True, check=False, timeout=120,
        cwd=Path(__file__).parents[3],
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told, counts = done.stdout.splitlines()
    assert told.startswith("StoreError ")
    assert "still there" in told
    stored, seen = (int(word) for word in counts.split())
    assert stored > 0
    assert seen == 20 + stored
    with open_store(folder) as store:
        assert len(store.trials()) == 20 + stored
        assert store.damage() == []


_WRITE = """
import sys
from pathlib import Path
from tests.helpers.example_trial import example_trial
from trials.store import open_store, shop_folder
with open_store(shop_folder(Path(sys.argv[1]))) as store:
    number = 0
    while True:
        store.add_trial(example_trial(f"killed {number}"))
        number += 1
        print(number, flush=True)
"""


def test_a_killed_writer_leaves_all_that_it_was_told_is_stored(folder: ShopFolder) -> None:
    rng = random.Random(3)
    for _ in range(3):
        with subprocess.Popen(
            [sys.executable, "-c", _WRITE, str(folder.path)], stdout=subprocess.PIPE, text=True,
            cwd=Path(__file__).parents[3],
        ) as process:  # fmt: skip
            assert process.stdout is not None
            told = 0
            for _ in range(rng.randrange(1, 30)):
                told = int(process.stdout.readline())
            process.kill()
            rest = process.stdout.read().split()
        told = int(rest[-1]) if rest else told
        with open_store(folder) as store:
            assert store.damage() == []
            names = {stored.trial.name for stored in store.trials()}
            assert {f"killed {number}" for number in range(told)} <= names
            assert len(names) <= 20 + told + 1
        for name in ("holewise.db", "holewise.db-wal", "holewise.db-shm"):
            (folder.path / name).unlink(missing_ok=True)
        with open_store(folder) as store:
            for number in range(20):
                store.add_trial(example_trial(f"trial {number}"))


def test_several_processes_open_a_new_folder_at_once(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from trials.store import open_store, shop_folder\n"
        "sys.stdin.readline()\n"
        "open_store(shop_folder(Path(sys.argv[1]))).close(); print('opened')"
    )
    started = [
        subprocess.Popen(
            [sys.executable, "-W", "error", "-c", code, str(tmp_path / "shop")],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(4)
    ]  # fmt: skip
    for process in started:
        assert process.stdin is not None
        process.stdin.write("\n")
        process.stdin.flush()
    ended = [process.communicate(timeout=60) for process in started]
    assert [out for out, _ in ended] == ["opened\n"] * 4, [err for _, err in ended]


_PLAN = """
import sys
from pathlib import Path
from tests.helpers.example_trial import START
from trials.store import open_store, shop_folder
with open_store(shop_folder(Path(sys.argv[1]))) as store:
    for _ in range(10):
        store.add_run("trial 0", START)
"""


def test_several_processes_write_at_once_and_lose_nothing(folder: ShopFolder) -> None:
    started = [
        subprocess.Popen([sys.executable, "-W", "error", "-c", _PLAN, str(folder.path)],
                         cwd=Path(__file__).parents[3])
        for _ in range(4)
    ]  # fmt: skip
    with open_store(folder) as store:
        for _ in range(10):
            store.add_run("trial 0", START)
        assert [process.wait(timeout=120) for process in started] == [0, 0, 0, 0]
        numbers = [stored.run.number for stored in store.runs("trial 0")]
    assert numbers == list(range(1, 51))
