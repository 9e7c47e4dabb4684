"""Each folder of sample_runs through the command line, against results written by hand.

The expected values come from what the simulator wrote while it drilled (``truth-N.csv``) and from
arithmetic beside them in ``expected.toml``; the source of each stands there.
"""

from __future__ import annotations

import csv
import re
import shlex
import shutil
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from trials.cli.app import app
from trials.mechanics import feed_rate_mm_per_min, point_length_mm
from trials.mechanics import rpm as spindle_rpm
from trials.model import Trial
from trials.sharing import read_trial
from trials.workbench import Workbench

SAMPLES = Path(__file__).parents[2] / "sample_runs"
FOLDERS = sorted(path.parent for path in SAMPLES.glob("*/expected.toml"))


def _holewise(shop: Path, *arguments: object) -> str:
    done = CliRunner().invoke(
        app, ["--data", str(shop), *map(str, arguments)], catch_exceptions=False
    )
    assert done.exit_code == 0, done.output
    return done.output


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module", params=FOLDERS, ids=lambda folder: folder.name)
def worked(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The folder worked through by commands: its shop, and what the commands said of each run."""
    folder: Path = request.param
    shop = tmp_path_factory.mktemp("shop")
    expected = tomllib.loads((folder / "expected.toml").read_text(encoding="utf-8"))
    trial = expected["trial"]
    _holewise(shop, "trial", "new", "--file", folder / "trial.toml")
    said = {}
    for run in expected["runs"]:
        number = run["number"]
        changes = [
            part for name in ("speed", "feed") if name in run for part in (f"--{name}", run[name])
        ]
        _holewise(shop, "run", "new", trial, *changes)
        _holewise(shop, "import", trial, folder / run["file"], "--run", number, "--map", run["map"])
        for note in _rows(folder / f"wear-{number}.csv"):
            if note["vb_maximum_mm"]:
                _holewise(
                    shop, "wear", trial, "--run", number, "--hole", note["hole"],
                    "--vb-average", note["vb_average_mm"], "--vb-maximum", note["vb_maximum_mm"],
                    "--corner-chipping", note["corner_chipping_mm"],
                )  # fmt: skip
        said[number] = _holewise(shop, "run", "end", trial, "--run", number, "--end", run["end"])
    return folder, expected, shop, said


def test_there_are_samples() -> None:
    assert len(FOLDERS) >= 3
    size = sum(path.stat().st_size for path in SAMPLES.rglob("*") if path.is_file())
    assert size < 1_500_000


def test_every_sample_is_marked_as_invented() -> None:
    for folder in FOLDERS:
        assert read_trial(folder / "trial.toml").invented, folder
        assert "Invented" in (folder / "README.md").read_text(encoding="utf-8"), folder


def test_holes_and_pecks(worked: Any) -> None:
    _, expected, shop, _ = worked
    with Workbench.open(shop) as bench:
        for run in expected["runs"]:
            holes = bench.holes(expected["trial"], run["number"])
            assert len(holes) == run["holes"]
            right = float((holes["pecks"] == run["pecks"]).mean())
            assert right >= run["pecks_found_in_share"]


def test_holes_lie_where_they_were_drilled(worked: Any) -> None:
    folder, expected, shop, _ = worked
    with Workbench.open(shop) as bench:
        trial = bench.trial(expected["trial"])
        for run in expected["runs"]:
            truth = _rows(folder / f"truth-{run['number']}.csv")
            holes = bench.holes(trial.name, run["number"])
            # The tip touches before it can be heard: the point must enter first. At the other end
            # the drive's filter and the sample rate smear by a fifth of a second or so.
            late_s = _point_enters_s(trial, bench.run(trial.name, run["number"]).cutting_data)
            begin = holes["start_s"].to_numpy() - np.array([float(r["start_s"]) for r in truth])
            finish = holes["end_s"].to_numpy() - np.array([float(r["end_s"]) for r in truth])
            assert begin.min() > -0.2
            assert begin.max() < late_s + 0.2
            whole = holes["pecks"].to_numpy() == run["pecks"]
            assert np.abs(finish[whole]).max() < 0.45
            # Where the last peck was missed (how often it may be stands in expected.toml), the
            # hole ends before it: a short peck and its step back take less than a second.
            assert np.abs(finish).max() < 1.0


def _point_enters_s(trial: Trial, data: Any) -> float:
    drill = trial.drill()
    rate = feed_rate_mm_per_min(
        spindle_rpm(data.speed_m_per_min, drill.diameter_mm), data.feed_mm_per_rev
    )
    return 60.0 * point_length_mm(drill.diameter_mm, drill.point_angle_deg) / rate


def test_peak_loads(worked: Any) -> None:
    _, expected, shop, _ = worked
    with Workbench.open(shop) as bench:
        for run in expected["runs"]:
            peaks = bench.holes(expected["trial"], run["number"])["peak_pct"]
            low, high = run["peak_first_pct"]
            assert low <= peaks.iloc[:3].median() <= high
            if "peak_last_pct" in run:
                low, high = run["peak_last_pct"]
                assert low <= peaks.iloc[-3:].median() <= high


def test_a_broken_drill_is_flagged(worked: Any) -> None:
    folder, expected, shop, _ = worked
    with Workbench.open(shop) as bench:
        for run in expected["runs"]:
            truth = [row["broken"] == "1" for row in _rows(folder / f"truth-{run['number']}.csv")]
            flags = bench.holes(expected["trial"], run["number"])["flags"]
            assert [bool("broken" in str(flag)) for flag in flags] == truth


def test_holes_to_wear_cycle_and_cost(worked: Any) -> None:
    _, expected, shop, said = worked
    with Workbench.open(shop) as bench:
        for run in expected["runs"]:
            trial, number = expected["trial"], run["number"]
            found = bench.run(trial, number)
            assert (found.state, found.end, found.holes) == ("ended", run["end"], run["holes"])
            assert found.cycle_min is not None
            assert 60.0 * found.cycle_min == pytest.approx(
                run["cycle_s"], abs=run["cycle_tolerance_s"]
            )
            life = bench.holes_to_wear(trial, number)
            assert life.kind == run["holes_to_wear_kind"]
            if "holes_to_wear" in run:
                assert life.holes == pytest.approx(
                    run["holes_to_wear"], abs=run["holes_to_wear_tolerance"]
                )
            if "cost_per_hole" in run:
                cost = bench.cost(trial, number)
                assert cost.total == pytest.approx(run["cost_per_hole"], abs=run["cost_tolerance"])
                assert f"{cost.total:.3f}" in said[number]


@pytest.mark.parametrize("folder", ["one-run", "spreadsheet"])
def test_the_commands_of_its_readme_work(
    folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = tmp_path / folder
    shutil.copytree(SAMPLES / folder, here)
    monkeypatch.chdir(here)
    text = (here / "README.md").read_text(encoding="utf-8").replace("\\\n", " ")
    commands = [
        shlex.split(line)
        for block in re.findall(r"```sh\n(.*?)```", text, flags=re.DOTALL)
        for line in block.splitlines()
    ]
    assert len(commands) >= 3
    for command in commands:
        assert command[0] == "holewise"
        done = CliRunner().invoke(app, command[1:], catch_exceptions=False)
        assert done.exit_code == 0, done.output
    assert (here / "sample-shop").is_dir()
