"""The demo as a user starts it: real processes, real links, a dashboard that answers."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from dataclasses import dataclass
from pathlib import Path

import pytest

from trials.cli.demo import FOLDER, TRIAL, demo_folder, demo_trial
from trials.errors import InputError
from trials.simulator import read_notes
from trials.workbench import Workbench

ONE_RUN = """
import sys
from pathlib import Path
from trials.cli.common import Common
from trials.cli.demo import demo
demo(Common(None, "metric"), Path(sys.argv[1]), runs=1)
"""


@dataclass(frozen=True)
class Done:
    """A demo that has run."""

    folder: Path
    real_shop: Path
    output: str
    errors: str
    code: int


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Done:
    here = tmp_path_factory.mktemp("here")
    real_shop = tmp_path_factory.mktemp("real-shop")
    (real_shop / "kept").write_text("of a real shop")
    ran = subprocess.run(
        [sys.executable, "-m", "trials.cli.app", "demo", "--once"],
        cwd=here, env={**os.environ, **_findable(), "HOLEWISE_DATA": str(real_shop)},
        capture_output=True, text=True, timeout=280, check=False,
    )  # fmt: skip
    return Done(here / FOLDER, real_shop, ran.stdout, ran.stderr, ran.returncode)


def _findable() -> dict[str, str]:
    """The project's folder on the path, so that another current folder changes nothing."""
    root = str(Path(__file__).parents[2])
    return {"PYTHONPATH": os.pathsep.join([root, os.environ.get("PYTHONPATH", "")]).rstrip(":")}


def test_it_ends_well_and_says_that_all_is_invented(done: Done) -> None:
    assert done.code == 0, done.errors
    assert "invented" in done.output.splitlines()[0]
    assert done.errors == ""
    assert "\x1b" not in done.output  # plain when piped


def test_six_runs_went_over_both_kinds_of_link(done: Done) -> None:
    lines = [line for line in done.output.splitlines() if re.match(r"Run \d+ over ", line)]
    assert len(lines) >= 6
    assert {re.match(r"Run \d+ over a (\w+)", line)[1] for line in lines} == {  # type: ignore[index]  # each line matched above
        "serial",
        "network",
    }


def test_every_run_is_stored_with_holes_wear_and_end(done: Done) -> None:
    with Workbench.open(done.folder, create=False) as bench:
        assert bench.trial(TRIAL).invented
        runs = bench.runs(TRIAL)
        assert len(runs) >= 6
        for run in runs:
            notes = read_notes(done.folder / "notes" / f"run-{run.number}.csv")
            assert run.state == "ended"
            assert run.end == notes[-1].end
            assert [reading.hole for reading in run.wear] == [
                note.hole for note in notes if note.reading is not None
            ]
            # The simulated person counted them; the logger must have found the same.
            assert len(bench.holes(TRIAL, run.number)) == notes[-1].hole == run.holes
            assert len(bench.trace(TRIAL, run.number)) > 1000


def test_a_next_suggestion_is_printed_with_its_reason(done: Done) -> None:
    with Workbench.open(done.folder, create=False) as bench:
        suggestion = bench.suggest(TRIAL)
    said = " ".join(done.output.split())
    assert f"Next suggestion: {suggestion.cutting_data.speed_m_per_min:.1f} m/min" in said
    assert " ".join(suggestion.why.split()) in said
    assert "Advisory only" in said


def test_testing_made_the_hole_cheaper(done: Done) -> None:
    # The invented process has a cheaper hole far from the careful start; finding some of it in six
    # runs is what the demo is for.
    with Workbench.open(done.folder, create=False) as bench:
        costs = [bench.cost(TRIAL, run.number).total for run in bench.runs(TRIAL)]
    assert min(costs) < 0.7 * costs[0]


def test_the_dashboard_answered_and_is_gone(done: Done) -> None:
    found = re.search(r"Dashboard: (http://\S+)\s+\(it answers\)", done.output)
    assert found is not None
    _assert_nobody_answers(found[1])


def test_a_real_shop_is_not_touched(done: Done) -> None:
    assert [path.name for path in done.real_shop.iterdir()] == ["kept"]


def _assert_nobody_answers(address: str) -> None:
    with pytest.raises(urllib.error.URLError):
        urllib.request.urlopen(address, timeout=5)


@pytest.mark.parametrize("polite", [signal.SIGINT, signal.SIGTERM])
def test_it_stays_open_until_it_is_told_to_end(polite: signal.Signals, tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", ONE_RUN, str(tmp_path / "demo")],
        env={**os.environ, **_findable()}, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        said: list[str] = []
        for line in process.stdout:
            said.append(line)
            if "Ctrl-C ends" in line:
                break
        found = re.search(r"Dashboard: (http://\S+)", "".join(said))
        assert found is not None, said
        with urllib.request.urlopen(found[1], timeout=20) as answer:
            assert answer.status == 200
        process.send_signal(polite)
        _, errors = process.communicate(timeout=60)
    finally:
        process.kill()
        process.communicate()
    assert process.returncode == (0 if polite == signal.SIGINT else 143), errors
    assert "Traceback" not in errors
    _assert_nobody_answers(found[1])


def test_a_folder_in_use_is_refused(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(InputError, match="new or an empty folder"):
        demo_folder(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_a_second_demo_leaves_the_first_as_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    first = demo_folder(None)
    (first / "kept").write_text("kept")
    second = demo_folder(None)
    assert (first.name, second.name) == (FOLDER, f"{FOLDER}-2")
    assert (first / "kept").read_text() == "kept"
    assert "stays as it is" in capsys.readouterr().out


def test_everything_of_the_trial_is_said_to_be_invented() -> None:
    trial = demo_trial()
    assert trial.invented
    names = [trial.machine.name, trial.work.material, trial.hole.name, trial.drill().name]
    assert all("invented" in name for name in names)
