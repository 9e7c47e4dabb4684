"""Wear against holes: readings, the curve through them with its interval, and the limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from trials.errors import require
from trials.figures.style import DecimalMark, bare_figure, draw_limit, palette
from trials.life import HolesToWear, WearKind, wear_points
from trials.life.wear_curve import CurveFamily, curve_mm
from trials.model import End, Run
from trials.units import UnitSystem, to_inch

_POINTS = 60
_DRAWS = 300


@dataclass(frozen=True, slots=True)
class WearCurveFigure:
    """Wear of one run.

    Args:
        run: its number; drill: its name; end: how it ended; drilled: holes drilled.
        readings: (hole, largest wear in mm, whether it lies far off the curve), in order.
        holes, middle, low, high: the curve with its 90 % interval, mm; empty with fewer than
            three readings.
        limit_mm: wear limit.
        worn_at, worn_low, worn_high: holes to wear; None as of `trials.life.HolesToWear`.
        kind: how that is known; why: the sentence that goes with it.
    """

    run: int
    drill: str
    end: End | None
    drilled: int
    readings: tuple[tuple[int, float, bool], ...]
    holes: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    limit_mm: float
    worn_at: float | None
    worn_low: float
    worn_high: float | None
    kind: WearKind
    why: str

    def __post_init__(self) -> None:
        require(len(self.holes) == len(self.middle) == len(self.low) == len(self.high),
                "wear curve", f"{len(self.holes)} holes and {len(self.middle)} values",
                "as many values as holes")  # fmt: skip
        require(all(math.isfinite(wear) for _, wear, _ in self.readings), "wear readings",
                "a value that is not finite", "finite values")  # fmt: skip


def wear_curve(run: Run, limit_mm: float, life: HolesToWear) -> WearCurveFigure:
    """Fit the readings and draw curves that agree with them, up to the last reading."""
    points = wear_points(run.wear)
    family = CurveFamily.of(points)
    holes = middle = low = high = np.empty(0)
    odd = [False] * len(points)
    if family is not None:
        holes = np.linspace(0.0, points[-1].hole, _POINTS)
        drawn = curve_mm(
            family.resampled(_DRAWS, np.random.default_rng(0))[:, None, :], holes[:, None]
        )
        middle = curve_mm(family.fitted, holes[:, None])[:, 0]
        low = np.minimum(np.quantile(drawn, 0.05, axis=1), middle)
        high = np.maximum(np.quantile(drawn, 0.95, axis=1), middle)
        odd = [bool(weight < 0.5) for weight in family.robust]
    return WearCurveFigure(
        run.number, run.drill, run.end, run.holes,
        tuple(
            (round(point.hole), point.wear_mm, off) for point, off in zip(points, odd, strict=True)
        ),
        tuple(holes.tolist()), tuple(middle.tolist()), tuple(low.tolist()), tuple(high.tolist()),
        limit_mm, life.holes, life.low, life.high, life.kind, life.why,
    )  # fmt: skip


def draw_wear_curve(
    data: WearCurveFigure, dark: bool = False, *, decimal: DecimalMark = ".",
    system: UnitSystem = "metric",
) -> go.Figure:  # fmt: skip
    """Draw it; lengths in the reader's units."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    per_mm, unit = to_inch(1.0, "mm") if system == "inch" else (1.0, "mm")
    digits = 4 if system == "inch" else 3
    if data.holes:
        figure.add_trace(
            go.Scatter(
                x=[*data.holes, *reversed(data.holes)],
                y=[per_mm * wear for wear in (*data.high, *reversed(data.low))],
                fill="toself", fillcolor=colours.band, line={"width": 0}, hoverinfo="skip",
                name="90 % interval of the curve",
            )
        )  # fmt: skip
        figure.add_trace(
            go.Scatter(
                x=list(data.holes), y=[per_mm * wear for wear in data.middle], mode="lines",
                line={"color": colours.accent, "width": 2}, hoverinfo="skip", name="curve",
            )
        )  # fmt: skip
    for off, name, shape in ((False, "reading", "circle"), (True, "reading far off", "x")):
        shown = [(hole, wear) for hole, wear, far in data.readings if far is off]
        if shown:
            figure.add_trace(
                go.Scatter(
                    x=[hole for hole, _ in shown], y=[per_mm * wear for _, wear in shown],
                    mode="markers", name=name,
                    marker={"color": colours.warn if off else colours.ink, "size": 9,
                            "symbol": shape},
                    hovertemplate=f"hole %{{x}}: %{{y:.{digits}f}} {unit}<extra></extra>",
                )
            )  # fmt: skip
    limit = per_mm * data.limit_mm
    draw_limit(figure, limit, f"limit {limit:.{digits}f} {unit}", dark)
    if data.worn_at is not None:
        high = data.worn_at if data.worn_high is None else data.worn_high
        figure.add_trace(
            go.Scatter(
                x=[data.worn_at], y=[limit], mode="markers", name=f"holes to wear, {data.kind}",
                marker={"color": colours.bad, "size": 13, "symbol": "diamond-open",
                        "line": {"width": 2.5}},
                error_x={"type": "data", "symmetric": False, "array": [high - data.worn_at],
                         "arrayminus": [data.worn_at - data.worn_low], "color": colours.bad,
                         "thickness": 2.5, "width": 7},
                hovertemplate="%{x:.0f} holes<extra></extra>",
            )
        )  # fmt: skip
    top = max([data.limit_mm, *data.high, *(wear for _, wear, _ in data.readings)])
    figure.update_xaxes(title_text="hole", tickformat="d", showgrid=False, rangemode="tozero")
    figure.update_yaxes(title_text=f"largest wear, {unit}", range=[0, 1.12 * per_mm * top])
    return figure
