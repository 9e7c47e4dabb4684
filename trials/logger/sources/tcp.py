"""Lines over TCP."""

from __future__ import annotations

import contextlib
import select
import socket
import time

from trials.errors import InputError, SourceError, require

CHUNK_BYTES = 65_536
CONNECT_TIMEOUT_S = 5.0
_LITTLE_BYTES = 2048
# A peer that has gone without a word is asked for after 1 s of silence. One that was started anew
# answers that it knows of no connection; one that does not answer at all is given up 5 s later.
KEEPALIVE_S, _PROBE_EVERY_S, _PROBES = 1, 1, 5


class TcpSource:
    """Connects to ``tcp://host:port`` and reads what is sent. Never sends anything.

    A peer that went away without closing (half-open: power off, cable out) is noticed by the
    system's keepalive, also while nothing is sent.

    Args:
        host, port: where to.
        connect_timeout_s: so long a try takes at most.
        silence_s: a link that is silent for so long is given up as broken; None for sources that
            may be silent.
    """

    is_file = False
    can_go_on = False
    first_line_whole = True

    def __init__(
        self,
        host: str,
        port: int,
        *,
        connect_timeout_s: float = CONNECT_TIMEOUT_S,
        silence_s: float | None = None,
        kind: str = "tcp",
    ) -> None:
        if not host or not 1 <= port <= 65_535:
            raise InputError(
                f"{kind.upper()} source", got=f"{host}:{port}",
                allowed=f"{kind}://host:port with port 1 to 65535",
            )  # fmt: skip
        require(silence_s is None or 0.1 <= silence_s <= 86_400, "silence", silence_s,
                "0.1 to 86,400 s")  # fmt: skip
        self.name = f"{kind}://[{host}]:{port}" if ":" in host else f"{kind}://{host}:{port}"
        self._kind = kind
        self._address = (host, port)
        self._connect_timeout_s = connect_timeout_s
        self._silence_s = silence_s
        self._heard_at = 0.0
        self._memory: memoryview | None = None
        self._socket: socket.socket | None = None

    def open(self) -> None:
        try:
            link = socket.create_connection(self._address, self._connect_timeout_s)
        except socket.gaierror as error:
            raise SourceError(
                self.name, got=f"the name is not known ({error.strerror})",
                do="Is the name spelled right? An address in numbers works as well.",
            ) from error  # fmt: skip
        except TimeoutError as error:
            raise SourceError(
                self.name, got=f"no answer within {self._connect_timeout_s:g} s",
                do="Is the machine on, and does a firewall let this port through?",
            ) from error  # fmt: skip
        except OSError as error:
            raise SourceError(
                self.name, got=error.strerror or str(error),
                do="Is the sending program started, and does it listen on this port?",
            ) from error  # fmt: skip
        notice_a_lost_peer(link)
        link.setblocking(False)
        self._socket = link
        self._heard_at = time.monotonic()

    def read(self, timeout_s: float) -> bytes | None:
        if self._socket is None:
            raise SourceError(self.name, got="it is not open")
        data = self._receive(self._socket)  # of a stream that was gathered some is there
        if data is None:
            if not select.select([self._socket], [], [], timeout_s)[0]:
                self._require_not_silent()
                return b""
            data = self._receive(self._socket)
            if data is None:
                return b""
        self._heard_at = time.monotonic()
        return data or None

    def _receive(self, link: socket.socket) -> bytes | None:
        """What is there; None for nothing yet, empty when the peer closed."""
        try:
            if self._memory is None:
                return link.recv(CHUNK_BYTES)
            count = link.recv_into(self._memory)
            if 0 < count < _LITTLE_BYTES:  # taking it lets a peer that sends small packets go on
                with contextlib.suppress(BlockingIOError):
                    count += link.recv_into(self._memory[count:])
            return bytes(self._memory[:count])
        except BlockingIOError:
            return None
        except OSError as error:
            raise self.broken(error) from error

    def _require_not_silent(self) -> None:
        silent_s = time.monotonic() - self._heard_at
        if self._silence_s is not None and silent_s > self._silence_s:
            raise SourceError(
                f"{self.name}: the link is silent", got=f"nothing for {silent_s:.1f} s",
                allowed=f"at most {self._silence_s:g} s",
                do="Is the cable plugged in, and is the sending program running?",
            )  # fmt: skip

    def broken(self, error: OSError) -> SourceError:
        """The error for a link that the system calls broken."""
        return SourceError(
            f"{self.name}: the link broke", got=error.strerror or str(error),
            do="Look at the cable and at the sending program.",
        )  # fmt: skip

    def land_in(self, memory: memoryview | None) -> None:
        self._memory = memory

    def fileno(self) -> int | None:
        return None if self._socket is None else self._socket.fileno()

    def close(self) -> None:
        if self._socket is not None:
            self._socket.close()
            self._socket = None

    def describe(self) -> dict[str, str]:
        return {"kind": self._kind, "address": self.name}

    def go_on_from(self, byte_count: int) -> None:
        """A live link cannot go back."""

    def go_on_behind(self, _tail: bytes, /) -> bool:
        return False


def notice_a_lost_peer(link: socket.socket) -> None:
    """Have the system ask a silent peer whether it is there, and give it up when it is not."""
    link.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
    unanswered_ms = 1000 * (KEEPALIVE_S + _PROBES * _PROBE_EVERY_S)
    for option, value in (
        ("TCP_KEEPIDLE", KEEPALIVE_S),
        ("TCP_KEEPINTVL", _PROBE_EVERY_S),
        ("TCP_KEEPCNT", _PROBES),
        ("TCP_USER_TIMEOUT", unanswered_ms),  # the same for what we sent, such as a heartbeat
    ):
        number = getattr(socket, option, None)
        if number is not None:  # not every system has all of them
            with contextlib.suppress(OSError):
                link.setsockopt(socket.IPPROTO_TCP, number, value)
