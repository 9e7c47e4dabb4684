"""Expected cost and worn load along speed and along feed, through the recommended cutting data."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import plotly.graph_objects as go

from trials import units
from trials.errors import require
from trials.figures.response_map import Grid
from trials.figures.style import DecimalMark, bare_figure, end_mark, palette
from trials.model import CuttingData, End

Direction = Literal["speed", "feed"]
# A run belongs to a slice when what is held there differs no more than this from the run's own.
_NEAR = 0.2
# Costs within this share of the cheapest count as equally cheap: what a shop would not notice.
_AS_CHEAP = 0.05


@dataclass(frozen=True, slots=True)
class RunOnSlices:
    """A run that may be marked: number, cutting data, cost and worn peak load where known, end."""

    number: int
    cutting_data: CuttingData
    cost: float | None
    load_worn_pct: float | None
    end: End


@dataclass(frozen=True, slots=True)
class SearchSlice:
    """Expectations along speed or feed, the rest of the cutting data held.

    Args:
        along: which of the two.
        at: values, rising, m/min or mm/rev; the recommended one is among them.
        cost_low, cost, cost_high: expected cost per hole, and its 90 % range from what is known.
        load_low_pct, load_pct, load_high_pct: expected worn peak load, and what nine edges in ten
            lie between, % of rating.
        allowed: where the load stays below its limit surely enough and the machine can do it.
        here: the recommended value.
        runs: runs with nearly the same other values, and the same pecks.
    """

    along: Direction
    at: tuple[float, ...]
    cost_low: tuple[float, ...]
    cost: tuple[float, ...]
    cost_high: tuple[float, ...]
    load_low_pct: tuple[float, ...]
    load_pct: tuple[float, ...]
    load_high_pct: tuple[float, ...]
    allowed: tuple[bool, ...]
    here: float
    runs: tuple[RunOnSlices, ...] = ()

    def __post_init__(self) -> None:
        for values in (self.cost_low, self.cost, self.cost_high, self.load_low_pct, self.load_pct,
                       self.load_high_pct, self.allowed):  # fmt: skip
            require(len(values) == len(self.at), "slice of the search", len(values),
                    f"a value for each of {len(self.at)} places")  # fmt: skip

    @property
    def unit(self) -> str:
        """Inside unit of ``at``."""
        return "m/min" if self.along == "speed" else "mm/rev"

    @property
    def index(self) -> int:
        """Where the recommended value lies in ``at``."""
        return min(range(len(self.at)), key=lambda i: abs(math.log(self.at[i] / self.here)))

    @property
    def as_cheap(self) -> tuple[float, float] | None:
        """The stretch around the recommended value that costs hardly more and is allowed.

        None when the recommended value itself is not allowed.
        """
        here = self.index
        if not self.allowed[here]:
            return None
        most = self.cost[here] * (1 + _AS_CHEAP)
        good = [c <= most and ok for c, ok in zip(self.cost, self.allowed, strict=True)]
        low = high = here
        while low > 0 and good[low - 1]:
            low -= 1
        while high + 1 < len(good) and good[high + 1]:
            high += 1
        return self.at[low], self.at[high]

    @property
    def too_much_from(self) -> float | None:
        """The first value above the recommended one that is not allowed; None when all are."""
        for index in range(self.index, len(self.at)):
            if not self.allowed[index]:
                return self.at[index]
        return None


@dataclass(frozen=True, slots=True)
class SearchSlices:
    """Both slices.

    Args:
        speed, feed: along the one, the other held.
        through: recommended cutting data.
        load_limit_pct: highest worn peak load allowed, % of rating.
        currency: ISO 4217 code.
    """

    speed: SearchSlice
    feed: SearchSlice
    through: CuttingData
    load_limit_pct: float
    currency: str


def search_slices(
    *,
    speeds_m_per_min: Sequence[float],
    feeds_mm_per_rev: Sequence[float],
    cost: tuple[Grid, Grid, Grid],
    load: tuple[Grid, Grid, Grid],
    allowed: Sequence[Sequence[bool]],
    through: CuttingData,
    load_limit_pct: float,
    runs: Sequence[RunOnSlices],
    currency: str,
) -> SearchSlices:
    """Cut both slices out of grids with one row a feed and one column a speed.

    Args:
        speeds_m_per_min, feeds_mm_per_rev: the grid, with the recommended values in it.
        cost, load: low, expected and high.
        allowed: where cutting data may be used.
        through: recommended cutting data.
        load_limit_pct, runs, currency: see `SearchSlices`.
    """
    row = _nearest(feeds_mm_per_rev, through.feed_mm_per_rev)
    column = _nearest(speeds_m_per_min, through.speed_m_per_min)
    like = [run for run in runs if _same_pecks(run.cutting_data, through)]

    def cut(along: Direction, pick: Callable[[Grid], tuple[float, ...]]) -> SearchSlice:
        of_speed = along == "speed"
        return SearchSlice(
            along,
            tuple(speeds_m_per_min if of_speed else feeds_mm_per_rev),
            *(pick(cost[0]), pick(cost[1]), pick(cost[2])),
            *(pick(load[0]), pick(load[1]), pick(load[2])),
            tuple(allowed[row]) if of_speed else tuple(line[column] for line in allowed),
            through.speed_m_per_min if of_speed else through.feed_mm_per_rev,
            tuple(run for run in like if _lies_on(run.cutting_data, through, along)),
        )

    return SearchSlices(
        cut("speed", lambda grid: tuple(grid[row])),
        cut("feed", lambda grid: tuple(line[column] for line in grid)),
        through,
        load_limit_pct,
        currency,
    )


def draw_search_slice(
    data: SearchSlices,
    along: Direction,
    dark: bool = False,
    *,
    decimal: DecimalMark = ".",
    system: units.UnitSystem = "metric",
) -> go.Figure:
    """One slice: cost above, worn load with its limit below, over the same values.

    Lines are solid where cutting data are allowed and dotted elsewhere, bands hold 90 %, the
    upright line is what is recommended, and numbers are runs.
    """
    one = data.speed if along == "speed" else data.feed
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    x, unit = _shown(one.at, one.unit, system)
    for axis, low, middle, high in (
        ("y", one.cost_low, one.cost, one.cost_high),
        ("y2", one.load_low_pct, one.load_pct, one.load_high_pct),
    ):
        figure.add_trace(
            go.Scatter(
                x=[*x, *reversed(x)], y=[*high, *reversed(low)], yaxis=axis, mode="lines",
                fill="toself", fillcolor=colours.band, line={"width": 0}, hoverinfo="skip",
                showlegend=False,
            )
        )  # fmt: skip
        solid = [value if ok else None for value, ok in zip(middle, one.allowed, strict=True)]
        for y, dash, width in ((middle, "dot", 1.5), (solid, "solid", 3)):
            figure.add_trace(
                go.Scatter(
                    x=x, y=y, yaxis=axis, mode="lines", showlegend=False, connectgaps=False,
                    line={"color": colours.accent, "dash": dash, "width": width},
                    hovertemplate=f"%{{x:.4~g}} {unit}: %{{y:.3~f}} "
                    + (data.currency if axis == "y" else "%")
                    + "<extra></extra>",
                )
            )  # fmt: skip
    _draw_runs(figure, one, dark, system)
    [here], _ = _shown((one.here,), one.unit, system)
    for axis in ("y domain", "y2 domain"):
        figure.add_shape(type="line", x0=here, x1=here, y0=0, y1=1, yref=axis,
                         line={"color": colours.ink, "width": 1.5, "dash": "dash"})  # fmt: skip
    share = math.log(here / x[0]) / max(math.log(x[-1] / x[0]), 1e-9)
    figure.add_annotation(
        x=math.log10(here), y=0.93, yref="paper", text="★ to produce with now", showarrow=False,
        yanchor="bottom", font={"color": colours.ink},
        xanchor="left" if share < 0.3 else "right" if share > 0.7 else "center",
    )  # fmt: skip
    figure.add_shape(
        type="line", xref="paper", x0=0, x1=1, y0=data.load_limit_pct, y1=data.load_limit_pct,
        yref="y2", line={"color": colours.bad, "width": 2.5, "dash": "dash"},
    )  # fmt: skip
    figure.add_annotation(
        xref="paper", x=0.01, y=data.load_limit_pct, yref="y2", showarrow=False, yanchor="bottom",
        xanchor="left", text=f"limit {data.load_limit_pct:g} %", font={"color": colours.bad},
    )  # fmt: skip
    most_cost = min(max(one.cost_high), 3 * min(one.cost))
    most_load = min(max(*one.load_high_pct, data.load_limit_pct * 1.1), 2 * data.load_limit_pct)
    axis_look = figure.layout.yaxis.to_plotly_json()
    figure.update_layout(
        xaxis={"title": {"text": f"{along}, {unit}"}, "type": "log", "anchor": "y2",
               "range": [math.log10(x[0]), math.log10(x[-1])], "tickmode": "array",
               "tickvals": _ticks(x[0], x[-1]), "showgrid": False},
        yaxis={"title": {"text": f"a hole, {data.currency}"}, "domain": [0.46, 0.92],
               "range": [0, most_cost * 1.05]},
        yaxis2={**axis_look, "title": {"text": "worn load, %"}, "domain": [0.0, 0.38],
                "range": [0, most_load * 1.05], "anchor": "x"},
        showlegend=False,
    )  # fmt: skip
    return figure


def _draw_runs(figure: go.Figure, one: SearchSlice, dark: bool, system: units.UnitSystem) -> None:
    colours = palette(dark)
    for axis in ("y", "y2"):
        for run in one.runs:
            y = run.cost if axis == "y" else run.load_worn_pct
            if y is None:
                continue
            data = run.cutting_data
            at = data.speed_m_per_min if one.along == "speed" else data.feed_mm_per_rev
            look = end_mark(run.end)
            role = getattr(colours, look.role)
            figure.add_trace(
                go.Scatter(
                    x=_shown((at,), one.unit, system)[0], y=[y], yaxis=axis, mode="markers+text",
                    text=[str(run.number)], textposition="top center", name=look.word,
                    textfont={"color": colours.ink, "size": 13}, showlegend=False,
                    marker={"symbol": look.shape.removesuffix("-open"), "size": 11,
                            "color": colours.paper if look.shape.endswith("-open") else role,
                            "line": {"width": 2, "color": role}},
                    hovertemplate=f"run {run.number}, {look.word}: %{{y:.3~f}}<extra></extra>",
                )
            )  # fmt: skip


def _shown(values: Sequence[float], unit: str, system: units.UnitSystem) -> tuple[list[float], str]:
    if system == "metric":
        return list(values), unit
    other = units.to_inch(1.0, unit)
    return [value * other[0] for value in values], other[1]


def _ticks(low: float, high: float) -> list[float]:
    """About six round values between two others."""
    step = (high - low) / 6
    power = 10.0 ** math.floor(math.log10(step))
    step = next(power * times for times in (1, 2, 2.5, 5, 10) if power * times >= step)
    first = math.ceil(low / step)
    return [round(step * number, 9) for number in range(first, math.floor(high / step) + 1)]


def _near(value: float, held: float) -> bool:
    return abs(math.log(value / held)) <= _NEAR


def _lies_on(data: CuttingData, through: CuttingData, along: Direction) -> bool:
    if along == "speed":
        return _near(data.feed_mm_per_rev, through.feed_mm_per_rev)
    return _near(data.speed_m_per_min, through.speed_m_per_min)


def _same_pecks(data: CuttingData, through: CuttingData) -> bool:
    if data.peck_mode != through.peck_mode:
        return False
    return data.peck_mode == "none" or _near(data.peck_depth_xd, through.peck_depth_xd)


def _nearest(values: Sequence[float], value: float) -> int:
    return min(range(len(values)), key=lambda i: abs(math.log(values[i] / value)))
