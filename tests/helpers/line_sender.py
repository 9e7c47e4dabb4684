"""A process that sends numbered lines over TCP or a pseudo-terminal and notes when it sent each.

The notes are a file of int64: monotonic ns at the end of sending line n, 0 for lines not sent; the
monotonic clock is the same for all processes of a computer.
"""

from __future__ import annotations

import os
import pty
import socket
import subprocess
import sys
import time
import tty
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
MOST_LINES = 10_000_000


def line(number: int) -> bytes:
    """Line n: its own time, 1,000 a second, a load, and its number."""
    return b"t=%.3f;load=%d;n=%d\n" % (number / 1000, number % 90, number)


class LineSender:
    """Starts the sender; use it in a ``with``.

    Args:
        link: ``tcp`` (one client after the other; nothing is sent while there is none) or ``pty``
            (its buffer keeps what nobody reads, until it is full).
        notes: file for the notes.
        rate: lines a second; 0 for as fast as they are taken.
        seconds: ends by itself after so long.
        until: ends by itself, and closes the link, after so many lines.
    """

    def __init__(
        self, link: str, notes: Path, *, rate: float = 1000.0, seconds: float = 3600.0,
        until: int = MOST_LINES,
    ) -> None:  # fmt: skip
        np.zeros(min(until, MOST_LINES) + 1, dtype=np.int64).tofile(notes)
        self._notes = notes
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.helpers.line_sender", link, str(notes), str(rate),
             str(seconds), str(until)],
            cwd=ROOT, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert self._process.stdout is not None
        self.url = self._process.stdout.readline().strip()

    def sent_before(self, monotonic_ns: int) -> np.ndarray:
        """Numbers of the lines that were sent by a moment."""
        stamps = np.memmap(self._notes, dtype=np.int64, mode="r")
        return np.flatnonzero((stamps > 0) & (stamps < monotonic_ns))

    def first_of_connection(self) -> int:
        """Number of the first line that was meant for the newest client."""
        return int(self._notes.with_suffix(".clients").read_text().split()[-1])

    def sent_at(self) -> np.ndarray:
        """When each line was sent, monotonic ns; 0 for those that were not."""
        return np.fromfile(self._notes, dtype=np.int64)

    def wait(self) -> None:
        """Until it ends by itself."""
        self._process.wait()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._process.kill()
        self._process.wait()
        assert self._process.stdout is not None
        self._process.stdout.close()


def _send(link: str, notes: str, rate: float, seconds: float, until: int) -> None:
    stamps = np.memmap(notes, dtype=np.int64, mode="r+")
    listener, out, kept = None, -1, -1
    if link == "pty":
        out, kept = pty.openpty()
        tty.setraw(kept)
        print(f"serial:{os.ttyname(kept)}", flush=True)
    else:
        listener = socket.create_server(("127.0.0.1", 0))
        print(f"tcp://127.0.0.1:{listener.getsockname()[1]}", flush=True)
    number, client = 0, None
    end = time.monotonic() + seconds
    due = time.monotonic()
    step = 1 / rate if rate else 0.0
    burst = 1 if rate else 2000
    while time.monotonic() < end and number < until:
        if listener is not None and client is None:
            client, _ = listener.accept()
            client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            out = client.fileno()
            due = time.monotonic()
            with Path(notes).with_suffix(".clients").open("a") as clients:
                clients.write(f"{number}\n")
        last = min(number + burst, until)
        data = memoryview(b"".join(map(line, range(number, last))))
        try:
            while data:
                data = data[os.write(out, data) :]
        except OSError:
            assert client is not None
            client.close()
            client = None
            continue  # the line that broke off is sent to the next client, whole
        stamps[number:last] = time.monotonic_ns()
        number = last
        due = max(due + step, time.monotonic() - 0.05)  # no storm after a time without a client
        wait_s = due - time.monotonic()
        if wait_s > 0:
            time.sleep(wait_s)
    if client is not None:
        client.close()
    if link == "pty":
        time.sleep(max(0.0, end - time.monotonic()))  # what is in it would go with it


if __name__ == "__main__":
    _send(sys.argv[1], sys.argv[2], *map(float, sys.argv[3:5]), int(sys.argv[5]))
