"""``kill -9`` of ``holewise log`` in mid-hole, then ``holewise log --resume``: nothing is lost."""

from __future__ import annotations

import contextlib
import re
import subprocess
import sys
import time
from pathlib import Path

from tests.helpers.command_line import holewise
from tests.helpers.replay_server import ReplayServer
from trials.cli.trial import TEMPLATE
from trials.errors import JournalError
from trials.logger import rebuild
from trials.workbench import Workbench

NAME = "bracket-8.5"
HOLE_S, IDLE_S, RATE_HZ = 2.0, 2.0, 50


def lines(first: int, last: int) -> bytes:
    """Lines from one sample number up to another: idle 5 %, holes 40 %, in turn."""
    text = []
    for number in range(first, last):
        at_s = number / RATE_HZ
        in_hole = at_s % (HOLE_S + IDLE_S) >= IDLE_S
        text.append(f"t={at_s:.3f};load={(40.0 if in_hole else 5.0) + number % 7 * 0.1:.1f}\n")
    return "".join(text).encode()


def test_kill_in_mid_hole_then_resume(tmp_path: Path) -> None:
    data = tmp_path / "shop"
    trial_file = tmp_path / "trial.toml"
    trial_file.write_text(TEMPLATE, encoding="utf-8")
    assert holewise("trial", "new", "--file", trial_file, data=data).status == 0
    assert holewise("run", "new", NAME, data=data).status == 0
    # 3 holes and half of the fourth; then the rest of the fourth and 2 more.
    cut = round((3 * (HOLE_S + IDLE_S) + IDLE_S + HOLE_S / 2) * RATE_HZ)
    whole = round((6 * (HOLE_S + IDLE_S) + IDLE_S) * RATE_HZ)
    first, second = lines(0, cut), lines(cut, whole)
    source = ["--format", "key=value", "--map", "load=load,time=t", "--no-reconnect"]
    with ReplayServer([first, second], hold_open=True) as server:
        command = [sys.executable, "-m", "trials.cli.app", "--data", str(data), "log", NAME]
        process = subprocess.Popen(
            [*command, "--source", server.url, *source],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
        try:
            journalled = wait_for_samples(data, cut, process)
        finally:
            process.kill()
            process.wait()
            assert process.stderr is not None
            process.stderr.close()
    assert journalled == cut

    with ReplayServer(second) as server:
        resumed = holewise(
            "log", NAME, "--resume", "--source", server.url, "--no-reconnect", data=data
        )
    assert resumed.status == 0, resumed.err
    with Workbench.open(data) as bench:
        trace, holes, gaps = bench.trace(NAME, 1), bench.holes(NAME, 1), bench.gaps(NAME, 1)
    sent = [float(value) for value in re.findall(rb"load=([\d.]+)", first + second)]
    assert trace["load_pct"].tolist() == sent
    assert len(holes) == 6
    assert [gap.reason for gap in gaps] == ["logger stopped"]


def wait_for_samples(data: Path, count: int, process: subprocess.Popen[bytes]) -> int:
    """Wait until the journal on disk holds so many samples; fail when the logger has died."""
    deadline = time.monotonic() + 60
    found = 0
    while time.monotonic() < deadline and found < count:
        assert process.poll() is None, process.stderr and process.stderr.read()
        time.sleep(0.2)
        folders = list((data / "journals").glob("*"))
        with contextlib.suppress(JournalError):  # it may have been begun a moment ago
            found = len(rebuild(folders[0]).samples) if folders else 0
    return found
