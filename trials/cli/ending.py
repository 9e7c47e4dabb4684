"""What asks a command that goes on and on to end: it finishes what it is at, then ends cleanly."""

from __future__ import annotations

import signal
import threading
from types import FrameType

# Ctrl-C, a polite end from the system, and a terminal that is closed, where there are such signals.
ENDING = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


def stop_on_signal() -> threading.Event:
    """Set once the command is asked to end."""
    stop = threading.Event()

    def end(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - given by signal
        stop.set()

    for one in ENDING:
        signal.signal(one, end)
    return stop
