"""Cost per hole by quarter of a year."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from trials.figures.style import DecimalMark, bare_figure, palette


@dataclass(frozen=True, slots=True)
class QuarterMark:
    """One quarter: its name, cost of a hole with range (None where unknown), and edges."""

    name: str
    low: float | None
    cost: float
    high: float | None
    edges: int


@dataclass(frozen=True, slots=True)
class ByQuarter:
    """Quarters in order, with those between them that have no edge; money in ``currency``."""

    quarters: tuple[QuarterMark, ...]
    names: tuple[str, ...]
    currency: str


def by_quarter(quarters: list[tuple[int, int, QuarterMark]], currency: str) -> ByQuarter:
    """Put quarters, each as year, number and mark, into a figure without leaving any out."""
    if not quarters:
        return ByQuarter((), (), currency)
    places = [4 * year + number - 1 for year, number, _ in quarters]
    names = tuple(f"{at // 4} Q{at % 4 + 1}" for at in range(min(places), max(places) + 1))
    return ByQuarter(tuple(mark for *_, mark in quarters), names, currency)


def draw_by_quarter(
    data: ByQuarter, dark: bool = False, *, decimal: DecimalMark = "."
) -> go.Figure:
    """A line with ranges; quarters without an edge leave a gap."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    known = {mark.name: mark for mark in data.quarters}
    marks = [known.get(name) for name in data.names]
    figure.add_trace(
        go.Scatter(
            x=list(data.names), y=[None if mark is None else mark.cost for mark in marks],
            mode="lines+markers", showlegend=False, connectgaps=False,
            line={"color": colours.accent, "width": 2.5}, marker={"size": 10},
            error_y={"type": "data", "symmetric": False, "color": colours.accent, "thickness": 2.5,
                     "width": 7,
                     "array": [0.0 if mark is None or mark.high is None else mark.high - mark.cost
                               for mark in marks],
                     "arrayminus": [0.0 if mark is None or mark.low is None
                                    else mark.cost - mark.low for mark in marks]},
            hovertemplate=f"%{{x}}: %{{y:.3f}} {data.currency}<extra></extra>",
        )
    )  # fmt: skip
    figure.update_xaxes(type="category", categoryorder="array", categoryarray=list(data.names),
                        showgrid=False)  # fmt: skip
    figure.update_yaxes(title_text=f"cost per hole, {data.currency} (90 % range)",
                        rangemode="tozero")  # fmt: skip
    return figure
