"""Lines over TCP."""

from __future__ import annotations

import select
import socket

from trials.errors import InputError, SourceError

CHUNK_BYTES = 65_536
CONNECT_TIMEOUT_S = 5.0


class TcpSource:
    """Connects to ``tcp://host:port`` and reads what is sent. Never sends anything."""

    is_file = False
    can_go_on = False
    first_line_whole = True

    def __init__(
        self, host: str, port: int, *, connect_timeout_s: float = CONNECT_TIMEOUT_S
    ) -> None:
        if not host or not 1 <= port <= 65_535:
            raise InputError(
                "TCP source", got=f"{host}:{port}", allowed="tcp://host:port with port 1 to 65535"
            )
        self.name = f"tcp://[{host}]:{port}" if ":" in host else f"tcp://{host}:{port}"
        self._address = (host, port)
        self._connect_timeout_s = connect_timeout_s
        self._socket: socket.socket | None = None

    def open(self) -> None:
        try:
            self._socket = socket.create_connection(self._address, self._connect_timeout_s)
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
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        self._socket.setblocking(False)

    def read(self, timeout_s: float) -> bytes | None:
        if self._socket is None:
            raise SourceError(self.name, got="it is not open")
        ready, _, _ = select.select([self._socket], [], [], timeout_s)
        if not ready:
            return b""
        try:
            return self._socket.recv(CHUNK_BYTES) or None
        except BlockingIOError:
            return b""
        except OSError as error:
            raise SourceError(
                f"{self.name}: the link broke", got=error.strerror or str(error),
                do="Look at the cable and at the sending program.",
            ) from error  # fmt: skip

    def close(self) -> None:
        if self._socket is not None:
            self._socket.close()
            self._socket = None

    def describe(self) -> dict[str, str]:
        return {"kind": "tcp", "address": self.name}

    def go_on_from(self, byte_count: int) -> None:
        """A live link cannot go back."""
