"""An invented stream of load values: evenly spaced holes whose peaks rise as the drill wears."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

RATE_HZ = 50
PERIOD_S = 6.0
CUT_S = 3.5  # what `tests.helpers.example_trial.START` needs for its hole, about
LEAD_S = 2.0
HEADER = b"time_s,load_pct\n"


def stream(holes: int, *, fresh_pct: float = 40.0, rise_pct: float = 0.5, seed: int = 1) -> bytes:
    """A CSV text with a header: seconds and load in %, ``holes`` holes, one every six seconds."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(int((LEAD_S + holes * PERIOD_S) * RATE_HZ)) / RATE_HZ
    place_s = time_s - LEAD_S
    number = np.floor(place_s / PERIOD_S)
    cutting = (place_s >= 0) & (place_s % PERIOD_S < CUT_S)
    load_pct = np.where(cutting, fresh_pct + rise_pct * number, 5.0)
    load_pct = load_pct + rng.normal(0.0, 0.4, len(time_s))
    lines = [f"{t:.3f},{p:.2f}\n" for t, p in zip(time_s, np.maximum(load_pct, 0.0), strict=True)]
    return HEADER + "".join(lines).encode()


def up_to_s(text: bytes, time_s: float) -> int:
    """Where the line of that time begins in a text of `stream`."""
    line = text.find(f"\n{time_s:.3f},".encode())
    assert line >= 0
    return line + 1


class LineServer:
    """Sends text to whoever connects, as fast as it is taken or as it is released.

    Each connection gets ``text[start:released]``, then waits for more to be released. ``end``
    closes the connection once all was sent.
    """

    def __init__(self, text: bytes, *, start: int = 0) -> None:
        self._text = text
        self._start = start
        self._released = start
        self._ended = False
        self._change = threading.Condition()
        self._closing = False
        self.connections = 0
        self._listening = socket.create_server(("127.0.0.1", 0))
        self._listening.settimeout(0.1)
        self.port = int(self._listening.getsockname()[1])
        self.url = f"tcp://127.0.0.1:{self.port}"
        self._thread = threading.Thread(target=self._serve, name="line server")
        self._thread.start()

    def release(self, upto: int | None = None) -> None:
        """Let everything before this place be sent."""
        with self._change:
            self._released = len(self._text) if upto is None else upto
            self._change.notify_all()

    def end(self) -> None:
        """Close the connection when all that is released was sent."""
        with self._change:
            self._ended = True
            self._change.notify_all()

    def go_back_to(self, start: int) -> None:
        """Where the next connection begins."""
        with self._change:
            self._start = start

    def close(self) -> None:
        with self._change:
            self._closing = True
            self._change.notify_all()
        self._thread.join()
        self._listening.close()

    def _serve(self) -> None:
        while not self._closing:
            try:
                connection, _ = self._listening.accept()
            except TimeoutError:
                continue
            with connection:
                self.connections += 1
                self._send(connection)

    def _send(self, connection: socket.socket) -> None:
        connection.setblocking(True)
        sent = self._start
        while True:
            with self._change:
                while sent >= self._released and not self._closing:
                    if self._ended:
                        return
                    if _hung_up(connection):
                        return
                    self._change.wait(0.05)
                if self._closing:
                    return
                upto = min(self._released, sent + 4000)
            try:
                connection.sendall(self._text[sent:upto])
            except OSError:
                return
            sent = upto


def _hung_up(connection: socket.socket) -> bool:
    connection.setblocking(False)
    try:
        return connection.recv(1) == b""
    except BlockingIOError:
        return False
    except OSError:
        return True
    finally:
        connection.setblocking(True)


@contextmanager
def serving(text: bytes, *, start: int = 0) -> Iterator[LineServer]:
    """A `LineServer` that is closed at the end."""
    server = LineServer(text, start=start)
    try:
        yield server
    finally:
        server.close()


def written(folder: Path, text: bytes, name: str = "spindle.csv") -> Path:
    """The text as a file in a folder."""
    path = folder / name
    path.write_bytes(text)
    return path
