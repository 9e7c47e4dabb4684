"""What the disk does not take, kept in memory within a bound until it does."""

from __future__ import annotations

from collections import deque
from typing import NamedTuple

from trials.logger.journal.record import HEAD, Kind
from trials.logger.readings import Arrival

HELD_BYTES = 32 << 20  # at 1,000 lines of 30 bytes a second, about a quarter of an hour
_OVERHEAD = HEAD.size + 200  # of a record in memory, about


class Entry(NamedTuple):
    """A record that has no number yet."""

    kind: Kind
    arrival: Arrival
    payload: bytes


class Held:
    """Records that wait for room on the disk, oldest first.

    When the bound is reached, what comes later is dropped and counted; notes are always kept.

    Args:
        most_bytes: of payload and overhead.

    Attributes:
        bytes: that wait.
        dropped_bytes: of data, that could not be kept since the memory was emptied last.
        dropped_s: from the first to the last of those.
    """

    def __init__(self, most_bytes: int = HELD_BYTES) -> None:
        self._most = most_bytes
        self._entries: deque[Entry] = deque()
        self._first_dropped: Arrival | None = None
        self.bytes = 0
        self.dropped_bytes = 0
        self.dropped_s = 0.0

    def __len__(self) -> int:
        return len(self._entries)

    def add(self, entry: Entry) -> bool:
        """Keep a record; False when it had to be dropped."""
        size = len(entry.payload) + _OVERHEAD
        data = entry.kind is Kind.DATA
        if data and (self._first_dropped is not None or self.bytes + size > self._most):
            if self._first_dropped is None:
                self._first_dropped = entry.arrival
            self.dropped_bytes += len(entry.payload)
            since_ns = entry.arrival.monotonic_ns - self._first_dropped.monotonic_ns
            self.dropped_s = max(0, since_ns) / 1e9
            return False
        self._entries.append(entry)
        self.bytes += size
        return True

    def first(self) -> Entry:
        return self._entries[0]

    def written(self) -> None:
        """The first one is on the disk."""
        self.bytes -= len(self._entries.popleft().payload) + _OVERHEAD

    def forget_dropped(self) -> tuple[int, float]:
        """Bytes and seconds that were dropped; counting begins anew."""
        dropped = self.dropped_bytes, self.dropped_s
        self._first_dropped, self.dropped_bytes, self.dropped_s = None, 0, 0.0
        return dropped


class Undurable:
    """Packed records that the system took and the disk has not confirmed, within a bound.

    Args:
        most_bytes: beyond it the oldest are let go; then a failing disk may lose them.
    """

    def __init__(self, most_bytes: int = HELD_BYTES) -> None:
        self._most = most_bytes
        self._bytes = 0
        self.records: list[bytes] = []

    def __len__(self) -> int:
        return len(self.records)

    def add(self, record: bytes) -> None:
        self.records.append(record)
        self._bytes += len(record)
        if self._bytes > self._most:
            half = len(self.records) // 2
            self._bytes -= sum(map(len, self.records[:half]))
            del self.records[:half]

    def take(self) -> list[bytes]:
        """All of them, for a try to make them durable."""
        taken, self.records, self._bytes = self.records, [], 0
        return taken

    def put_back(self, taken: list[bytes]) -> None:
        """The try failed."""
        self.records = taken + self.records
        self._bytes = sum(map(len, self.records))
