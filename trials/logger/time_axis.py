"""Seconds of the trace from the source's own times: first sample at 0, never backwards."""

from __future__ import annotations

import numpy as np

from trials.logger.readings import Floats, Ints

SMALL_STEP_S = 1.0


class TimeAxis:
    """Places times on the axis in order of arrival.

    A step back of at most a second is clamped to the newest time; a larger one re-bases the axis
    so that it goes on from there. Only the times themselves decide, never when they came in.
    """

    def __init__(self, divisor: float) -> None:
        self._divisor = divisor
        self.started = False
        self._base: float | int = 0
        self._offset_s = 0.0
        self._high: float | int = 0
        self.newest_s = 0.0

    def rebase(self, at: float | int, to_s: float) -> None:
        """From now on the source's time ``at`` stands at ``to_s``."""
        self.started = True
        self._base, self._offset_s, self._high, self.newest_s = at, to_s, at, to_s

    def _seconds(self, times: Floats | Ints) -> Floats:
        return np.asarray((times - self._base) / self._divisor + self._offset_s, dtype=np.float64)

    def place(self, times: Floats | Ints) -> tuple[Floats, list[tuple[int, float, bool]]]:
        """Seconds for times in order, and steps back: (index, seconds back, re-based)."""
        if not len(times):
            return np.empty(0), []
        if not self.started:
            self.rebase(times[0].item(), 0.0)
        peaks = np.maximum.accumulate(np.concatenate(([self._high], times)).astype(times.dtype))
        back = peaks[:-1] - times
        steps: list[tuple[int, float, bool]] = []
        if (back / self._divisor > SMALL_STEP_S).any():
            return self._one_by_one(times, steps), steps
        seconds = np.maximum(self._seconds(peaks[1:]), self.newest_s)
        self._high, self.newest_s = peaks[-1].item(), float(seconds[-1])
        for index in np.flatnonzero(back > 0).tolist():
            steps.append((index, float(back[index]) / self._divisor, False))
        return seconds, steps

    def _one_by_one(self, times: Floats | Ints, steps: list[tuple[int, float, bool]]) -> Floats:
        seconds = np.empty(len(times))
        for index, time in enumerate(times.tolist()):
            back_s = (self._high - time) / self._divisor
            if back_s > SMALL_STEP_S:
                steps.append((index, back_s, True))
                self.rebase(time, self.newest_s)
            elif back_s > 0:
                steps.append((index, back_s, False))
            else:
                self._high = time
                placed = (time - self._base) / self._divisor + self._offset_s
                self.newest_s = max(self.newest_s, placed)
            seconds[index] = self.newest_s
        return seconds
