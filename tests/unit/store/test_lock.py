"""Locks between processes: said who holds them, and taken over from the dead."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from trials.errors import ConflictError, StoreError
from trials.store import FileLock, holder_of

_HOLD = """
import sys, time
from pathlib import Path
from trials.store import FileLock
with FileLock(Path(sys.argv[1]), "recording run 1 of bracket"):
    print("held", flush=True)
    sys.stdin.read()
"""


def hold(path: Path) -> subprocess.Popen[str]:
    """Another process that holds the lock until its input ends."""
    process = subprocess.Popen(
        [sys.executable, "-c", _HOLD, str(path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    assert process.stdout.readline() == "held\n"
    return process


def test_the_second_is_told_who_holds_it(tmp_path: Path) -> None:
    path = tmp_path / "run.lock"
    with hold(path) as other:
        with pytest.raises(ConflictError) as refused, FileLock(path, "recording run 1 of bracket"):
            pass
        assert f"process {other.pid} on {socket.gethostname()}" in str(refused.value)
        assert "recording run 1 of bracket" in str(refused.value)
        holder = holder_of(path)
        assert holder is not None
        assert holder.pid == other.pid
        other.communicate("")
    assert holder_of(path) is None
    with FileLock(path, "recording"):
        pass


def test_the_lock_of_a_killed_process_is_taken_over(tmp_path: Path) -> None:
    path = tmp_path / "run.lock"
    with hold(path) as other:
        os.kill(other.pid, signal.SIGKILL)
        other.wait()
    assert '"pid"' in path.read_text(), "the dead process could not clean up"
    assert holder_of(path) is None
    with FileLock(path, "recording"):
        holder = holder_of(path)
        assert holder is not None
        assert holder.pid == os.getpid()


def test_waiting_for_a_lock_ends_when_it_is_free(tmp_path: Path) -> None:
    path = tmp_path / "run.lock"
    with hold(path) as other:
        other.stdin.close()  # type: ignore[union-attr]  # it was opened with a pipe
        with FileLock(path, "recording", wait_s=30.0):
            pass
        other.wait()


def test_an_error_lets_go(tmp_path: Path) -> None:
    path = tmp_path / "run.lock"
    with pytest.raises(ZeroDivisionError), FileLock(path, "recording"):
        raise ZeroDivisionError
    assert path.read_text() == ""
    with FileLock(path, "recording"):
        pass


def test_a_lock_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match="lock file"), FileLock(tmp_path / "file" / "x", "it"):
        pass
