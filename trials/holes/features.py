"""Figures of the holes from their stretches of the trace, all holes of a window at once."""

from __future__ import annotations

import itertools
from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter, uniform_filter1d

from trials.holes.confidence import Usual, compare
from trials.holes.cuts import Cut
from trials.holes.expected import ExpectedTimes
from trials.holes.grid import Bins, Grid
from trials.holes.grouping import Group
from trials.holes.hole import Hole
from trials.holes.rows import Ints, blocks, middles_of_sorted, reduced
from trials.holes.samples import Floats

_BESIDE_S = 0.1
_IDLE_S = 2.0  # how far on either side the idle level is read
_ENTRY_S = 0.1
_PEAK_SCATTER = 0.025  # of the height: so little a peak should scatter
_SURELY = 1.5
_SHORT_MEDIAN = 0.6  # scatter of a running median of three over the noise, see `Levels`


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of trace that is looked at; ``origin_s`` is the time of its first grid point.

    ``begins``, ``ends``: the trace itself begins or ends where the window does.
    """

    grid: Grid
    origin_s: float
    bins: Bins
    value: Floats
    missing: NDArray[np.bool_]
    noise: float
    seen_noise: float
    begins: bool
    ends: bool


def measure(
    window: Window, groups: list[Group], settled: float, before: deque[Hole],
    expected: ExpectedTimes | None, number: int, least_above: float,
) -> list[tuple[Hole, Group]]:  # fmt: skip
    """The holes that groups of cuts make.

    Args:
        settled: grid point up to which the trace belongs to holes that are known.
        before: the holes before, newest last.
        number: of the last hole before.
        least_above: what peaks no higher above idle is no hole.
    """
    if not groups:
        return []
    value, step = window.value, window.grid.step_s
    cuts = [cut for group in groups for cut in group.cuts]
    sizes = np.array([len(group.cuts) for group in groups])
    first = np.cumsum(sizes) - sizes
    last = first + sizes - 1
    start, end = np.array([cut.start for cut in cuts]), np.array([cut.end for cut in cuts])
    a, b = _whole(start, end, len(value))
    load, begins, ends = _joined(value, a, b, first, last)
    count = ends - begins
    idle = _idle(window, start[first], end[last], settled, [cuts[i].idle for i in first])
    peaks, raw = _peaks(window, groups), reduced(np.fmax, window.bins.raw_max, a[first], b[last])
    p95 = np.empty(len(groups))
    for which, rows, own in blocks(load, begins, ends):
        rows.sort(axis=1)
        p95[which] = _at_share(rows, own, 0.95)
    tenth, rest = np.maximum(1, count // 10), count // 20
    short = count <= 20
    tail = np.where(short, ends - 1, ends - tenth - rest), np.where(short, ends, ends - rest)
    mean = reduced(np.add, load, begins, ends) / count
    leaves = reduced(np.add, load, *tail) / (tail[1] - tail[0])
    area = (reduced(np.add, value, a[first], b[last]) - idle * (b[last] - a[first])) * step
    entry = _entry(window, a[first], np.maximum(1, count // 5))
    rise = _rise(value, a[first], b[first], idle, np.array([cuts[i].height for i in first]), step)
    edges = _at_limits(window, start[first], end[last])
    length = np.add.reduceat(end - start, first) * step
    delay_s = 0.0 if expected is None else expected.filter_delay_s
    usual = Usual(before)
    found: list[tuple[Hole, Group]] = []
    for i, group in enumerate(groups):
        peak = max(peaks[i])
        if peak - idle[i] <= least_above:
            continue
        flags = list(group.flags)
        if any(cut.missing for cut in group.cuts):
            flags.append("gap")
        flags += edges[i]
        if group.unsure:
            flags.append("grouping unsure")
        if raw[i] - idle[i] > 1.6 * (peak - idle[i]):
            flags.append("spike")
        if window.grid.inverted:
            flags.append("inverted")
        noise_ratio = min(cut.noise_ratio for cut in group.cuts)
        sure = compare(flags, float(length[i]), group.pecks, noise_ratio, usual, expected)
        height = usual.height
        number += 1
        hole = Hole(
            number=number,
            start_s=window.origin_s + group.cuts[0].start * step - delay_s,
            end_s=window.origin_s + group.cuts[-1].end * step - delay_s,
            cut_s=float(length[i]),
            pecks=group.pecks,
            peak_pct=peak,
            peak_raw_pct=max(float(raw[i]), peak),
            mean_pct=float(mean[i]),
            p95_pct=float(p95[i]),
            entry_pct=float(entry[i]),
            exit_pct=float(leaves[i]),
            area_pct_s=float(area[i]),
            rise_pct_per_s=float(rise[i]),
            idle_pct=float(idle[i]),
            peck_peaks_pct=peaks[i],
            trend_pct=100.0 * ((peak - float(idle[i])) / height - 1.0) if height > 0 else 0.0,
            confidence=sure,
            flags=tuple(dict.fromkeys(flags)),
        )
        usual.add(hole)
        found.append((hole, group))
    return found


def _whole(start: Floats, end: Floats, length: int) -> tuple[Ints, Ints]:
    """First and one-past-last grid point of each cut; none belongs to two."""
    a = np.minimum(start.astype(np.int64), length - 1)
    b = np.maximum(a + 1, np.minimum(np.ceil(end).astype(np.int64), length))
    a[1:] = np.minimum(np.maximum(a[1:], b[:-1]), b[1:] - 1)
    return a, b


def _joined(
    value: Floats, a: Ints, b: Ints, first: Ints, last: Ints
) -> tuple[Floats, Ints, Ints]:  # fmt: skip
    """The load while cutting, all cuts one behind the other; where each hole begins and ends."""
    length = b - a
    stop = np.cumsum(length)
    at = np.arange(int(stop[-1])) + np.repeat(a - (stop - length), length)
    return value[at], (stop - length)[first], stop[last]


def _idle(
    window: Window, start: Floats, end: Floats, settled: float, otherwise: list[float]
) -> Floats:
    """Median of what lies beside each hole and is no cut."""
    value, step = window.value, window.grid.step_s
    reach, away = _IDLE_S / step, max(1.0, 0.1 / step)
    before = np.concatenate([[max(0.0, settled)], end[:-1]]) + away
    after = np.concatenate([start[1:], [float(len(value))]]) - away
    a = np.maximum(np.maximum(before, start - reach), 0.0).astype(np.int64)
    b = np.maximum(start - away, 0.0).astype(np.int64)
    c = np.minimum(end + 2 * away, len(value)).astype(np.int64)
    d = np.maximum(np.minimum(np.minimum(after, end + reach), len(value)), 0.0).astype(np.int64)
    sampled = np.where(window.missing, np.inf, value)
    one, two = np.maximum(b - a, 0), np.maximum(d - c, 0)
    columns = np.arange(int((one + two).max(initial=1)))
    at = np.where(columns < one[:, None], a[:, None] + columns, (c - one)[:, None] + columns)
    rows = np.take(sampled, at, mode="clip")
    rows[columns >= (one + two)[:, None]] = np.inf
    rows.sort(axis=1)
    number = np.isfinite(rows).sum(axis=1)
    found = middles_of_sorted(rows, np.zeros_like(number), np.maximum(number, 1))
    return np.where(number > 0, found, otherwise)


def _peaks(window: Window, groups: list[Group]) -> list[tuple[float, ...]]:
    """Peak of each peck of each hole.

    The highest mean over as few samples as the noise allows. The highest of many means is above
    the load by what noise adds; so much is taken off. Fewer samples count where their mean is
    higher by more than noise explains: a load that shoots up for a moment.
    """
    grid = window.grid
    per_sample = max(1.0, grid.sample_s / grid.step_s)
    pecks = [list(itertools.pairwise(_marks(group.cuts))) for group in groups]
    limits = np.array([mark for each in pecks for mark in each])
    height = np.repeat([group.cuts[0].height for group in groups], [len(each) for each in pecks])
    begins, ends = _whole(limits[:, 0], limits[:, 1], len(window.value))
    length = ends - begins
    calm = _calm(window.value, max(1, round(3 * grid.sample_s / grid.step_s)) | 1)
    widths = [1]
    while 2 * max(widths[-1], round(per_sample)) <= 0.5 * length.max():
        widths.append(2 * max(widths[-1], round(per_sample)))
    best = np.full(len(begins), -np.inf)
    for width in reversed(widths):
        fits = np.flatnonzero((length >= 2 * width) | (width == 1))
        mean = calm if width == 1 else uniform_filter1d(calm, width, mode="nearest")
        left = begins[fits] + width // 2
        highest = reduced(np.maximum, mean, left, left + length[fits] - width + 1)
        scatter = window.seen_noise * min(_SHORT_MEDIAN, (per_sample / width) ** 0.5)
        added = _added(scatter, length[fits] / max(width, per_sample))
        allowed = _PEAK_SCATTER * height[fits]
        found = highest - added * scatter / (scatter + allowed)
        narrow = (scatter <= allowed) | ~np.isfinite(best[fits])
        shoots_up = np.maximum(highest - added - _SURELY * scatter, best[fits])
        best[fits] = np.where(narrow, found, shoots_up)
    share = grid.sample_s / grid.step_s
    if grid.filters_spikes and share < 0.75:  # single samples of a bin: higher than its mean
        top = np.where(np.isnan(window.bins.top), calm, window.bins.top)
        highest = reduced(np.maximum, top, begins, ends)
        scatter = _SHORT_MEDIAN * window.seen_noise / share**0.5
        best = np.maximum(best, highest - _added(scatter, length / share) - _SURELY * scatter)
    heights = iter(best.tolist())
    return [tuple(next(heights) for _ in each) for each in pecks]


def _added(scatter: float, number: Floats) -> Floats:
    """By how much the highest of so many neighbouring means is above the load, about.

    Not all of them count: the load grows with depth, and few of the means are near its top.
    """
    return 0.8 * scatter * np.log(np.maximum(2.0 * number - 1.0, 1.0) ** 0.7) ** 0.75


def _marks(cuts: list[Cut]) -> list[float]:
    """Beginnings of pecks, and the end of the last; a gap between two goes to the first."""
    if len(cuts) == 1 and not cuts[0].dips:
        return [cuts[0].start, cuts[0].end]
    return [
        *(place for cut in cuts for place in (cut.start, *(dip.at for dip in cut.dips))),
        cuts[-1].end,
    ]


def _entry(window: Window, begins: Ints, fifth: Ints) -> Floats:
    width = max(1, round(_ENTRY_S / window.grid.step_s))
    smooth = uniform_filter1d(window.value, width, mode="nearest")
    ends = np.minimum(begins + fifth, len(smooth))
    return reduced(np.maximum, smooth, np.minimum(begins, ends - 1), ends)


def _rise(value: Floats, a: Ints, b: Ints, idle: Floats, height: Floats, step: float) -> Floats:
    out = np.empty(len(a))
    for which, rows, _ in blocks(value, a, b, -np.inf):
        half = (idle + 0.5 * height)[which]
        out[which] = np.maximum((rows >= half[:, None]).argmax(axis=1), 1)
    return 0.5 * height / (out * step)


def _at_limits(window: Window, start: Floats, end: Floats) -> list[list[str]]:
    """Whether samples are missing right where each hole begins or ends, or the trace does."""
    grid, length = window.grid, len(window.value)
    near = max(2.0, _BESIDE_S / grid.step_s, 1.5 * grid.sample_s / grid.step_s)
    lost = np.concatenate([[0], np.cumsum(window.missing)])
    first, last = start.astype(np.int64), end.astype(np.int64)
    flags: list[list[str]] = [[] for _ in start]
    for words, a, b in (
        ("starts in a gap", (start - near).astype(np.int64), first + 2),
        ("ends in a gap", last - 1, (end + near).astype(np.int64) + 1),
    ):
        a, b = np.clip(a, 0, length), np.clip(b, 0, length)
        for i in np.flatnonzero(lost[b] > lost[a]).tolist():
            flags[i].append(words)
    short = max(2.0, _BESIDE_S / grid.step_s)
    if window.begins and start[0] < short:
        flags[0].append("cut off")
    if window.ends and end[-1] > length - short and "cut off" not in flags[-1]:
        flags[-1].append("cut off")
    return flags


def _calm(load: Floats, three: int) -> Floats:
    """Running median over three samples."""
    if three == 1 or len(load) < 3:
        return load
    if three > 3:
        return np.asarray(median_filter(load, three, mode="nearest"))
    left, right = load[:-2], load[2:]
    calm = load.copy()
    np.maximum(load[1:-1], np.minimum(left, right), out=calm[1:-1])
    np.minimum(calm[1:-1], np.maximum(left, right), out=calm[1:-1])
    return calm


def _at_share(order: Floats, count: Ints, share: float) -> Floats:
    """Quantile of sorted rows, straight between two of their values."""
    place = share * (count - 1)
    low = place.astype(np.int64)
    number = np.arange(len(order))
    below = order[number, low]
    above = order[number, np.minimum(low + 1, count - 1)]
    return np.asarray(below + (place - low) * (above - below))
