"""``holewise log`` as processes: who may listen, what an alarm leaves behind, the terminal."""

from __future__ import annotations

import contextlib
import json
import os
import select
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from tests.helpers.invented_stream import LineServer, serving, stream, up_to_s
from trials.cli.trial import TEMPLATE
from trials.logger import JournalReader, Kind
from trials.workbench import Workbench

NAME = "bracket-8.5"
LINES = ["--format", "csv", "--map", "load=load_pct,time=time_s", "--no-reconnect"]
LIMIT_PCT = 70.0  # of the template's trial


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with a trial and a planned run; made once, because making its tables takes time."""
    place = tmp_path_factory.mktemp("fresh")
    folder, trial_file = place / "shop", place / "trial.toml"
    trial_file.write_text(TEMPLATE, encoding="utf-8")
    assert holewise("trial", "new", "--file", trial_file, data=folder).status == 0
    assert holewise("run", "new", NAME, data=folder).status == 0
    return folder


@pytest.fixture
def data(fresh: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    return Path(shutil.copytree(fresh, tmp_path / "shop"))


@contextmanager
def logger(data: Path, *arguments: object, **options: object) -> Iterator[subprocess.Popen[str]]:
    """``holewise log`` in a process of its own, which is gone afterwards."""
    command = [sys.executable, "-m", "trials.cli.app", "--data", str(data), "log", NAME]
    process = subprocess.Popen(
        [*command, *map(str, arguments)],
        stdout=options.pop("stdout", subprocess.PIPE),  # type: ignore[call-overload]  # as given
        stderr=subprocess.PIPE, text=True, **options,
    )  # fmt: skip
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


def wait_for(holds: object, process: subprocess.Popen[str] | None = None) -> None:
    until = time.monotonic() + 60.0
    while not holds():  # type: ignore[operator]  # a function without arguments
        assert process is None or process.poll() is None, process.communicate()
        assert time.monotonic() < until
        time.sleep(0.05)


def recording(bench: Workbench, number: int) -> bool:
    view = bench.live(NAME, number)
    return view is not None and view.recording and view.newest_load_pct is not None


def test_a_run_and_a_source_have_one_logger_and_others_are_told_whose(data: Path) -> None:
    text = stream(2)
    assert holewise("run", "new", NAME, data=data).status == 0
    with serving(text) as server, serving(text) as other, Workbench.open(data) as bench:
        server.release(up_to_s(text, 3.0))
        other.release(up_to_s(text, 3.0))
        with logger(data, "--run", 1, "--source", server.url, *LINES) as first:
            wait_for(lambda: recording(bench, 1), first)
            same_run = holewise("log", NAME, "--run", 1, "--source", other.url, *LINES, data=data)
            assert same_run.status == 1
            assert f"recording run 1 of {NAME} is already being done by process" in same_run.err
            assert str(first.pid) in same_run.err
            source = holewise("log", NAME, "--run", 2, "--source", server.url, *LINES, data=data)
            assert source.status == 1
            assert f"{server.url} is being listened to by process {first.pid}" in source.err
            assert f"for run 1 of {NAME}" in source.err
            setup = holewise("log", "--setup", "--source", server.url, "--yes", data=data)
            assert setup.status == 1
            assert f"process {first.pid}" in setup.err
            assert bench.run(NAME, 2).state == "planned"
            first.send_signal(signal.SIGTERM)
            out, err = first.communicate(timeout=60)
        assert first.returncode == 0, err
        assert "it was stopped" in out
        # The source is free again.
        server.release()
        server.end()
        again = holewise("log", NAME, "--run", 2, "--source", server.url, *LINES, data=data)
        assert again.status == 0, again.err


def test_several_loggers_on_different_ports_share_one_store(data: Path) -> None:
    assert holewise("run", "new", NAME, data=data).status == 0
    text = {1: stream(5, seed=1), 2: stream(6, seed=2)}
    with contextlib.ExitStack() as stack:
        running = {}
        for number, lines in text.items():
            server: LineServer = stack.enter_context(serving(lines))
            running[number] = stack.enter_context(
                logger(data, "--run", number, "--source", server.url, *LINES)
            )
            server.release()
            server.end()
        for number, process in running.items():
            out, err = process.communicate(timeout=120)
            assert process.returncode == 0, err
            assert f"Run {number} of {NAME}: {4 + number} holes" in out
    with Workbench.open(data) as bench:
        assert bench.damage() == []
        for number, lines in text.items():
            sent = [float(line.split(b",")[1]) for line in lines.splitlines()[1:]]
            assert bench.trace(NAME, number)["load_pct"].tolist() == sent
            assert len(bench.holes(NAME, number)) == 4 + number


def test_an_alarm_that_nobody_saw_is_the_exit_status(data: Path, tmp_path: Path) -> None:
    alarm_file = tmp_path / "alarm.txt"
    with serving(stream(3, fresh_pct=65.0, rise_pct=4.0)) as server:  # hole 3 has 73 %
        server.release()
        server.end()
        answer = holewise(
            "log", NAME, "--source", server.url, *LINES, "--alarm-file", alarm_file, data=data
        )
    assert answer.status == 3, answer.err
    assert "ALARM not acknowledged: Load 7" in answer.out
    assert f"over the limit of {LIMIT_PCT:.0f} %" in alarm_file.read_text(encoding="utf-8")
    with Workbench.open(data) as bench:
        (alarm,) = bench.alarms(NAME, 1)
        assert (alarm.kind, alarm.standing) == ("over_limit", True)
        view = bench.live(NAME, 1)
        assert view is not None
        assert view.alarm == alarm.text
        assert bench.acknowledge(NAME, 1, who="office") == 1
        view = bench.live(NAME, 1)
        assert view is not None
        assert view.alarm is None


def test_an_alarm_is_acknowledged_from_another_screen(data: Path, tmp_path: Path) -> None:
    """Through the store, as the dashboard does it: the logger learns of it and keeps it."""
    text = stream(3, fresh_pct=65.0, rise_pct=4.0)
    alarm_file = tmp_path / "alarm.txt"
    with serving(text) as server, Workbench.open(data) as bench:
        server.release(up_to_s(text, 18.0))
        with logger(
            data, "--source", server.url, *LINES, "--alarm-file", alarm_file
        ) as process:  # fmt: skip
            wait_for(lambda: any(alarm.standing for alarm in bench.alarms(NAME, 1)), process)
            wait_for(lambda: "over the limit" in alarm_file.read_text(encoding="utf-8"), process)
            assert bench.acknowledge(NAME, 1, who="dashboard") >= 1
            wait_for(lambda: alarm_file.read_text(encoding="utf-8") == "", process)
            process.send_signal(signal.SIGTERM)
            out, err = process.communicate(timeout=60)
    assert process.returncode == 0, err
    assert "ALARM Load" in out
    assert "no alarm stands any more" in out
    (folder,) = (data / "journals").iterdir()
    notes = [json.loads(one.payload) for one in JournalReader(folder) if one.kind is Kind.NOTE]
    told = [(note["state"], note.get("by")) for note in notes if note["event"] == "alarm"]
    assert told[0][0] == "raised"
    assert ("acknowledged", "dashboard") in told


pty_only = pytest.mark.skipif(os.name != "posix", reason="there is no pseudo-terminal here")


@pty_only
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGHUP])
def test_the_view_takes_keys_and_gives_the_terminal_back(data: Path, how: signal.Signals) -> None:
    import fcntl
    import pty
    import struct
    import termios

    text = stream(3, fresh_pct=65.0, rise_pct=4.0)
    outer, inner = pty.openpty()
    fcntl.ioctl(inner, termios.TIOCSWINSZ, struct.pack("HHHH", 30, 90, 0, 0))
    before = termios.tcgetattr(inner)
    seen = b""

    def says(*wanted: bytes) -> bool:
        nonlocal seen
        while select.select([outer], [], [], 0.05)[0]:
            seen += os.read(outer, 65_536)
        return all(one in seen for one in wanted)

    try:
        with serving(text) as server, Workbench.open(data) as bench:
            server.release(up_to_s(text, 18.0))
            with logger(
                data, "--source", server.url, *LINES,
                stdin=inner, stdout=inner, env={**os.environ, "TERM": "xterm-256color"},
                preexec_fn=lambda: (os.setsid(), fcntl.ioctl(inner, termios.TIOCSCTTY, 0)),
            ) as process:  # fmt: skip
                wait_for(lambda: says(b"acknowledge", b"\x1b[?1049h", b"\x07"), process)
                assert not termios.tcgetattr(inner)[3] & termios.ICANON
                os.write(outer, b"\x1ap")  # Ctrl-Z stops nothing; p pauses the view alone
                wait_for(lambda: says(b"VIEW PAUSED"), process)
                server.release()
                wait_for(lambda: journalled(data) == len(text), process)
                os.write(outer, b"pa")
                wait_for(lambda: not any(a.standing for a in bench.alarms(NAME, 1)), process)
                os.kill(process.pid, how)
                wait_for(lambda: says(b"Next: look") or process.poll() is not None)
                wait_for(lambda: says() or process.poll() is not None)
                process.wait(60)
                says()
    finally:
        after = termios.tcgetattr(inner)
        os.close(outer)
        os.close(inner)
    assert process.returncode == 0, seen[-2000:]
    assert after[3] == before[3], "line by line and with echo, as before"
    assert seen.rindex(b"\x1b[?1049l") > seen.rindex(b"\x1b[?1049h"), "the usual screen is back"
    assert seen.rindex(b"\x1b[?25h") > seen.rindex(b"\x1b[?25l"), "and the cursor"
    assert seen.index(b"Next: look") > seen.rindex(b"\x1b[?1049l")


def journalled(data: Path) -> int:
    (folder,) = (data / "journals").iterdir()
    reader = JournalReader(folder, strict=False)
    return sum(len(record.payload) for record in reader if record.kind is Kind.DATA)
