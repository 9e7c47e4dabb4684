"""Drills side by side: cost per hole with its interval, and how sure the difference is."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from trials.economics import Comparison, Difference, DrillCost
from trials.figures.style import DecimalMark, as_text, bare_figure, palette


@dataclass(frozen=True, slots=True)
class ComparisonFigure:
    """Drills that have a cost, the cheapest first.

    Args:
        drills: with a cost; without: those that have none.
        differences: the cheapest against each other, in their order.
        currency: of all money here.
    """

    drills: tuple[DrillCost, ...]
    without: tuple[DrillCost, ...]
    differences: tuple[Difference, ...]
    currency: str


def comparison_figure(found: Comparison) -> ComparisonFigure:
    """Part those with a cost from those without."""
    return ComparisonFigure(
        tuple(one for one in found.drills if one.cost is not None),
        tuple(one for one in found.drills if one.cost is None),
        found.differences,
        found.currency,
    )


def draw_comparison(
    data: ComparisonFigure, dark: bool = False, *, decimal: DecimalMark = "."
) -> go.Figure:
    """A mark and an interval for each drill; ties have open marks."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    looks = {
        "cheapest": ("good", "circle", "cheapest"),
        "alone": ("accent", "circle", "no other to compare with"),
        "tie": ("accent", "circle-open", "cannot be told apart"),
        "dearer": ("muted", "square", "dearer"),
    }
    for verdict, (role, shape, name) in looks.items():
        shown = [one for one in data.drills if one.verdict == verdict]
        if not shown:
            continue
        colour = getattr(colours, role)
        totals = [one.cost.total if one.cost is not None else 0.0 for one in shown]
        figure.add_trace(
            go.Scatter(
                x=totals, y=[as_text(one.drill) for one in shown], mode="markers", name=name,
                marker={"color": colour, "size": 14, "symbol": shape,
                        "line": {"width": 3, "color": colour}},
                error_x={"type": "data", "symmetric": False, "color": colour, "thickness": 3,
                         "width": 9,
                         "array": [(one.high or 0) - t for one, t in zip(shown, totals,
                                                                         strict=True)],
                         "arrayminus": [t - (one.low or 0) for one, t in zip(shown, totals,
                                                                             strict=True)]},
                hovertemplate=f"%{{x:.3f}} {data.currency}<extra></extra>",
            )
        )  # fmt: skip
    figure.update_xaxes(title_text=f"{data.currency} a hole", rangemode="tozero")
    figure.update_yaxes(
        categoryorder="array", categoryarray=[as_text(one.drill) for one in data.drills],
        autorange="reversed", showgrid=False, ticks="",
        range=[len(data.drills) - 0.4, -0.6],
    )  # fmt: skip
    return figure
