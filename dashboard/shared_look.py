"""One look at a running trial for all who watch it at the same moment."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trials.workbench import LiveView, Workbench


class SharedLook:
    """Asks the workbench at most once a moment for each trial, however many tablets watch.

    Args:
        workbench: where to look.
        moment_s: a view this young is given to the next who asks; shorter than the eye notices,
            and short against the age from which values count as old.
    """

    def __init__(self, workbench: Workbench, moment_s: float = 0.2) -> None:
        self._workbench = workbench
        self._moment_s = moment_s
        self._lock = threading.Lock()
        self._turns: dict[str, threading.Lock] = {}
        self._seen: dict[str, tuple[float, LiveView | None]] = {}

    def look(self, trial: str) -> LiveView | None:
        """How the open run stands, or how the newest one ended; None before a recording.

        Raises:
            HolewiseError: as `Workbench.live` does; nothing is kept of it.
        """
        with self._lock:
            turn = self._turns.setdefault(trial, threading.Lock())
        with turn:
            seen = self._seen.get(trial)
            if seen is not None and time.monotonic() - seen[0] < self._moment_s:
                return seen[1]
            view = self._ask(trial)
            self._seen[trial] = (time.monotonic(), view)
            return view

    def _ask(self, trial: str) -> LiveView | None:
        view = self._workbench.live(trial)
        if view is not None:
            return view
        runs = self._workbench.runs(trial)
        if not runs or runs[-1].state != "ended":
            return None
        return self._workbench.live(trial, runs[-1].number)
