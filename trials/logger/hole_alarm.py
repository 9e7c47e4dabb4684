"""The alarm on finished holes: peak over the limit, load rising faster, load lost in a hole.

Advisory. It knows nothing of how holes are found, only what they look like.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from typing import Protocol

import numpy as np

from trials.errors import require
from trials.logger.alarm import AlarmEvent

_WHOLE_HOLES = 12  # as many as say what is usual
_LOST_SHARE = 0.6  # of the usual cutting time: a hole that is shorter lost its load
_LOST_SHARE_OF_DATA = 0.4  # the same of what the cutting data say, which the machine may not keep
_WAIT_S, _PAUSES = 1.0, 1.5  # a hole is over when no further peck came for so long
_TREND_HOLES, _TREND_LEAST, _NEWEST = 20, 10, 3
_SIGMAS, _LEAST_SHARE = 4.0, 0.04
_MAD_TO_SIGMA = 1.4826  # of a normal scatter (Rousseeuw and Croux 1993)
_AGAIN_AFTER_HOLES = 5
_UNSURE = frozenset({"gap", "starts in a gap", "ends in a gap", "cut off"})


class HoleFigures(Protocol):
    """What is looked at of a hole; `trials.holes.Hole` has it."""

    @property
    def number(self) -> int: ...
    @property
    def start_s(self) -> float: ...
    @property
    def end_s(self) -> float: ...
    @property
    def cut_s(self) -> float: ...
    @property
    def pecks(self) -> int: ...
    @property
    def peak_pct(self) -> float: ...
    @property
    def flags(self) -> tuple[str, ...]: ...


class HoleAlarm:
    """Watches holes as they are finished. Thresholds: common practice, no source.

    - Over the limit: the peak of a hole is above the load limit.
    - Load lost: a hole has less than 0.6 of the usual cutting time (median of the last twelve
      whole holes), or before there are three less than 0.4 of what the cutting data say (not when
      it is faint: for a moment the noise before the first hole may look like one), or it carries
      the flag ``broken``. The drill may be broken; a hole stopped by hand looks the same.
    - Rising: the newest hole and at least one of the two before it lie above the trend of the run
      by more than four times its scatter, and by more than 4 % of it. See `rises_faster`.

    Holes with a gap in them are passed over.

    Args:
        limit_pct: load limit, % of rating.
        expected_cut_s: cutting time of one hole by the cutting data, s; None when not known.
    """

    def __init__(self, limit_pct: float, *, expected_cut_s: float | None = None) -> None:
        require(0 < limit_pct <= 1000, "load limit", limit_pct, "more than 0 %, at most 1000 %")
        self.limit_pct = limit_pct
        self._expected_cut_s = expected_cut_s
        self._seen = 0
        self._peaks: list[float] = []
        self._whole: list[HoleFigures] = []
        self._lost: set[int] = set()
        self._risen_at: int | None = None

    def look(
        self, holes: Sequence[HoleFigures], newest_s: float, *, silent: bool = False
    ) -> list[AlarmEvent]:
        """Look at the holes that were finished since the last look.

        Args:
            holes: all holes of the run so far, without the one in progress.
            newest_s: time of the newest sample, on the clock of the holes; infinity at the end.
            silent: only learn from them, as from what was recorded before a stop.
        """
        events: list[AlarmEvent] = []
        for place, hole in enumerate(holes[self._seen :], self._seen):
            if place + 1 == len(holes) and newest_s - hole.end_s < self._settle_s():
                break
            self._seen = place + 1
            events += self._judge(hole)
        for hole in holes[max(0, self._seen - 2) : self._seen]:
            # That no cut follows shows some time after the hole.
            if "broken" in hole.flags and not _unsure(hole):
                events += self._lose(hole, "its load shot up and then fell to idle")
        return [] if silent else events

    def _settle_s(self) -> float:
        pauses = [
            (hole.end_s - hole.start_s - hole.cut_s) / (hole.pecks - 1)
            for hole in self._whole[-_WHOLE_HOLES:]
            if hole.pecks > 1
        ]
        return max(_WAIT_S, _PAUSES * max(pauses, default=0.0))

    def _judge(self, hole: HoleFigures) -> list[AlarmEvent]:
        if _unsure(hole):
            return []
        events: list[AlarmEvent] = []
        usual_s, share = self._usual_cut_s()
        if usual_s is not None and hole.cut_s < share * usual_s:
            if len(self._whole) < 3 and "faint" in hole.flags:
                return []
            events += self._lose(hole, f"it cut for {hole.cut_s:.1f} s instead of {usual_s:.1f} s")
        else:
            self._whole.append(hole)
            del self._whole[:-_WHOLE_HOLES]
        if hole.peak_pct > self.limit_pct:
            text = (
                f"Hole {hole.number} peaked at {hole.peak_pct:.0f} %, over the limit of "
                f"{self.limit_pct:.0f} %. Look at the drill."
            )
            events.append(
                AlarmEvent("over_limit", True, hole.end_s, hole.peak_pct, text, hole.number)
            )
        self._peaks.append(hole.peak_pct)
        del self._peaks[: -_TREND_HOLES - _NEWEST]
        said = rises_faster(self._peaks)
        rested = self._risen_at is None or hole.number - self._risen_at >= _AGAIN_AFTER_HOLES
        if said is not None and rested:
            self._risen_at = hole.number
            text = (
                f"Hole {hole.number} peaked at {hole.peak_pct:.0f} %; by the trend of this run "
                f"{said:.0f} % was to come. The load rises faster than before: look at the drill."
            )
            events.append(AlarmEvent("rising", True, hole.end_s, hole.peak_pct, text, hole.number))
        return events

    def _lose(self, hole: HoleFigures, why: str) -> list[AlarmEvent]:
        if hole.number in self._lost:
            return []
        self._lost.add(hole.number)
        text = (
            f"Hole {hole.number} lost its load: {why}. The drill may be broken. Look before the "
            "next hole."
        )
        return [AlarmEvent("load_lost", True, hole.end_s, hole.peak_pct, text, hole.number)]

    def _usual_cut_s(self) -> tuple[float | None, float]:
        if len(self._whole) >= 3:
            return statistics.median(hole.cut_s for hole in self._whole), _LOST_SHARE
        return self._expected_cut_s, _LOST_SHARE_OF_DATA


def _unsure(hole: HoleFigures) -> bool:
    return not _UNSURE.isdisjoint(hole.flags)


def rises_faster(peaks_pct: Sequence[float]) -> float | None:
    """What the trend said of the newest peak when the newest peaks lie far above it; else None.

    The trend is a Theil-Sen line (median of all slopes between two holes; Theil 1950, Sen 1968)
    through up to twenty holes before the newest three, at least ten. Its scatter is 1.4826 times
    the median absolute deviation from it, widened for holes beyond its end as the prediction
    interval of a straight line is. Above means by more than four times that and by more than 4 %
    of the line. The newest peak must be above, and one of the two before it.

    Args:
        peaks_pct: peaks of holes in order, % of rating.
    """
    if len(peaks_pct) < _TREND_LEAST + _NEWEST:
        return None
    kept = np.asarray(peaks_pct[-_TREND_HOLES - _NEWEST :], dtype=np.float64)
    before, newest = kept[:-_NEWEST], kept[-_NEWEST:]
    count = len(before)
    place = np.arange(count, dtype=np.float64)
    i, j = np.triu_indices(count, 1)
    slope = float(np.median((before[j] - before[i]) / (j - i)))
    level = float(np.median(before - slope * place))
    rest = before - (level + slope * place)
    sigma = _MAD_TO_SIGMA * float(np.median(np.abs(rest - np.median(rest))))
    ahead = np.arange(count, count + _NEWEST, dtype=np.float64)
    line = level + slope * ahead
    middle = (count - 1) / 2
    spread = np.sqrt(1 + 1 / count + (ahead - middle) ** 2 / np.sum((place - middle) ** 2))
    above = newest - line > np.maximum(_SIGMAS * sigma * spread, _LEAST_SHARE * np.abs(line))
    if above[-1] and above[:-1].any():
        return float(line[-1])
    return None
