"""``holewise holes``: any file, a run, and mending by command."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from tests.helpers.command_line import Answer, holewise
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import CUT_S, LEAD_S, PERIOD_S, stream, written
from trials.holes import COLUMNS, find_holes
from trials.sharing import trial_toml
from trials.workbench import WEAR_STAYS, Workbench

NAME = "bracket"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "shop"


@pytest.fixture
def shop(data: Path, tmp_path: Path) -> Path:
    """A shop with a run of eight holes."""
    with Workbench.open(data) as bench:
        bench.new_trial(example_trial(NAME))
        bench.plan_run(NAME, START)
        bench.import_trace(NAME, 1, written(tmp_path, stream(8)))
    return data


def refused(answer: Answer, *words: str) -> None:
    """One paragraph for the user, and status 1."""
    assert answer.status == 1
    assert answer.err.count("\n") == 1
    for word in words:
        assert word in answer.err


def test_a_file_needs_no_trial_and_gives_what_the_library_gives(data: Path, tmp_path: Path) -> None:
    path, out = written(tmp_path, stream(6)), tmp_path / "holes.csv"
    answer = holewise("holes", path, "--out", out, data=data)
    assert answer.status == 0, answer.err
    assert "6 holes" in answer.out
    assert "100 %" in answer.err, "progress is told, apart from the result"
    assert not data.exists(), "nothing is stored for it"
    found, same = pd.read_csv(out), find_holes(pd.read_csv(path))
    assert tuple(found.columns) == COLUMNS
    for name in ("start_s", "end_s", "peak_pct", "mean_pct", "cut_s", "pecks"):
        assert found[name].to_numpy() == pytest.approx(same[name].to_numpy(), rel=1e-5), name


def test_what_is_expected_can_come_from_a_trial_file(data: Path, tmp_path: Path) -> None:
    trial = tmp_path / "trial.toml"
    trial.write_text(trial_toml(example_trial()), encoding="utf-8")
    path = written(tmp_path, stream(6))
    answer = holewise("holes", "--expected", trial, path, data=data)
    assert answer.status == 0, answer.err
    assert "6 holes" in answer.out
    refused(holewise("holes", path, "--expected", tmp_path / "no.toml", data=data), "no.toml")


def test_a_file_that_is_there_is_not_overwritten_unless_told(data: Path, tmp_path: Path) -> None:
    path, out = written(tmp_path, stream(4)), tmp_path / "holes.csv"
    out.write_text("mine")
    refused(holewise("holes", path, "--out", out, data=data), "--overwrite", "holes.csv")
    assert out.read_text() == "mine"
    assert holewise("holes", path, "--out", out, "--overwrite", data=data).status == 0
    assert len(pd.read_csv(out)) == 4
    assert [p.name for p in tmp_path.glob("*partial*")] == []


def test_a_bad_line_is_named_and_can_be_left_out(data: Path, tmp_path: Path) -> None:
    lines = stream(4).decode().splitlines()
    lines[400] = "8.0,rubbish"
    path, out = tmp_path / "bad.csv", tmp_path / "holes.csv"
    path.write_text("\n".join(lines) + "\n")
    refused(holewise("holes", path, "--out", out, data=data), "line 401", "rubbish")
    assert not out.exists()
    answer = holewise("holes", path, "--out", out, "--skip-bad-lines", data=data)
    assert answer.status == 0
    assert "1 rejected" in answer.out


def test_a_file_that_is_not_there_is_not_taken_for_a_trial(data: Path) -> None:
    refused(holewise("holes", "nowhere.csv", data=data), "nowhere.csv", "no such file")
    refused(holewise("holes", "nobody", data=data), "nobody")


def test_the_holes_of_a_run_are_plain_when_piped(shop: Path) -> None:
    answer = holewise("holes", NAME, "--run", 1, data=shop)
    assert answer.status == 0, answer.err
    rows = [line for line in answer.out.splitlines() if line[:1].isdigit()]
    assert [row.split()[0] for row in rows] == [str(number) for number in range(1, 9)]
    assert "\x1b" not in answer.out
    assert "│" not in answer.out
    assert "Peak load: too few holes to say: 8 of 12." in answer.out
    assert holewise("holes", "list", NAME, "--run", 1, data=shop).out == answer.out


def test_mending_by_command_and_back(shop: Path) -> None:
    answer = holewise("holes", "merge", NAME, 2, 3, "--run", 1, "--by", "anna", data=shop)
    assert answer.status == 0, answer.err
    assert "8 before, 7 now" in answer.out
    assert WEAR_STAYS in answer.out
    assert "split in two" in holewise("holes", "split", NAME, 2, data=shop).out
    assert "7 now" in holewise("holes", "drop", NAME, 4, data=shop).out
    start_s = LEAD_S + 3 * PERIOD_S
    added = holewise("holes", "add", NAME, "--start", start_s, "--end", start_s + CUT_S, data=shop)
    assert "8 now" in added.out
    assert "Taken back: Hole added" in holewise("holes", "undo", NAME, data=shop).out
    assert "Done again: Hole added" in holewise("holes", "redo", NAME, data=shop).out
    listed = holewise("holes", "edits", NAME, data=shop)
    assert "anna" in listed.out
    assert listed.out.count("holds") == 4
    with Workbench.open(shop) as bench:
        assert bench.run(NAME, 1).holes == 8
        assert next(edit.made_by for edit in bench.edits(NAME, 1)) == "anna"


def test_what_cannot_be_mended_says_why(shop: Path) -> None:
    refused(holewise("holes", "drop", NAME, 40, data=shop), "40", "1 to 8")
    refused(holewise("holes", "split", NAME, 2, "--at", 1.0, data=shop), "between its start")
    refused(holewise("holes", "undo", NAME, data=shop), "nothing to undo")
    refused(holewise("holes", "add", NAME, "--start", 9, "--end", 10, data=shop), "there already")
    assert "Nothing was mended" in holewise("holes", "edits", NAME, data=shop).out


def test_a_trial_named_like_a_command_can_be_listed(data: Path, tmp_path: Path) -> None:
    with Workbench.open(data) as bench:
        bench.new_trial(example_trial("merge"))
        bench.plan_run("merge", START)
        bench.import_trace("merge", 1, written(tmp_path, stream(3)))
    assert "Holes of run 1 of merge" in holewise("holes", "list", "merge", data=data).out
