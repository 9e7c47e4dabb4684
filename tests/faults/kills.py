"""kill -9 of a whole recording (journal, holes, store) at random instants, and of the naive way.

A kill is judged by the sender's notes: the lines whose sending had ended before the kill, against
the lines that the journal holds whole.
"""

from __future__ import annotations

import json
import os
import random
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import numpy as np

from tests.faults.row import Row
from tests.helpers.example_trial import START, example_trial
from tests.helpers.line_sender import ROOT, LineSender
from trials.logger import JournalReader, Kind, LineFormat, Mapping
from trials.logger.journal.system import take_lock
from trials.workbench import Workbench

KILLS_A_SHOP = 10
_RECORDING_BYTES = 2500  # more than what stands in a journal before the first line of a session
_LINE_WHOLE = re.compile(rb"^t=[\d.]+;load=\d+;n=(\d+)\n", re.MULTILINE)


def in_a_child(work: Callable[[], None]) -> int:
    """Start work in a forked process; its number. This process must have no threads."""
    child = os.fork()
    if child == 0:
        try:
            work()
        except BaseException:  # noqa: BLE001 - told, and then the process ends at once
            traceback.print_exc()
        finally:
            os._exit(1)
    return child


def kill(child: int) -> int:
    """Kill a child; the monotonic ns just before."""
    moment = time.monotonic_ns()
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return moment


def journal_of(shop: Path) -> Path | None:
    folders = list((shop / "journals").glob("*"))
    return folders[0] if folders else None


def numbers_in(folder: Path | None) -> np.ndarray:
    """Numbers of the lines that a journal holds whole."""
    if folder is None or not list(folder.glob("segment-*")):
        return np.empty(0, dtype=np.int64)
    reader = JournalReader(folder)
    data = b"".join(
        record.payload if record.kind is Kind.DATA else b"\n" if b'"gap"' in record.payload else b""
        for record in reader
    )
    return np.array([int(found) for found in _LINE_WHOLE.findall(data)], dtype=np.int64)


def record(shop: Path, url: str, resume: bool) -> None:
    with Workbench.open(shop) as bench:
        bench.record(
            "bracket", 1, url, resume=resume, line_format=LineFormat("key=value"),
            mapping=Mapping.parse("load=load,time=t"),
        )  # fmt: skip


def journal_bytes(shop: Path) -> int:
    folder = journal_of(shop)
    return 0 if folder is None else sum(one.stat().st_size for one in folder.glob("segment-*"))


class Killed:
    """What the kills of one link showed."""

    def __init__(self, link: str) -> None:
        self._link = link
        self.kills = 0
        self.lost: list[int] = []
        self.holes_inside = 0
        self.unclean: list[str] = []
        self.lines = 0

    def add(self, sender: LineSender, shop: Path, moment: int, first: int) -> int:
        """Judge one kill; the newest number that is there."""
        folder = journal_of(shop)
        if folder is not None:
            os.close(take_lock(folder))  # its keeper has saved what came in and let go
        have = numbers_in(folder)
        sent = sender.sent_before(moment)
        sent, session = sent[sent >= first], have[have >= first]
        if self._link == "pty" and len(session):
            # What is still in the terminal is to come in the next session, which begins there.
            sent = sent[sent <= session[-1]]
        self.lost.append(int(np.setdiff1d(sent, session).size))
        if len(session) and session[-1] - session[0] + 1 != len(session):
            self.holes_inside += 1
        if not len(session):
            self.unclean.append("nothing was recorded")
        self.kills += 1
        self.lines += len(session)
        with Workbench.open(shop, create=False) as bench:
            self.unclean += bench.damage()
            if bench.run("bracket", 1).state != "recording":
                self.unclean.append("the run is not recording")
        if folder is not None and JournalReader(folder).verify().damaged:
            self.unclean.append("damage in the journal")
        return int(have[-1]) + 1 if len(have) else first


def kill_recordings(link: str, kills: int, seed: int, folder: Path) -> Killed:
    """Kill a recording again and again, resuming it; a new shop every 10 kills."""
    instants = random.Random(seed)
    killed = Killed(link)
    with LineSender(link, folder / f"notes-{link}") as sender:
        first = 0
        while killed.kills < kills:
            shop = folder / f"shop-{link}"
            with Workbench.open(shop) as bench:
                bench.new_trial(example_trial())
                bench.plan_run("bracket", START)
            for number in range(min(KILLS_A_SHOP, kills - killed.kills)):
                before = journal_bytes(shop)
                child = in_a_child(lambda: record(shop, sender.url, number > 0))  # noqa: B023
                give_up = time.monotonic() + 60
                while (
                    journal_bytes(shop) < before + _RECORDING_BYTES and time.monotonic() < give_up
                ):
                    time.sleep(0.001)
                time.sleep(instants.uniform(0.0, 0.25))
                moment = kill(child)
                if link == "tcp":
                    first = sender.first_of_connection()
                first = killed.add(sender, shop, moment, first)
            shutil.rmtree(shop)
            print(f"{link}: {killed.kills} kills, most lost {max(killed.lost)}", file=sys.stderr)
    return killed


def naive(url: str, path: Path) -> None:
    """What one writes first: readline from the link, write to a file opened for appending."""
    host, port = url.removeprefix("tcp://").split(":")
    with socket.create_connection((host, int(port))) as link, path.open("ab") as file:
        lines = link.makefile("rb")
        while line := lines.readline():
            float(line.split(b";")[1][5:])
            file.write(line)


def kill_naive(kills: int, seed: int, folder: Path) -> list[int]:
    """Lines that the naive way loses at each kill."""
    instants, lost = random.Random(seed), []
    with LineSender("tcp", folder / "notes-naive") as sender:
        for number in range(kills):
            path = folder / f"naive-{number}"
            child = in_a_child(lambda: naive(sender.url, path))  # noqa: B023
            time.sleep(0.1 + instants.uniform(0.0, 0.6))
            moment = kill(child)
            data = path.read_bytes() if path.exists() else b""
            have = {int(found) for found in _LINE_WHOLE.findall(data)}
            sent, first = sender.sent_before(moment), sender.first_of_connection()
            lost.append(len(set(sent[sent >= first].tolist()) - have))
    return lost


def judged(link: str, killed: Killed) -> Row:
    lost = np.array(killed.lost)
    spread = ", ".join(f"{int((lost == n).sum())} x {n}" for n in np.unique(lost))
    return Row(
        f"kill -9, {link}, {killed.kills} random instants at 1,000 lines/s",
        "at most the one line in flight lost each time, no gap inside a session, store and journal "
        "open clean every time",
        f"lines lost at a kill: {spread}; sessions with a gap inside: {killed.holes_inside}; "
        f"unclean: {len(killed.unclean)}; {killed.lines:,} lines recorded",
        bool((lost <= 1).all()) and not killed.holes_inside and not killed.unclean,
    )


def judged_naive(lost: list[int]) -> Row:
    return Row(
        f"the same, naive way, {len(lost)} instants", "for comparison",
        f"lines lost at a kill: median {np.median(lost):.0f}, most {max(lost)}", None,
    )  # fmt: skip


def run(kills: int, naive_kills: int) -> list[Row]:
    """Both links at the same time, each in a process of its own that may fork; then naively."""
    shares = {"tcp": kills - kills // 2, "pty": kills // 2, "naive": naive_kills}
    rows = []
    started = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.faults.kills", link, str(share)],
            cwd=ROOT, stdout=subprocess.PIPE, text=True,
        )
        for link, share in shares.items()
    ]  # fmt: skip
    for process in started:
        text, _ = process.communicate()
        rows.append(Row(**json.loads(text.splitlines()[-1])))
    return rows


def main(link: str, kills: int) -> Row:
    with tempfile.TemporaryDirectory() as name:
        if link == "naive":
            return judged_naive(kill_naive(kills, 11, Path(name)))
        return judged(link, kill_recordings(link, kills, 11, Path(name)))


if __name__ == "__main__":
    print(json.dumps(asdict(main(sys.argv[1], int(sys.argv[2])))))
