"""Locks between processes: who holds it is written inside, and a dead holder lets go by itself."""

from __future__ import annotations

import json
import os
import socket
import sys
import time
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import IO

from trials.errors import ConflictError
from trials.store._errors import disk_error
from trials.store._types import now_utc

if sys.platform == "win32":
    import msvcrt

    def _take(file: IO[str]) -> None:
        file.seek(0x7FFF0000)  # far behind the text, which others must be able to read
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _take(file: IO[str]) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)


def _taken(file: IO[str]) -> bool:
    try:
        _take(file)
    except OSError:
        return False
    return True


@dataclass(frozen=True, slots=True)
class Holder:
    """Who holds a lock: process, computer, since when, and for what."""

    pid: int
    host: str
    since_utc: str
    what: str

    def __str__(self) -> str:
        since = datetime.fromisoformat(self.since_utc)
        return f"process {self.pid} on {self.host}, since {since:%Y-%m-%d %H:%M:%S} UTC"

    @property
    def alive(self) -> bool:
        """False only when it is known that the process is gone; another computer's is not."""
        if self.host != socket.gethostname():
            return True
        if self.pid == os.getpid():
            return True
        try:
            os.kill(self.pid, 0)
        except ProcessLookupError:
            return False
        except OSError:
            return True  # it exists and belongs to somebody else
        return True


class FileLock:
    """A lock that the operating system drops when its process dies, however it dies.

    The file stays where it is: removing it would let two processes each lock a file of the same
    name. Its text tells who holds it and is only ever read for a message.

    Raises:
        ConflictError: somebody else holds it; says who.
        StoreError: the lock file cannot be written.
    """

    def __init__(self, path: Path, what: str, *, wait_s: float = 0.0) -> None:
        """``what`` completes "… is already being done by"; waits at most ``wait_s`` for it."""
        self._path = path
        self._what = what
        self._wait_s = wait_s
        self._file: IO[str] | None = None

    def __enter__(self) -> FileLock:
        try:
            try:
                file = self._path.open("a+", encoding="utf-8")
            except FileNotFoundError:
                self._path.parent.mkdir(parents=True, exist_ok=True)
                file = self._path.open("a+", encoding="utf-8")
        except OSError as error:
            raise disk_error("lock file", self._path, error) from error
        last = time.monotonic() + self._wait_s
        while not _taken(file):
            if time.monotonic() < last:
                time.sleep(0.02)
                continue
            file.close()
            holder = holder_of(self._path)
            raise ConflictError(
                f"{self._what} is already being done by {holder or 'another process'}",
                do="Stop that one first, or let it finish.",
            )
        self._file = file
        self._write(Holder(os.getpid(), socket.gethostname(), now_utc().isoformat(), self._what))
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._file is not None:
            self._write(None)
            self._file.close()  # closing lets go of the lock
            self._file = None

    def _write(self, holder: Holder | None) -> None:
        assert self._file is not None  # noqa: S101 - only called between enter and exit
        self._file.seek(0)
        self._file.truncate()
        if holder is not None:
            json.dump(asdict(holder), self._file)
        self._file.flush()


def holder_of(path: Path) -> Holder | None:
    """Who holds the lock in this file; None when nobody does or its process is gone."""
    try:
        holder = Holder(**json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None
    return holder if holder.alive else None
