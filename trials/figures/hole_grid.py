"""Hole grid of a test plate: where the holes lie, which run they belong to."""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from trials import units
from trials.figures.style import DecimalMark, bare_figure, palette
from trials.mechanics import GridHole, HoleGrid

_MOST_NUMBERS = 150


@dataclass(frozen=True, slots=True)
class GridFigure:
    """One plate as it is drawn.

    Args:
        grid: the whole of it; plate: which plate is drawn.
        holes: on that plate; runs: number of the run of each.
        numbered: whether every hole shows its number, or only the first and last of each row.
    """

    grid: HoleGrid
    plate: int
    holes: tuple[GridHole, ...]
    runs: tuple[int, ...]
    numbered: bool


def grid_figure(grid: HoleGrid, runs: int = 1, *, plate: int = 1) -> GridFigure:
    """Share the holes out over the runs, one run after the other, and take one plate.

    Args:
        grid: positions.
        runs: how many runs share them.
        plate: which plate to draw, from 1.
    """
    a_run = max(1, -(-len(grid.holes) // max(runs, 1)))
    holes = tuple(hole for hole in grid.holes if hole.plate == plate)
    return GridFigure(
        grid, plate, holes, tuple((hole.number - 1) // a_run + 1 for hole in holes),
        len(holes) <= _MOST_NUMBERS,
    )  # fmt: skip


def draw_grid(
    data: GridFigure, dark: bool = False, *, system: units.UnitSystem = "metric",
    decimal: DecimalMark = ".",
) -> go.Figure:  # fmt: skip
    """Draw the plate to scale with its holes, and their numbers where there is room."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    unit = "mm" if system == "metric" else "in"
    scale = 1.0 if system == "metric" else 1 / 25.4
    grid, radius = data.grid, data.grid.diameter_mm / 2 * scale
    shapes = [
        {"type": "rect", "x0": 0, "y0": 0, "x1": grid.length_mm * scale,
         "y1": grid.width_mm * scale, "line": {"color": colours.ink, "width": 2}},
    ]  # fmt: skip
    for x in (grid.clamp_mm * scale, (grid.length_mm - grid.clamp_mm) * scale):
        if grid.clamp_mm > 0:
            shapes.append(
                {"type": "line", "x0": x, "x1": x, "y0": 0, "y1": grid.width_mm * scale,
                 "line": {"color": colours.muted, "width": 1, "dash": "dash"}}
            )  # fmt: skip
    kinds = (colours.accent, colours.good, colours.warn, colours.ink)
    for hole, run in zip(data.holes, data.runs, strict=True):
        x, y = hole.x_mm * scale, hole.y_mm * scale
        shapes.append(
            {"type": "circle", "x0": x - radius, "x1": x + radius, "y0": y - radius,
             "y1": y + radius, "line": {"color": kinds[(run - 1) % len(kinds)], "width": 1.5,
             "dash": "solid" if run % 2 else "dot"}}
        )  # fmt: skip
    texts = [_label(data, number) for number in range(len(data.holes))]
    figure.add_trace(
        go.Scatter(
            x=[hole.x_mm * scale for hole in data.holes],
            y=[hole.y_mm * scale for hole in data.holes],
            mode="text", text=texts, textfont={"size": 10, "color": colours.ink},
            customdata=[[hole.number, run] for hole, run in zip(data.holes, data.runs,
                                                                strict=True)],
            hovertemplate=f"hole %{{customdata[0]}}, run %{{customdata[1]}}<br>x %{{x:.4~f}} {unit}"
            f", y %{{y:.4~f}} {unit}<extra></extra>",
            showlegend=False,
        )
    )  # fmt: skip
    figure.update_layout(shapes=shapes)
    figure.update_xaxes(
        title_text=f"x, {unit}",
        showgrid=False,
        constrain="domain",
        range=[-0.03 * grid.length_mm * scale, 1.03 * grid.length_mm * scale],
    )
    figure.update_yaxes(
        title_text=f"y, {unit}",
        showgrid=False,
        scaleanchor="x",
        scaleratio=1,
        range=[-0.03 * grid.width_mm * scale, 1.03 * grid.width_mm * scale],
    )
    return figure


def _label(data: GridFigure, at: int) -> str:
    hole = data.holes[at]
    ends = hole.column in (1, data.grid.columns) or at in (0, len(data.holes) - 1)
    return str(hole.number) if data.numbered or ends else ""
