"""Processor time that groups of processes take, also of those that were killed on the way."""

from __future__ import annotations

import contextlib
import time
from collections import defaultdict

import psutil


class ProcessorTime:
    """Looks at processes now and then; what one took before it ended is as of the last look."""

    def __init__(self) -> None:
        self._seen: dict[tuple[str, int], float] = {}
        self._processes: dict[tuple[str, int], psutil.Process] = {}
        self._with_children: set[tuple[str, int]] = set()
        self._begun: dict[str, float] = {}
        self._at = 0.0
        self._busy = (time.monotonic(), _busy_s())

    def watch(self, group: str, pid: int, *, children: bool = False) -> None:
        """Count a process in a group; with ``children``, those that it has and had, too."""
        self._processes[group, pid] = psutil.Process(pid)
        if children:
            self._with_children.add((group, pid))

    def look(self, every_s: float = 0.0) -> None:
        """Look at all of them, unless the last look is not that long ago."""
        if time.monotonic() - self._at < every_s:
            return
        self._at = time.monotonic()
        for key, process in list(self._processes.items()):
            try:
                self._seen[key] = _taken_s(process, children=key in self._with_children)
            except psutil.NoSuchProcess:
                del self._processes[key]

    def begin(self) -> None:
        """Count from now on."""
        self.look()
        self._begun = self.spent()
        self._busy = (time.monotonic(), _busy_s())

    def spent(self) -> dict[str, float]:
        """Seconds of each group so far."""
        found: dict[str, float] = defaultdict(float)
        for (group, _), seconds in self._seen.items():
            found[group] += seconds
        return dict(found)

    def since_begin(self) -> tuple[dict[str, float], float]:
        """Cores that each group kept busy since `begin`, and the share of all that was."""
        self.look()
        begun_at, begun_busy = self._busy
        passed_s = time.monotonic() - begun_at
        share = (_busy_s() - begun_busy) / passed_s / (psutil.cpu_count() or 1)
        return {
            group: (seconds - self._begun.get(group, 0.0)) / passed_s
            for group, seconds in self.spent().items()
        }, share  # fmt: skip


def _taken_s(process: psutil.Process, *, children: bool) -> float:
    """What a process took; with ``children`` also those that have ended and those that run."""
    times = process.cpu_times()
    taken = float(times.user + times.system)
    if children:
        taken += times.children_user + times.children_system
        for child in process.children():
            with contextlib.suppress(psutil.NoSuchProcess):
                taken += _taken_s(child, children=False)
    return taken


def _busy_s() -> float:
    times = psutil.cpu_times()
    return float(times.user + times.nice + times.system + times.irq + times.softirq)
