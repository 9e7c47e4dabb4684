"""Shared fixtures: where the outside data lie, and that no test leaves anything running."""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parent.parent


@pytest.fixture
def shared_data() -> Path:
    """The folder of outside data, which are never part of the project."""
    folder = PROJECT.parent / "shared" / "data"
    if not folder.is_dir():
        pytest.skip("the outside data (../shared/data) are not on this computer")
    return folder


@pytest.fixture(scope="session", autouse=True)
def _heed_ctrl_c() -> None:
    """A shell lets what it runs in the background ignore Ctrl-C, and so would all that tests start.

    A handler of this process is not handed down: programs started from here begin by heeding it.
    """
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(autouse=True)
def _nothing_left_running() -> Iterator[None]:
    """Fail a test that leaves a thread of its own running; give it a second to end."""
    before = set(threading.enumerate())
    yield
    until = time.monotonic() + 1.0
    while time.monotonic() < until:
        left = [t for t in threading.enumerate() if t not in before and t.is_alive()]
        if not any(_ours(thread) for thread in left):
            return
        time.sleep(0.02)
    names = ", ".join(thread.name for thread in left if _ours(thread))
    pytest.fail(f"threads left running: {names}")


def _ours(thread: threading.Thread) -> bool:
    """Libraries keep pools of idle threads on purpose; those are theirs to end."""
    return not thread.name.startswith(
        ("ThreadPoolExecutor", "pyarrow", "AnyIO", "asyncio", "fsspecIO")
    )
