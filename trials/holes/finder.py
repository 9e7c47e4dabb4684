"""Samples to holes, live and in bulk, by one algorithm."""

from __future__ import annotations

import itertools
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from trials.errors import InputError
from trials.holes.analysis import Found, analyse
from trials.holes.expected import ExpectedTimes, expected_times
from trials.holes.grid import Bins, Grid, choose_grid, grid_index, to_bins
from trials.holes.hole import COLUMNS, Hole
from trials.holes.samples import Few, Floats, Samples, checked

_INPUTS = ("time_s", "load_pct", "rpm", "depth_mm", "in_cycle")
_CLOCK_S = 1.0
_FIRST_LOOK_S = 300.0
_NEXT_LOOK_S = 600.0
_CONTEXT_S = 120.0
_UNSETTLED_S = 30.0  # what is this near to the newest sample may still change
_LONGEST_WINDOW_S = 1800.0
_NEW_STRETCH_AFTER_S = 900.0


class HoleFinder:
    """Finds holes in samples as they come.

    Samples are collected and looked at in windows whose limits depend only on the samples' own
    times, so that it makes no difference in what portions they are fed. A hole is settled, and
    returned by `feed`, once what follows it has been seen: some 600 s of trace (or five cycles)
    after its end at the latest. Between, `pending` has the holes
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
        self._unsettled_s = max(_UNSETTLED_S, 1.25 * cycle_s)
        self._context_s = max(_CONTEXT_S, 6 * cycle_s)
        self._waiting: list[Samples] = []
        self._few = Few()
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
        self,
        time_s: ArrayLike,
        load_pct: ArrayLike,
        gaps: Iterable[Any] = (),
        *,
        rpm: ArrayLike | None = None,
        depth_mm: ArrayLike | None = None,
        in_cycle: ArrayLike | None = None,
    ) -> list[Hole]:
        """Take more samples; return the holes that are settled by them.

        Args:
            time_s: shape (n,), s, not falling; a time before the newest one counts as the newest.
            load_pct: shape (n,), % of rating. Samples that are not finite are left out.
            gaps: stretches known to have no samples, each with ``start_s`` and ``end_s`` or a pair
                of them, given no later than the first sample after them. Longer silences of an
                even source are noticed without.
            rpm: shape (n,), spindle speed, 1/min, NaN where not known; only its size counts.
            depth_mm: shape (n,), place of the drill along the hole, mm, NaN where not known; any
                origin and direction.
            in_cycle: shape (n,), 1 while the machine works through its program, 0 while it does
                not, NaN where not known: nothing is drilled out of cycle.

        Raises:
            InputError: the shapes differ.
        """
        for gap in gaps:
            start, end = (gap.start_s, gap.end_s) if hasattr(gap, "start_s") else (gap[0], gap[1])
            self._lost.append((float(start), float(end)))
        self._fed += 1
        few = self._few.take(time_s, load_pct, rpm, depth_mm, in_cycle)
        if few and self._few.newest_s < self._next_look_s:
            return []
        holes = self._feed(*self._few.give())
        return holes if few else holes + self._feed(time_s, load_pct, rpm, depth_mm, in_cycle)

    def _feed(
        self, time_s: ArrayLike, load_pct: ArrayLike, rpm: ArrayLike | None,
        depth_mm: ArrayLike | None, in_cycle: ArrayLike | None,
    ) -> list[Hole]:  # fmt: skip
        samples = checked(time_s, load_pct, rpm, depth_mm, in_cycle, self._newest_s)
        time = samples.time_s
        holes: list[Hole] = []
        if len(time) == 0:
            return holes
        if time[-1] - self._newest_s <= _NEW_STRETCH_AFTER_S:
            self._newest_s = float(time[-1])
            return self._take(samples)
        # A silence longer than a pallet change starts the looking afresh.
        steps = np.diff(time, prepend=self._newest_s if np.isfinite(self._newest_s) else time[0])
        self._newest_s = float(time[-1])
        breaks = np.flatnonzero(steps > _NEW_STRETCH_AFTER_S).tolist()
        for begin, end in zip([0, *breaks], [*breaks, len(time)], strict=True):
            if begin in breaks:
                holes += self._close()
            if end > begin:
                holes += self._take(samples.part(begin, end))
        return holes

    def finish(self) -> list[Hole]:
        """Settle all that is left; to be called once, after the last sample."""
        self._fed += 1
        return self._feed(*self._few.give()) + self._close()

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

    def _take(self, samples: Samples) -> list[Hole]:
        if np.isnan(self._origin_s):
            self._origin_s = float(samples.time_s[0])
            self._next_look_s = self._origin_s + self._first_look_s
        self._waiting.append(samples)
        holes: list[Hole] = []
        while samples.time_s[-1] >= self._next_look_s:
            self._bin_until(self._next_look_s)
            holes += self._settle(final=False)
            self._next_look_s += self._next_look_after_s
        return holes

    def _joined(self) -> Samples:
        if len(self._waiting) != 1:
            self._waiting = [Samples.joined(self._waiting)]
        return self._waiting[0]

    def _choose_grid(self, samples: Samples) -> Grid:
        peck_s = None if self._expected is None else self._expected.peck_s
        return choose_grid(samples.time_s, samples.load_pct, peck_s)

    def _bin_until(self, limit_s: float) -> None:
        samples = self._joined()
        time = samples.time_s
        cut = int(np.searchsorted(time, limit_s, side="left"))
        grid = self._grid = self._grid or self._choose_grid(samples.part(0, cut))
        end = int(grid_index(grid, self._origin_s, np.array([limit_s]))[0])
        # Whole bins only: samples of the bin that the limit falls into wait.
        near = max(0, cut - 4096)
        while near and grid_index(grid, self._origin_s, time[near : near + 1])[0] >= end:
            near = max(0, near - 4096)
        places = grid_index(grid, self._origin_s, time[near : cut + 4096])
        cut = near + int(np.searchsorted(places, end, side="left"))
        self._bins = self._bins.joined(self._new_bins(grid, samples, cut, end))
        if cut:
            self._last_load = float(samples.load_pct[cut - 1])
        self._waiting = [samples.part(cut, len(time))] if cut < len(time) else []

    def _bins_so_far(self) -> tuple[Grid | None, Bins]:
        """The bins with those of the samples that wait."""
        samples = self._joined()
        if len(samples) == 0:
            return self._grid, self._bins
        grid = self._grid or self._choose_grid(samples)
        end = int(grid_index(grid, self._origin_s, samples.time_s[-1:])[0]) + 1
        return grid, self._bins.joined(self._new_bins(grid, samples, len(samples), end))

    def _new_bins(self, grid: Grid, samples: Samples, cut: int, end: int) -> Bins:
        start = self._first + len(self._bins)
        bins = to_bins(
            grid, start, max(0, end - start), self._origin_s, samples, cut, self._last_load
        )
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
        found = self._analyse(grid, self._bins, final)
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
        self._number += len(holes)
        self._before.extend(holes)
        return holes

    def _safe_limit(self, grid: Grid, found: Found, end: int) -> float:
        """A grid point between two holes, some way before the end, up to which all is settled."""
        latest = end - self._unsettled_s / grid.step_s
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

    def _analyse(self, grid: Grid, bins: Bins, final: bool) -> Found:
        return analyse(
            grid,
            bins,
            self._origin_s,
            self._first,
            self._settled,
            self._before,
            self._expected,
            final,
            self._number,
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
        self._feed(*self._few.give())
        grid, bins = self._bins_so_far()
        preview = _Preview(self._fed, [], None, float("nan"))
        if grid is not None and len(bins):
            found = self._analyse(grid, bins, final=False)
            preview.holes = [hole for hole, _, _ in found.holes]
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
        samples: columns ``time_s`` (s) and ``load_pct`` (% of rating), one row a sample; with
            ``rpm`` (1/min), ``depth_mm`` and ``in_cycle`` (1 or 0) beside them a spindle that
            starts or stops is told from a cut, and a peck from a hole, by what the machine says
            and not by the load alone.
        expected: an `ExpectedHole`, or any mapping or object with ``diameter_mm``, ``depth_mm``
            and the cutting data (beside them or in ``cutting_data``). Cutting time, number of
            pecks and their times are derived from it; None has them read from the trace. With
            ``filter_delay_s`` beside them, holes are given earlier by the drive filter's delay.

    Returns:
        One row a hole, columns as the fields of `Hole`; ``flags`` joined by ``"; "``.

    Raises:
        InputError: a column is missing or holds no numbers, or times go back by more than a second.
    """
    for name in ("time_s", "load_pct"):
        if name not in samples:
            raise InputError(
                f"samples: column {name}", got=", ".join(map(str, samples.columns)) or "no columns",
                allowed="time_s in seconds and load_pct in % of the rating",
            )  # fmt: skip
    values = {name: _numbers(samples[name]) for name in _INPUTS if name in samples}
    time, load = values.pop("time_s"), values.pop("load_pct")
    _require_order(time)
    finder = HoleFinder(expected)
    return to_frame(finder.feed(time, load, **values) + finder.finish())


def _numbers(column: pd.Series) -> Floats:
    """A column as numbers, NaN where there is none."""
    if pd.api.types.is_datetime64_any_dtype(column) or pd.api.types.is_timedelta64_dtype(column):
        raise InputError(
            f"samples: column {column.name}", got="dates or durations", allowed="numbers",
            do="Turn times to seconds: (times - times.iloc[0]).dt.total_seconds().",
        )  # fmt: skip
    try:
        return column.to_numpy(dtype=np.float64, na_value=np.nan)
    except (TypeError, ValueError) as error:
        raise InputError(
            f"samples: column {column.name}", got=str(error), allowed="numbers"
        ) from error


def _require_order(time: Floats) -> None:
    """Small steps back are a clock's; larger ones would be held to be one long standstill."""
    known = time[np.isfinite(time)]
    newest = np.maximum.accumulate(known)
    back = np.flatnonzero(known < newest - _CLOCK_S)
    if len(back):
        row = int(back[0])
        raise InputError(
            "samples: column time_s", got=f"{known[row]:g} s after {newest[row]:g} s",
            allowed=f"times in order; steps back of up to {_CLOCK_S:g} s count as none",
            do='Sort the samples: samples.sort_values("time_s").',
        )  # fmt: skip


def to_frame(holes: Sequence[Hole]) -> pd.DataFrame:
    """One row a hole, columns as the fields of `Hole`; ``flags`` joined by ``"; "``."""
    return frame_of(
        [
            tuple("; ".join(hole.flags) if name == "flags" else getattr(hole, name)
                  for name in COLUMNS)
            for hole in holes
        ]
    )  # fmt: skip


def frame_of(rows: Sequence[tuple[Any, ...]]) -> pd.DataFrame:
    """The frame of `to_frame` from values in the order of its columns, flags joined already.

    Column by column with its kind: turning a whole frame afterwards takes several times as long.
    """
    columns: Iterable[tuple[Any, ...]] = zip(*rows, strict=True) if rows else [()] * len(COLUMNS)
    made: dict[str, Any] = {}
    for name, values in zip(COLUMNS, columns, strict=True):
        if name == "peck_peaks_pct":
            made[name] = pd.Series([tuple(peaks) for peaks in values], dtype="object")
        elif name == "flags":
            made[name] = pd.Series(values, dtype="str")
        else:
            made[name] = np.array(values, np.int64 if name in ("number", "pecks") else np.float64)
    return pd.DataFrame(made)
