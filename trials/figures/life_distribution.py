"""How long edges last: share still cutting against holes, with stopped edges marked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import plotly.graph_objects as go

from trials.figures.style import DecimalMark, as_text, bare_figure, end_mark, palette
from trials.life import Life, ModelChoice, SurvivalStep, share_lasting
from trials.model import End

_POINTS = 50


@dataclass(frozen=True, slots=True)
class LifeMark:
    """One edge: where it ended or was stopped, how, and the share still cutting there."""

    holes: float
    end: End
    share: float


@dataclass(frozen=True, slots=True)
class LifeDistribution:
    """Lives of one drill at one cutting data.

    Args:
        drill: its name.
        steps: (hole, share still cutting from there on, low, high), from (0, 1, 1, 1) on.
        marks: every edge; stopped ones are censored.
        holes, share, low, high: the fitted model with its 90 % interval; empty without a fit.
        model: its name, or empty; verdict: why there is none, or what the models say.
        half, half_low, half_high: holes by which half of the edges have ended; None without a fit.
    """

    drill: str
    steps: tuple[tuple[float, float, float, float], ...]
    marks: tuple[LifeMark, ...]
    holes: tuple[float, ...]
    share: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    model: str
    verdict: str
    half: float | None
    half_low: float | None
    half_high: float | None

    @property
    def ended(self) -> int:
        """Edges that came to their end."""
        return sum(mark.end != "stopped" for mark in self.marks)


def life_distribution(
    drill: str, lives: Sequence[Life], choice: ModelChoice | None, survival: Sequence[SurvivalStep]
) -> LifeDistribution:
    """Put steps, marks and the better model together."""
    steps = [(0.0, 1.0, 1.0, 1.0)] + [(s.holes, s.share, s.low, s.high) for s in survival]
    marks = []
    for life in sorted(lives, key=lambda one: one.low):
        at = life.high if life.ended and math.isfinite(life.high) else life.low
        marks.append(
            LifeMark(
                at, life.mode or ("worn" if life.ended else "stopped"), share_lasting(survival, at)
            )
        )
    fit = None if choice is None or not choice.best.ok else choice.best
    verdict = "No edge has ended yet." if choice is None else choice.verdict
    if fit is None:
        return LifeDistribution(
            drill, tuple(steps), tuple(marks), (), (), (), (), "", verdict, None, None, None
        )
    farthest = max([mark.holes for mark in marks] + [fit.holes_at(0.97) or 0.0])
    holes = np.linspace(farthest / _POINTS, farthest, _POINTS).tolist()
    lasting = [fit.lasting(hole) for hole in holes]
    half_low, half_high = fit.interval_at(0.5)
    return LifeDistribution(
        drill, tuple(steps), tuple(marks), tuple(holes),
        tuple(best for _, best, _ in lasting), tuple(low for low, _, _ in lasting),
        tuple(high for _, _, high in lasting), fit.model, verdict, fit.holes_at(0.5), half_low,
        half_high,
    )  # fmt: skip


def draw_life_distribution(
    data: LifeDistribution, dark: bool = False, *, decimal: DecimalMark = "."
) -> go.Figure:
    """Draw steps, fitted curve, and a mark for every edge."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    if data.holes:
        figure.add_trace(
            go.Scatter(
                x=[*data.holes, *reversed(data.holes)],
                y=[100 * share for share in (*data.high, *reversed(data.low))],
                fill="toself", fillcolor=colours.band, line={"width": 0}, hoverinfo="skip",
                name="90 % interval",
            )
        )  # fmt: skip
        figure.add_trace(
            go.Scatter(
                x=list(data.holes), y=[100 * share for share in data.share], mode="lines",
                line={"color": colours.accent, "width": 2}, hoverinfo="skip",
                name=f"fitted ({data.model})",
            )
        )  # fmt: skip
    farthest = max([mark.holes for mark in data.marks], default=1.0)
    figure.add_trace(
        go.Scatter(
            x=[*(step[0] for step in data.steps), max(farthest, data.steps[-1][0])],
            y=[*(100 * step[1] for step in data.steps), 100 * data.steps[-1][1]],
            mode="lines", line={"color": colours.ink, "width": 2, "shape": "hv"},
            hoverinfo="skip", name="as seen",
        )
    )  # fmt: skip
    for end in dict.fromkeys(mark.end for mark in data.marks):
        shown = [mark for mark in data.marks if mark.end == end]
        look = end_mark(end)
        figure.add_trace(
            go.Scatter(
                x=[mark.holes for mark in shown], y=[100 * mark.share for mark in shown],
                mode="markers", name=as_text(look.word),
                marker={"color": getattr(colours, look.role), "size": 11, "symbol": look.shape,
                        "line": {"width": 2, "color": getattr(colours, look.role)}},
                hovertemplate="%{x:.0f} holes<extra></extra>",
            )
        )  # fmt: skip
    figure.update_xaxes(title_text="holes", tickformat="d", showgrid=False, rangemode="tozero")
    figure.update_yaxes(title_text="edges still cutting, %", range=[0, 105])
    return figure
