"""A trial that both sides went on with: side by side, one by choice, and back again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.example_trial import START
from tests.helpers.invented_stream import stream, written
from tests.helpers.pictures import picture
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import ConflictError, InputError, NotFoundError
from trials.model import WearReading
from trials.workbench import Workbench


@pytest.fixture
def both(tmp_path: Path) -> tuple[Path, Path]:
    """My shop, and a package of the other side, both gone on from the same trial."""
    mine, theirs = tmp_path / "mine", tmp_path / "theirs"
    fill_shop(mine, tmp_path)
    with Workbench.open(mine) as bench:
        bench.export(NAME, tmp_path / "a.zip")
    with Workbench.open(theirs) as other:
        other.import_package(tmp_path / "a.zip")
        other.import_trace(NAME, 3, written(tmp_path, stream(4, seed=9)))
        other.end_run(NAME, 3, "chipped")
        other.add_wear(NAME, 2, WearReading(4, 0.2, note="seen there"))
        other.drop_hole(NAME, 2, 1, who="ben")
        other.add_photo(NAME, 2, 4, picture(100, 80), note="there")
        other.plan_run(NAME, replace(START, speed_m_per_min=70.0), note="new there")
        other._shop.store.change_trial(NAME, lambda one: replace(one, load_limit_pct=75.0))
        other.export(NAME, tmp_path / "b.zip")
    with Workbench.open(mine) as bench:
        bench.plan_run(NAME, replace(START, speed_m_per_min=60.0), note="new here")
    return mine, tmp_path / "b.zip"


def state(bench: Workbench) -> tuple[object, ...]:
    return (
        bench.trial(NAME), bench.runs(NAME), [e.text for e in bench.edits(NAME, 2)],
        [(p.run, p.note) for p in bench.photos(NAME)],
    )  # fmt: skip


def test_nothing_is_taken_in_before_everything_is_chosen(both: tuple[Path, Path]) -> None:
    shop, package = both
    with Workbench.open(shop) as bench:
        before = state(bench)
        shown = bench.preview_package(package)
        keys = {one.key: (one.here, one.there) for one in shown.differences}
        assert keys["trial, load_limit_pct"] == ("80", "75")
        assert keys["run 3, end"][1] == "chipped, 4 holes"
        assert keys["run 3, recording"][0] == "none"
        assert keys["run 2, wear at hole 4"] == ("none", "VB average 0.2 mm, seen there")
        assert "run 2, mended holes" in keys
        assert shown.new_photos == 1
        assert shown.renumbered == ((4, 5),), "run 4 is another one here"
        with pytest.raises(ConflictError, match="--theirs or --mine"):
            bench.import_package(package, choices={"run 3": "theirs"})
        with pytest.raises(InputError, match="what is chosen"):
            bench.import_package(package, choices={"run 9": "theirs"})
        assert state(bench) == before


def test_theirs_is_taken_and_undone(both: tuple[Path, Path]) -> None:
    shop, package = both
    with Workbench.open(shop) as bench:
        before = state(bench)
        bench.import_package(package, choices={"all": "theirs"})
        assert bench.trial(NAME).load_limit_pct == 75.0
        run = bench.run(NAME, 3)
        assert (run.end, run.holes, len(bench.holes(NAME, 3))) == ("chipped", 4, 4)
        assert len(bench.trace(NAME, 3)) > 0
        assert [one.note for one in bench.run(NAME, 2).wear] == ["seen there"]
        assert len(bench.holes(NAME, 2)) == 5, "one was dropped there"
        assert [run.note for run in bench.runs(NAME)][3:] == ["new here", "new there"]
        assert bench.run(NAME, 5).cutting_data.speed_m_per_min == 70.0
        assert bench.preview_package(package).nothing_to_do
        traces = list((shop / "traces").iterdir())
        bench.undo_import(NAME)
        assert state(bench) == before
        assert len(list((shop / "traces").iterdir())) == len(traces) - 1
        with pytest.raises(NotFoundError):
            bench.undo_import(NAME)


def test_mine_stays_where_it_is_chosen(both: tuple[Path, Path]) -> None:
    shop, package = both
    with Workbench.open(shop) as bench:
        bench.import_package(
            package, choices={"all": "mine", "run 2": "theirs", "run 2, mended holes": "mine"}
        )
        assert bench.trial(NAME).load_limit_pct == 80.0
        assert bench.run(NAME, 3).state == "planned"
        assert [one.note for one in bench.run(NAME, 2).wear] == ["seen there"]
        assert len(bench.holes(NAME, 2)) == 6


def test_undo_is_refused_once_it_was_worked_on(both: tuple[Path, Path]) -> None:
    shop, package = both
    with Workbench.open(shop) as bench:
        bench.import_package(package, choices={"all": "theirs"})
        bench.add_photo(NAME, 5, 0, picture(90, 90))
        with pytest.raises(ConflictError, match="a new photo"):
            bench.undo_import(NAME)
        bench.add_wear(NAME, 2, WearReading(5, 0.25))
        with pytest.raises(ConflictError, match="run 2"):
            bench.undo_import(NAME)
        assert bench.run(NAME, 3).end == "chipped"


def test_what_cannot_be_stands_nowhere(both: tuple[Path, Path]) -> None:
    """Readings after more holes than a run has, when only the readings are taken."""
    shop, package = both
    with Workbench.open(shop) as bench:
        bench.import_trace(NAME, 3, written(shop, stream(2, seed=4)))
        before = state(bench)
        shown = {one.key: one for one in bench.preview_package(package).differences}
        assert not shown["run 3, recording"].takeable, "both sides recorded it"
        with pytest.raises(InputError, match="cannot be taken"):
            bench.import_package(package, choices={"all": "mine",
                                                   "run 3, recording": "theirs"})  # fmt: skip
        assert state(bench) == before


def test_by_commands(both: tuple[Path, Path]) -> None:
    shop, package = both
    refused = holewise("package", "import", package, data=shop)
    assert refused.status == 1
    assert "run 3, end" in refused.out
    assert "--theirs or --mine" in refused.err
    done = holewise("package", "import", package, "--mine", "all", "--theirs", "run 3", data=shop)
    assert done.status == 0, done.err
    assert "Run 4 of the package is run 5 here" in done.out
    with Workbench.open(shop) as bench:
        assert bench.run(NAME, 3).end == "chipped"
        assert bench.run(NAME, 2).wear == ()
    undone = holewise("package", "undo", NAME, data=shop)
    assert "b.zip" in undone.out
