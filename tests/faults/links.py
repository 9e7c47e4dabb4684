"""Links that break: a terminal unplugged and plugged in again, TCP reset, peers that went away."""

from __future__ import annotations

import contextlib
import os
import pty
import socket
import struct
import tempfile
import threading
import time
import tty
from collections.abc import Callable
from pathlib import Path
from typing import Literal, Protocol

import numpy as np

from tests.faults.row import Row
from trials.holes import find_holes
from trials.logger import (
    Batch,
    Journal,
    LineFormat,
    Mapping,
    Recorder,
    decoder_from,
    open_source,
    rebuild,
    recording_settings,
)

_TCP_REPAIR = 19  # linux/tcp.h
HOLE_S, RATE_HZ = 10.0, 50
FORM, MAPPING = LineFormat("key=value"), Mapping.parse("load=load,time=t")


def piece(number: int) -> bytes:
    """Ten seconds of the source's own time with one hole in the middle of it."""
    time_s = np.arange(int(HOLE_S * RATE_HZ)) / RATE_HZ
    load = np.where((time_s > 3.0) & (time_s < 7.0), 42.0, 5.0)
    load += np.random.default_rng(number).normal(0, 0.3, len(time_s))
    return b"".join(
        b"t=%.2f;load=%.2f\n" % (number * HOLE_S + t, v) for t, v in zip(time_s, load, strict=True)
    )


class Link(Protocol):
    """One end of a link that can be broken and brought back."""

    url: str
    doubted: int  # first lines of a connection that may have begun before we listened

    def send(self, data: bytes) -> None: ...
    def break_it(self) -> None: ...
    def bring_back(self) -> None: ...
    def end(self) -> None: ...


class Terminal:
    """A pseudo-terminal under a fixed name, as an adapter is that is pulled out and put back."""

    doubted = 1

    def __init__(self, folder: Path) -> None:
        self._name = folder / "port"
        self.url = f"serial:{self._name}"
        self.bring_back()

    def bring_back(self) -> None:
        self._master, slave = pty.openpty()
        tty.setraw(slave)
        self._name.symlink_to(os.ttyname(slave))
        self._slave = slave

    def send(self, data: bytes) -> None:
        while data:
            data = data[os.write(self._master, data[:1000]) :]

    def break_it(self) -> None:
        self._name.unlink()
        os.close(self._slave)
        os.close(self._master)

    def end(self) -> None:
        with contextlib.suppress(OSError):
            self.break_it()


class Tcp:
    """A server whose connection ends in one of three ways.

    ``reset``; ``silent``: it stays open without a word; ``half-open``: the server forgets it
    without telling, as one does that lost its power and is on again (Linux, as root).
    """

    doubted = 0

    def __init__(self, _: Path, ends: Literal["reset", "silent", "half-open"]) -> None:
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._ends = ends
        self._left: list[socket.socket] = []
        silence = "?silence=0.5" if ends == "silent" else ""
        self.url = f"tcp://127.0.0.1:{self._listener.getsockname()[1]}{silence}"
        self._client: socket.socket | None = None

    def bring_back(self) -> None:
        """The next client is taken when there is something to send."""

    def send(self, data: bytes) -> None:
        if self._client is None:
            self._client, _ = self._listener.accept()
        self._client.sendall(data)

    def break_it(self) -> None:
        assert self._client is not None
        if self._ends == "silent":
            self._left.append(self._client)  # open to the system, but nobody is there
        elif self._ends == "half-open":
            self._client.setsockopt(socket.IPPROTO_TCP, _TCP_REPAIR, 1)  # closes without a word
            self._client.close()
        else:
            self._client.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            self._client.close()
        self._client = None

    def end(self) -> None:
        for one in (*self._left, self._client, self._listener):
            if one is not None:
                one.close()


def breaks(name: str, make: Callable[[Path], Link], count: int) -> Row:
    """Break a link so many times, each time after a whole hole."""
    back_s: list[float] = []
    batches: list[Batch] = []
    lines = int(HOLE_S * RATE_HZ)
    with tempfile.TemporaryDirectory() as place:
        link = make(Path(place))
        source = open_source(link.url)
        settings = recording_settings(source, FORM, MAPPING)
        stop = threading.Event()
        with Journal.create(Path(place) / "j", settings) as journal:
            decoder = decoder_from(settings)
            recorder = Recorder(source, journal, decoder, [batches.append], reconnect=True)
            thread = threading.Thread(target=recorder.run, args=(stop,), name="recorder-under-test")
            thread.start()
            try:
                link.send(piece(0))
                for number in range(1, count + 1):
                    before = number * (lines - link.doubted)
                    _until(lambda b=before: _samples(batches) == b)
                    link.break_it()
                    time.sleep(0.05 * (number % 4))
                    link.bring_back()
                    plugged_at = time.monotonic()
                    link.send(piece(number))
                    _until(lambda b=before: _samples(batches) > b)
                    back_s.append(time.monotonic() - plugged_at)
                _until(lambda: _samples(batches) == (count + 1) * (lines - link.doubted))
            finally:
                stop.set()
                thread.join()
                link.end()
        again = rebuild(Path(place) / "j")
    live = Batch.join(batches)
    holes = len(find_holes(live.frame()))
    same = np.array_equal(live.time_s, again.batch.time_s) and live.gaps == again.gaps
    missing = (count + 1) * (lines - link.doubted) - len(live)
    return Row(
        f"{name}, {count} times",
        "back within 2 s, one gap record each, no invented hole",
        f"back after at most {max(back_s):.2f} s (median {np.median(back_s):.2f} s), "
        f"{len(live.gaps)} gaps, {holes} holes of {count + 1} drilled, {missing} values missing"
        f"{' beside first lines in doubt' if link.doubted else ''}; "
        f"rebuilt {'the same' if same else 'DIFFERENTLY'}",
        max(back_s) < 2.0 and len(live.gaps) == count and holes == count + 1 and same
        and not missing,
    )  # fmt: skip


def _samples(batches: list[Batch]) -> int:
    return sum(map(len, batches))


def _until(holds: Callable[[], bool], give_up_s: float = 20.0) -> None:
    until = time.monotonic() + give_up_s
    while not holds() and time.monotonic() < until:
        time.sleep(0.002)


def run(count: int, silent: int) -> list[Row]:
    rows = [
        breaks("terminal unplugged and plugged in again", Terminal, count),
        breaks("TCP connection reset", lambda place: Tcp(place, "reset"), count),
        breaks("TCP peer silent with the connection open",
               lambda place: Tcp(place, "silent"), silent),
    ]  # fmt: skip
    name = "TCP connection half-open: the peer forgot it without a word"
    if os.geteuid() == 0:
        rows.append(breaks(name, lambda place: Tcp(place, "half-open"), count))
    else:
        rows.append(Row(name, "back within 2 s", "not tried: needs root", None))
    return rows
