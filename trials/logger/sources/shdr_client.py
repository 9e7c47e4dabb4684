"""A client of an SHDR adapter: lines over TCP, with the protocol's heartbeat.

The heartbeat, from memory of ANSI/MTC1.4 part 1: the client sends ``* PING``, the adapter answers
``* PONG n`` with n the milliseconds between heartbeats; the client then sends ``* PING`` every n
milliseconds and takes twice that without an answer for a dead link.
"""

from __future__ import annotations

import re
import time

from trials.errors import SourceError
from trials.logger.sources.tcp import TcpSource

_PING = b"* PING\n"
_PONG = re.compile(rb"^\* PONG (\d{1,7})\s*$", re.MULTILINE)
_LONGEST_S, _SHORTEST_S = 600.0, 0.1
_MISSED = 2.0


class ShdrSource(TcpSource):
    """Reads ``shdr://host:port``. It sends the heartbeat to the adapter and nothing else.

    An adapter that never answers has no heartbeat and may be silent; one that answered once and
    then no more for two heartbeats is given up, although the connection looks open.

    Args:
        host, port: of the adapter; the usual port is 7878.
        silence_s: as for `TcpSource`, for adapters without a heartbeat.
    """

    def __init__(self, host: str, port: int, *, silence_s: float | None = None) -> None:
        super().__init__(host, port, silence_s=silence_s, kind="shdr")
        self.heartbeat_s: float | None = None
        self._ping_at = 0.0
        self._answered_at = 0.0
        self._rest = b""

    def open(self) -> None:
        super().open()
        self.heartbeat_s, self._rest = None, b""
        self._ping()

    def _ping(self) -> None:
        if self._socket is None:
            return
        try:
            self._socket.send(_PING)
        except BlockingIOError:
            pass  # the buffer is full of heartbeats that nobody takes
        except OSError as error:
            raise self.broken(error) from error
        self._ping_at = time.monotonic() + (self.heartbeat_s or _LONGEST_S)

    def read(self, timeout_s: float) -> bytes | None:
        if self._socket is not None and time.monotonic() >= self._ping_at:
            self._ping()
        data = super().read(timeout_s)
        if data:
            self._listen(data)
        unanswered_s = time.monotonic() - self._answered_at
        if self.heartbeat_s is not None and unanswered_s > _MISSED * self.heartbeat_s:
            raise SourceError(
                f"{self.name}: the adapter's heart stopped",
                got=f"no answer to the heartbeat for {unanswered_s:.1f} s",
                allowed=f"one every {self.heartbeat_s:g} s",
                do="Is the adapter running, and the control on?",
            )  # fmt: skip
        return data

    def _listen(self, data: bytes) -> None:
        """Look for the answer, which may come in two halves."""
        if self._rest or b"*" in data:
            text = self._rest + data
            at = text.rfind(b"\n") + 1
            whole, rest = text[:at], text[at:]
            self._rest = rest[:64] if rest[:1] in (b"*", b"") else b""
            for found in _PONG.finditer(whole.replace(b"\r\n", b"\n")):
                heartbeat_s = int(found[1]) / 1000
                if _SHORTEST_S <= heartbeat_s <= _LONGEST_S:
                    self.heartbeat_s = heartbeat_s
                    self._ping_at = min(self._ping_at, time.monotonic() + heartbeat_s)
                self._answered_at = time.monotonic()
