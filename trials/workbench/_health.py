"""How the loggers of a shop do, seen from their journals; none of them is asked."""

from __future__ import annotations

import shutil
import threading
import time
import uuid
from collections import deque
from collections.abc import Callable

from trials.errors import JournalError
from trials.store import Recording
from trials.workbench._shop import Shop
from trials.workbench._shop_values import LoggerHealth, RecordingHealth
from trials.workbench._values import LiveView

_WATCHED_S = 10.0
_LEAST_S = 1.0


class HealthViews:
    """Remembers how many lines there were a moment ago, for the rate; safe for several threads."""

    def __init__(self, shop: Shop, live: Callable[[str, int], LiveView | None]) -> None:
        self._shop = shop
        self._live = live
        self._lock = threading.Lock()
        self._lines: dict[uuid.UUID, deque[tuple[float, int]]] = {}

    def look(self) -> LoggerHealth:
        """See `trials.workbench.Workbench.health`."""
        found = []
        at_work: set[uuid.UUID] = set()
        for stored, runs in self._shop.store.trials_with_runs():
            for run in runs:
                if run.state != "recording":
                    continue
                recording = self._shop.recording(stored.trial.name, run.number)
                if recording is None or not self._is_here(recording):
                    continue  # its journal and its logger are on another computer, which knows
                try:
                    view = self._live(stored.trial.name, run.number)
                except JournalError:
                    found.append(self._unreadable(stored.trial.name, run.number, recording))
                    continue
                if view is None:
                    continue
                at_work.add(recording.uuid)
                found.append(self._one(recording, view))
        with self._lock:
            for gone in set(self._lines) - at_work:
                del self._lines[gone]
        return LoggerHealth(tuple(found), shutil.disk_usage(self._shop.folder.path).free)

    def _is_here(self, recording: Recording) -> bool:
        journal = recording.journal
        return journal is not None and self._shop.folder.inside(journal).is_dir()

    def _unreadable(self, trial: str, run: int, recording: Recording) -> RecordingHealth:
        holder = self._shop.holder(self._shop.store.run(trial, run).uuid)
        return RecordingHealth(
            trial=trial, run=run, source=recording.source, state="cannot be read",
            holder=holder, age_s=None, stale=True, lines=0, rejected={},
            lines_per_s=None, samples=0, gaps=0, behind_bytes=0, journal_bytes=0, alarms=(),
        )  # fmt: skip

    def _one(self, recording: Recording, view: LiveView) -> RecordingHealth:
        counters = view.counters
        lines = int(counters.get("lines", 0))
        journal = 0
        if recording.journal is not None:
            folder = self._shop.folder.inside(recording.journal)
            journal = sum(file.stat().st_size for file in folder.glob("segment-*.journal"))
        return RecordingHealth(
            trial=view.trial, run=view.run.number, source=recording.source, state=view.state,
            holder=view.holder, age_s=view.age_s, stale=view.stale, lines=lines,
            rejected=dict(counters.get("rejects", {})),
            lines_per_s=self._rate(recording.uuid, lines, view.behind_bytes == 0),
            samples=int(counters.get("samples", 0)), gaps=len(view.gaps),
            behind_bytes=view.behind_bytes, journal_bytes=journal,
            alarms=tuple(alarm.text for alarm in view.alarms if alarm.standing),
        )  # fmt: skip

    def _rate(self, recording: uuid.UUID, lines: int, caught_up: bool) -> float | None:
        """Lines a second; while the journal is still being read the count says nothing of it."""
        now = time.monotonic()
        with self._lock:
            seen = self._lines.setdefault(recording, deque())
            if not caught_up:
                seen.clear()
                return None
            seen.append((now, lines))
            while len(seen) > 2 and seen[1][0] <= now - _WATCHED_S:
                seen.popleft()
            since, before = seen[0]
        return (lines - before) / (now - since) if now - since >= _LEAST_S else None
