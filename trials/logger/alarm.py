"""The alarm on the live value: load over its limit, or a link that went stale.

Advisory: nothing is switched off. What finished holes say is in `trials.logger.hole_alarm`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from trials.errors import require
from trials.logger.readings import Batch

AlarmKind = Literal["over_limit", "rising", "load_lost", "stale", "disk"]


@dataclass(frozen=True, slots=True)
class AlarmEvent:
    """An alarm that began (``active``) or went away, at seconds of the trace.

    ``load_pct`` is the load that set it off, None for a stale link; ``hole`` the number of the
    hole that it is about, where it is about one.
    """

    kind: AlarmKind
    active: bool
    time_s: float
    load_pct: float | None
    text: str
    hole: int | None = None


class Alarm:
    """Watches the live value.

    Args:
        limit_pct: load limit, % of rating.
        release_pct: the load must fall this much below the limit before the alarm can set off
            again, so that a value that trembles about the limit is one alarm.
        stale_after_s: so long without a value and the link is stale; None leaves that to the
            recorder, which watches the link itself.

    Attributes:
        over_limit, stale: whether the alarm is on now.
    """

    def __init__(
        self, limit_pct: float, *, release_pct: float = 2.0, stale_after_s: float | None = None
    ) -> None:
        require(0 < limit_pct <= 1000, "load limit", limit_pct, "more than 0 %, at most 1000 %")
        require(0 <= release_pct < limit_pct, "release of the alarm", release_pct,
                "0 % up to the limit")  # fmt: skip
        require(stale_after_s is None or stale_after_s > 0, "stale link", stale_after_s,
                "more than 0 s")  # fmt: skip
        self.limit_pct = limit_pct
        self.release_pct = release_pct
        self.stale_after_s = stale_after_s
        self.over_limit = False
        self.stale = False
        self._newest_s = 0.0
        self._heard_s: float | None = None

    def feed(self, batch: Batch, now_s: float | None = None) -> list[AlarmEvent]:
        """Look at new samples.

        Args:
            batch: samples, % of rating.
            now_s: monotonic seconds, for `check`.
        """
        events: list[AlarmEvent] = []
        if not len(batch):
            return events
        if now_s is not None:
            self._heard_s = now_s
        self._newest_s = float(batch.time_s[-1])
        if self.stale:
            self.stale = False
            events.append(AlarmEvent("stale", False, self._newest_s, None, "Values come again."))
        load = batch.load_pct
        if not self.over_limit and load.max() <= self.limit_pct:
            return events
        start = 0
        while start < len(load):
            rest = load[start:]
            low = self.limit_pct - self.release_pct
            turns = np.flatnonzero(rest <= low if self.over_limit else rest > self.limit_pct)
            if not len(turns):
                break
            start += int(turns[0])
            self.over_limit = not self.over_limit
            events.append(self._crossing(float(batch.time_s[start]), float(load[start])))
        return events

    def _crossing(self, time_s: float, load_pct: float) -> AlarmEvent:
        if self.over_limit:
            text = (
                f"Load {load_pct:.0f} % is over the limit of {self.limit_pct:.0f} %. Look at the "
                "drill; whether to stop is for the person at the machine to decide."
            )
        else:
            text = f"Load {load_pct:.0f} % is below the limit of {self.limit_pct:.0f} % again."
        return AlarmEvent("over_limit", self.over_limit, time_s, load_pct, text)

    def check(self, now_s: float) -> list[AlarmEvent]:
        """Look at the time since the last value; ``now_s`` in monotonic seconds."""
        if self._heard_s is None:
            self._heard_s = now_s
        silent_s = now_s - self._heard_s
        if self.stale or self.stale_after_s is None or silent_s <= self.stale_after_s:
            return []
        self.stale = True
        text = (
            f"No load value for {silent_s:.1f} s: the link is stale. Is the source still sending?"
        )
        return [AlarmEvent("stale", True, self._newest_s, None, text)]
