"""How often a link speaks, and whether it has fallen silent for longer than that explains."""

from __future__ import annotations

from collections import deque

STALE_INTERVALS = 3.0
LEAST_S = 0.5  # quicker than this nobody can look, and a busy computer may be late
CHANGES_ONLY_LEAST_S = 10.0
BEFORE_KNOWN_S = 5.0
_REMEMBERED = 64
_ENOUGH = 5


class LinkWatch:
    """Learns the nominal interval of a stream from the arrival of its bytes, and tells silence.

    The nominal interval is what nine of ten intervals do not exceed, so that bursts do not shorten
    it. Silence of three of them is a stale link.

    Args:
        least_s: no shorter silence is called stale. For a source that only sends changes, take
            `CHANGES_ONLY_LEAST_S`.

    Attributes:
        stale: whether the link is stale now.
    """

    def __init__(self, least_s: float = LEAST_S) -> None:
        self._least_s = least_s
        self._intervals_s: deque[float] = deque(maxlen=_REMEMBERED)
        self._heard_s: float | None = None
        self._known_s: float | None = None
        self.stale = False

    @property
    def nominal_interval_s(self) -> float | None:
        """Seconds between arrivals as a rule; None while too few came in."""
        if len(self._intervals_s) < _ENOUGH:
            return None
        if self._known_s is None:
            self._known_s = sorted(self._intervals_s)[int(0.9 * (len(self._intervals_s) - 1))]
        return self._known_s

    @property
    def stale_after_s(self) -> float:
        """So long a silence is called stale."""
        nominal_s = self.nominal_interval_s
        if nominal_s is None:
            return max(self._least_s, BEFORE_KNOWN_S)
        return max(self._least_s, STALE_INTERVALS * nominal_s)

    def begin(self, now_s: float) -> None:
        """The link is open from now on; monotonic seconds."""
        self._heard_s = now_s

    def heard(self, now_s: float) -> bool:
        """Bytes came in; whether that ends a stale stretch."""
        if self._heard_s is not None and not self.stale:
            self._intervals_s.append(max(0.0, now_s - self._heard_s))
            self._known_s = None
        self._heard_s = now_s
        ended, self.stale = self.stale, False
        return ended

    def broke(self) -> bool:
        """The link is known to be gone; whether it was not called stale before."""
        began, self.stale = not self.stale, True
        return began

    def silent_s(self, now_s: float) -> float:
        """Seconds since bytes came in, or since the link was opened."""
        return 0.0 if self._heard_s is None else max(0.0, now_s - self._heard_s)

    def check(self, now_s: float) -> bool:
        """Whether a stale stretch begins now."""
        silent_s = self.silent_s(now_s)
        if self.stale or silent_s <= self._least_s or silent_s <= self.stale_after_s:
            return False
        self.stale = True
        return True
