"""The simulator as its own process, heard over real TCP and a real pseudo-terminal."""

from __future__ import annotations

import csv
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
import serial

from trials.errors import InputError, SourceError
from trials.model import CuttingData, Drill, HoleFeature, Machine, Work
from trials.simulator import Job, SimulatorProcess, Watch, drill_holes, read_notes
from trials.simulator.arguments import Command
from trials.simulator.files import lines_of
from trials.simulator.spindle import Signal

JOB = Job(
    Machine(2.2, 2500, 8000),
    Work("invented steel", "P"),
    HoleFeature(6.0, 12.0),
    Drill("invented drill", 6.0, substrate="carbide"),
    CuttingData(60.0, 0.12),
)
WATCH = Watch(6, look_every_holes=3)


def _command(link: str, **more: object) -> Command:
    more = {"speed_up": 0.0, "wait_s": 20.0, **more}
    return Command(JOB, WATCH, Signal(50.0), seed=7, link=link, **more)  # type: ignore[arg-type]  # each test names fields of Command


def _expected() -> str:
    return "".join(
        line for hole in drill_holes(JOB, WATCH, Signal(50.0), seed=7) for line in lines_of(hole)
    )


def _hear_tcp(address: str) -> str:
    host, port = address.removeprefix("tcp://").split(":")
    with socket.create_connection((host, int(port)), timeout=20) as line:
        parts = []
        while part := line.recv(4096):
            parts.append(part)
    return b"".join(parts).decode("ascii")


def _hear_serial(address: str) -> str:
    parts = []
    with serial.Serial(address, timeout=1.0, exclusive=True) as port:
        try:
            while True:
                parts.append(port.read(1) + port.read(port.in_waiting))
        except serial.SerialException:
            pass  # it hung up: a port that goes away is the end of the line
    return b"".join(parts).decode("ascii")


@pytest.mark.parametrize(("link", "hear"), [("127.0.0.1:0", _hear_tcp), ("pty", _hear_serial)])
def test_every_line_arrives_over_a_real_link(
    link: str, hear: Callable[[str], str], tmp_path: Path
) -> None:
    files = {name: tmp_path / f"{name}.csv" for name in ("csv", "notes", "labels")}
    with SimulatorProcess(_command(link, **files)) as machine:
        assert machine.pid != os.getpid()
        heard = hear(machine.address)
        assert machine.wait(20) == 0
    assert heard == _expected()

    with files["csv"].open(newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["time_s", "load_pct", "rpm"]
    told = [[pair.split("=")[1] for pair in line.split(";")] for line in heard.splitlines()]
    assert rows[1:] == told

    notes = read_notes(files["notes"])
    assert [(note.hole, note.end) for note in notes] == [(3, None), (6, "stopped")]
    with files["labels"].open(newline="") as file:
        labels = list(csv.DictReader(file))
    assert [row["number"] for row in labels] == ["1", "2", "3", "4", "5", "6"]


def test_nobody_listening_is_said_and_ends_it() -> None:
    with SimulatorProcess(_command("127.0.0.1:0", wait_s=0.1)) as machine:
        assert machine.wait(20) == 1


def test_a_listener_that_leaves_ends_the_pass() -> None:
    with SimulatorProcess(_command("127.0.0.1:0", speed_up=50.0)) as machine:
        host, port = machine.address.removeprefix("tcp://").split(":")
        with socket.create_connection((host, int(port)), timeout=20) as line:
            line.recv(10)
        assert machine.wait(20) == 1


@pytest.mark.parametrize("link", ["127.0.0.1:0", "pty"])
def test_a_second_listener_hears_the_rest(link: str) -> None:
    with SimulatorProcess(_command(link, speed_up=40.0, reconnect=True)) as machine:
        if link == "pty":
            with serial.Serial(machine.address, timeout=5) as port:
                first = port.read(400).decode("ascii")
            rest = _hear_serial(machine.address)
        else:
            host, port_number = machine.address.removeprefix("tcp://").split(":")
            with socket.create_connection((host, int(port_number)), timeout=20) as line:
                first = line.recv(400).decode("ascii")
            rest = _hear_tcp(machine.address)
        assert machine.wait(20) == 0
    expected = _expected()
    assert expected.startswith(first)
    assert expected.endswith(rest)
    assert 0 < len(rest) <= len(expected) - len(first)


def test_real_time_is_paced_by_the_machines_own_clock() -> None:
    began = time.monotonic()
    with SimulatorProcess(_command("127.0.0.1:0", speed_up=25.0)) as machine:
        heard = _hear_tcp(machine.address)
    last_s = float(heard.splitlines()[-1].split(";")[0].removeprefix("t="))
    # No quicker than the clock allows; how much slower depends on this computer.
    assert time.monotonic() - began >= last_s / 25.0


def test_bad_arguments_are_one_paragraph_and_exit_code_2() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "trials.simulator", "--pty", "--speed=60", "--feed=9",
         "--diameter=6", "--depth=18"],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stdout == ""
    assert "feed" in done.stderr
    assert "at most 5 mm/rev" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    kept = tmp_path / "notes.csv"
    kept.write_text("mine")
    with pytest.raises(SourceError, match="is there already"):
        SimulatorProcess(_command("127.0.0.1:0", notes=kept))
    assert kept.read_text() == "mine"


def test_leaving_early_stops_the_process() -> None:
    with SimulatorProcess(_command("127.0.0.1:0")) as machine:
        pid = machine.pid
        assert machine.running()
    with pytest.raises(ProcessLookupError):
        os.kill(pid, signal.SIG_DFL)


def test_notes_that_are_damaged_are_named_by_line(tmp_path: Path) -> None:
    path = tmp_path / "notes.csv"
    path.write_text(
        "hole,vb_average_mm,vb_maximum_mm,corner_chipping_mm,end\n5,0.1,0.12,0,\n9,x,,,\n"
    )
    with pytest.raises(InputError, match=r"notes.csv, line 3"):
        read_notes(path)
