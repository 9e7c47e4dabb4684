"""How the invented machine talks: to one listener at a time, over TCP or a pseudo-terminal."""

from __future__ import annotations

import os
import select
import socket
import time
from typing import Protocol

from trials.errors import InputError, SourceError

_LOOK_EVERY_S = 0.02


class ListenerGoneError(Exception):
    """The listener closed its end before everything was sent."""


class Link(Protocol):
    """One end of a line: an address to be found at, one listener at a time."""

    address: str

    def wait_for_listener(self, timeout_s: float) -> None:
        """Block until someone listens; `SourceError` when nobody came in time."""

    def send(self, data: bytes) -> None:
        """Send all of it; `ListenerGoneError` when the listener left."""

    def hang_up(self) -> None:
        """Let the listener read what is left, then close its line."""

    def close(self) -> None:
        """Give the address back."""


class TcpLink:
    """Listens on ``host:port``; port 0 takes any free one."""

    def __init__(self, host: str, port: int) -> None:
        try:
            self._server = socket.create_server((host, port), backlog=1)
        except OSError as error:
            raise InputError(
                f"address {host}:{port}: cannot listen there ({error.strerror})",
                do="Is another program using it? Port 0 takes any free one.",
            ) from None
        self._peer: socket.socket | None = None
        self.address = f"tcp://{host}:{self._server.getsockname()[1]}"

    def wait_for_listener(self, timeout_s: float) -> None:
        self._drop()
        self._server.settimeout(timeout_s)
        try:
            self._peer, _ = self._server.accept()
        except TimeoutError:
            raise _nobody_came(self.address, timeout_s) from None
        self._peer.settimeout(None)

    def send(self, data: bytes) -> None:
        if self._peer is None:
            raise ListenerGoneError
        if self._hung_up():
            raise ListenerGoneError
        try:
            self._peer.sendall(data)
        except OSError:
            raise ListenerGoneError from None

    def _hung_up(self) -> bool:
        """Seen before the system's buffer swallows what is never read."""
        if self._peer is None or not select.select([self._peer], [], [], 0)[0]:
            return self._peer is None
        try:
            return self._peer.recv(4096) == b""  # anything it says is not for a machine to hear
        except OSError:
            return True

    def hang_up(self) -> None:
        if self._peer is not None:
            try:
                self._peer.shutdown(socket.SHUT_WR)
                self._peer.settimeout(5.0)
                while self._peer.recv(4096):
                    pass
            except OSError:
                pass  # gone already, or it never closes its end: everything was sent
        self._drop()

    def _drop(self) -> None:
        if self._peer is not None:
            self._peer.close()
            self._peer = None

    def close(self) -> None:
        self._drop()
        self._server.close()


class PtyLink:
    """A pseudo-terminal: looks like a serial port to whoever opens its path."""

    # A listener flushes what came before it was ready; this long it gets for that after opening.
    _SETTLE_S = 1.0

    def __init__(self) -> None:
        try:
            import pty
            import tty
        except ImportError:
            raise InputError(
                "pseudo-terminal: this system has none", do="Use --tcp 127.0.0.1:0 instead."
            ) from None
        self._master, slave = pty.openpty()
        tty.setraw(slave)
        self.address = os.ttyname(slave)
        os.close(slave)  # from here on a hang-up means that nobody listens
        _report_flushes(self._master)

    def wait_for_listener(self, timeout_s: float) -> None:
        _saw_flush(self._master)  # by the one before
        until = time.monotonic() + timeout_s
        while self._nobody_listens():
            if time.monotonic() > until:
                raise _nobody_came(self.address, timeout_s)
            time.sleep(_LOOK_EVERY_S)
        self._wait_for_flush()

    def _nobody_listens(self) -> bool:
        poll = select.poll()
        poll.register(self._master, select.POLLIN)
        return any(event & select.POLLHUP for _, event in poll.poll(0))

    def _wait_for_flush(self) -> None:
        """Return once the listener has flushed its input, or has had the time for it."""
        until = time.monotonic() + self._SETTLE_S
        while time.monotonic() < until:
            if _saw_flush(self._master):
                time.sleep(2 * _LOOK_EVERY_S)
                return
            time.sleep(_LOOK_EVERY_S)

    def send(self, data: bytes) -> None:
        rest = memoryview(data)
        while rest:
            if self._nobody_listens():
                raise ListenerGoneError
            _, ready, _ = select.select([], [self._master], [], 0.2)
            if ready:
                os.set_blocking(self._master, False)
                try:
                    rest = rest[os.write(self._master, rest[:4096]) :]
                except BlockingIOError:
                    time.sleep(0.001)

    def hang_up(self) -> None:
        """Closing throws away what was not read yet, so wait until the listener has read it."""
        if self._nobody_listens():
            return
        try:
            slave = os.open(self.address, os.O_RDONLY | os.O_NOCTTY | os.O_NONBLOCK)
        except OSError:  # the listener holds the port for itself alone
            time.sleep(0.5)
            return
        try:
            empty = 0
            until = time.monotonic() + 10.0
            while empty < 5 and time.monotonic() < until:
                empty = 0 if select.select([slave], [], [], 0)[0] else empty + 1
                time.sleep(_LOOK_EVERY_S)
        finally:
            os.close(slave)

    def close(self) -> None:
        os.close(self._master)


def _report_flushes(master: int) -> None:
    """Packet mode: the system tells the master's side when the other side flushes its input."""
    import fcntl
    import termios

    fcntl.ioctl(master, termios.TIOCPKT, b"\x01\x00\x00\x00")


def _saw_flush(master: int) -> bool:
    import termios

    os.set_blocking(master, False)
    try:
        told = os.read(master, 4096)
    except OSError:
        return False
    return bool(told) and bool(told[0] & termios.TIOCPKT_FLUSHREAD)


def _nobody_came(address: str, timeout_s: float) -> SourceError:
    return SourceError(
        f"nobody listened at {address} within {timeout_s:g} s",
        do="Start the listener sooner, or wait longer with --wait.",
    )
