"""``holewise journal``: what is whole, what was lost, and everything made again from it."""

from __future__ import annotations

import io
import shutil
from pathlib import Path

import pandas as pd
import pytest

from tests.helpers.command_line import Answer, holewise
from tests.helpers.invented_stream import serving, stream
from trials.cli.trial import TEMPLATE
from trials.logger import Arrival, Journal
from trials.workbench import Workbench

NAME = "bracket-8.5"
MAP = "load=load_pct,time=time_s"


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with a recorded run of 6 holes; made once, because it takes time."""
    place = tmp_path_factory.mktemp("recorded")
    folder, trial_file = place / "shop", place / "trial.toml"
    trial_file.write_text(TEMPLATE, encoding="utf-8")
    assert holewise("trial", "new", "--file", trial_file, data=folder).status == 0
    assert holewise("run", "new", NAME, data=folder).status == 0
    with serving(stream(6)) as server:
        server.release()
        server.end()
        logged = holewise(
            "log", NAME, "--source", server.url, "--format", "csv", "--map", MAP,
            "--no-reconnect", data=folder,
        )  # fmt: skip
    assert logged.status == 0, logged.err
    return folder


@pytest.fixture
def data(recorded: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    return Path(shutil.copytree(recorded, tmp_path / "shop"))


def journal(data: Path) -> Path:
    (folder,) = (data / "journals").iterdir()
    return folder


def trace(data: Path) -> Path:
    (path,) = (data / "traces").iterdir()
    return path


def asked(data: Path, keys: str, *arguments: str | Path) -> Answer:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.stdin", io.StringIO(keys))
        return holewise("journal", *arguments, data=data)


def test_a_whole_journal_is_whole(data: Path) -> None:
    for target in (NAME, journal(data)):
        answer = holewise("journal", "verify", target, "--run", "1", data=data)
        assert answer.status == 0, answer.err
        assert f"Recorded for run 1 of {NAME}" in answer.out
        assert f"{len(stream(6)):,} bytes from the source" in answer.out
        assert "closed in good order" in answer.out
        assert "every record has its checksum" in answer.out


def test_damage_is_named_with_its_place_and_what_was_lost(tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    places = []
    with Journal.create(folder, {"trial": "x", "run": 7}) as written:
        for number in range(10):
            places.append((folder / "segment-000001.journal").stat().st_size)
            second = 1_767_225_600 + number  # 2026-01-01 00:00:00 UTC
            written.append(b"t=%d;load=5\n" % number, Arrival(number, second * 10**9))
    segment = folder / "segment-000001.journal"
    raw = bytearray(segment.read_bytes())
    raw[places[4] + 40] ^= 0x10
    segment.write_bytes(raw[:-5])
    answer = holewise("journal", "verify", folder, data=tmp_path / "no shop")
    assert answer.status == 1
    assert "Recorded for run 7 of x" in answer.out
    assert f"segment 1, byte {places[4]}: checksum does not match" in answer.out
    assert "Lost: 1 record." in answer.out
    assert "between 00:00:03.000 and 00:00:05.000 UTC" in answer.out
    assert "Torn end: segment 1" in answer.out
    assert "not closed" in answer.out
    assert answer.out.count("DAMAGED") == 1
    assert not (tmp_path / "no shop").exists(), "looking makes no shop"


def test_the_same_settings_give_the_same_bytes(data: Path) -> None:
    before = trace(data).read_bytes()
    answer = holewise("journal", "rebuild", NAME, "--run", "1", data=data)
    assert answer.status == 0, answer.err
    assert "byte for byte" in answer.out
    assert "Nothing was replaced" in answer.out
    assert trace(data).read_bytes() == before
    assert not (data / "former").exists()


def test_a_trace_that_is_gone_or_damaged_is_made_again(data: Path) -> None:
    before = trace(data).read_bytes()
    flipped = bytearray(before)
    flipped[len(before) // 2] ^= 1
    trace(data).write_bytes(flipped)
    answer = asked(data, "y\n", "rebuild", NAME, "--run", "1")
    assert answer.status == 0, answer.err
    assert "this mends it" in answer.out
    assert trace(data).read_bytes() == before
    trace(data).unlink()
    assert asked(data, "", "rebuild", journal(data), "--yes").status == 0
    assert trace(data).read_bytes() == before


def test_new_settings_are_told_asked_and_the_former_kept(data: Path) -> None:
    before = trace(data).read_bytes()
    with Workbench.open(data) as bench:
        holes, samples = bench.holes(NAME, 1), bench.trace(NAME, 1)
    left = int((samples["load_pct"] <= 20.0).sum())
    half = ("rebuild", NAME, "--run", "1", "--map", "load=load_pct,unit=%,time=time_s,range=0..20")
    for keys, status in (("n\n", 0), ("\n", 0), ("", 1)):
        answer = asked(data, keys, *half)
        assert answer.status == status
        assert "mapping, load_range_pct: [0.0, 300.0] becomes [0.0, 20.0]" in answer.out
        assert f"samples: {len(samples)} becomes {left}" in answer.out
        assert "worn load, %: 42" in answer.out
        assert trace(data).read_bytes() == before
    assert not (data / "former").exists()
    answer = asked(data, "y\n", *half)
    assert answer.status == 0, answer.err
    assert "former" in answer.out
    with Workbench.open(data) as bench:
        assert len(bench.trace(NAME, 1)) == left
        assert bench.trace(NAME, 1)["load_pct"].max() <= 20.0
        assert bench.run(NAME, 1).holes == len(bench.holes(NAME, 1))
    (former,) = (data / "former").iterdir()
    assert (former / "trace.parquet").read_bytes() == before
    assert pd.read_csv(former / "holes.csv")["peak_pct"].tolist() == pytest.approx(
        holes["peak_pct"].tolist()
    )
    # And back again: the first settings give the first bytes.
    back = holewise("journal", "rebuild", NAME, "--run", "1", "--map", MAP, "--yes", data=data)
    assert back.status == 0, back.err
    assert trace(data).read_bytes() == before


def test_a_journal_from_elsewhere_becomes_a_file(data: Path, tmp_path: Path) -> None:
    copied = tmp_path / "copied"
    shutil.copytree(journal(data), copied)
    assert "--out" in holewise("journal", "rebuild", copied, data=data).err
    out = tmp_path / "samples.csv"
    answer = holewise("journal", "rebuild", copied, "--out", out, data=data)
    assert answer.status == 0, answer.err
    with Workbench.open(data) as bench:
        expected = bench.trace(NAME, 1)
    pd.testing.assert_frame_equal(pd.read_csv(out), expected)
    assert "there already" in holewise("journal", "rebuild", copied, "--out", out, data=data).err


def test_what_was_not_recorded_says_so(data: Path) -> None:
    assert holewise("run", "new", NAME, data=data).status == 0
    for command in ("verify", "rebuild"):
        answer = holewise("journal", command, NAME, "--run", "2", data=data)
        assert answer.status == 1
        assert answer.err.count("\n") == 1
    assert "nothing-here" in holewise("journal", "verify", "nothing-here", data=data).err
