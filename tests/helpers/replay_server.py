"""A tiny TCP server for tests: sends bytes in chunks of random size to each client, then closes."""

from __future__ import annotations

import random
import socket
import threading
from types import TracebackType
from typing import Self


class ReplayServer:
    """Serves ``data`` on a free local port, in a thread that ends with the ``with`` block.

    Args:
        data: what each client gets; one entry a connection when it is a list, the last one again
            for any further.
        seed: of the chunk sizes.
        longest: largest chunk.
        hold_open: keep the connection open after the last byte until the server is closed.
    """

    def __init__(
        self,
        data: bytes | list[bytes],
        *,
        seed: int = 1,
        longest: int = 4096,
        hold_open: bool = False,
    ) -> None:
        self._parts = data if isinstance(data, list) else [data]
        self._random = random.Random(seed)
        self._longest = longest
        self._hold_open = hold_open
        self._stop = threading.Event()
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._listener.settimeout(0.05)
        self.port: int = self._listener.getsockname()[1]
        self.url = f"tcp://127.0.0.1:{self.port}"
        self.connections = 0
        self._thread = threading.Thread(target=self._serve, name="replay-server")

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._stop.set()
        self._thread.join()
        self._listener.close()

    def _serve(self) -> None:
        while not self._stop.is_set():
            try:
                client, _ = self._listener.accept()
            except TimeoutError:
                continue
            with client:
                part = self._parts[min(self.connections, len(self._parts) - 1)]
                self.connections += 1
                self._send(client, part)
                if self._hold_open:
                    self._stop.wait()

    def _send(self, client: socket.socket, data: bytes) -> None:
        client.settimeout(0.2)
        at = 0
        while at < len(data) and not self._stop.is_set():
            size = self._random.randint(1, self._longest)
            try:
                at += client.send(data[at : at + size])
            except TimeoutError:
                continue
            except OSError:
                return
