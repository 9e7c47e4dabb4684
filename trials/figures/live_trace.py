"""The newest stretch of a load trace, as it is shown at the machine."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import plotly.graph_objects as go

from trials.errors import require
from trials.figures.style import DecimalMark, bare_figure, draw_limit, palette

MOST_POINTS = 900


@dataclass(frozen=True, slots=True)
class LiveTrace:
    """Load against time before now.

    Args:
        before_s: seconds relative to the newest sample, rising, the last one 0.
        load_pct: load at those times, % of rating; None marks a break in the line (a gap).
        limit_pct: load limit, % of rating.
        window_s: length of the stretch that the figure shows.
    """

    before_s: tuple[float, ...]
    load_pct: tuple[float | None, ...]
    limit_pct: float
    window_s: float

    def __post_init__(self) -> None:
        require(len(self.before_s) == len(self.load_pct), "samples of the live trace",
                f"{len(self.before_s)} times and {len(self.load_pct)} loads",
                "as many times as loads")  # fmt: skip
        require(self.window_s > 0, "window of the live trace", self.window_s, "more than 0 s")

    @property
    def top_pct(self) -> float:
        """Top of the load axis: above the limit and every value, in steps of 20 % so it rests."""
        highest = max((load for load in self.load_pct if load is not None), default=0.0)
        return max(20.0 * math.ceil(1.12 * max(self.limit_pct, highest) / 20.0), 40.0)


def live_trace(
    time_s: npt.ArrayLike,
    load_pct: npt.ArrayLike,
    *,
    limit_pct: float,
    window_s: float = 60.0,
    gaps: Sequence[tuple[float, float]] = (),
    most_points: int = MOST_POINTS,
) -> LiveTrace:
    """Take the newest ``window_s`` seconds, thin them without losing a peak, break at gaps.

    Args:
        time_s: rising times of the samples, s.
        load_pct: as many loads, % of rating, all finite.
        limit_pct: load limit, % of rating.
        window_s: how far back to look, s.
        gaps: start and end of stretches without samples, in the times of ``time_s``.
        most_points: at most so many points are kept (two for each bin).

    Raises:
        InputError: times and loads differ in number, or a value is not finite.
    """
    times = np.asarray(time_s, dtype=float)
    loads = np.asarray(load_pct, dtype=float)
    require(times.shape == loads.shape and times.ndim == 1, "samples of the live trace",
            f"{times.size} times and {loads.size} loads", "as many times as loads")  # fmt: skip
    require(bool(np.isfinite(times).all() and np.isfinite(loads).all()),
            "samples of the live trace", "a value that is not finite", "finite values")  # fmt: skip
    if times.size == 0:
        return LiveTrace((), (), limit_pct, window_s)
    now = float(times[-1])
    first = int(np.searchsorted(times, now - window_s, side="left"))
    times, loads = times[first:], loads[first:]
    kept = min_max_indices(loads, most_points)
    times, loads = times[kept], loads[kept]
    broken: list[tuple[float, float | None]] = list(
        zip(times.tolist(), loads.tolist(), strict=True)
    )
    for start, end in gaps:
        if end > now - window_s and start < now:
            broken.append((min(max((start + end) / 2, start), now), None))
    broken.sort(key=lambda pair: pair[0])
    return LiveTrace(
        tuple(round(at - now, 3) for at, _ in broken),
        tuple(load for _, load in broken),
        limit_pct,
        window_s,
    )


def min_max_indices(values: np.ndarray[Any, Any], most_points: int) -> np.ndarray[Any, Any]:
    """Indices of the lowest and highest value of each of at most ``most_points / 2`` even bins.

    Every peak that the eye could see stays at its own time and height, which averaging or
    picking every n-th value would lose. The first and last value are always kept.
    """
    require(most_points >= 4, "points of a thinned trace", most_points, "4 or more")
    count = len(values)
    if count <= most_points:
        return np.arange(count)
    width = -(-count // ((most_points - 2) // 2))
    bins = -(-count // width)
    # All bins in one go; the last one is filled up with the last value.
    filled = np.concatenate([values, np.full(bins * width - count, values[-1])])
    rows = filled.reshape(bins, width)
    starts = np.arange(bins) * width
    found = np.concatenate(
        [[0, count - 1], starts + rows.argmin(axis=1), starts + rows.argmax(axis=1)]
    )
    return np.unique(np.minimum(found, count - 1))


def draw_live(data: LiveTrace, dark: bool = False, *, decimal: DecimalMark = ".") -> go.Figure:
    """Draw the trace with the load limit. The trace is the figure's first, to be patched live."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    figure.add_trace(
        go.Scatter(
            x=list(data.before_s),
            y=list(data.load_pct),
            mode="lines",
            connectgaps=False,
            line={"color": colours.accent, "width": 2},
            name="load",
            hovertemplate="%{y:.0f} % at %{x:.1f} s<extra></extra>",
        )
    )
    draw_limit(figure, data.limit_pct, f"limit {data.limit_pct:.0f} %", dark)
    figure.update_layout(showlegend=False)
    figure.update_xaxes(range=[-data.window_s, 0], title_text="seconds before newest value",
                        tickformat="d", nticks=7, showgrid=False)  # fmt: skip
    figure.update_yaxes(range=[0, data.top_pct], title_text="load, %", nticks=6)
    return figure
