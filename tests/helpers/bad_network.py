"""A network in between that can be cut, hang, come late or break off after some bytes."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Callable
from types import TracebackType
from typing import Self

_LOOK_EVERY_S = 5.0  # whether all ends, where nothing wakes a thread; the longest a send takes


class BadNetwork:
    """Passes TCP connections on a local port to a server; in threads that end with the ``with``.

    Args:
        reach: makes a connection to the server behind.
    """

    def __init__(self, reach: Callable[[], socket.socket]) -> None:
        self._reach = reach
        self.is_cut = False  # new connections are refused, and those there are broken
        self.hangs = False  # nothing goes through, and nobody is told
        self.delay_s = 0.0  # of every portion
        self.break_after: int | None = None  # bytes to the server, then all break at once
        self._pairs: list[tuple[socket.socket, socket.socket]] = []
        self._threads: list[threading.Thread] = []
        self._closing = False
        self._lock = threading.Lock()
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._listener.settimeout(_LOOK_EVERY_S)
        self.port = int(self._listener.getsockname()[1])
        self._start(self._listen)

    def cut(self) -> None:
        """Break what there is, and refuse what comes, until `mend`."""
        self.is_cut = True
        self._break()

    def mend(self) -> None:
        """All is well again."""
        self.is_cut, self.hangs, self.delay_s, self.break_after = False, False, 0.0, None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._closing = True
        with contextlib.suppress(OSError):  # wakes who waits for it, where the system does
            self._listener.shutdown(socket.SHUT_RDWR)
        self._break()
        for thread in list(self._threads):
            thread.join()
        self._listener.close()

    def _start(self, target: Callable[..., None], *arguments: object) -> None:
        thread = threading.Thread(target=target, args=arguments, name="bad network")
        self._threads.append(thread)
        thread.start()

    def _break(self) -> None:
        with self._lock:
            for pair in self._pairs:
                for line in pair:
                    with contextlib.suppress(OSError):
                        line.shutdown(socket.SHUT_RDWR)
            self._pairs.clear()

    def _listen(self) -> None:
        while not self._closing:
            try:
                client, _ = self._listener.accept()
            except TimeoutError:
                continue
            except OSError:
                break
            if self.is_cut:
                client.close()
                continue
            try:
                server = self._reach()
            except OSError:
                client.close()
                continue
            client.settimeout(_LOOK_EVERY_S)
            server.settimeout(_LOOK_EVERY_S)
            with self._lock:
                self._pairs.append((client, server))
            self._start(self._pass, client, server, True)
            self._start(self._pass, server, client, False)

    def _pass(self, source: socket.socket, target: socket.socket, to_server: bool) -> None:
        with source:
            while not self._closing:
                try:
                    data = source.recv(65536)
                except TimeoutError:
                    continue
                except OSError:
                    break
                while self.hangs and not self._closing and not self.is_cut:
                    time.sleep(0.02)
                time.sleep(self.delay_s)
                if not data or self.is_cut:
                    break
                if to_server and self.break_after is not None:
                    data, self.break_after = (
                        data[: self.break_after], self.break_after - len(data)
                    )  # fmt: skip
                    if self.break_after <= 0:
                        self.break_after = None
                        with contextlib.suppress(OSError):
                            target.sendall(data)
                        self._break()
                        break
                try:
                    target.sendall(data)
                except OSError:
                    break
            with contextlib.suppress(OSError):
                target.shutdown(socket.SHUT_RDWR)
