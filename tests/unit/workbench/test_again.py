"""Holes of all recordings found again: equal however it is shared out, nothing of people lost."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from tests.conftest import PROJECT
from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import stream, written
from trials.errors import ConflictError, InputError, StoreError
from trials.holes import find_holes
from trials.model import LikeJobs
from trials.store import FileLock, FoundAnew, Store
from trials.workbench import FindSettings, Workbench

TRIALS = ("one", "two", "three")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as opened:
        for number, name in enumerate(TRIALS):
            opened.new_trial(example_trial(name))
            opened.plan_run(name, START)
            opened.import_trace(name, 1, written(tmp_path, stream(5 + number)))
        yield opened


def _holes(bench: Workbench) -> dict[str, pd.DataFrame]:
    return {name: bench.found_holes(name, 1) for name in TRIALS}


def _as_an_older_version_found(bench: Workbench, name: str) -> None:
    """Put fewer holes in, as if an earlier version of the program had missed some."""
    store = bench._shop.store
    recording = store.recordings(name, 1)[-1]
    store.finish_recording(name, 1, recording, store.holes(name, 1).head(2),
                           store.gaps(name, 1), lambda run: run)  # fmt: skip


def test_nothing_changes_when_nothing_is_new(bench: Workbench) -> None:
    before = _holes(bench)
    told: list[tuple[int, int, str]] = []
    found = bench.find_all_again(workers=1, on_progress=lambda *said: told.append(said))
    assert (found.recordings, found.same, found.changed, found.problems) == (3, 3, 0, ())
    assert [(done, total) for done, total, _ in told] == [(1, 3), (2, 3), (3, 3)]
    for name, holes in _holes(bench).items():
        pd.testing.assert_frame_equal(holes, before[name])
    assert not (bench.folder / "former").exists()


@pytest.mark.parametrize("workers", [1, 2])
def test_what_an_older_version_missed_is_found_and_the_old_is_kept(
    bench: Workbench, workers: int
) -> None:
    before = _holes(bench)
    _as_an_older_version_found(bench, "two")
    found = bench.find_all_again(workers=workers)
    assert (found.same, found.changed) == (2, 1)
    for name, holes in _holes(bench).items():
        pd.testing.assert_frame_equal(holes, before[name])
    assert bench.run("two", 1).holes == 6
    (former,) = (bench.folder / "former").iterdir()
    assert len(pd.read_csv(former / "holes.csv")) == 2


def test_edits_of_people_are_laid_on_again(bench: Workbench) -> None:
    bench.drop_hole("two", 1, 6, who="Anna")
    _as_an_older_version_found(bench, "two")
    bench.find_all_again(workers=1)
    assert len(bench.found_holes("two", 1)) == 6
    assert len(bench.holes("two", 1)) == 5
    (edit,) = bench.edits("two", 1)
    assert (edit.made_by, edit.not_kept) == ("Anna", "")


def test_an_interruption_is_gone_on_from(bench: Workbench) -> None:
    def stop(done: int, _total: int, _last: str) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        bench.find_all_again(workers=1, on_progress=stop)
    found = bench.find_all_again(workers=1)
    assert (found.done_before, found.same) == (2, 1)
    again = bench.find_all_again(workers=1)
    assert (again.done_before, again.same) == (0, 3)


def test_other_settings_give_what_the_finder_gives_with_them(bench: Workbench) -> None:
    before, run = _holes(bench), bench.run("two", 1)
    found = bench.find_all_again(workers=1, settings=FindSettings(filter_delay_s=0.1))
    assert (found.changed, found.problems) == (3, ())
    for name, holes in _holes(bench).items():
        earlier = before[name]["start_s"] - holes["start_s"]
        assert earlier.round(2).between(0.09, 0.11).all()  # given earlier by the delay
    bench.find_all_again(workers=1, settings=FindSettings(by_load_alone=True))
    alone = find_holes(bench.trace("two", 1))
    pd.testing.assert_frame_equal(bench.found_holes("two", 1), alone)
    assert bench.run("two", 1).cutting_data == run.cutting_data
    bench.find_all_again(workers=1)
    for name, holes in _holes(bench).items():
        pd.testing.assert_frame_equal(holes, before[name])


def test_an_interruption_is_gone_on_from_with_the_same_settings_only(bench: Workbench) -> None:
    delay = FindSettings(filter_delay_s=0.1)

    def stop(_done: int, _total: int, _last: str) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        bench.find_all_again(workers=1, settings=delay, on_progress=stop)
    assert bench.find_all_again(workers=1).done_before == 0
    with pytest.raises(KeyboardInterrupt):
        bench.find_all_again(workers=1, settings=delay, on_progress=stop)
    assert bench.find_all_again(workers=1, settings=delay).done_before == 1


def test_settings_that_make_no_sense_are_refused() -> None:
    with pytest.raises(InputError, match="0 to 5 s"):
        FindSettings(filter_delay_s=6.0)
    with pytest.raises(InputError, match="by the load alone"):
        FindSettings(0.1, by_load_alone=True)


def test_a_damaged_trace_hurts_no_other(bench: Workbench) -> None:
    recording = bench._shop.store.recordings("one", 1)[-1]
    path = bench.folder / (recording.trace or "")
    path.write_bytes(path.read_bytes()[:-5])
    found = bench.find_all_again(workers=1)
    assert found.same == 2
    assert len(found.problems) == 1
    assert "run 1 of one" in found.problems[0]
    repeated = bench.find_all_again(workers=1)  # the damaged one is tried again, the others not
    assert (repeated.done_before, len(repeated.problems)) == (2, 1)


def test_what_cannot_be_stored_hurts_no_other(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = _holes(bench)
    for name in TRIALS:
        _as_an_older_version_found(bench, name)
    store = Store.finish_again

    def refuses_two(self: Store, some: Sequence[FoundAnew]) -> None:
        if any(one.trial == "two" for one in some):
            raise StoreError("no room")
        store(self, some)

    monkeypatch.setattr(Store, "finish_again", refuses_two)
    one = bench._shop.store.finished_recordings("one")[0]
    with FileLock(bench._shop.folder.run_lock(one.run_uuid), "recording"):
        found = bench.find_all_again(workers=1)
    assert found.changed == 1
    assert [text.split(":")[0] for text in found.problems] == ["run 1 of one", "run 1 of two"]
    pd.testing.assert_frame_equal(bench.found_holes("three", 1), before["three"])
    monkeypatch.undo()
    again = bench.find_all_again(workers=1)
    assert (again.done_before, again.changed, again.problems) == (1, 2, ())


def test_one_trial_alone_and_one_process_at_a_time(bench: Workbench) -> None:
    assert bench.find_all_again(trial="two", workers=1).recordings == 1
    with (
        FileLock(bench.folder / "locks" / "again.lock", "finding"),
        pytest.raises(ConflictError, match="already being done"),
    ):
        bench.find_all_again(workers=1)
    with pytest.raises(InputError, match="one of them"):
        bench.find_all_again(workers=1, scheduler="tcp://nowhere:1")


_ON_DASK = """
import sys
from distributed import LocalCluster
from trials.workbench import FindSettings, Workbench

if __name__ == "__main__":
    with (
        LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None,
                     scheduler_port=0) as cluster,
        Workbench.open(sys.argv[1]) as bench,
    ):
        found = bench.find_all_again(scheduler=cluster.scheduler_address)
    print(found.same, found.changed, len(found.problems))
"""


def test_dask_gives_what_one_process_gives(bench: Workbench, tmp_path: Path) -> None:
    pytest.importorskip("distributed", reason="the extra cluster is not installed")
    before = _holes(bench)
    _as_an_older_version_found(bench, "three")
    script = tmp_path / "on_dask.py"
    script.write_text(_ON_DASK, encoding="utf-8")
    # In a process of its own: Dask keeps threads of its own to the end of the process.
    said = subprocess.run(
        [sys.executable, str(script), str(bench.folder)], capture_output=True, text=True,
        timeout=120, check=False,
    )  # fmt: skip
    assert said.stdout.split() == ["2", "1", "0"], said.stderr
    for name, holes in _holes(bench).items():
        pd.testing.assert_frame_equal(holes, before[name])


def test_all_traces_are_one_table(bench: Workbench) -> None:
    everything = pd.concat(bench.traces(LikeJobs(invented=True)))
    assert list(everything.columns) == ["trial", "run", "drill", "time_s", "load_pct"]
    for name, of_run in everything.groupby("trial"):
        alone = bench.trace(str(name), 1)
        assert of_run["load_pct"].tolist() == alone["load_pct"].tolist()
    assert list(bench.traces()) == []  # no real trial


def test_the_example_of_the_documents_runs(bench: Workbench) -> None:
    text = (PROJECT / "docs" / "history.md").read_text("utf-8")
    code = text.split("```python\n")[1].split("```")[0]
    names: dict[str, Any] = {"folder": bench.folder}
    exec(compile(code, "docs/history.md", "exec"), names)  # noqa: S102 - our own document
    peaks = names["peaks"]
    assert sorted(peaks["trial"]) == sorted(TRIALS)
    assert (peaks["load_pct"] > 35).all()
