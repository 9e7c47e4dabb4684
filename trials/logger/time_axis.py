"""Seconds of the trace from the source's own times: first sample at 0, never backwards."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from trials.logger.readings import Floats, Ints

SMALL_STEP_S = 1.0
LEAP_S = 2.0  # ahead of every line before by more: no delay on the way explains it
_KNOWN_AFTER_S = 3.0  # so long the two clocks must have run together before a leap is believed
_SAME_PACE = 1.2


class Moved(NamedTuple):
    """At a row the source's clock went back ``back_s`` (negative: it leapt ahead)."""

    row: int
    back_s: float
    rebased: bool


class TimeAxis:
    """Places times on the axis in order of arrival.

    A step back of at most a second is clamped to the newest time; a larger one re-bases the axis
    so that it goes on from there.

    A leap ahead looks like silence, unless arrivals are given: a line cannot come in before it was
    written, so the source's clock less ours only falls by delay and never rises above what it was.
    When it rises by more than two seconds, after both clocks had run together for three, the
    source's clock was set: the axis goes on by the time that passed here.
    """

    def __init__(self, divisor: float) -> None:
        self._divisor = divisor
        self.started = False
        self._base: float | int = 0
        self._offset_s = 0.0
        self._high: float | int = 0
        self.newest_s = 0.0
        self._began: tuple[float, float] | None = None  # source's time and ours, s
        self._before = (0.0, 0.0)
        self._ahead_s = -np.inf  # the most that the source's clock was ahead of ours

    def rebase(self, at: float | int, to_s: float) -> None:
        """From now on the source's time ``at`` stands at ``to_s``."""
        self.started = True
        self._base, self._offset_s, self._high, self.newest_s = at, to_s, at, to_s

    def forget_arrivals(self) -> None:
        """Arrivals from now on are by another clock than those before."""
        self._began, self._ahead_s = None, -np.inf

    def _seconds(self, times: Floats | Ints) -> Floats:
        return np.asarray((times - self._base) / self._divisor + self._offset_s, dtype=np.float64)

    def place(
        self, times: Floats | Ints, arrivals_ns: Ints | None = None
    ) -> tuple[Floats, list[Moved]]:
        """Seconds for times in order, and where the source's clock moved.

        Args:
            times: in the source's unit.
            arrivals_ns: monotonic ns when each line had come in; None when nobody knows.
        """
        if not len(times):
            return np.empty(0), []
        if not self.started:
            self.rebase(times[0].item(), 0.0)
        steps: list[Moved] = []
        if times[0] >= self._high and (times[1:] >= times[:-1]).all():  # as nearly always
            if self._may_leap(times, arrivals_ns):
                return self._one_by_one(times, arrivals_ns, steps), steps
            return self._go_on(times), steps
        peaks = np.maximum.accumulate(np.concatenate(([self._high], times)).astype(times.dtype))
        back = peaks[:-1] - times
        if (back / self._divisor > SMALL_STEP_S).any() or self._may_leap(times, arrivals_ns):
            return self._one_by_one(times, arrivals_ns, steps), steps
        seconds = self._go_on(peaks[1:])
        for index in np.flatnonzero(back > 0).tolist():
            steps.append(Moved(index, float(back[index]) / self._divisor, False))
        return seconds, steps

    def _go_on(self, times: Floats | Ints) -> Floats:
        """Seconds for times that never fall below what was there."""
        seconds = np.maximum(self._seconds(times), self.newest_s)
        self._high, self.newest_s = times[-1].item(), float(seconds[-1])
        return seconds

    def _may_leap(self, times: Floats | Ints, arrivals_ns: Ints | None) -> bool:
        """Whether any row is to be looked at singly; when not, remember what they showed."""
        if arrivals_ns is None:
            return False
        ahead = times / self._divisor - arrivals_ns / 1e9
        if self._began is not None and (top := float(ahead.max())) - self._ahead_s <= LEAP_S:
            return self._ran_together(times, arrivals_ns, max(self._ahead_s, top))
        most = np.maximum.accumulate(np.concatenate(([self._ahead_s], ahead)))
        if self._began is not None and (ahead - most[:-1] > LEAP_S).any():
            return True
        if self._began is None:
            self._began = (float(times[0]) / self._divisor, float(arrivals_ns[0]) / 1e9)
            if (ahead[1:] - most[1:-1] > LEAP_S).any():
                self._began = None
                return True
        return self._ran_together(times, arrivals_ns, float(most[-1]))

    def _ran_together(self, times: Floats | Ints, arrivals_ns: Ints, ahead_s: float) -> bool:
        self._ahead_s = ahead_s
        self._before = (float(times[-1]) / self._divisor, float(arrivals_ns[-1]) / 1e9)
        return False

    def _one_by_one(
        self, times: Floats | Ints, arrivals_ns: Ints | None, steps: list[Moved]
    ) -> Floats:
        seconds = np.empty(len(times))
        arrivals = None if arrivals_ns is None else (arrivals_ns / 1e9).tolist()
        for index, time in enumerate(times.tolist()):
            back_s = (self._high - time) / self._divisor
            leap_s = 0.0
            if arrivals is not None:
                leap_s, passed_s = self._leap(time / self._divisor, arrivals[index])
            if leap_s:
                steps.append(Moved(index, -leap_s, True))
                self.rebase(time, self.newest_s + passed_s)
            elif back_s > SMALL_STEP_S:
                steps.append(Moved(index, back_s, True))
                self.rebase(time, self.newest_s)
                self.forget_arrivals()
            elif back_s > 0:
                steps.append(Moved(index, back_s, False))
            else:
                self._high = time
                placed = (time - self._base) / self._divisor + self._offset_s
                self.newest_s = max(self.newest_s, placed)
            if arrivals is not None:
                self._saw(time / self._divisor, arrivals[index])
            seconds[index] = self.newest_s
        return seconds

    def _leap(self, source_s: float, here_s: float) -> tuple[float, float]:
        """How far the source's clock leapt ahead before this line, and what passed here."""
        if self._began is None or source_s - here_s - self._ahead_s <= LEAP_S:
            return 0.0, 0.0
        source_ran_s = self._before[0] - self._began[0]
        here_ran_s = self._before[1] - self._began[1]
        if here_ran_s < _KNOWN_AFTER_S or source_ran_s > _SAME_PACE * here_ran_s + LEAP_S:
            return 0.0, 0.0  # too early to know, or a clock that runs at another pace
        passed_s = max(0.0, here_s - self._before[1])
        leap_s = source_s - self._before[0] - passed_s
        self.forget_arrivals()
        return leap_s, passed_s

    def _saw(self, source_s: float, here_s: float) -> None:
        if self._began is None:
            self._began = (source_s, here_s)
        self._ahead_s = max(self._ahead_s, source_s - here_s)
        self._before = (source_s, here_s)
