"""Packages into a shop: whole or not at all, once, unchanged when they go out again."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from tests.helpers.example_trial import START
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import ConflictError
from trials.model import WearReading
from trials.sharing import REMOVALS
from trials.workbench import Workbench


@pytest.fixture
def sender(tmp_path: Path) -> Path:
    fill_shop(tmp_path / "sender", tmp_path)
    return tmp_path / "sender"


def export(shop: Path, path: Path, **how: object) -> bytes:
    with Workbench.open(shop) as bench:
        trial = bench.trials()[0].name
        bench.export(trial, path, **how)  # type: ignore[arg-type]  # named as its arguments
    return path.read_bytes()


@pytest.mark.parametrize("remove", [(), tuple(REMOVALS)], ids=["whole", "all removed"])
def test_out_in_and_out_again_is_identical(
    sender: Path, tmp_path: Path, remove: tuple[str, ...]
) -> None:
    first = export(sender, tmp_path / "a.zip", licence="CC-BY-4.0", remove=remove)
    with Workbench.open(tmp_path / "receiver") as bench:
        taken = bench.import_package(tmp_path / "a.zip")
        assert (taken.new_trial, taken.runs) == (True, 3)
    assert export(tmp_path / "receiver", tmp_path / "b.zip") == first


def test_what_comes_in_is_what_went_out(sender: Path, tmp_path: Path) -> None:
    export(sender, tmp_path / "a.zip")
    with Workbench.open(sender) as mine, Workbench.open(tmp_path / "receiver") as theirs:
        theirs.import_package(tmp_path / "a.zip")
        assert theirs.trial(NAME) == mine.trial(NAME)
        assert theirs.runs(NAME) == mine.runs(NAME)
        for run in (1, 2):
            pd.testing.assert_frame_equal(theirs.holes(NAME, run), mine.holes(NAME, run))
            pd.testing.assert_frame_equal(theirs.trace(NAME, run), mine.trace(NAME, run))
        assert theirs.holes_to_wear(NAME, 1) == mine.holes_to_wear(NAME, 1)


def test_the_same_package_twice_makes_no_duplicates(sender: Path, tmp_path: Path) -> None:
    export(sender, tmp_path / "a.zip")
    with Workbench.open(tmp_path / "receiver") as bench:
        bench.import_package(tmp_path / "a.zip")
        again = bench.import_package(tmp_path / "a.zip")
        assert again.nothing_to_do
        assert [one.runs for one in bench.trials()] == [3]
    with Workbench.open(sender) as bench:
        assert bench.import_package(tmp_path / "a.zip").nothing_to_do


def test_a_taken_name_is_refused_and_another_helps(sender: Path, tmp_path: Path) -> None:
    from tests.helpers.example_trial import example_trial

    export(sender, tmp_path / "a.zip")
    with Workbench.open(tmp_path / "receiver") as bench:
        bench.new_trial(example_trial(NAME))
        with pytest.raises(ConflictError, match="name of the trial"):
            bench.import_package(tmp_path / "a.zip")
        assert list((tmp_path / "receiver" / "traces").iterdir()) == []
        assert bench.import_package(tmp_path / "a.zip", name="theirs").trial == "theirs"


def test_it_can_be_taken_out_again_until_it_is_worked_on(sender: Path, tmp_path: Path) -> None:
    export(sender, tmp_path / "a.zip")
    with Workbench.open(tmp_path / "receiver") as bench:
        bench.import_package(tmp_path / "a.zip")
        bench.undo_import(NAME)
        assert bench.trials() == []
        assert list((tmp_path / "receiver" / "traces").iterdir()) == []
        assert list((tmp_path / "receiver" / "photos").iterdir()) == []
        bench.import_package(tmp_path / "a.zip")
        bench.end_run(NAME, 3, "stopped", holes=2)
        with pytest.raises(ConflictError, match="run 3"):
            bench.undo_import(NAME)
        assert bench.run(NAME, 3).holes == 2


def test_both_sides_went_on(sender: Path, tmp_path: Path) -> None:
    export(sender, tmp_path / "a.zip")
    with Workbench.open(tmp_path / "receiver") as theirs:
        theirs.import_package(tmp_path / "a.zip")
        theirs.end_run(NAME, 3, "chipped", holes=7)
        theirs.plan_run(NAME, START, note="new there")
        theirs.add_wear(NAME, 2, WearReading(4, 0.2))
        theirs.export(NAME, tmp_path / "b.zip")
    with Workbench.open(sender) as mine:
        mine.end_run(NAME, 3, "stopped", holes=9)
        before = mine.run(NAME, 3)
        shown = mine.preview_package(tmp_path / "b.zip")
        assert shown.new_runs == (4,)
        told = {(one.place, one.field): (one.here, one.there) for one in shown.differences}
        assert told[("run 3", "end")] == ("stopped, 9 holes", "chipped, 7 holes")
        assert told[("run 2", "wear at hole 4")] == ("none", "VB average 0.2 mm")
        with pytest.raises(ConflictError, match="differ"):
            mine.import_package(tmp_path / "b.zip")
        assert len(mine.runs(NAME)) == 3, "nothing was taken in"
        mine.import_package(tmp_path / "b.zip", choices={"all": "mine"})
        assert mine.run(NAME, 4).note == "new there"
        assert mine.run(NAME, 3) == before


def test_without_prices_there_is_no_money_to_be_mistaken(sender: Path, tmp_path: Path) -> None:
    export(sender, tmp_path / "a.zip", remove=("prices",))
    with Workbench.open(tmp_path / "receiver") as bench:
        bench.import_package(tmp_path / "a.zip")
        assert bench.trial(NAME).economics.currency == "XXX"
