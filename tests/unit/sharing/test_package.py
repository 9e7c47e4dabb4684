"""Packages: the same bytes for the same trial, and every change of one is noticed."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from tests.helpers.pictures import picture, with_place
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import ConflictError, InputError
from trials.sharing import open_package, verify_package
from trials.sharing.package_format import TABLES
from trials.sharing.package_words import FIELD_MEANS
from trials.sharing.package_write import SEAL, seal
from trials.workbench import Workbench

Files = dict[str, bytes]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    fill_shop(folder, tmp_path_factory.mktemp("scratch"))
    return folder


@pytest.fixture(scope="module")
def package(shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("out") / "bracket.zip"
    with Workbench.open(shop) as bench:
        bench.export(NAME, path, licence="CC-BY-4.0")
    return path


def forged(package: Path, tmp_path: Path, change: Callable[[Files], None], **how: object) -> Path:
    """The package changed, with the seal of the whole file made anew."""
    with zipfile.ZipFile(package) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    change(files)
    path = tmp_path / "forged.zip"
    with zipfile.ZipFile(path, "w", how.get("compression", zipfile.ZIP_STORED)) as archive:  # type: ignore[arg-type]  # one of zipfile's numbers
        archive.comment = SEAL + b"0" * 64
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = archive.compression
            archive.writestr(entry, content)
    seal(path)
    return path


def with_checksums(files: Files) -> None:
    """Make the checksums inside anew, as somebody would who wants to deceive."""
    import hashlib

    found = json.loads(files["datapackage.json"])
    for resource in found["resources"]:
        content = files[resource["path"]]
        resource["hash"] = "sha256:" + hashlib.sha256(content).hexdigest()
        resource["bytes"] = len(content)
    files["datapackage.json"] = json.dumps(found).encode()


def test_the_same_trial_gives_the_same_bytes(shop: Path, package: Path, tmp_path: Path) -> None:
    with Workbench.open(shop) as bench:
        bench.export(NAME, tmp_path / "again.zip", licence="CC-BY-4.0")
    assert (tmp_path / "again.zip").read_bytes() == package.read_bytes()


def test_nothing_is_written_over_unasked(shop: Path, tmp_path: Path) -> None:
    path = tmp_path / "kept.zip"
    path.write_bytes(b"mine")
    with Workbench.open(shop) as bench:
        with pytest.raises(ConflictError, match="--replace"):
            bench.export(NAME, path)
        assert path.read_bytes() == b"mine"
        bench.export(NAME, path, replace=True)
    verify_package(path)


def test_a_recording_under_way_is_not_packed(tmp_path: Path) -> None:
    from trials.store import Recording

    fill_shop(tmp_path / "shop", tmp_path)
    with Workbench.open(tmp_path / "shop") as bench:
        import uuid

        bench._shop.store.start_recording(NAME, 3, Recording(uuid.uuid4(), "live", "tcp://x:1"))
        with pytest.raises(ConflictError, match="run 3"):
            bench.export(NAME, tmp_path / "out.zip")
    assert not (tmp_path / "out.zip").exists()


def test_tables_open_in_a_spreadsheet(package: Path) -> None:
    with zipfile.ZipFile(package) as archive:
        runs = pd.read_csv(io.BytesIO(archive.read("runs.csv")))
        holes = pd.read_csv(io.BytesIO(archive.read("holes.csv")))
        found = pd.read_csv(io.BytesIO(archive.read("holes_found.csv")))
        trace = pd.read_parquet(io.BytesIO(archive.read("traces/run-0001-1.parquet")))
        wear = archive.read("wear.csv").decode()
        readme = archive.read("README.txt").decode()
    assert list(runs["end"].fillna("")) == ["worn", "stopped", ""]
    assert (len(holes[holes["run"] == 1]), len(found)) == (5, 6), "one hole was merged away"
    assert list(trace.columns) == ["time_s", "load_pct", "rpm", "depth_mm"]
    assert "'- even" in wear, "a text that a spreadsheet would run is marked"
    assert "Invented demonstration data" in readme
    assert "CC-BY-4.0" in readme


def test_every_column_has_its_meaning_and_unit(package: Path) -> None:
    with zipfile.ZipFile(package) as archive:
        found = json.loads(archive.read("datapackage.json"))
    fields = {
        field["name"]: field
        for resource in found["resources"]
        for field in resource.get("schema", {}).get("fields", [])
    }
    assert {name for name in fields if name not in FIELD_MEANS} == set()
    # UCUM codes as the standard writes them (https://ucum.org): annotations in braces.
    assert fields["speed_m_per_min"]["unit"] == "m/min"
    assert fields["feed_mm_per_rev"]["unit"] == "mm/{rev}"
    assert fields["area_pct_s"]["unit"] == "%.s"
    assert fields["point_angle_deg"]["unit"] == "deg"
    assert "unit" not in fields["price"]


def test_a_photo_goes_along_and_nothing_that_was_beside_it(package: Path) -> None:
    data = package.read_bytes()
    for secret in (b"SECRET", b"Exif", b"ARTIST"):
        assert secret not in data
    with open_package(package) as found:
        (row,) = found.rows("photos")
        picture = found.photo_bytes(row["sha256"])
    assert (row["run"], row["hole"], row["note"], row["who"]) == (1, 5, "=corner", "carla")
    assert picture in data


def test_photos_that_are_left_out_are_in_no_byte(shop: Path, package: Path, tmp_path: Path) -> None:
    with open_package(package) as found:
        (row,) = found.rows("photos")
        picture = found.photo_bytes(row["sha256"])
    with Workbench.open(shop) as bench:
        bench.export(NAME, tmp_path / "bare.zip", remove=["photos"])
    bare = (tmp_path / "bare.zip").read_bytes()
    assert picture[:200] in package.read_bytes()
    for part in (picture[:200], picture[-200:], row["sha256"].encode(), b"carla", b"photos/"):
        assert part not in bare.replace(b"photos/ holds", b"")


def test_values_come_back_as_they_were(shop: Path, package: Path) -> None:
    with Workbench.open(shop) as bench:
        trial, runs = bench.trial(NAME), bench.runs(NAME)
    with open_package(package) as found:
        assert found.trial() == trial
        assert found.licence == "CC-BY-4.0"
        rows = list(found.rows("runs"))
        assert [row["note"] for row in rows] == [run.note for run in runs]
        assert [row["load_fresh_pct"] for row in rows] == [run.load_fresh_pct for run in runs]
        assert next(iter(found.rows("edits")))["made_by"] == "anna"


def test_every_flipped_bit_is_noticed(package: Path, tmp_path: Path) -> None:
    whole = package.read_bytes()
    copy = tmp_path / "copy.zip"
    for place in range(0, 8 * len(whole), 8 * len(whole) // 400):
        flipped = bytearray(whole)
        flipped[place // 8] ^= 1 << place % 8
        copy.write_bytes(flipped)
        with pytest.raises(InputError):
            verify_package(copy)


def test_cut_off_and_packed_again_are_told(package: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.zip"
    copy.write_bytes(package.read_bytes()[:-100])
    with pytest.raises(InputError, match="cut off or packed again"):
        verify_package(copy)
    with pytest.raises(InputError, match="cannot be read"):
        verify_package(tmp_path / "absent.zip")


def _line(files: Files, name: str, change: Callable[[list[list[str]]], None]) -> None:
    rows = list(csv.reader(io.StringIO(files[name].decode(), newline="")))
    change(rows)
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerows(rows)
    files[name] = text.getvalue().encode()


def _cell(name: str, column: str, text: str) -> Callable[[Files], None]:
    def change(files: Files) -> None:
        def put(rows: list[list[str]]) -> None:
            rows[1][rows[0].index(column)] = text

        _line(files, name, put)
        with_checksums(files)

    return change


def _row(name: str, **cells: str) -> Callable[[Files], None]:
    """A row added to one of the tables that somebody who answers fills in."""
    usual = {
        "uuid": "11111111-2222-4333-8444-555555555555", "made_by": "x",
        "made_utc": "2026-03-01T12:00:00.000000Z", "speed_m_per_min": "80.0",
        "feed_mm_per_rev": "0.1", "peck_mode": "none", "peck_depth_xd": "1.0",
        "breakthrough_feed_factor": "1.0", "breakthrough_mm": "0.0",
    }  # fmt: skip

    def change(files: Files) -> None:
        _line(files, name, lambda rows: rows.append(
            [(usual | cells).get(column, "") for column in rows[0]]
        ))  # fmt: skip
        with_checksums(files)

    return change


def _photo(change: Callable[[bytes], bytes]) -> Callable[[Files], None]:
    """The photo changed, and everything that is said of it made to fit."""

    def forge(files: Files) -> None:
        import hashlib

        (name,) = [one for one in files if one.startswith("photos/")]
        data = change(files.pop(name))
        digest = hashlib.sha256(data).hexdigest()
        files[f"photos/{digest}.jpg"] = data
        for other in ("photos.csv", "datapackage.json"):
            files[other] = files[other].replace(name[7:71].encode(), digest.encode())
        with_checksums(files)

    return forge


def _claims(data: bytes, width: int, height: int) -> bytes:
    """The same JPEG saying that it is larger (its frame header, ITU-T T.81, B.2.2)."""
    at = data.index(b"\xff\xc0")
    return data[: at + 5] + height.to_bytes(2, "big") + width.to_bytes(2, "big") + data[at + 9 :]


HOSTILE: dict[str, tuple[Callable[[Files], None], str]] = {
    "a path out of the folder": (lambda f: f.update({"../evil.csv": b"x"}), "name of a file"),
    "an absolute path": (lambda f: f.update({"/etc/passwd": b"x"}), "name of a file"),
    "a program": (lambda f: f.update({"run.pkl": b"\x80\x04."}), "name of a file"),
    "a file that is not listed": (lambda f: f.update({"more.csv": b"x"}), "other files"),
    "a missing table": (lambda f: f.pop("runs.csv") and None, "without runs.csv"),
    "a forged checksum": (lambda f: f.update({"gaps.csv": b"run\r\n"}), "checksum"),
    "a formula": (_cell("runs.csv", "note", "=HYPERLINK(A1)"), "formula"),
    "an enormous number": (_cell("holes.csv", "peak_pct", "1e300"), "finite number"),
    "not a number": (_cell("holes.csv", "peak_pct", "nan"), "a number"),
    "digits without end": (_cell("runs.csv", "holes", "9" * 5000), "whole number"),
    "a wrong type": (_cell("runs.csv", "holes", "many"), "whole number"),
    "an absent value": (_cell("runs.csv", "holes", ""), "nothing"),
    "deep JSON": (_cell("recordings.csv", "counters", "[" * 90_000), "recordings.csv"),
    "a huge text": (_cell("runs.csv", "note", "x" * 120_000), "120,000 characters"),
    "a proposal that is enormous": (
        _row("proposals.csv", drill="plain", speed_m_per_min="1e300"),
        "finite number",
    ),
    "a proposal of an enormous speed": (
        _row("proposals.csv", drill="plain", speed_m_per_min="90000"),
        "at most 2000 m/min",
    ),
    "a proposal that is a formula": (
        _row("proposals.csv", drill="plain", why="=cmd|' /C calc'!A0"),
        "formula",
    ),
    "a proposal for no drill": (_row("proposals.csv", drill="another"), "plain, coated"),
    "a proposal of another pecking": (
        _row("proposals.csv", drill="plain", peck_mode="sideways"),
        "one of none",
    ),
    "a remark that is a formula": (_row("remarks.csv", text="@SUM(1+1)"), "formula"),
    "a remark of no run": (_row("remarks.csv", text="x", run="99"), "a run of the package"),
    "a remark without end": (_row("remarks.csv", text="x" * 6000), "6,000 characters"),
    "a remark with a wrong key": (_row("remarks.csv", text="x", uuid="../x"), "UUID"),
    "a photo that is a formula": (_cell("photos.csv", "note", "=1+1"), "formula"),
    "a photo of a false size": (_cell("photos.csv", "width_px", "7"), "7 × 240"),
    "a photo elsewhere": (_cell("photos.csv", "sha256", "../../x"), "photos that are in"),
    "a photo with a place": (_photo(lambda _: picture(exif=with_place())), "beside the picture"),
    "a photo with a comment": (
        _photo(lambda data: data[:2] + b"\xff\xfe\x00\x08SECRET" + data[2:]),
        "part FE",
    ),
    "a photo with a file behind it": (
        _photo(lambda data: data + b"PK\x03\x04"),
        "not a whole JPEG",
    ),
    "a photo that is none": (_photo(lambda _: b"\x80\x04cos\nsystem\n."), "not a whole JPEG"),
    "a photo cut in the middle": (
        _photo(lambda data: data[:400] + b"\xff\xd9"),
        "no picture|cut off",
    ),
    "a photo of another kind": (_photo(lambda _: picture(kind="PNG")), "not a whole JPEG"),
    "a bomb of a photo": (_photo(lambda data: _claims(data, 60_000, 60_000)), "million pixels"),
    "a false count": (_cell("recordings.csv", "samples", "7"), "samples"),
}


@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_packages_are_refused_with_the_reason(
    what: str, package: Path, tmp_path: Path
) -> None:
    change, reason = HOSTILE[what]
    path = forged(package, tmp_path, change)
    with pytest.raises(InputError, match=reason):
        verify_package(path)


def test_a_trace_that_is_no_trace_is_refused(package: Path, tmp_path: Path) -> None:
    def change(files: Files) -> None:
        files["traces/run-0001-1.parquet"] = b"PAR1" + bytes(2000) + b"PAR1"
        with_checksums(files)

    with pytest.raises(InputError, match="not a trace"):
        verify_package(forged(package, tmp_path, change))


def test_a_compressed_archive_is_refused(package: Path, tmp_path: Path) -> None:
    bomb = forged(package, tmp_path, lambda _: None, compression=zipfile.ZIP_DEFLATED)
    with pytest.raises(InputError, match="packed in another way"):
        verify_package(bomb)


def test_what_this_test_changes_is_the_reason(package: Path, tmp_path: Path) -> None:
    assert verify_package(forged(package, tmp_path, with_checksums)).plain["name"] == NAME
    assert set(TABLES) >= {"runs", "holes"}
