"""A real machine's recording, by command: over TCP as a live run, and imported as a file.

The recording and its licence are named in the data folder's own list of sources: lines of a
multitasking lathe in SHDR, the line protocol of the open MTConnect standard (ANSI/MTC1.4).
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pandas as pd

from tests.helpers.command_line import holewise
from tests.helpers.replay_server import ReplayServer
from trials.cli.trial import TEMPLATE
from trials.workbench import Workbench

NAME = "bracket-8.5"


def loads_in_file(text: str) -> list[float]:
    """Every S1load value in the order of the file, read by a plain pattern."""
    lines = [line for line in text.splitlines() if re.match(r"\d{4}-\d\d-\d\dT", line)]
    return [float(value) for line in lines for value in re.findall(r"\|S1load\|([^|]*)", line)]


def test_live_over_tcp_and_imported_are_the_same(shared_data: Path, tmp_path: Path) -> None:
    recording = shared_data / "shdr_turning_recording.txt"
    data = tmp_path / "shop"
    trial_file = tmp_path / "trial.toml"
    trial_file.write_text(TEMPLATE, encoding="utf-8")
    assert holewise("trial", "new", "--file", trial_file, data=data).status == 0

    assert holewise("run", "new", NAME, data=data).status == 0
    with ReplayServer(recording.read_bytes(), seed=7) as server:
        logged = holewise(
            "log", NAME, "--source", server.url, "--no-reconnect",
            "--format", "shdr", "--map", "load=S1load,unit=%", data=data,
        )  # fmt: skip
    # The spindle was loaded up to 164 %, above this trial's limit: an alarm that nobody has
    # acknowledged stands at the end, and the exit status says so.
    assert logged.status == 3, logged.err
    assert "over the limit of 70 %" in logged.out

    assert holewise("run", "new", NAME, data=data).status == 0
    imported = holewise(
        "import", NAME, recording, "--run", "2", "--format", "shdr", "--map", "load=S1load,unit=%",
        data=data,
    )  # fmt: skip
    assert imported.status == 0, imported.err

    expected = loads_in_file(recording.read_text(encoding="utf-8"))
    assert len(expected) == 77  # counted in the file by hand with grep
    with Workbench.open(data) as bench:
        live, read = bench.trace(NAME, 1), bench.trace(NAME, 2)
        gaps = bench.gaps(NAME, 1)
    assert live["load_pct"].tolist() == expected
    assert np.all(np.diff(live["time_s"]) >= 0)
    pd.testing.assert_frame_equal(live, read)
    # The file is two recordings, the second of which began 17 minutes before the first ended.
    stepped = [gap for gap in gaps if "stepped back" in gap.reason]
    assert len(stepped) == 1
    for answer in (logged, imported):
        assert "clock steps 1" in answer.out.replace("_", " ")
        assert "assets 57" in answer.out
