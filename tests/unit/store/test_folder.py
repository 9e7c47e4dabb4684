"""Where the shop's folder is, and what is said when it cannot be used."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from trials.errors import StoreError
from trials.store import open_store, shop_folder


def test_the_argument_goes_before_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOLEWISE_DATA", str(tmp_path / "environment"))
    assert shop_folder(tmp_path / "argument").path == tmp_path / "argument"
    assert shop_folder().path == tmp_path / "environment"


def test_without_both_it_is_the_platform_s(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("HOLEWISE_DATA", raising=False)
    monkeypatch.setattr("platformdirs.user_data_dir", lambda *_a, **_k: str(tmp_path / "platform"))
    assert shop_folder().path == tmp_path / "platform"


def test_a_folder_that_is_absent_is_made_only_when_asked(tmp_path: Path) -> None:
    wanted = tmp_path / "a" / "b"
    with pytest.raises(StoreError, match="does not exist") as refused:
        shop_folder(wanted, create=False)
    assert str(wanted) in str(refused.value)
    assert not wanted.exists()
    wanted.mkdir(parents=True)
    with pytest.raises(StoreError, match="no database of Holewise"):
        shop_folder(wanted, create=False)
    assert list(wanted.iterdir()) == []
    shop_folder(wanted)
    assert {part.name for part in wanted.iterdir()} == {"traces", "journals", "locks"}


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("keep me")
    with pytest.raises(StoreError, match="this is a file"):
        shop_folder(file)
    with pytest.raises(StoreError, match=r"notes\.txt"):
        shop_folder(file / "below")
    assert file.read_text() == "keep me"


_OPEN = """
import os, sys
from pathlib import Path
from trials.store import open_store, shop_folder
if os.getuid() == 0:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
try:
    open_store(shop_folder(Path(sys.argv[1])))
except Exception as error:
    print(type(error).__name__, error)
else:
    print("opened")
"""


def test_a_folder_that_may_only_be_read_is_refused(tmp_path: Path) -> None:
    """Root may write everywhere, so under root the child becomes the user ``nobody`` first."""
    folder = shop_folder(tmp_path / "shop")
    open_store(folder).close()
    content = folder.database.read_bytes()
    for part in (folder.path, *folder.path.rglob("*")):
        part.chmod(0o555 if part.is_dir() else 0o444)
    above = []
    for parent in folder.path.parents:
        if parent.stat().st_uid == os.getuid() and not parent.stat().st_mode & 0o005:
            above.append((parent, parent.stat().st_mode))
            parent.chmod(parent.stat().st_mode | 0o005)
    try:
        done = subprocess.run(
            [sys.executable, "-W", "error", "-c", _OPEN, str(folder.path)],
            capture_output=True, text=True, check=False, timeout=60,
        )  # fmt: skip
    finally:
        for part in (folder.path, *folder.path.rglob("*")):
            part.chmod(0o755 if part.is_dir() else 0o644)
        for parent, mode in above:
            parent.chmod(mode)
    assert done.stdout.startswith("StoreError "), done.stderr
    assert str(folder.path) in done.stdout
    assert "--data" in done.stdout
    assert done.stdout.strip().count("\n") == 0
    assert folder.database.read_bytes() == content


def test_a_name_that_points_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    folder = shop_folder(tmp_path / "shop")
    assert folder.inside("traces/x.parquet") == folder.traces / "x.parquet"
    for bad in ("../x", "/etc/passwd", "traces/../../x"):
        with pytest.raises(StoreError, match="inside the data folder"):
            folder.inside(bad)


def test_a_lost_database_is_not_replaced_by_an_empty_one(tmp_path: Path) -> None:
    folder = shop_folder(tmp_path / "shop")
    open_store(folder).close()
    (folder.traces / "x.parquet").write_bytes(b"")
    for name in ("holewise.db", "holewise.db-wal", "holewise.db-shm"):
        (folder.path / name).unlink(missing_ok=True)
    with pytest.raises(StoreError, match="backups"):
        open_store(folder)
    folder.database.touch()
    with pytest.raises(StoreError, match="absent or empty"):
        open_store(folder)
