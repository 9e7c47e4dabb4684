"""The tutorial's commands are run as they stand, in their order, in an empty folder."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.skipif(shutil.which("bash") is None, reason="the tutorial's commands are for a shell")
def test_the_tutorial_runs(tmp_path: Path) -> None:
    text = (ROOT / "docs/tutorial.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    assert len(blocks) >= 5
    script = "set -e\n" + "".join(blocks)
    # The dashboard stays until Ctrl-C; its own tests drive it.
    script = re.sub(r"^holewise .* dashboard$", "", script, flags=re.MULTILINE) + "wait\n"
    programs = tmp_path / "programs"
    programs.mkdir()
    for name, call in (("holewise", "-m trials.cli.app"), ("python", "")):
        program = programs / name
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" {call} "$@"\n')
        program.chmod(0o755)
    done = subprocess.run(
        ["bash", "-c", script],
        cwd=tmp_path,
        env={**os.environ, "PATH": f"{programs}:{os.environ['PATH']}", "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "40 holes" in done.stdout
    assert "Why:" in done.stdout
    assert "For production" in (tmp_path / "bracket.md").read_text(encoding="utf-8")
