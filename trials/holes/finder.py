"""Samples to holes, live and in bulk, by one algorithm."""

from __future__ import annotations

import itertools
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from trials.errors import InputError
from trials.holes.analysis import Found, analyse
from trials.holes.expected import ExpectedTimes, expected_times
from trials.holes.grid import Bins, Floats, Grid, choose_grid, grid_index, to_bins, without_spikes
from trials.holes.hole import COLUMNS, Hole

_FIRST_LOOK_S = 300.0
_NEXT_LOOK_S = 120.0
_CONTEXT_S = 180.0
_LONGEST_WINDOW_S = 1800.0
_NEW_STRETCH_AFTER_S = 900.0


class HoleFinder:
    """Finds holes in samples as they come.

    Samples are collected and looked at in windows whose limits depend only on the samples' own
    times, so that it makes no difference in what portions they are fed. A hole is settled, and
    returned by `feed`, once what follows it has been seen: at the latest 300 s of trace after the
    first sample, later on 120 s (plus one hole) after its end. Between, `pending` has the holes
    that are not settled yet and `current` the one in progress; both look at all samples so far.

    Args:
        expected: what the cutting data say of one hole, see `find_holes`; None when not known.
    """

    def __init__(self, expected: object | None = None) -> None:
        self._expected: ExpectedTimes | None = (
            None if expected is None else expected_times(expected)
        )
        cycle_s = 0.0 if self._expected is None else 2.0 * self._expected.cut_s + 5.0
        self._first_look_s = max(_FIRST_LOOK_S, 10 * cycle_s)
        self._next_look_after_s = max(_NEXT_LOOK_S, 5 * cycle_s)
        self._context_s = max(_CONTEXT_S, 6 * cycle_s)
        self._waiting: list[tuple[Floats, Floats]] = []
        self._newest_s = -np.inf
        self._number = 0
        self._before: deque[Hole] = deque(maxlen=15)
        self._lost: list[tuple[float, float]] = []
        self._preview: _Preview | None = None
        self._fed = 0
        self._reset()

    def _reset(self) -> None:
        self._grid: Grid | None = None
        self._origin_s = np.nan  # time of grid point 0 of this stretch
        self._first = 0  # grid point of the first bin kept
        self._bins = Bins.empty()
        self._settled = 0.0  # grid point up to which holes are settled
        self._next_look_s = np.inf
        self._last_load = np.nan

    def feed(
        self, time_s: ArrayLike, load_pct: ArrayLike, gaps: Iterable[Any] = ()
    ) -> list[Hole]:  # fmt: skip
        """Take more samples; return the holes that are settled by them.

        Args:
            time_s: shape (n,), s, not falling; a time before the newest one counts as the newest.
            load_pct: shape (n,), % of rating. Samples that are not finite are left out.
            gaps: stretches known to have no samples, each with ``start_s`` and ``end_s`` or a pair
                of them, given no later than the first sample after them. Longer silences of an
                even source are noticed without.

        Raises:
            InputError: the shapes differ.
        """
        time, load = self._checked(time_s, load_pct)
        for gap in gaps:
            start, end = (gap.start_s, gap.end_s) if hasattr(gap, "start_s") else (gap[0], gap[1])
            self._lost.append((float(start), float(end)))
        self._fed += 1
        holes: list[Hole] = []
        if len(time) == 0:
            return holes
        # A silence longer than a pallet change starts the looking afresh.
        steps = np.diff(time, prepend=self._newest_s if np.isfinite(self._newest_s) else time[0])
        self._newest_s = float(time[-1])
        breaks = np.flatnonzero(steps > _NEW_STRETCH_AFTER_S).tolist()
        for begin, end in zip([0, *breaks], [*breaks, len(time)], strict=True):
            if begin in breaks:
                holes += self._close()
            if end > begin:
                holes += self._take(time[begin:end], load[begin:end])
        return holes

    def finish(self) -> list[Hole]:
        """Settle all that is left; to be called once, after the last sample."""
        holes = self._close()
        self._fed += 1
        return holes

    @property
    def pending(self) -> list[Hole]:
        """Whole holes that are not settled yet; they may still change."""
        return self._look_ahead().holes

    @property
    def current(self) -> Hole | None:
        """The hole in progress, with its figures so far, or None."""
        return self._look_ahead().current

    @property
    def idle_pct(self) -> float:
        """Idle level at the newest sample, % of rating; NaN before the first one."""
        return self._look_ahead().idle_pct

    def _checked(self, time_s: ArrayLike, load_pct: ArrayLike) -> tuple[Floats, Floats]:
        time = np.array(time_s, dtype=np.float64, ndmin=1)
        load = np.array(load_pct, dtype=np.float64, ndmin=1)
        if time.shape != load.shape or time.ndim != 1:
            raise InputError(
                "samples", got=f"{time.shape} times and {load.shape} loads",
                allowed="as many times as loads, each in one row",
            )  # fmt: skip
        good = np.isfinite(time) & np.isfinite(load)
        if not good.all():
            time, load = time[good], load[good]
        if len(time):
            time = np.maximum.accumulate(np.maximum(time, self._newest_s))
        return time, load

    def _take(self, time: Floats, load: Floats) -> list[Hole]:
        if np.isnan(self._origin_s):
            self._origin_s = float(time[0])
            self._next_look_s = self._origin_s + self._first_look_s
        self._waiting.append((time, load))
        holes: list[Hole] = []
        while time[-1] >= self._next_look_s:
            self._bin_until(self._next_look_s)
            holes += self._settle(final=False)
            self._next_look_s += self._next_look_after_s
        return holes

    def _joined(self) -> tuple[Floats, Floats]:
        if len(self._waiting) > 1:
            self._waiting = [
                (np.concatenate([t for t, _ in self._waiting]),
                 np.concatenate([v for _, v in self._waiting]))
            ]  # fmt: skip
        return self._waiting[0] if self._waiting else (np.empty(0), np.empty(0))

    def _choose_grid(self, time: Floats, load: Floats) -> Grid:
        return choose_grid(time, load, None if self._expected is None else self._expected.peck_s)

    def _bin_until(self, limit_s: float) -> None:
        time, load = self._joined()
        cut = int(np.searchsorted(time, limit_s, side="left"))
        grid = self._grid = self._grid or self._choose_grid(time[:cut], load[:cut])
        end = int(grid_index(grid, self._origin_s, np.array([limit_s]))[0])
        # Whole bins only: samples of the bin that the limit falls into wait.
        cut = int(np.searchsorted(grid_index(grid, self._origin_s, time), end, side="left"))
        self._bins = self._bins.joined(self._new_bins(grid, time, load, cut, end))
        if cut:
            self._last_load = float(load[cut - 1]) * (-1.0 if grid.inverted else 1.0)
        self._waiting = [(time[cut:], load[cut:])] if cut < len(time) else []

    def _bins_so_far(self) -> tuple[Grid | None, Bins]:
        """The bins with those of the samples that wait."""
        time, load = self._joined()
        if len(time) == 0:
            return self._grid, self._bins
        grid = self._grid or self._choose_grid(time, load)
        end = int(grid_index(grid, self._origin_s, time[-1:])[0]) + 1
        return grid, self._bins.joined(self._new_bins(grid, time, load, len(time), end))

    def _new_bins(self, grid: Grid, time: Floats, load: Floats, cut: int, end: int) -> Bins:
        start = self._first + len(self._bins)
        if grid.inverted:
            load = -load
        part = load[:cut]
        clean = part
        if grid.filters_spikes and cut:
            before = part[0] if np.isnan(self._last_load) else self._last_load
            after = load[cut] if cut < len(load) else part[-1]
            clean = without_spikes(part, before, after)
        bins = to_bins(grid, start, max(0, end - start), self._origin_s, time[:cut], part, clean)
        for lost_start, lost_end in self._lost:
            a, b = ((s - self._origin_s) / grid.step_s - start for s in (lost_start, lost_end))
            if b > 0 and a < len(bins):
                bins.lost[max(0, round(a)) : max(0, round(b))] = True
        bins.lost &= bins.count == 0
        return bins

    def _settle(self, final: bool) -> list[Hole]:
        grid = self._grid
        if grid is None or len(self._bins) == 0:
            return []
        found = self._analyse(grid, self._bins)
        end = self._first + len(self._bins)
        limit = float(end) if final else self._safe_limit(grid, found, end)
        holes = [hole for hole, start, _ in found.holes if start < limit]
        self._settled = max(self._settled, limit)
        keep_from = int(min(self._settled, end) - self._context_s / grid.step_s)
        if keep_from > self._first:
            self._bins = self._bins.after(keep_from - self._first)
            self._first = keep_from
            kept_s = self._origin_s + keep_from * grid.step_s
            self._lost = [lost for lost in self._lost if lost[1] > kept_s]
        holes = [replace(hole, number=i) for i, hole in enumerate(holes, self._number + 1)]
        self._number += len(holes)
        self._before.extend(holes)
        return holes

    def _safe_limit(self, grid: Grid, found: Found, end: int) -> float:
        """A grid point between two holes, some way before the end, up to which all is settled."""
        latest = end - 0.25 * self._next_look_after_s / grid.step_s
        places = [(start, stop) for _, start, stop in found.holes]
        between = [(a[1] + b[0]) / 2 for a, b in itertools.pairwise(places)]
        between = [middle for middle in between if self._settled < middle <= latest]
        if between:
            return between[-1]
        too_long = (end - self._settled) * grid.step_s > _LONGEST_WINDOW_S
        if not places or places[-1][1] < latest or too_long:
            return max(self._settled, latest)
        # A hole goes on across the latest point: settle up to just before it.
        return max(self._settled, min(places[0][0] - 1, latest))

    def _analyse(self, grid: Grid, bins: Bins) -> Found:
        return analyse(
            grid, bins, self._origin_s, self._first, self._settled, self._before, self._expected
        )

    def _close(self) -> list[Hole]:
        """Settle the stretch and begin a new one with the next sample."""
        self._grid, self._bins = self._bins_so_far()
        holes = self._settle(final=True)
        self._waiting = []
        self._reset()
        return holes

    def _look_ahead(self) -> _Preview:
        if self._preview is not None and self._preview.fed == self._fed:
            return self._preview
        grid, bins = self._bins_so_far()
        preview = _Preview(self._fed, [], None, float("nan"))
        if grid is not None and len(bins):
            found = self._analyse(grid, bins)
            preview.holes = [
                replace(hole, number=i)
                for i, (hole, _, _) in enumerate(found.holes, self._number + 1)
            ]
            if found.open_end:
                preview.current = preview.holes.pop()
            preview.idle_pct = found.idle_pct
        self._preview = preview
        return preview


@dataclass(slots=True)
class _Preview:
    """What the samples so far say beyond what is settled; ``fed`` tells how old it is."""

    fed: int
    holes: list[Hole]
    current: Hole | None
    idle_pct: float


def find_holes(samples: pd.DataFrame, expected: object | None = None) -> pd.DataFrame:
    """Holes in a recorded trace.

    Args:
        samples: columns ``time_s`` (s) and ``load_pct`` (% of rating), one row a sample.
        expected: an `ExpectedHole`, or any mapping or object with ``diameter_mm``, ``depth_mm``
            and the cutting data (beside them or in ``cutting_data``). Cutting time, number of
            pecks and their times are derived from it; None has them read from the trace.

    Returns:
        One row a hole, columns as the fields of `Hole`; ``flags`` joined by ``"; "``.

    Raises:
        InputError: a column is missing or holds no numbers.
    """
    columns = []
    for name in ("time_s", "load_pct"):
        if name not in samples:
            raise InputError(
                f"samples: column {name}", got=", ".join(map(str, samples.columns)) or "no columns",
                allowed="time_s in seconds and load_pct in % of the rating",
            )  # fmt: skip
        try:
            columns.append(samples[name].to_numpy(dtype=np.float64, na_value=np.nan))
        except (TypeError, ValueError) as error:
            raise InputError(
                f"samples: column {name}", got=str(error), allowed="numbers"
            ) from error
    finder = HoleFinder(expected)
    return to_frame(finder.feed(columns[0], columns[1]) + finder.finish())


def to_frame(holes: Sequence[Hole]) -> pd.DataFrame:
    """One row a hole, columns as the fields of `Hole`; ``flags`` joined by ``"; "``."""
    frame = pd.DataFrame(
        [[getattr(hole, name) for name in COLUMNS] for hole in holes], columns=list(COLUMNS)
    )
    frame["flags"] = ["; ".join(hole.flags) for hole in holes]
    numbers = {"number": "int64", "pecks": "int64"}
    floats = {n: "float64" for n in COLUMNS if n not in {*numbers, "flags", "peck_peaks_pct"}}
    return frame.astype(numbers | floats).astype({"flags": "str"})
