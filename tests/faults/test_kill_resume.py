"""A recording process is killed at any moment: nothing journalled is lost, and it goes on."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pandas as pd
import pytest

from tests.helpers.example_trial import START, example_trial
from tests.helpers.invented_stream import PERIOD_S, serving, stream, up_to_s, written
from trials.errors import ConflictError
from trials.logger import JournalReader, Kind, after
from trials.logger.journal.system import take_lock
from trials.workbench import Workbench

ROOT = Path(__file__).parents[2]
HOLES = 12
_RECORD = """
import sys
from pathlib import Path
from trials.logger import LineFormat, Mapping
from trials.workbench import Workbench
folder, url, resume = sys.argv[1:]
with Workbench.open(Path(folder), create=False) as bench:
    bench.record(
        "bracket", 1, url, line_format=LineFormat(),
        mapping=Mapping.parse("load=load_pct,time=time_s"), resume=resume == "resume",
    )
"""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(tmp_path / "shop") as bench:
        bench.new_trial(example_trial())
        bench.plan_run("bracket", START)
        bench.plan_run("bracket", START)
        yield bench


@contextmanager
def recording(
    bench: Workbench, url: str, *, resume: bool = False
) -> Iterator[subprocess.Popen[bytes]]:
    """Another process that records run 1; killed at the end if it is still there."""
    how = "resume" if resume else "new"
    process = subprocess.Popen(
        [sys.executable, "-c", _RECORD, str(bench.folder), url, how], cwd=ROOT
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def kill(process: subprocess.Popen[bytes], bench: Workbench) -> None:
    os.kill(process.pid, signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL, "it was to be killed, not to end by itself"
    for folder in (bench.folder / "journals").iterdir():
        os.close(take_lock(folder))  # its keeper has saved what came in and let go


def until(holds: Callable[[], bool]) -> None:
    last = time.monotonic() + 60
    while not holds():
        assert time.monotonic() < last, "waited for a minute"
        time.sleep(0.01)


def journalled(bench: Workbench) -> bytes:
    """All bytes that the journal of run 1 holds."""
    folders = list((bench.folder / "journals").iterdir())
    if not folders or not list(folders[0].glob("segment-*")):
        return b""
    reader = JournalReader(folders[0])
    return b"".join(record.payload for record in reader if record.kind is Kind.DATA)


def check_same_as_uninterrupted(bench: Workbench, text: bytes, tmp_path: Path) -> None:
    """Run 1 against run 2, which reads the same bytes in one go."""
    bench.import_trace("bracket", 2, written(tmp_path, text))
    pd.testing.assert_frame_equal(bench.trace("bracket", 1), bench.trace("bracket", 2))
    pd.testing.assert_frame_equal(bench.holes("bracket", 1), bench.holes("bracket", 2))
    assert len(bench.holes("bracket", 1)) == HOLES
    killed, whole = bench.run("bracket", 1), bench.run("bracket", 2)
    assert (killed.state, killed.holes) == ("drilled", HOLES)
    assert killed.load_fresh_pct == whole.load_fresh_pct
    assert killed.load_worn_pct == whole.load_worn_pct
    assert killed.cycle_min == whole.cycle_min
    assert bench.damage() == []


def test_killed_in_mid_hole_and_resumed(bench: Workbench, tmp_path: Path) -> None:
    text = stream(HOLES)
    in_hole_5 = up_to_s(text, 2.0 + 4 * PERIOD_S + 1.7) + 7  # in the middle of a line, too
    with serving(text) as server:
        server.release(in_hole_5)
        with recording(bench, server.url) as process:
            until(lambda: len(journalled(bench)) == in_hole_5)
            live = bench.live("bracket", 1)
            assert live is not None
            assert live.holes_count == 4
            assert live.current is not None
            assert live.current.number == 5
            kill(process, bench)
        assert journalled(bench) == text[:in_hole_5]
        assert bench.run("bracket", 1).state == "recording"
        view = bench.live("bracket", 1)
        assert view is not None
        assert (view.state, view.recording) == ("logger stopped", False)
        # The source sends the line again that was cut; its first half is not read as a value.
        server.go_back_to(text.rfind(b"\n", 0, in_hole_5) + 1)
        server.release()
        server.end()
        summary = bench.record("bracket", 1, server.url, resume=True)
    assert summary.rejected == 1
    (gap,) = bench.gaps("bracket", 1)
    assert gap.reason == "logger stopped"
    assert (gap.start_s, gap.end_s) == (pytest.approx(27.68), pytest.approx(27.70))
    check_same_as_uninterrupted(bench, text, tmp_path)


@pytest.mark.parametrize("seed", range(3))
def test_killed_at_any_moment_while_values_come(
    bench: Workbench, tmp_path: Path, seed: int
) -> None:
    """Killed up to three times, at moments that nobody chose."""
    rng = random.Random(seed)
    text = stream(HOLES)
    start = before = 0  # where this session begins in the text, and in the journal
    with serving(text) as server:
        for session in range(3):
            server.release(start + rng.randrange(1, len(text) // 3))
            with recording(bench, server.url, resume=session > 0) as process:
                while len(journalled(bench)) == before:
                    assert process.poll() is None
                time.sleep(rng.random() * 0.05)
                kill(process, bench)
            after = len(journalled(bench))
            start = text.rfind(b"\n", 0, start + after - before) + 1
            before = after
            server.go_back_to(start)
        server.release()
        server.end()
        bench.record("bracket", 1, server.url, resume=True)
    assert {gap.reason for gap in bench.gaps("bracket", 1)} == {"logger stopped"}
    check_same_as_uninterrupted(bench, text, tmp_path)


def test_a_torn_end_of_the_journal_is_cut_back(bench: Workbench, tmp_path: Path) -> None:
    """As a power cut leaves it: the last record is half there, and zeros follow."""
    text = stream(HOLES)
    first, cut = up_to_s(text, 25.0), up_to_s(text, 30.0)
    with serving(text) as server:
        server.release(first)
        with recording(bench, server.url) as process:
            until(lambda: len(journalled(bench)) == first)
            server.release(cut)
            until(lambda: len(journalled(bench)) == cut)
            kill(process, bench)
        (folder,) = (bench.folder / "journals").iterdir()
        last = [one for one in JournalReader(folder) if one.kind is Kind.DATA][-1]
        segment = max(folder.glob("segment-*"))
        segment.write_bytes(segment.read_bytes()[: after(last).offset - 5] + bytes(64))
        left = journalled(bench)
        assert first <= len(left) < cut
        assert text.startswith(left)
        server.go_back_to(left.rfind(b"\n") + 1)
        server.release()
        server.end()
        bench.record("bracket", 1, server.url, resume=True)
    check_same_as_uninterrupted(bench, text, tmp_path)


def test_a_followed_file_goes_on_at_its_byte(bench: Workbench, tmp_path: Path) -> None:
    text = stream(HOLES)
    in_line = up_to_s(text, 30.0) + 4
    path = written(tmp_path, text[:in_line], "growing.csv")
    url = f"csv:{path}?follow=1"
    with recording(bench, url) as process:
        until(lambda: len(journalled(bench)) == in_line)
        kill(process, bench)
    path.write_bytes(text)
    bench.record("bracket", 1, f"csv:{path}", resume=True)
    assert bench.gaps("bracket", 1) == [], "no byte of the file is missing"
    check_same_as_uninterrupted(bench, text, tmp_path)


def test_the_second_logger_is_refused_and_a_dead_one_is_not(bench: Workbench) -> None:
    text = stream(HOLES)
    with serving(text) as server:
        server.release(up_to_s(text, 22.0))
        with recording(bench, server.url) as process:
            until(lambda: len(journalled(bench)) == up_to_s(text, 22.0))
            for act in (
                lambda: bench.record("bracket", 1, server.url, resume=True),
                lambda: bench.end_run("bracket", 1, "stopped"),
                lambda: bench.rebuild("bracket", 1),
            ):
                with pytest.raises(ConflictError, match=f"process {process.pid} on"):
                    act()
            assert process.poll() is None, "the first one goes on"
            kill(process, bench)
    assert server.connections == 1
    ended = bench.end_run("bracket", 1, "broken")
    assert (ended.state, ended.holes) == ("ended", 4), "the fourth was cut off by the kill"
    assert len(bench.trace("bracket", 1)) == 1100
