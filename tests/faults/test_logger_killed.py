"""kill -9 of the logger at random instants, quick form: nothing that was journalled is lost."""

from __future__ import annotations

import os
import pty
import random
import signal
import subprocess
import sys
import threading
import time
import tty
from pathlib import Path

from trials.logger import JournalReader, Kind, rebuild
from trials.logger.journal.system import take_lock

PROGRAM = """
import sys
from pathlib import Path
from trials.logger import *

port, folder = sys.argv[1], Path(sys.argv[2])
source = open_source("serial:" + port)
line_format, mapping = LineFormat("key=value"), Mapping.parse("load=load,time=t")
if folder.exists():
    with Journal.reopen(folder) as journal:
        decoder = decoder_from(journal.settings)
        for _ in replay(JournalReader(folder), decoder):
            pass
        Recorder(source, journal, decoder, resumed=True).run()
else:
    with Journal.create(folder, recording_settings(source, line_format, mapping)) as journal:
        Recorder(source, journal, decoder_from(journal.settings)).run()
"""
KILLS = 6


def data_bytes(folder: Path) -> int:
    if not list(folder.glob("segment-*")):
        return 0
    records = JournalReader(folder)
    return sum(len(record.payload) for record in records if record.kind is Kind.DATA)


class Sender:
    """About a thousand numbered lines a second into a pseudo-terminal, until stopped."""

    def __init__(self, descriptor: int) -> None:
        self.sent = 0
        self._descriptor = descriptor
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._send, name="sender")
        self._thread.start()

    def _send(self) -> None:
        os.set_blocking(self._descriptor, False)
        while not self._stop.wait(0.001):
            line = b"t=%.3f;load=%d\n" % (self.sent / 1000, self.sent % 90)
            try:
                done = os.write(self._descriptor, line)
            except BlockingIOError:
                continue  # nobody reads just now: the line is sent later
            while done < len(line) and not self._stop.is_set():
                try:
                    done += os.write(self._descriptor, line[done:])
                except BlockingIOError:
                    time.sleep(0.001)
            self.sent += 1

    def stop(self) -> None:
        self._stop.set()
        self._thread.join()


def test_killed_at_random_instants_and_resumed(tmp_path: Path) -> None:
    instants = random.Random(11)
    master, slave = pty.openpty()
    tty.setraw(slave)
    folder = tmp_path / "journal"
    sender = Sender(master)
    kept: list[bytes] = []
    try:
        for _ in range(KILLS):
            before = data_bytes(folder)
            child = subprocess.Popen([sys.executable, "-c", PROGRAM, os.ttyname(slave), folder])
            try:
                give_up = time.monotonic() + 60
                while data_bytes(folder) <= before + 5000 and time.monotonic() < give_up:
                    time.sleep(instants.uniform(0.001, 0.05))
            finally:
                child.send_signal(signal.SIGKILL)
                child.wait()
                os.close(take_lock(folder))  # its keeper has saved what came in and let go
            kept = check_after_a_kill(folder, kept)
    finally:
        sender.stop()
        os.close(master)
        os.close(slave)

    rebuilt = rebuild(folder)
    numbers = [round(1000 * time_s) for time_s in rebuilt.batch.time_s]
    assert len(numbers) > 1000
    missing = set(range(numbers[-1] + 1)) - set(numbers)
    assert len(missing) <= KILLS, "more than the one line in flight was lost at a kill"
    assert numbers == sorted(set(numbers))
    reasons = [gap.reason for gap in rebuilt.gaps]
    assert reasons == ["logger stopped"] * (KILLS - 1)


def check_after_a_kill(folder: Path, kept: list[bytes]) -> list[bytes]:
    """The journal opens clean, and begins with all that it held before."""
    records = [one.payload for one in JournalReader(folder) if one.kind is Kind.DATA]
    assert records[: len(kept)] == kept
    check = JournalReader(folder).verify()
    assert not check.damaged
    assert not check.closed
    return records
