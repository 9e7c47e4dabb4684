"""Figures of one hole from its stretch of the trace."""

from __future__ import annotations

import itertools
from collections import deque
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter, uniform_filter1d

from trials.holes.cuts import Cut
from trials.holes.expected import ExpectedTimes
from trials.holes.grid import Bins, Floats, Grid
from trials.holes.grouping import Group
from trials.holes.hole import Hole
from trials.holes.middle import middle


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of trace that is looked at; ``origin_s`` is the time of its first grid point."""

    grid: Grid
    origin_s: float
    bins: Bins
    value: Floats
    missing: NDArray[np.bool_]
    noise: float


def measure(window: Window, group: Group, before_end: float, after_start: float) -> Hole:
    """The hole that a group of cuts makes, its number still 0.

    Args:
        before_end, after_start: grid points where the cut before ends and the next one begins.
    """
    value, step = window.value, window.grid.step_s
    first, last = group.cuts[0], group.cuts[-1]
    a = min(int(first.start), len(value) - 1)
    b = max(a + 1, min(len(value), int(np.ceil(last.end))))
    idle = _idle(window, first, last, before_end, after_start)
    load = np.concatenate([_inner(value, cut) for cut in group.cuts])
    edges = _peck_edges(group)
    width = _peak_width(window, first.height, min(e - s for s, e in edges))
    three = max(1, round(3 * window.grid.sample_s / step)) | 1
    calm = median_filter(value[a:b], three, mode="nearest") if three > 1 else value[a:b]
    smooth = uniform_filter1d(calm, min(width, max(1, b - a)), mode="nearest")
    peaks = tuple(_highest(smooth, int(s) - a, int(e) - a) for s, e in edges)
    fifth, tenth = max(1, len(load) // 5), max(1, len(load) // 10)
    peak = max(peaks)
    raw = window.bins.raw_max[a:b]
    peak_raw = float(np.nanmax(raw)) if np.isfinite(raw).any() else peak
    tail = (
        load[-tenth - len(load) // 20 : len(load) - len(load) // 20]
        if len(load) > 20
        else load[-1:]
    )
    flags = list(group.flags)
    if any(cut.missing for cut in group.cuts):
        flags.append("gap")
    if peak_raw - idle > 1.6 * (peak - idle):
        flags.append("spike")
    return Hole(
        number=0,
        start_s=window.origin_s + first.start * step,
        end_s=window.origin_s + last.end * step,
        cut_s=float(sum(cut.length for cut in group.cuts)) * step,
        pecks=group.pecks,
        peak_pct=peak,
        peak_raw_pct=max(peak_raw, peak),
        mean_pct=float(load.mean()),
        p95_pct=float(np.quantile(load, 0.95)),
        entry_pct=float(uniform_filter1d(load[:fifth], min(width, fifth), mode="nearest").max()),
        exit_pct=float(tail.mean()),
        area_pct_s=float((value[a:b] - idle).sum()) * step,
        rise_pct_per_s=_rise(value[a:b] - idle, first.height, step),
        idle_pct=idle,
        peck_peaks_pct=peaks,
        trend_pct=0.0,
        confidence=1.0,
        flags=tuple(flags),
    )


def judge(
    hole: Hole, before: deque[Hole], expected: ExpectedTimes | None, noise_ratio: float
) -> Hole:
    """Compare a hole with those before it (or the cutting data): trend, flags, confidence."""
    flags, sure = list(hole.flags), 1.0
    heights = [h.peak_pct - h.idle_pct for h in before]
    trend = 0.0
    if len(heights) >= 3:
        usual = middle(heights[-10:])
        trend = 100.0 * ((hole.peak_pct - hole.idle_pct) / usual - 1.0) if usual > 0 else 0.0
    cut_s = [h.cut_s for h in before]
    usual_cut_s = middle(cut_s) if len(cut_s) >= 3 else (
        expected.cut_s if expected else hole.cut_s
    )  # fmt: skip
    if hole.cut_s < 0.75 * usual_cut_s:
        flags.append("short")
        sure *= max(0.2, hole.cut_s / usual_cut_s)
    elif hole.cut_s > 1.4 * usual_cut_s:
        flags.append("long")
        sure *= max(0.2, usual_cut_s / hole.cut_s)
    usual_pecks = middle([h.pecks for h in before]) if len(before) >= 3 else (
        expected.pecks if expected else hole.pecks
    )  # fmt: skip
    if hole.pecks != usual_pecks:
        flags.append("pecks differ")
        sure *= 0.8
    if noise_ratio < 8.0:
        flags.append("faint")
        sure *= max(0.3, noise_ratio / 8.0)
    if "gap" in flags:
        sure *= 0.7
    if "grouping unsure" in flags:
        sure *= 0.6
    return replace(
        hole, trend_pct=trend, confidence=round(sure, 3), flags=tuple(dict.fromkeys(flags))
    )


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
    parts = [part for part in parts if len(part)]
    if not parts:
        return first.idle
    return middle(np.concatenate(parts))


def _rise(above: Floats, height: float, step: float) -> float:
    reached = np.flatnonzero(above >= 0.5 * height)
    first = int(reached[0]) if len(reached) else 0
    return 0.5 * height / (max(first, 1) * step)
