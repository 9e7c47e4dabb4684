"""Wear against holes: readings, the curve through them with its interval, and the limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from trials.errors import require
from trials.figures.style import DecimalMark, bare_figure, draw_limit, palette
from trials.life import KIND_NAMES, KINDS, HolesToWear, Kind, Limit, WearKind, wear_points
from trials.life.wear_curve import CurveFamily, curve_mm
from trials.model import End, Run, WearLimits
from trials.units import UnitSystem, to_inch

_POINTS = 60
_DRAWS = 300
_SHAPES: dict[Kind, str] = {
    "vb_average_mm": "circle", "vb_maximum_mm": "square", "corner_chipping_mm": "triangle-up",
    "margin_chipping_mm": "diamond",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """One kind of wear in one reading, mm, with the limit that holds for it, mm."""

    hole: int
    kind: Kind
    wear_mm: float
    limit_mm: float


@dataclass(frozen=True, slots=True)
class WearCurveFigure:
    """Wear of one run.

    Args:
        run: its number; drill: its name; end: how it ended; drilled: holes drilled.
        readings: (hole, largest wear in mm, whether it lies far off the curve), in order. With
            ``shares`` it is the wear nearest to its limit, scaled as `trials.life.Limit` says.
        taken: every kind of wear of every reading, as it was read.
        shares: kinds of wear have limits of their own, so wear is drawn as per cent of its limit.
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
    taken: tuple[Reading, ...] = ()
    shares: bool = False

    def __post_init__(self) -> None:
        require(len(self.holes) == len(self.middle) == len(self.low) == len(self.high),
                "wear curve", f"{len(self.holes)} holes and {len(self.middle)} values",
                "as many values as holes")  # fmt: skip
        require(all(math.isfinite(wear) for _, wear, _ in self.readings), "wear readings",
                "a value that is not finite", "finite values")  # fmt: skip


def wear_curve(run: Run, limit_mm: float | WearLimits, life: HolesToWear) -> WearCurveFigure:
    """Fit the readings and draw curves that agree with them, up to the last reading."""
    limit = Limit.of(limit_mm)
    points = wear_points(run.wear, limit_mm=limit_mm)
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
        limit.mm, life.holes, life.low, life.high, life.kind, life.why,
        tuple(
            Reading(reading.hole, kind, float(value), limit.of_kind(kind))
            for reading in run.wear
            for kind in KINDS
            if (value := getattr(reading, kind)) is not None
        ),
        shares=not limit.one,
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
    if data.shares:
        per_mm, unit, digits = 100.0 / data.limit_mm, "% of its limit", 0
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
    for name, shape, colour, shown in _marks(data, colours.ink, colours.warn):
        figure.add_trace(
            go.Scatter(
                x=[hole for hole, _ in shown], y=[per_mm * wear for _, wear in shown],
                mode="markers", name=name,
                marker={"color": colour, "size": 9, "symbol": shape},
                hovertemplate=f"hole %{{x}}: %{{y:.{digits}f}} {unit}<extra></extra>",
            )
        )  # fmt: skip
    limit = per_mm * data.limit_mm
    said = "limit" if data.shares else f"limit {limit:.{digits}f} {unit}".replace(".", decimal)
    draw_limit(figure, limit, said, dark)
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
    named = f"wear, {unit}" if data.shares else f"largest wear, {unit}"
    figure.update_yaxes(title_text=named, range=[0, 1.12 * per_mm * top])
    return figure


def _marks(
    data: WearCurveFigure, ink: str, warn: str
) -> list[tuple[str, str, str, list[tuple[int, float]]]]:
    """Name, shape, colour and (hole, wear) of the marks: by kind where these have own limits."""
    odd = [(hole, wear) for hole, wear, off in data.readings if off]
    if data.shares:
        marks = [
            (KIND_NAMES[kind], _SHAPES[kind], ink,
             [(one.hole, one.wear_mm * data.limit_mm / one.limit_mm) for one in data.taken
              if one.kind == kind])
            for kind in KINDS
        ]  # fmt: skip
    else:
        usual = [(hole, wear) for hole, wear, off in data.readings if not off]
        marks = [("reading", "circle", ink, usual)]
    return [one for one in (*marks, ("reading far off", "x", warn, odd)) if one[3]]
