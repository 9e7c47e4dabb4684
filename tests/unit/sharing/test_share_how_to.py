"""The commands and the Python of the page about sharing are run as they stand, in their order."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.helpers.example_trial import START, example_trial
from tests.helpers.shared_trial import NAME, fill_shop
from trials import open_shop
from trials.cli.app import app

SHEET_PAGE = Path(__file__).parents[3] / "docs/how-to/take-in-earlier-runs.md"
PAGE = Path(__file__).parents[3] / "docs/how-to/share-a-trial.md"


def test_the_page_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    fill_shop(tmp_path / "practice", tmp_path)
    with open_shop(tmp_path / "practice") as shop:
        for holes in (180, 240, 210, 300):
            run = shop.plan_run(NAME, START)
            shop.end_run(NAME, run.number, "worn", holes=holes)
    monkeypatch.chdir(tmp_path)
    said, names = [], {}
    for kind, block in re.findall(r"```(sh|python)\n(.*?)```", PAGE.read_text(), re.DOTALL):
        if kind == "python":
            exec(compile(block, str(PAGE), "exec"), names)  # noqa: S102 - our own page
            continue
        for line in block.splitlines():
            done = CliRunner().invoke(app, shlex.split(line)[1:], catch_exceptions=False)
            assert done.exit_code == 0, done.output
            said.append(done.output)
    assert any("is whole" in text for text in said)
    assert any("Nothing to do" in text for text in said)
    assert "Weibull shape" in capsys.readouterr().out
    assert b"CHF" not in (tmp_path / "for-maker.zip").read_bytes()
    assert "CHF" not in (tmp_path / "for-maker.html").read_text()


def test_the_page_about_earlier_runs_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_shop(tmp_path / "practice") as shop:
        shop.new_trial(example_trial(NAME))
    monkeypatch.chdir(tmp_path)
    Path("earlier.csv").write_text("drill;Vc [m/min];f [mm/rev];holes\nplain;80,5;0,18;240\n")
    said = []
    (block,) = re.findall(r"```sh\n(.*?)```", SHEET_PAGE.read_text(), re.DOTALL)
    for line in block.splitlines():
        done = CliRunner().invoke(app, shlex.split(line)[1:], catch_exceptions=False)
        assert done.exit_code == 0, done.output
        said.append(done.output)
    assert "Nothing was stored" in said[0]
    assert "Stored 1 runs" in said[1]
    assert "Took out of bracket again" in said[2]
