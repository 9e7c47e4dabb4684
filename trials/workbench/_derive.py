"""From samples to what a run shows: one way for live recording, import, resume and rebuild."""

from __future__ import annotations

import statistics
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from trials.holes import Hole, HoleFinder, to_frame
from trials.logger import Batch, Gap
from trials.model import Run, Trial
from trials.store import TraceFile, TraceWriter
from trials.workbench._costs import cycle_min
from trials.workbench._shop import expected_hole

_LAST_HOLES = 10


@dataclass(frozen=True, slots=True)
class Derived:
    """What a whole recording gave."""

    holes: pd.DataFrame
    gaps: tuple[Gap, ...]
    trace: TraceFile
    duration_s: float


class Derivation:
    """Takes batches of samples in order; knows at any time how far the run has come.

    The same samples give the same holes in whatever batches they come.

    Args:
        trial, run: say what a hole should look like.
        writer: keeps the samples; None for a view that only looks.
    """

    def __init__(self, trial: Trial, run: Run, writer: TraceWriter | None = None) -> None:
        self._finder = HoleFinder(expected_hole(trial, run))
        self._writer = writer
        self._first_s: float | None = None
        self.settled: list[Hole] = []
        self.gaps: list[Gap] = []
        self.newest_s = 0.0
        self.newest_load_pct: float | None = None

    def take(self, batch: Batch) -> list[Hole]:
        """Take samples; return the holes that they settled."""
        self.gaps.extend(batch.gaps)
        if self._writer is not None:
            self._writer.append(batch.time_s, batch.load_pct, batch.rpm, batch.depth_mm)
        if len(batch):
            if self._first_s is None:
                self._first_s = float(batch.time_s[0])
            self.newest_s = float(batch.time_s[-1])
            self.newest_load_pct = float(batch.load_pct[-1])
        settled = self._finder.feed(
            batch.time_s,
            batch.load_pct,
            batch.gaps,
            rpm=batch.rpm,
            depth_mm=batch.depth_mm,
            in_cycle=batch.in_cycle if len(batch.in_cycle) else None,
        )
        self.settled.extend(settled)
        return settled

    @property
    def holes(self) -> list[Hole]:
        """Whole holes so far; the newest of them may still change a little."""
        return [*self.settled, *self._finder.pending]

    @property
    def current(self) -> Hole | None:
        """The hole being drilled, with its figures so far."""
        return self._finder.current

    def finish(self) -> Derived:
        """Settle what is left and close the trace; to be called once."""
        assert self._writer is not None  # noqa: S101 - a view that only looks never finishes
        self.settled.extend(self._finder.finish())
        return Derived(
            to_frame(self.settled),
            tuple(self.gaps),
            self._writer.finish(),
            0.0 if self._first_s is None else self.newest_s - self._first_s,
        )


def with_figures(trial: Trial, run: Run, holes: pd.DataFrame) -> Run:
    """The run with what its holes say; an ended run keeps the number of holes it was ended with.

    - ``load_fresh_pct``: median of the peaks of the first three holes, or of as many as there are.
    - ``load_worn_pct``: the highest median of three peaks in a row among the last ten holes, so
      that one odd hole does not decide.
    - ``cycle_min``: median time from the start of a hole to the start of the next; for a single
      hole it is computed from the cutting data.
    """
    peaks = [float(peak) for peak in holes["peak_pct"]]
    drilled = replace(
        run,
        state="ended" if run.state == "ended" else "drilled",
        holes=run.holes if run.state == "ended" else len(peaks),
        load_fresh_pct=statistics.median(peaks[:3]) if peaks else None,
        load_worn_pct=_worn(peaks[-_LAST_HOLES:]) if peaks else None,
        cycle_min=None,
    )
    if not peaks:
        return drilled
    steps = np.diff(holes["start_s"].to_numpy(dtype=float))
    measured = float(np.median(steps)) / 60.0 if len(steps) else cycle_min(trial, drilled)
    return replace(drilled, cycle_min=measured)


def _worn(peaks: list[float]) -> float:
    if len(peaks) < 3:
        return statistics.median(peaks)
    return max(statistics.median(peaks[i : i + 3]) for i in range(len(peaks) - 2))


def rejected(counters: Mapping[str, Any]) -> int:
    """Lines that gave no sample, of all kinds together."""
    return int(sum(counters.get("rejects", {}).values()))
