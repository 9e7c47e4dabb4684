"""Samples at any times laid on an even grid, so that all later steps see one kind of trace."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from trials.holes.samples import Floats, Samples

FINEST_S, COARSEST_S = 0.02, 0.1
_SPIKE_FILTER_FROM_HZ = 30.0


@dataclass(frozen=True, slots=True)
class Grid:
    """The even grid of one stretch of recording, fixed by its first samples.

    Args:
        step_s: distance of grid points, 0.02 to 0.1 s.
        sample_s: usual distance of samples, s.
        events: true when the source sends a value only when it changes, so that a value holds
            until the next one however long that takes.
        inverted: true when the source sends the load with its sign turned round.
    """

    step_s: float
    sample_s: float
    events: bool
    inverted: bool = False

    @property
    def hold_s(self) -> float:
        """How long a value stands for the time after it before samples count as missing."""
        return np.inf if self.events else max(5.0 * self.sample_s, 0.25)

    @property
    def centre(self) -> float:
        """Place of what a grid point shows, in grid points after it.

        The middle of its samples; where a value is held over several grid points, the change
        happened between two samples, on average half-way.
        """
        ratio = self.sample_s / self.step_s
        if ratio <= 1.0 or self.events:
            return 0.5 * (1.0 - min(ratio, 1.0))
        return -0.5 * (ratio - 1.0)

    @property
    def filters_spikes(self) -> bool:
        """Whether sampling is so fast that one sample alone can mean nothing."""
        return not self.events and self.sample_s * _SPIKE_FILTER_FROM_HZ <= 1.0


@dataclass(slots=True)
class Bins:
    """Load on the grid; all arrays have one value a grid point.

    Args:
        value: mean load of the samples in the bin, NaN where there is none.
        top: highest of the samples that are left without spikes, NaN where there is none.
        raw_max: highest sample, NaN where there is none.
        count: number of samples.
        lost: true where the source said that samples are missing.
        rpm, depth_mm, in_cycle: first sample in the bin, NaN where it is not known.
    """

    value: Floats
    top: Floats
    raw_max: Floats
    count: NDArray[np.int64]
    lost: NDArray[np.bool_]
    rpm: Floats
    depth_mm: Floats
    in_cycle: Floats

    @classmethod
    def empty(cls, length: int = 0) -> Bins:
        value, top, raw_max, *beside = (np.full(length, np.nan) for _ in range(6))
        count, lost = np.zeros(length, np.int64), np.zeros(length, np.bool_)
        return cls(value, top, raw_max, count, lost, *beside)

    def __len__(self) -> int:
        return len(self.value)

    def joined(self, other: Bins) -> Bins:
        return Bins(*(np.concatenate([getattr(self, f), getattr(other, f)]) for f in _BINS))

    def after(self, index: int) -> Bins:
        return Bins(*(getattr(self, f)[index:] for f in _BINS))


_BINS = tuple(field.name for field in fields(Bins))


def choose_grid(time_s: Floats, load_pct: Floats, cut_s: float | None) -> Grid:
    """The grid for a stretch, from (at least some of) its first samples.

    ``cut_s`` is the expected cutting time of one peck, None when not known.
    """
    if len(time_s) < 3:
        return Grid(COARSEST_S, 1.0, events=True)
    steps = np.diff(time_s)
    steps = steps[steps > 0]
    if len(steps) == 0:
        return Grid(COARSEST_S, 1.0, events=True)
    low, middle, high = np.quantile(steps, [0.1, 0.5, 0.9])
    changes = np.diff(load_pct)
    unchanged = float(np.mean(changes == 0))
    kinds = len(np.unique(load_pct))
    uneven = high > 3.0 * low
    stepped = kinds <= max(3, len(load_pct) // 3)
    events = unchanged < 0.02 and uneven and (stepped or high > 6.0 * low)
    step_s = float(np.clip(low if events else middle, FINEST_S, COARSEST_S))
    return Grid(step_s, float(middle), bool(events), is_inverted(time_s, load_pct, cut_s))


def is_inverted(time_s: Floats, load_pct: Floats, cut_s: float | None) -> bool:
    """Whether cutting makes the load more negative.

    Looked at only where no load is above nothing. The side that the trace begins on is idle, and
    cuts last as long as the cutting data say or, not knowing them, each as long as the others.
    """
    if len(load_pct) < 8:
        return False
    low, high = np.quantile(load_pct, [0.01, 0.99])
    if high > 0.05 * (high - low):
        return False
    sample_s = max(float(np.median(np.diff(time_s))), 1e-6)
    smooth = uniform_filter1d(load_pct, max(1, round(0.1 / sample_s)), mode="nearest")
    low, high = np.quantile(smooth, [0.05, 0.95])
    upper = smooth > 0.5 * (low + high)
    if not upper[0]:
        return False
    turns = np.flatnonzero(upper[1:] != upper[:-1]) + 1
    lasts = np.log(np.maximum(np.diff(time_s[turns]), sample_s))
    down, up = lasts[::2], lasts[1::2]  # the first turn goes down
    if len(down) < 2 or len(up) < 2:
        return False
    if cut_s is not None:
        fits = [float(np.median(np.abs(part - np.log(cut_s)))) for part in (down, up)]
        return fits[0] < min(0.4, fits[1])
    spread = [float(np.median(np.abs(part - np.median(part)))) for part in (down, up)]
    return len(down) >= 3 and spread[0] < 0.6 * spread[1]


def without_spikes(load_pct: Floats, before: float, after: float) -> Floats:
    """Running median of three: a sample alone above or below both neighbours disappears.

    ``before`` and ``after`` are the neighbours of the first and last sample.
    """
    if len(load_pct) == 1:
        return np.array([sorted((before, float(load_pct[0]), after))[1]])
    calm = np.empty_like(load_pct)
    left, right = load_pct[:-2], load_pct[2:]
    np.maximum(load_pct[1:-1], np.minimum(left, right), out=calm[1:-1])
    np.minimum(calm[1:-1], np.maximum(left, right), out=calm[1:-1])
    calm[0] = sorted((before, float(load_pct[0]), float(load_pct[1])))[1]
    calm[-1] = sorted((float(load_pct[-2]), float(load_pct[-1]), after))[1]
    return calm


def to_bins(
    grid: Grid, first: int, length: int, origin_s: float, samples: Samples, cut: int, before: float
) -> Bins:  # fmt: skip
    """Lay the first ``cut`` samples on grid points ``first`` to ``first + length``.

    ``before`` is the load of the sample before them, NaN when there was none.
    """
    bins = Bins.empty(length)
    if cut == 0:
        return bins
    load = samples.load_pct[:cut]
    after = float(samples.load_pct[min(cut, len(samples) - 1)])
    before = float(load[0]) if np.isnan(before) else before
    if grid.inverted:
        load, before, after = -load, -before, -after
    index = grid_index(grid, origin_s, samples.time_s[:cut])
    index -= first
    np.clip(index, 0, length - 1, out=index)
    starts = np.concatenate([[0], np.flatnonzero(index[1:] != index[:-1]) + 1])
    at: slice | NDArray[np.int64] = slice(None) if len(starts) == length else index[starts]
    number = np.diff(starts, append=cut)
    clean = without_spikes(load, before, after) if grid.filters_spikes else load
    bins.value[at] = _each(np.add, clean, starts, number) / number
    bins.top[at] = _each(np.maximum, clean, starts, number)
    bins.raw_max[at] = (
        bins.top[at] if clean is load else _each(np.maximum, load, starts, number)
    )  # fmt: skip
    bins.count[at] = number
    for name in ("rpm", "depth_mm", "in_cycle"):
        if (said := getattr(samples, name)) is not None:
            getattr(bins, name)[at] = said[starts]
    return bins


def _each(
    ufunc: np.ufunc, load: Floats, starts: NDArray[np.int64], number: NDArray[np.int64]
) -> Floats:
    """``ufunc`` over the samples of each bin: quick where all but the outermost have as many."""
    size = int(number[len(number) // 2])
    if len(number) < 8 or size > 64 or not bool((number[1:-1] == size).all()):
        return np.asarray(ufunc.reduceat(load, starts))
    begin, end = int(starts[1]), int(starts[-1])
    inner = load[begin:end].reshape(-1, size)
    found = inner[:, 0].copy()
    for column in range(1, size):
        ufunc(found, inner[:, column], out=found)
    outer = ufunc.reduce(load[:begin]), ufunc.reduce(load[end:])
    return np.concatenate([outer[:1], found, outer[1:]])


def grid_index(grid: Grid, origin_s: float, time_s: Floats) -> NDArray[np.int64]:
    """Grid point of each time. Edges lie half a sample off, so that rounding cannot move one."""
    shift = 0.5 * min(grid.sample_s / grid.step_s, 1.0)
    place = time_s - origin_s
    place /= grid.step_s
    place += shift
    return place.astype(np.int64)  # never negative: the origin is the first sample


def hold(grid: Grid, bins: Bins, calm: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Values on every grid point, and where they are made up because samples are missing.

    ``calm`` is the bins' value by `calm_value`.
    A value holds until the next one. Where that is longer than a sample can stand for, the
    stretch is marked: its first half holds the value before, its second half the value after.
    """
    length = len(bins)
    seen = np.flatnonzero(bins.count > 0)
    if len(seen) == 0:
        return np.zeros(length), np.ones(length, np.bool_)
    if len(seen) == length:
        return calm, bins.lost
    points = np.arange(length)
    before = np.cumsum(bins.count > 0) - 1
    last = seen[np.maximum(before, 0)]
    following = seen[np.minimum(before + 1, len(seen) - 1)]
    value = calm[last]
    age = (points - last) * grid.step_s
    stretch = (following - last) * grid.step_s
    missing = (age > 0) & ((stretch > grid.hold_s) | (before == len(seen) - 1)) & (
        age > grid.hold_s / 2 if np.isfinite(grid.hold_s) else False
    )  # fmt: skip
    missing |= (before < 0) | bins.lost
    later_half = missing & (points - last > following - points) & (following > points)
    value = np.where(later_half | (before < 0), calm[following], value)
    return value, missing


def calm_value(grid: Grid, bins: Bins) -> Floats:
    """Bin values without samples that alone stand far above all others.

    For sampling too slow for `without_spikes`: a sample is left out when it is above both of its
    neighbours by more than nearly the whole range of the load. A value that an event source held
    for longer than usual is no spike.
    """
    seen = np.flatnonzero(bins.count > 0)
    if grid.filters_spikes or len(seen) < 8:
        return bins.value
    load = bins.value[seen]
    around = np.maximum(load[:-2], load[2:])
    low, high = np.quantile(np.minimum(load[1:-1], around), [0.05, 0.98])
    lone = load[1:-1] - around > max(1.0 * (high - low), 1e-9)
    if grid.events:
        held = (seen[2:] - seen[1:-1]) * grid.step_s
        lone &= held <= 1.2 * grid.sample_s
    value = bins.value.copy()
    value[seen[1:-1][lone]] = around[lone]
    return value
