"""Saves what came in on a link when the logger is killed: a process that sleeps until then.

The logger gathers a few milliseconds of a fast stream before it wakes, which spares most of its
processor time. Those bytes lie in the system's buffer of the link, which would go with the process.
So a second process holds the link open and sleeps, at no cost. When the logger ends in good order
it is dismissed. When the logger is killed, it wakes, writes what lies in the buffer behind the end
of the journal, and ends.

Nor may bytes be lost between the link and the journal, where they are in the logger's memory alone:
they are read into a `Landing`, memory that the keeper shares.

The sleeper is the system's own shell, which needs less memory than anything else; the lock of the
journal is handed down to it, so that nobody goes on with the journal before it is done.
"""

from __future__ import annotations

import mmap
import os
import select
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

LANDING_BYTES = 65_536
_HEAD_BYTES = 8
_SHELL = "/bin/sh"
_WAIT = 'if read -r dismissed; then exit 0; fi; exec "$@"'
_QUIET_S = 0.02  # a terminal hands on what it holds in pieces
_LONGEST_S = 0.3
_MOST_BYTES = 64 << 20


class Landing:
    """Shared memory that bytes are read into before they go to the journal.

    Before each read it is cleared and told how many records of data came before. If the journal has
    no more than those, what is in it is to be saved; zero bytes at the very end cannot be told from
    clear memory.

    Args:
        descriptor: of the memory, when it is there already.
    """

    def __init__(self, descriptor: int | None = None) -> None:
        if descriptor is None:
            descriptor = _shared_memory()
        self.descriptor = descriptor
        self._map = mmap.mmap(descriptor, _HEAD_BYTES + LANDING_BYTES)
        self.view = memoryview(self._map)[_HEAD_BYTES:]
        self._used = LANDING_BYTES

    def expect(self, data_records: int) -> None:
        """The next read comes after so many records of data."""
        self.view[: self._used] = bytes(self._used)
        self._map[:_HEAD_BYTES] = data_records.to_bytes(_HEAD_BYTES, "little")
        self._used = LANDING_BYTES

    def landed(self, count: int) -> None:
        """So many bytes were read, which spares clearing more."""
        self._used = count

    def saved_from(self, data_records: int) -> bytes:
        """The bytes that a journal with so many records of data does not hold."""
        before = int.from_bytes(self._map[:_HEAD_BYTES], "little")
        return bytes(self.view).rstrip(b"\0") if before >= data_records else b""

    def close(self) -> None:
        """Let go of the memory."""
        self.view.release()
        self._map.close()
        os.close(self.descriptor)


def _shared_memory() -> int:
    size = _HEAD_BYTES + LANDING_BYTES
    if hasattr(os, "memfd_create"):
        descriptor = os.memfd_create("holewise-landing")
        os.ftruncate(descriptor, size)
        return descriptor
    with tempfile.TemporaryFile() as file:
        file.write(bytes(size))  # all of it has its place on the disk before it is mapped
        file.flush()
        return os.dup(file.fileno())


class Keeper:
    """A sleeping process that holds a link and a journal's lock; dismiss it in the end."""

    def __init__(self, process: subprocess.Popen[bytes], line: IO[bytes], landing: Landing) -> None:
        self._process = process
        self._line = line
        self.landing = landing

    @classmethod
    def start(cls, folder: Path, lock: int, link: int | None) -> Keeper | None:
        """Start one; None where the system cannot (then gather nothing).

        Args:
            folder: of the journal.
            lock: descriptor of its lock.
            link: descriptor that the source reads from; None when it has none.
        """
        if os.name != "posix" or link is None or not Path(_SHELL).exists() or not sys.executable:
            return None
        landing = Landing()
        handed_down = (lock, link, landing.descriptor)
        paths = [path or str(Path.cwd()) for path in sys.path]
        command = [sys.executable, "-m", __name__, str(folder), *map(str, handed_down)]
        try:
            process = subprocess.Popen(  # noqa: S603 - our own program on our own descriptors
                [_SHELL, "-c", _WAIT, "holewise-keeper", *command],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                pass_fds=handed_down,
                start_new_session=True,  # Ctrl-C at the terminal is for the logger alone
                env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
            )
        except OSError:
            landing.close()
            return None
        if process.stdin is None:  # pragma: no cover - asked for above
            return None
        return cls(process, process.stdin, landing)

    def dismiss(self) -> None:
        """The link is closed in good order: nothing is to be saved."""
        try:
            self._line.write(b"\n")
            self._line.close()
        except OSError:
            pass  # it has gone already
        self._process.wait()
        self.landing.close()


def save(folder: Path, lock: int, link: int, landing: int) -> int:
    """Write what had landed and what lies in the buffer of a link behind the end of a journal.

    Returns:
        Bytes saved.
    """
    from trials.logger.journal import Journal

    os.set_blocking(link, False)
    journal = Journal.reopen(folder, lock=lock)
    saved = 0
    try:
        landed = Landing(landing).saved_from(journal.data_records)
        if landed:
            journal.append(landed)
            saved += len(landed)
        try:
            for data in _left_in(link):
                journal.append(data)
                saved += len(data)
        finally:
            # Closed as soon as nothing is left, before the slow disk is waited for: what a machine
            # sends in between would go with the link. A port is for one at a time, so before others
            # may go on with the journal, too.
            os.close(link)
        journal.note({"event": "saved", "bytes": saved})
        journal.sync()
    finally:
        journal.release()
    return saved


def _left_in(link: int) -> Iterator[bytes]:
    """What had come in on a link, and what still comes until it has been quiet or some time."""
    until, taken = time.monotonic() + _LONGEST_S, 0
    while taken < _MOST_BYTES:
        try:
            if time.monotonic() < until and not select.select([link], [], [], _QUIET_S)[0]:
                return
            data = os.read(link, 1 << 16)
        except OSError:  # nothing left, or the link broke
            return
        if not data:
            return
        yield data
        taken += len(data)


if __name__ == "__main__":
    save(Path(sys.argv[1]), *map(int, sys.argv[2:5]))
