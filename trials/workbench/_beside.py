"""Work beside the recording, in order, in a thread of its own: the recording never waits."""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable

Job = Callable[[], object]


class Beside:
    """Does jobs one after the other.

    Args:
        name: of the thread.
        on_error: told what a job raised; the next job is done all the same.
        tick: done about every ``every_s`` seconds, between jobs.
        most: as many jobs may wait.
    """

    def __init__(
        self,
        name: str,
        on_error: Callable[[Exception], None],
        *,
        tick: Job | None = None,
        every_s: float = 0.25,
        most: int = 4096,
    ) -> None:
        self._jobs: queue.Queue[Job | None] = queue.Queue(most)
        self._on_error = on_error
        self._tick = tick
        self._every_s = every_s
        self._thread = threading.Thread(target=self._work, name=name, daemon=True)
        self._thread.start()

    def put(self, job: Job, *, wait: bool = False) -> bool:
        """Leave a job; false when too many wait already (never with ``wait``)."""
        try:
            self._jobs.put(job, block=wait)
        except queue.Full:
            return False
        return True

    def done(self, within_s: float) -> bool:
        """Wait until what was left so far is done; false when that took longer."""
        reached = threading.Event()
        return self.put(reached.set) and reached.wait(within_s)

    def close(self, within_s: float | None = None) -> bool:
        """Do what waits and end; false when that took longer, and the thread is left behind."""
        if self._thread.is_alive():
            self._jobs.put(None)
            self._thread.join(within_s)
        return not self._thread.is_alive()

    def _work(self) -> None:
        tick_at = time.monotonic() + self._every_s
        while True:
            try:
                waits_s = None if self._tick is None else max(0.0, tick_at - time.monotonic())
                job = self._jobs.get(timeout=waits_s)
            except queue.Empty:
                job = _nothing
            if job is None:
                return
            self._do(job)
            if self._tick is not None and time.monotonic() >= tick_at:
                self._do(self._tick)
                tick_at = time.monotonic() + self._every_s

    def _do(self, job: Job) -> None:
        try:
            job()
        except Exception as error:  # noqa: BLE001 - whatever fails, the recording goes on
            self._on_error(error)


def _nothing() -> None:
    """No job came in time."""
