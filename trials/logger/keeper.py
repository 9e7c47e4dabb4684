"""Saves what came in on a link when the logger is killed: a process that sleeps until then.

The logger gathers a few milliseconds of a fast stream before it wakes, which spares most of its
processor time. Those bytes lie in the system's buffer of the link, which would go with the process.
So a second process holds the link open and sleeps, at no cost. When the logger ends in good order
it is dismissed. When the logger is killed, it wakes, writes what lies in the buffer behind the end
of the journal, and ends.

The sleeper is the system's own shell, which needs less memory than anything else; the lock of the
journal is handed down to it, so that nobody goes on with the journal before it is done.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from typing import IO

_SHELL = "/bin/sh"
_WAIT = 'if read -r dismissed; then exit 0; fi; exec "$@"'
_LONGEST_S = 2.0
_MOST_BYTES = 64 << 20


class Keeper:
    """A sleeping process that holds a link and a journal's lock; dismiss it in the end."""

    def __init__(self, process: subprocess.Popen[bytes], line: IO[bytes]) -> None:
        self._process = process
        self._line = line

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
        paths = [path or str(Path.cwd()) for path in sys.path]
        command = [sys.executable, "-m", __name__, str(folder), str(lock), str(link)]
        try:
            process = subprocess.Popen(  # noqa: S603 - our own program on our own descriptors
                [_SHELL, "-c", _WAIT, "holewise-keeper", *command],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                pass_fds=(lock, link),
                start_new_session=True,  # Ctrl-C at the terminal is for the logger alone
                env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
            )
        except OSError:
            return None
        if process.stdin is None:  # pragma: no cover - asked for above
            return None
        return cls(process, process.stdin)

    def dismiss(self) -> None:
        """The link is closed in good order: nothing is to be saved."""
        try:
            self._line.write(b"\n")
            self._line.close()
        except OSError:
            pass  # it has gone already
        self._process.wait()


def save(folder: Path, lock: int, link: int) -> int:
    """Write what lies in the buffer of a link behind the end of a journal; bytes saved."""
    from trials.logger.journal import Journal

    os.set_blocking(link, False)
    journal = Journal.reopen(folder, lock=lock)
    saved, until = 0, time.monotonic() + _LONGEST_S
    try:
        while saved < _MOST_BYTES and time.monotonic() < until:
            try:
                data = os.read(link, 1 << 16)
            except OSError:
                break  # nothing more, or the link broke
            if not data:
                break
            journal.append(data)
            saved += len(data)
        journal.note({"event": "saved", "bytes": saved})
        journal.sync()
    finally:
        journal.release()
    return saved


if __name__ == "__main__":
    save(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
