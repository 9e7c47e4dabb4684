"""The commands and the Python of the page about sharing are run as they stand, in their order."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.helpers.example_trial import START
from tests.helpers.shared_trial import NAME, fill_shop
from trials import open_shop
from trials.cli.app import app

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
