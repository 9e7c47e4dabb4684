"""Figures of a stretch of the trace that a person says is one hole, and where its pecks are.

The definitions are those of `trials.holes.Hole`. The finder measures its own holes; this serves
holes that a person merged, split or added, where only the samples and the person's word are known.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter, uniform_filter1d

from trials.errors import InputError, require
from trials.holes.hole import Hole

Floats = NDArray[np.float64]
Samples = Callable[[float, float], tuple[Floats, Floats]]  # times and loads from start to end
_MOST_POINTS = 200_000
_CUTS_ABOVE = 0.3  # of the height above idle


def measure_stretch(
    time_s: Floats, load_pct: Floats, start_s: float, end_s: float,
    *, idle_pct: float | None = None, pecks: int | None = None, flag: str = "",
) -> Hole:  # fmt: skip
    """The hole between two times, its number still 0 and its confidence 1: a person said so.

    Args:
        time_s, load_pct: samples of the stretch and some seconds around it, s and % of rating.
        start_s, end_s: where the person says that the hole begins and ends.
        idle_pct: load without cutting; None takes the lowest fifth of the samples given.
        pecks: how many there are; None counts the stretches under load.
        flag: what is noted on the hole.

    Raises:
        InputError: there are no samples in the stretch, or it ends before it starts.
    """
    require(end_s > start_s, "end of the hole", f"{end_s:g} s", f"after its start, {start_s:g} s")
    load, step = _even(time_s, load_pct, start_s, end_s)
    if idle_pct is None or not np.isfinite(idle_pct):
        idle_pct = float(np.quantile(load_pct, 0.2))
    smooth = _smooth(load, step)
    top = float(smooth.max())
    cutting = smooth > idle_pct + _CUTS_ABOVE * (top - idle_pct)
    if not cutting.any() or top <= idle_pct:
        cutting = np.ones(len(load), np.bool_)
    if pecks is None:
        pecks = _runs(cutting)
    at = _dips(smooth, pecks - 1)
    part = load[cutting]
    fifth, tenth = max(1, len(part) // 5), max(1, len(part) // 10)
    raw = load_pct[(time_s >= start_s) & (time_s <= end_s)]
    half = np.flatnonzero(load - idle_pct >= 0.5 * (top - idle_pct))
    return Hole(
        number=0,
        start_s=float(start_s),
        end_s=float(end_s),
        cut_s=float(cutting.sum()) * step,
        pecks=pecks,
        peak_pct=top,
        peak_raw_pct=max(top, float(raw.max())) if len(raw) else top,
        mean_pct=float(part.mean()),
        p95_pct=float(np.quantile(part, 0.95)),
        entry_pct=float(_smooth(part[:fifth], step).max()),
        exit_pct=float(part[-tenth:].mean()),
        area_pct_s=float((load - idle_pct).sum()) * step,
        rise_pct_per_s=0.5 * (top - idle_pct) / (step * max(1, int(half[0]) if len(half) else 1)),
        idle_pct=float(idle_pct),
        peck_peaks_pct=tuple(
            float(smooth[a : max(a + 1, b)].max()) for a, b in pairwise([0, *at, len(smooth)])
        ),
        trend_pct=0.0,
        confidence=1.0,
        flags=(flag,) if flag else (),
    )


def peck_marks(
    time_s: Floats, load_pct: Floats, start_s: float, end_s: float, pecks: int
) -> tuple[float, ...]:
    """Where one peck ends and the next begins: the ``pecks - 1`` deepest dips, s, in order."""
    if pecks < 2:
        return ()
    load, step = _even(time_s, load_pct, start_s, end_s)
    return tuple(start_s + at * step for at in _dips(_smooth(load, step), pecks - 1))


def split_place(time_s: Floats, load_pct: Floats, start_s: float, end_s: float) -> float:
    """Where a hole that is two would be split: the middle of its longest and deepest dip, s."""
    load, step = _even(time_s, load_pct, start_s, end_s)
    smooth = _smooth(load, step)
    fifth = len(smooth) // 5
    inner = smooth[fifth : max(fifth + 1, len(smooth) - fifth)]
    low = inner <= inner.min() + 0.2 * (smooth.max() - inner.min())
    edges = np.flatnonzero(np.diff(np.concatenate([[False], low, [False]]).astype(int)))
    longest = max(zip(edges[::2], edges[1::2], strict=True), key=lambda pair: pair[1] - pair[0])
    return float(start_s + (fifth + (longest[0] + longest[1]) / 2) * step)


def _even(
    time_s: Floats, load_pct: Floats, start_s: float, end_s: float
) -> tuple[Floats, float]:  # fmt: skip
    """Samples at even steps from start to end, each value held until the next comes."""
    inside = (time_s >= start_s) & (time_s <= end_s)
    if not inside.any():
        raise InputError(
            f"stretch from {start_s:g} to {end_s:g} s", got="no samples",
            allowed="a stretch with samples", do="Is it in a gap, or beyond the end of the trace?",
        )  # fmt: skip
    steps = np.diff(time_s[inside])
    steps = steps[steps > 0]
    step = float(np.median(steps)) if len(steps) else (end_s - start_s)
    step = max(min(step, (end_s - start_s) / 4), (end_s - start_s) / _MOST_POINTS)
    points = start_s + (np.arange(max(4, round((end_s - start_s) / step))) + 0.5) * step
    at = np.clip(np.searchsorted(time_s, points, side="right") - 1, 0, len(time_s) - 1)
    return np.asarray(load_pct[at], dtype=np.float64), step


def _smooth(load: Floats, step: float) -> Floats:
    """Single samples left out, then the mean over 0.1 s."""
    calm = median_filter(load, min(3, len(load)) | 1, mode="nearest")
    width = max(1, min(round(0.1 / step), len(load)))
    return np.asarray(uniform_filter1d(calm, width, mode="nearest"), dtype=np.float64)


def _runs(cutting: NDArray[np.bool_]) -> int:
    """Stretches under load that are not tiny beside the longest."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], cutting, [False]]).astype(int)))
    lengths = edges[1::2] - edges[::2]
    return max(1, int((lengths >= 0.1 * lengths.max()).sum()))


def _dips(smooth: Floats, count: int) -> list[int]:
    """Places of the deepest dips, apart by at least 0.4 of an even share."""
    apart = max(1, int(0.4 * len(smooth) / (count + 1)))
    left = smooth.copy()
    left[:apart] = left[len(left) - apart :] = np.inf
    found: list[int] = []
    while len(found) < count and np.isfinite(left).any():
        lowest = float(left.min())
        first = int(np.argmin(left))
        flat = first
        while flat + 1 < len(left) and left[flat + 1] <= lowest + 1e-9:
            flat += 1
        at = (first + flat) // 2
        found.append(at)
        left[max(0, at - apart) : at + apart + 1] = np.inf
    return sorted(found)
