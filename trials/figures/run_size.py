"""Cost of a hole against the size of the run, for each drill, and where the cheapest changes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import plotly.graph_objects as go

from trials.economics import RunSize
from trials.figures.style import DecimalMark, as_text, bare_figure, palette

_DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
_ROLES = ("accent", "good", "warn", "ink", "muted", "bad")


@dataclass(frozen=True, slots=True)
class RunSizeFigure:
    """`trials.economics.RunSize`, cut to the sizes that matter.

    Args:
        found: the whole of it.
        first: index of the smallest size shown, where costs are no more than forty times those of
            a long run.
        last: index after the largest size shown.
    """

    found: RunSize
    first: int
    last: int

    @property
    def sizes(self) -> tuple[int, ...]:
        """Sizes shown."""
        return self.found.sizes[self.first : self.last]

    @property
    def table_sizes(self) -> tuple[int, ...]:
        """A few round sizes for a table, with the run's own."""
        low, high = self.sizes[0], self.sizes[-1]
        nice = [
            step * 10**power for power in range(7) for step in (1, 2, 5)
            if low <= step * 10**power <= high
        ]  # fmt: skip
        own = self.found.holes_to_make
        return tuple(sorted({*nice, *([own] if own is not None and low <= own <= high else [])}))

    def per_hole(self, drill: str, size: int) -> tuple[float, float, float]:
        """Low, middle, high of the nearest size computed."""
        line = next(line for line in self.found.lines if line.drill == drill)
        at = min(range(len(self.found.sizes)), key=lambda i: abs(self.found.sizes[i] - size))
        return line.low[at], line.per_hole[at], line.high[at]


def run_size_figure(found: RunSize) -> RunSizeFigure:
    """Leave out tiny runs, whose cost would squeeze all others together."""
    floor = min(line.long_run for line in found.lines)
    dear = 40.0 * floor
    first = next(
        (
            i
            for i in range(len(found.sizes))
            if min(line.per_hole[i] for line in found.lines) < dear
        ),
        0,
    )
    wanted = [even.holes * 8 for even in found.break_evens]
    wanted += [4 * (found.holes_to_make or 0), 500]
    last = next((i for i, size in enumerate(found.sizes) if size >= max(wanted)), None)
    end = len(found.sizes) if last is None else last + 1
    return RunSizeFigure(found, min(first, end - 2), end)


def draw_run_size(
    data: RunSizeFigure, dark: bool = False, *, decimal: DecimalMark = "."
) -> go.Figure:
    """Draw lines with bands on scales that go up in ratios."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    found, sizes = data.found, list(data.sizes)
    shown = slice(data.first, data.last)
    for number, line in enumerate(found.lines):
        colour = getattr(colours, _ROLES[number % len(_ROLES)])
        figure.add_trace(
            go.Scatter(
                x=[*sizes, *reversed(sizes)], y=[*line.high[shown], *reversed(line.low[shown])],
                fill="toself", fillcolor=_faint(colour), line={"width": 0}, hoverinfo="skip",
                showlegend=False,
            )
        )  # fmt: skip
        figure.add_trace(
            go.Scatter(
                x=sizes, y=list(line.per_hole[shown]), mode="lines", name=as_text(line.drill),
                line={"color": colour, "width": 2.5, "dash": _DASHES[number % len(_DASHES)]},
                hovertemplate=f"%{{x:d}} holes: %{{y:.3f}} {found.currency}<extra></extra>",
            )
        )  # fmt: skip
    marks = [
        (even.holes, f"{even.holes:,} holes", colours.ink, "dot") for even in found.break_evens
    ]
    if found.holes_to_make is not None:
        marks.append((found.holes_to_make, "this run", colours.warn, "solid"))
    for row, (holes, text, colour, dash) in enumerate(marks):
        figure.add_vline(x=holes, line={"color": colour, "width": 2, "dash": dash})
        figure.add_annotation(  # on a scale of ratios its place is the logarithm
            x=math.log10(holes),
            y=1 - 0.09 * row,
            yref="paper",
            text=text,
            showarrow=False,
            xanchor="left",
            yanchor="top",
            xshift=4,
            font={"color": colour},
        )
    figure.update_xaxes(type="log", title_text="holes in the run", dtick="D2" if len(sizes) and
                        math.log10(sizes[-1] / sizes[0]) < 3 else 1, showgrid=False,
                        tickformat="~d")  # fmt: skip
    figure.update_yaxes(type="log", title_text=f"cost per hole, {found.currency}", tickformat="~g",
                        dtick="D2")  # fmt: skip
    return figure


def _faint(colour: str) -> str:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return f"rgba({red},{green},{blue},0.13)"
