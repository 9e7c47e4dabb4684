"""Figures of one hole from its stretch of the trace."""

from __future__ import annotations

import itertools
from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter, uniform_filter1d

from trials.holes.cuts import Cut
from trials.holes.expected import ExpectedTimes
from trials.holes.grid import Bins, Grid
from trials.holes.grouping import Group
from trials.holes.hole import Hole
from trials.holes.middle import middle
from trials.holes.samples import Floats

_BESIDE_S = 0.1


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
    begins: bool
    ends: bool


def measure(
    window: Window, group: Group, before_end: float, after_start: float, before: deque[Hole],
    expected: ExpectedTimes | None,
) -> Hole:  # fmt: skip
    """The hole that a group of cuts makes, its number still 0, compared with those before.

    Args:
        before: the holes before it, newest last.
        before_end, after_start: grid points where the cut before ends and the next one begins.
    """
    value, step = window.value, window.grid.step_s
    first, last = group.cuts[0], group.cuts[-1]
    a = min(int(first.start), len(value) - 1)
    b = max(a + 1, min(len(value), int(np.ceil(last.end))))
    idle = _idle(window, first, last, before_end, after_start)
    parts = [_inner(value, cut) for cut in group.cuts]
    load = parts[0] if len(parts) == 1 else np.concatenate(parts)
    edges = _peck_edges(group)
    width = _peak_width(window, first.height, min(e - s for s, e in edges))
    calm = _calm(value[a:b], max(1, round(3 * window.grid.sample_s / step)) | 1)
    smooth = uniform_filter1d(calm, min(width, max(1, b - a)), mode="nearest")
    peaks = tuple(_highest(smooth, int(s) - a, int(e) - a) for s, e in edges)
    fifth, tenth = max(1, len(load) // 5), max(1, len(load) // 10)
    peak = max(peaks)
    raw = window.bins.raw_max[a:b]
    peak_raw = float(np.fmax.reduce(raw))
    order = load.copy()
    order.sort()
    tail = (
        load[-tenth - len(load) // 20 : len(load) - len(load) // 20]
        if len(load) > 20
        else load[-1:]
    )
    flags = list(group.flags)
    if any(cut.missing for cut in group.cuts):
        flags.append("gap")
    flags += _at_limits(window, first, last)
    if group.unsure:
        flags.append("grouping unsure")
    if peak_raw - idle > 1.6 * (peak - idle):
        flags.append("spike")
    cut_s = float(sum(cut.length for cut in group.cuts)) * step
    noise_ratio = min(cut.noise_ratio for cut in group.cuts)
    if window.grid.inverted:
        flags.append("inverted")
    sure = _compare(flags, cut_s, group.pecks, noise_ratio, before, expected)
    heights = [h.peak_pct - h.idle_pct for h in before][-10:]
    usual = middle(heights) if len(heights) >= 3 else 0.0
    return Hole(
        number=0,
        start_s=window.origin_s + first.start * step,
        end_s=window.origin_s + last.end * step,
        cut_s=cut_s,
        pecks=group.pecks,
        peak_pct=peak,
        peak_raw_pct=peak_raw if peak_raw > peak else peak,
        mean_pct=float(load.sum()) / len(load),
        p95_pct=_at_share(order, 0.95),
        entry_pct=float(smooth[:fifth].max()),
        exit_pct=float(tail.sum()) / len(tail),
        area_pct_s=(float(value[a:b].sum()) - idle * (b - a)) * step,
        rise_pct_per_s=_rise(value[a:b] - idle, first.height, step),
        idle_pct=idle,
        peck_peaks_pct=peaks,
        trend_pct=100.0 * ((peak - idle) / usual - 1.0) if usual > 0 else 0.0,
        confidence=round(sure, 3),
        flags=tuple(dict.fromkeys(flags)),
    )


def _at_limits(window: Window, first: Cut, last: Cut) -> list[str]:
    """Whether samples are missing right where the hole begins or ends, or the trace does."""
    near = max(2.0, _BESIDE_S / window.grid.step_s, 1.5 * window.grid.sample_s / window.grid.step_s)
    length = len(window.value)
    a, b = max(0, int(first.start - near)), min(length, int(first.start) + 2)
    c, d = max(0, int(last.end) - 1), min(length, int(last.end + near) + 1)
    flags = []
    if window.missing[a:b].any():
        flags.append("starts in a gap")
    if window.missing[c:d].any():
        flags.append("ends in a gap")
    short = max(2.0, _BESIDE_S / window.grid.step_s)
    if (window.begins and first.start < short) or (window.ends and last.end > length - short):
        flags.append("cut off")
    return flags


def _compare(
    flags: list[str], cut_s: float, pecks: int, noise_ratio: float, before: deque[Hole],
    expected: ExpectedTimes | None,
) -> float:  # fmt: skip
    """Compare a hole with those before it (or the cutting data): add flags, return confidence."""
    sure = 1.0
    usual_cut_s, usual_pecks = cut_s, float(pecks)
    if len(before) >= 3:
        usual_cut_s, usual_pecks = (
            middle([h.cut_s for h in before]),
            middle([h.pecks for h in before]),
        )
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
    return sure


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


def _at_share(order: Floats, share: float) -> float:
    """Quantile of sorted values, straight between two of them."""
    place = share * (len(order) - 1)
    low = int(place)
    high = min(low + 1, len(order) - 1)
    return float(order[low]) + (place - low) * (float(order[high]) - float(order[low]))


def _highest(values: Floats, begin: int, end: int) -> float:
    begin = min(max(0, begin), len(values) - 1)
    return float(values[begin : max(begin + 1, end)].max())


def _inner(value: Floats, cut: Cut) -> Floats:
    a, b = int(cut.start), int(np.ceil(cut.end))
    part = value[a:b]
    return part if len(part) else value[min(a, len(value) - 1) :][:1]


def _peck_edges(group: Group) -> list[tuple[float, float]]:
    edges: list[tuple[float, float]] = []
    for cut in group.cuts:
        marks = [cut.start, *(dip.at for dip in cut.dips), cut.end]
        edges.extend(itertools.pairwise(marks))
    return edges


def _peak_width(window: Window, height: float, shortest: float) -> int:
    """Points to average over for a peak: 0.1 s, more where noise would lift the highest mean."""
    step = window.grid.step_s
    wanted = (window.noise * 2.0 / max(0.015 * height, 1e-12)) ** 2
    wanted *= max(1.0, window.grid.sample_s / step)
    return max(1, round(0.1 / step), int(min(wanted, 0.3 * shortest, 1.0 / step)))


def _idle(
    window: Window, first: Cut, last: Cut, before_end: float, after_start: float
) -> float:  # fmt: skip
    value, step = window.value, window.grid.step_s
    reach, away = 2.0 / step, max(1.0, 0.1 / step)
    a = int(max(before_end + away, first.start - reach, 0))
    b = int(max(first.start - away, 0))
    c = int(min(last.end + 2 * away, len(value)))
    d = int(min(after_start - away, last.end + reach, len(value)))
    parts = [value[s:e][~window.missing[s:e]] for s, e in ((a, b), (c, d)) if e > s]
    both = np.concatenate(parts) if parts else value[:0]
    return middle(both) if len(both) else first.idle


def _rise(above: Floats, height: float, step: float) -> float:
    first = int((above >= 0.5 * height).argmax())
    return 0.5 * height / (max(first, 1) * step)
