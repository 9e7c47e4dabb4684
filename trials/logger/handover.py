"""From the thread that reads to the one that understands, in bounded memory."""

from __future__ import annotations

import threading
import time
from collections import deque
from dataclasses import dataclass
from typing import Literal

from trials.logger.readings import Arrival

MOST_BYTES = 8 << 20
_URGENT_BYTES = 65_536
_TAKEN_BYTES = 262_144
_STALLED_S = 5.0


@dataclass(frozen=True, slots=True)
class Happening:
    """What came between the bytes.

    ``gap``: a break (``reason``, as for `Decoder.interrupt`). ``back``: the link is there again.
    ``end``: nothing more comes; ``reason`` is ``stopped``, ``source ended`` or ``link lost``, and
    ``note`` says more.
    """

    kind: Literal["gap", "back", "end"]
    reason: str = ""
    note: str = ""
    new_session: bool = False
    anew: bool = False


Item = tuple[bytes, Arrival] | Happening


class Handover:
    """A queue of chunks and happenings.

    Args:
        patient: the reading side waits as long as it takes for room, as a file can. Otherwise it
            waits while the other side makes progress; when that stalls for seconds, chunks pass
            by, for the journal has them.

    Attributes:
        passed_by_bytes: that the understanding side never saw.
    """

    def __init__(self, *, patient: bool, most_bytes: int = MOST_BYTES) -> None:
        self._patient = patient
        self._most = most_bytes
        self._items: deque[Item] = deque()
        self._bytes = 0
        self._change = threading.Condition()
        self._urgent = threading.Event()
        self._closed = False
        self._taken_at = time.monotonic()
        self.passed_by_bytes = 0

    def put(self, chunk: bytes, arrival: Arrival) -> None:
        """Hand over bytes that the journal has taken."""
        with self._change:
            if self._bytes >= self._most and not self._wait_for_room():
                self.passed_by_bytes += len(chunk)
                return
            self._items.append((chunk, arrival))
            self._bytes += len(chunk)
            if len(self._items) == 1:
                self._change.notify_all()
            if self._bytes >= _URGENT_BYTES:
                self._urgent.set()

    def _wait_for_room(self) -> bool:
        while self._bytes >= self._most and not self._closed:
            if not self._patient and time.monotonic() - self._taken_at > _STALLED_S:
                return False
            self._change.wait(0.1)
        return not self._closed

    def tell(self, happening: Happening) -> None:
        """Hand over what happened, in order with the bytes."""
        with self._change:
            self._items.append(happening)
            self._urgent.set()
            self._change.notify_all()

    def take(self, timeout_s: float) -> list[Item]:
        """What is there, up to a gulp, after waiting for the first; empty when nothing came."""
        with self._change:
            self._taken_at = time.monotonic()
            if not self._items:
                self._change.wait(timeout_s)
            items: list[Item] = []
            taken = 0
            while self._items and taken < _TAKEN_BYTES:
                item = self._items.popleft()
                items.append(item)
                taken += 0 if isinstance(item, Happening) else len(item[0])
            self._bytes -= taken
            if not self._items:
                self._urgent.clear()
            self._taken_at = time.monotonic()
            self._change.notify_all()
            return items

    def pause(self, seconds: float) -> None:
        """Let bytes gather, unless much waits already or something happened."""
        self._urgent.wait(seconds)

    def close(self) -> None:
        """The understanding side has gone: nothing waits for it any more."""
        with self._change:
            self._closed = True
            self._change.notify_all()
