"""Names side by side, each with a middle and a range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from trials.figures.style import DecimalMark, as_text, bare_figure, palette


@dataclass(frozen=True, slots=True)
class NamedRange:
    """One name with its low, middle and high value; ``first`` marks the best one."""

    name: str
    low: float
    middle: float
    high: float
    first: bool = False


@dataclass(frozen=True, slots=True)
class RangesFigure:
    """Names with ranges on one axis.

    Args:
        rows: from top to bottom.
        axis: what is shown, with its unit.
        from_value: where the axis begins: 0, or 1 for factors; None where the values do.
    """

    rows: tuple[NamedRange, ...]
    axis: str
    from_value: float | None = 0.0


def ranges_figure(
    rows: Sequence[tuple[str, tuple[float, float, float]]], axis: str,
    *, from_value: float | None = 0.0, mark_first: bool = False,
) -> RangesFigure:  # fmt: skip
    """Put names with (low, middle, high) into a figure, in their order."""
    return RangesFigure(
        tuple(NamedRange(name, *span, first=mark_first and number == 0)
              for number, (name, span) in enumerate(rows)),
        axis, from_value,
    )  # fmt: skip


def draw_ranges(data: RangesFigure, dark: bool = False, *, decimal: DecimalMark = ".") -> go.Figure:
    """A mark and a bar for each name."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    for first, colour, shape in ((True, colours.good, "circle"), (False, colours.accent, "square")):
        rows = [row for row in data.rows if row.first == first]
        if not rows:
            continue
        figure.add_trace(
            go.Scatter(
                x=[row.middle for row in rows], y=[as_text(row.name) for row in rows],
                mode="markers", showlegend=False,
                marker={"color": colour, "size": 13, "symbol": shape},
                error_x={"type": "data", "symmetric": False, "color": colour, "thickness": 3,
                         "width": 9, "array": [row.high - row.middle for row in rows],
                         "arrayminus": [row.middle - row.low for row in rows]},
                hovertemplate="%{x:.3g}<extra></extra>",
            )
        )  # fmt: skip
    figure.update_xaxes(title_text=data.axis)
    if data.from_value is not None:
        most = max((row.high for row in data.rows), default=1.0)
        least = data.from_value
        figure.update_xaxes(range=[least, least + 1.05 * max(most - least, 1e-9)])
    figure.update_yaxes(
        categoryorder="array", categoryarray=[as_text(row.name) for row in data.rows],
        autorange="reversed", showgrid=False, ticks="", range=[len(data.rows) - 0.4, -0.6],
    )  # fmt: skip
    return figure
