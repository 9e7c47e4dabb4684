"""Peak load hole by hole: how a drill wears while a run goes on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from trials.errors import require
from trials.figures.live_trace import min_max_indices
from trials.figures.style import DecimalMark, bare_figure, draw_limit, palette

MOST_HOLES = 600


@dataclass(frozen=True, slots=True)
class RunTrend:
    """Peak of each hole of one run.

    Args:
        numbers: hole numbers, rising.
        peak_pct: peak load of those holes, % of rating.
        limit_pct: load limit, % of rating.
        run: number of the run.
    """

    numbers: tuple[int, ...]
    peak_pct: tuple[float, ...]
    limit_pct: float
    run: int = 1

    def __post_init__(self) -> None:
        require(len(self.numbers) == len(self.peak_pct), "holes of the run's trend",
                f"{len(self.numbers)} numbers and {len(self.peak_pct)} peaks",
                "as many numbers as peaks")  # fmt: skip
        require(all(math.isfinite(peak) for peak in self.peak_pct), "peaks of the run's trend",
                "a value that is not finite", "finite values")  # fmt: skip

    @property
    def top_pct(self) -> float:
        """Top of the load axis, in steps of 20 % so that it rests."""
        highest = max(self.peak_pct, default=0.0)
        return max(20.0 * math.ceil(1.12 * max(self.limit_pct, highest) / 20.0), 40.0)

    @property
    def change_pct(self) -> float | None:
        """Rise of the peak from the first three holes to the last three (medians), points of %.

        None with fewer than six holes, because first and last would be the same holes.
        """
        if len(self.peak_pct) < 6:
            return None
        return float(np.median(self.peak_pct[-3:]) - np.median(self.peak_pct[:3]))


def run_trend(
    numbers: Sequence[int],
    peak_pct: Sequence[float],
    *,
    limit_pct: float,
    run: int = 1,
    most_holes: int = MOST_HOLES,
) -> RunTrend:
    """Thin a long run to ``most_holes`` marks without losing its highest and lowest peaks."""
    peaks = np.asarray(peak_pct, dtype=float)
    require(len(numbers) == peaks.size, "holes of the run's trend",
            f"{len(numbers)} numbers and {peaks.size} peaks",
            "as many numbers as peaks")  # fmt: skip
    kept = min_max_indices(peaks, most_holes)
    return RunTrend(
        tuple(int(numbers[at]) for at in kept),
        tuple(float(peaks[at]) for at in kept),
        limit_pct,
        run,
    )


def draw_run_trend(
    data: RunTrend,
    dark: bool = False,
    *,
    decimal: DecimalMark = ".",
    since_hole: int | None = None,
) -> go.Figure:
    """Draw the peaks with the load limit. The peaks are the figure's first trace.

    ``since_hole`` marks where the run changed its way; None marks nothing.
    """
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    figure.add_trace(
        go.Scatter(
            x=list(data.numbers),
            y=list(data.peak_pct),
            mode="lines+markers",
            line={"color": colours.accent, "width": 1},
            marker={"color": colours.accent, "size": 6},
            name="peak of the hole",
            hovertemplate="hole %{x}: %{y:.0f} %<extra></extra>",
        )
    )
    draw_limit(figure, data.limit_pct, f"limit {data.limit_pct:.0f} %", dark)
    if since_hole is not None:
        figure.add_vline(
            x=since_hole - 0.5,
            line={"color": colours.warn, "width": 2, "dash": "dot"},
            annotation={"text": f"since hole {since_hole}", "font": {"color": colours.warn}},
        )
    figure.update_layout(showlegend=False)
    figure.update_xaxes(title_text="hole", tickformat="d", showgrid=False, rangemode="tozero",
                        nticks=8)  # fmt: skip
    figure.update_yaxes(range=[0, data.top_pct], title_text="peak load, %", nticks=6)
    return figure
