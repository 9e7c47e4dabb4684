"""A shop whose traces and photos lie on an object store is the same shop, to the byte."""

from __future__ import annotations

import os
import shutil
import uuid
from pathlib import Path

import fsspec
import pytest

from tests.helpers.command_line import holewise
from tests.helpers.object_server import object_server
from tests.helpers.postgres import PostgresServer
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import ConflictError, StoreError
from trials.store import shop_folder
from trials.workbench import Workbench


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("filled")
    fill_shop(folder / "shop", folder)
    return folder / "shop"


@pytest.fixture
def shop(filled: Path, tmp_path: Path) -> Path:
    return shutil.copytree(filled, tmp_path / "shop")


@pytest.fixture
def place() -> str:
    return f"memory://shop-{uuid.uuid4().hex}"


def package(shop: Path, file: Path) -> bytes:
    with Workbench.open(shop, create=False) as bench:
        bench.export(NAME, file, replace=True)
    return file.read_bytes()


def without_own_files(shop: Path) -> None:
    for folder in ("traces", "photos", "cache"):
        shutil.rmtree(shop / folder, ignore_errors=True)


def unused_for_an_hour(shop: Path) -> None:
    for path in [*shop.glob("traces/*"), *shop.glob("photos/*")]:
        os.utime(path, (path.stat().st_mtime - 3600,) * 2)


def sent(shop: Path, place: str) -> None:
    with Workbench.open(shop) as bench:
        bench.use_objects(place)
        done = bench.send_files()
        assert done.sent > 0
        assert bench.send_files().sent == 0, "nothing is sent twice"
        assert bench.files_waiting() == (0, ())


def test_what_lies_there_is_read_as_if_it_were_here(shop: Path, tmp_path: Path, place: str) -> None:
    before = package(shop, tmp_path / "before.zip")
    with Workbench.open(shop) as bench:
        run = bench.recorded_runs(NAME)[0]
        trace, picture = bench.trace(NAME, run), bench.overlay(NAME, run)
    sent(shop, place)
    without_own_files(shop)
    with Workbench.open(shop) as bench:
        assert bench.trace(NAME, run).equals(trace)
        assert bench.overlay(NAME, run).load_pct == picture.load_pct
        assert len(list((shop / "cache" / "traces").iterdir())) == 1
    assert package(shop, tmp_path / "after.zip") == before
    with Workbench.open(shop) as bench:
        shutil.rmtree(shop / "cache")
        assert bench.find_all_again(workers=1, fresh=True).problems == ()
    assert package(shop, tmp_path / "again.zip") == before


def test_everything_comes_back(shop: Path, tmp_path: Path, place: str) -> None:
    before = package(shop, tmp_path / "before.zip")
    sent(shop, place)
    without_own_files(shop)
    with Workbench.open(shop) as bench:
        assert bench.use_no_objects() > 0
        with pytest.raises(ConflictError, match="here already"):
            bench.use_no_objects()
        with pytest.raises(ConflictError, match="Name one first"):
            bench.send_files()
    assert not (shop / "files.toml").exists()
    assert package(shop, tmp_path / "after.zip") == before


def test_a_damaged_object_is_never_read(shop: Path, tmp_path: Path, place: str) -> None:
    sent(shop, place)
    without_own_files(shop)
    fs, root = fsspec.core.url_to_fs(place)
    path = next(iter(fs.find(f"{root}/traces")))
    content = fs.cat_file(path)
    fs.pipe_file(path, content[:100] + bytes([content[100] ^ 1]) + content[101:])
    with pytest.raises(StoreError, match="changed or damaged since it was sent"):
        package(shop, tmp_path / "after.zip")


def test_a_place_that_is_away_harms_nothing_here(shop: Path, tmp_path: Path) -> None:
    away = tmp_path / "share"
    before = package(shop, tmp_path / "before.zip")
    with Workbench.open(shop) as bench:
        bench.use_objects(str(away))
        shutil.rmtree(away)
        away.write_text("unmounted: no folder")
        with pytest.raises(StoreError):
            bench.send_files()
    assert package(shop, tmp_path / "after.zip") == before
    away.unlink()
    sent(shop, str(away))
    without_own_files(shop)
    # What was read once stays readable while the place is away.
    assert package(shop, tmp_path / "cached.zip") == before
    away.rename(tmp_path / "gone")
    assert package(shop, tmp_path / "cached.zip") == before
    shutil.rmtree(shop / "cache")
    with pytest.raises(StoreError, match="is not there"):
        package(shop, tmp_path / "nothing.zip")


def test_old_copies_make_room_only_when_they_can_be_read_there(
    shop: Path, tmp_path: Path, place: str
) -> None:
    before = package(shop, tmp_path / "before.zip")
    sent(shop, place)
    with Workbench.open(shop) as bench:
        bench.use_objects(place, keep_gib=1e-9)
        here = len([*(shop / "traces").iterdir(), *(shop / "photos").iterdir()])
        fs, root = fsspec.core.url_to_fs(place)
        kept = next(iter(fs.find(f"{root}/traces")))
        content = fs.cat_file(kept)
        fs.pipe_file(kept, b"?" * len(content))
        assert bench.send_files().let_go == 0, "what was used a moment ago stays"
        unused_for_an_hour(shop)
        assert bench.send_files().let_go == here - 1
        fs.pipe_file(kept, content)
        assert bench.send_files().let_go == 1
    assert list((shop / "traces").iterdir()) == []
    assert package(shop, tmp_path / "after.zip") == before


def test_a_backup_is_whole_or_leaves_what_lies_there(
    shop: Path, tmp_path: Path, place: str
) -> None:
    before = package(shop, tmp_path / "before.zip")
    sent(shop, place)
    without_own_files(shop)
    with Workbench.open(shop) as bench:
        bench.back_up_shop(tmp_path / "whole")
        bench.back_up_shop(tmp_path / "light", leave_objects=True)
    Workbench.restore(tmp_path / "whole", tmp_path / "restored")
    assert not (tmp_path / "restored" / "files.toml").exists()
    assert package(tmp_path / "restored", tmp_path / "restored.zip") == before
    assert list((tmp_path / "light").glob("traces/*")) == []
    assert package(tmp_path / "light", tmp_path / "light.zip") == before
    Workbench.restore(tmp_path / "light", tmp_path / "again")
    assert package(tmp_path / "again", tmp_path / "again.zip") == before
    fs, root = fsspec.core.url_to_fs(place)
    fs.rm(f"{root}/traces", recursive=True)
    with Workbench.open(shop) as bench:
        shutil.rmtree(shop / "cache")
        with pytest.raises(StoreError, match="does not match what the database says"):
            bench.back_up_shop(tmp_path / "light", leave_objects=True)
        bench.back_up_shop(tmp_path / "whole")  # the last backup has them


def test_a_station_sends_to_the_shops_object_store(
    shop: Path, tmp_path: Path, postgres: PostgresServer, place: str
) -> None:
    before = package(shop, tmp_path / "before.zip")
    address = postgres.new_database()
    Workbench.use_server(tmp_path / "office", address)
    with Workbench.open(tmp_path / "office") as bench:
        bench.use_objects(place)
    done = Workbench.forward(shop, address, files=place, once=True, station="mill 2")
    assert (done.sent > 0, done.waiting) == (True, 0)
    assert package(tmp_path / "office", tmp_path / "office.zip") == before
    with Workbench.open(tmp_path / "office") as bench:
        assert bench.files_waiting() == (0, ())


def test_by_command_over_the_s3_protocol(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with object_server(monkeypatch) as server:
        fsspec.filesystem("s3", use_listings_cache=False).mkdir("shop")
        before = package(shop, tmp_path / "before.zip")
        done = holewise("files", "show", data=shop)
        assert "All traces and photos are in" in done.out
        done = holewise("files", "use", "s3://shop/mill", data=shop)
        assert done.status == 0, done.err
        assert "invented" not in (shop / "files.toml").read_text(), "no key in our files"
        done = holewise("files", "show", data=shop)
        assert "wait to be sent" in done.out
        done = holewise("doctor", data=shop)
        assert "s3://shop/mill" in done.out
        done = holewise("files", "send", data=shop)
        assert "files sent" in done.out, done.err
        without_own_files(shop)
        assert package(shop, tmp_path / "after.zip") == before
        server.stop()
        done = holewise("files", "send", data=shop)
        assert (done.status, "cannot be reached" in done.err) == (1, True)
        done = holewise("doctor", data=shop)
        assert "cannot be reached" in done.out
        server.start()
        done = holewise("files", "use", "folder", data=shop)
        assert "fetched" in done.out, done.err


def test_another_computers_files_are_named_until_they_come(
    shop: Path, tmp_path: Path, place: str
) -> None:
    with Workbench.open(shop) as bench:
        bench.use_objects(place)
        name = next((shop / "traces").iterdir()).name
        (shop / "traces" / name).unlink()
        done = bench.send_files()
        assert done.nowhere == (f"traces/{name}",)
        with pytest.raises(StoreError, match=r"holewise files send"):
            package(shop, tmp_path / "after.zip")


def test_the_place_is_read_with_care(shop: Path) -> None:
    path = shop_folder(shop).files_address
    for text in ("url = 7", "nonsense", 'url = "s3://key:secret@bucket"'):
        path.write_text(text)
        with Workbench.open(shop) as bench, pytest.raises(StoreError, match="say it anew") as told:
            bench.files_waiting()
        assert "secret" not in str(told.value)


@pytest.fixture(autouse=True)
def _private_keys(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Keys of whoever runs the tests are never used."""
    for name in [one for one in os.environ if one.startswith(("AWS_", "FSSPEC_"))]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("AWS_CONFIG_FILE", str(tmp_path / "none"))
