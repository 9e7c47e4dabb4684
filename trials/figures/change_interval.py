"""Where the edges of a drill ended, beside the hole at which production changes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from trials.errors import require
from trials.figures.style import DecimalMark, bare_figure, end_mark, palette
from trials.model import End

MOST_EDGES = 12
_PRODUCTION = "in production"


@dataclass(frozen=True, slots=True)
class EdgeEnd:
    """One edge of a trial: number of its run, the hole at which it ended, and how."""

    run: int
    holes: float
    end: End


@dataclass(frozen=True, slots=True)
class ChangeInterval:
    """Edges that were tried, what is expected in production, and when the drill is changed.

    Args:
        edges: the newest ones, in the order of their runs.
        low, middle, high: expected holes to wear with the cutting data handed over.
        change_holes: holes after which production changes the drill.
    """

    edges: tuple[EdgeEnd, ...]
    low: float
    middle: float
    high: float
    change_holes: int

    def __post_init__(self) -> None:
        require(
            0 <= self.low <= self.middle <= self.high,
            "expected holes to wear",
            f"{self.low:g}, {self.middle:g}, {self.high:g}",
            "low, middle and high in order",
        )

    @property
    def earlier(self) -> tuple[EdgeEnd, ...]:
        """Edges that came to their end before the drill would have been changed."""
        return tuple(
            one for one in self.edges if one.end != "stopped" and one.holes < self.change_holes
        )


def change_interval(
    edges: Sequence[EdgeEnd], expected: tuple[float, float, float], change_holes: int
) -> ChangeInterval:
    """Put the newest edges beside what is expected."""
    newest = sorted(edges, key=lambda one: one.run)[-MOST_EDGES:]
    return ChangeInterval(tuple(newest), *expected, change_holes)


def draw_change_interval(
    data: ChangeInterval, dark: bool = False, *, decimal: DecimalMark = "."
) -> go.Figure:
    """A mark for each edge, a bar for what is expected, a line where the drill is changed."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    for end in dict.fromkeys(one.end for one in data.edges):
        look = end_mark(end)
        colour = getattr(colours, look.role)
        figure.add_trace(
            go.Scatter(
                x=[one.holes for one in data.edges if one.end == end],
                y=[f"run {one.run}" for one in data.edges if one.end == end],
                mode="markers", name=look.word,
                marker={"color": colour, "size": 12, "symbol": look.shape,
                        "line": {"width": 2, "color": colour}},
                hovertemplate="%{y}: %{x:.0f} holes<extra></extra>",
            )
        )  # fmt: skip
    figure.add_trace(
        go.Scatter(
            x=[data.middle], y=[_PRODUCTION], mode="markers", name="expected, 90 % range",
            marker={"color": colours.accent, "size": 13, "symbol": "square"},
            error_x={"type": "data", "symmetric": False, "color": colours.accent, "thickness": 4,
                     "width": 9, "array": [data.high - data.middle],
                     "arrayminus": [data.middle - data.low]},
            hovertemplate="%{x:.0f} holes<extra></extra>",
        )
    )  # fmt: skip
    figure.add_vline(x=data.change_holes, line={"color": colours.bad, "width": 3, "dash": "dash"})
    figure.add_annotation(
        x=data.change_holes, yref="paper", y=1.0, yanchor="bottom", showarrow=False,
        text=f"change after {data.change_holes}", font={"color": colours.bad, "size": 14},
    )  # fmt: skip
    order = [*(f"run {one.run}" for one in data.edges), _PRODUCTION]
    figure.update_xaxes(title_text="holes", tickformat="d", rangemode="tozero")
    figure.update_yaxes(
        categoryorder="array", categoryarray=order, range=[len(order) - 0.4, -0.6], showgrid=False,
        ticks="",
    )  # fmt: skip
    figure.update_layout(showlegend=False, margin_t=36)
    return figure
