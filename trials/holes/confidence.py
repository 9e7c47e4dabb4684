"""How sure it is that a hole is one whole hole, compared with those before or the cutting data."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import deque
from collections.abc import Iterable
from itertools import pairwise

from trials.holes.expected import ExpectedTimes
from trials.holes.hole import Hole

# Score and share of right ones: 84 doubtful holes of 42,000 invented ones (seeds 401 to 412, see
# docs/holes.md), smoothed; the highest is kept below what was seen.
_RIGHT = ((0.0, 0.5), (0.25, 0.75), (0.45, 0.92), (0.65, 0.97), (1.0, 0.995))


class _Rolling:
    """Median of the newest values."""

    def __init__(self, most: int) -> None:
        self._newest: deque[float] = deque(maxlen=most)
        self._order: list[float] = []

    def add(self, value: float) -> None:
        if len(self._newest) == self._newest.maxlen:
            del self._order[bisect_left(self._order, self._newest[0])]
        self._newest.append(value)
        insort(self._order, value)

    def __len__(self) -> int:
        return len(self._order)

    @property
    def middle(self) -> float:
        half = len(self._order) // 2
        if len(self._order) % 2:
            return self._order[half]
        return 0.5 * (self._order[half - 1] + self._order[half])


class Usual:
    """What the holes before were like."""

    def __init__(self, before: Iterable[Hole]) -> None:
        self.cut_s, self.pecks, self._height = _Rolling(15), _Rolling(15), _Rolling(10)
        for hole in before:
            self.add(hole)

    def add(self, hole: Hole) -> None:
        self.cut_s.add(hole.cut_s)
        self.pecks.add(float(hole.pecks))
        self._height.add(hole.peak_pct - hole.idle_pct)

    @property
    def known(self) -> bool:
        return len(self.cut_s) >= 3

    @property
    def height(self) -> float:
        """Usual peak above idle of the ten holes before; 0 with fewer than three."""
        return self._height.middle if self.known else 0.0


def _share_right(score: float) -> float:
    """What share of the invented holes with this score were right (place and pecks)."""
    for (low, at_low), (high, at_high) in pairwise(_RIGHT):
        if score <= high:
            return at_low + (at_high - at_low) * (score - low) / (high - low)
    return _RIGHT[-1][1]


def compare(
    flags: list[str], cut_s: float, pecks: int, noise_ratio: float, usual: Usual,
    expected: ExpectedTimes | None,
) -> float:  # fmt: skip
    """Compare a hole with those before it (or the cutting data): add flags, return confidence."""
    sure = 1.0
    usual_cut_s, usual_pecks = cut_s, float(pecks)
    if usual.known:
        usual_cut_s, usual_pecks = usual.cut_s.middle, usual.pecks.middle
    elif expected is not None:
        usual_cut_s, usual_pecks = expected.cut_s, float(expected.pecks)
    if cut_s < 0.75 * usual_cut_s:
        flags.append("short")
        sure *= max(0.2, cut_s / usual_cut_s)
    elif cut_s > 1.4 * usual_cut_s:
        flags.append("long")
        sure *= max(0.2, usual_cut_s / cut_s)
    if pecks != usual_pecks:
        flags.append("pecks differ")
        sure *= 0.8
    if noise_ratio < 8.0:
        flags.append("faint")
        sure *= max(0.3, noise_ratio / 8.0)
    if "gap" in flags or "starts in a gap" in flags or "ends in a gap" in flags:
        sure *= 0.7
    if "cut off" in flags:
        sure *= 0.5
    if "grouping unsure" in flags:
        sure *= 0.6
    return round(_share_right(sure), 3)
