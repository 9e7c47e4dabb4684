"""Speed–feed map: what a hole is expected to cost, where it is safe, and what was tried."""

from __future__ import annotations

import math
from dataclasses import dataclass

import plotly.graph_objects as go

from trials import units
from trials.errors import require
from trials.figures.style import DecimalMark, as_text, bare_figure, end_mark, palette
from trials.model import CuttingData, End

Grid = tuple[tuple[float, ...], ...]
# Costs above this many times the lowest are drawn alike: the map is for where holes are cheap.
_DEAREST = 3.0


@dataclass(frozen=True, slots=True)
class TriedMark:
    """A run on the map, with its number, cutting data and end (None while it has not ended)."""

    number: int
    speed_m_per_min: float
    feed_mm_per_rev: float
    end: End | None
    label: str = ""


@dataclass(frozen=True, slots=True)
class ResponseMap:
    """Expected cost per hole over speed and feed.

    Args:
        speeds_m_per_min, feeds_mm_per_rev: the grid.
        cost, low, high: one row a feed: expected cost and its 90 % range from what is known.
        safe: where the worn load stays below the limit surely enough and the machine can do it.
        tried: runs in the same peck mode.
        recommended: cutting data to produce with now.
        currency: ISO 4217 code.
        lowest_possible: the lowest cost that is still possible where it is safe.
        beliefs: what is believed of the exponents, in words.
    """

    speeds_m_per_min: tuple[float, ...]
    feeds_mm_per_rev: tuple[float, ...]
    cost: Grid
    low: Grid
    high: Grid
    safe: tuple[tuple[bool, ...], ...]
    tried: tuple[TriedMark, ...]
    recommended: CuttingData
    currency: str
    lowest_possible: float
    beliefs: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for what, grid in (("cost", self.cost), ("low", self.low), ("high", self.high),
                           ("safe", self.safe)):  # fmt: skip
            sizes = (len(grid), {len(row) for row in grid})
            expected = (len(self.feeds_mm_per_rev), {len(self.speeds_m_per_min)})
            require(sizes == expected, f"grid of the map ({what})", sizes,
                    "a row for each feed, a value for each speed")  # fmt: skip


def draw_response_map(
    data: ResponseMap,
    dark: bool = False,
    *,
    decimal: DecimalMark = ".",
    system: units.UnitSystem = "metric",
) -> go.Figure:
    """Contours of the expected cost, what is not safe hatched out, runs and recommendation."""
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    (of_speed, speed_unit), (of_feed, feed_unit) = (
        (1.0, unit) if system == "metric" else units.to_inch(1.0, unit)
        for unit in ("m/min", "mm/rev")
    )
    speeds = [of_speed * speed for speed in data.speeds_m_per_min]
    feeds = [of_feed * feed for feed in data.feeds_mm_per_rev]
    digits = (".1f", ".3f") if system == "metric" else (".0f", ".4f")
    place = f"%{{x:{digits[0]}}} {speed_unit}, %{{y:{digits[1]}}} {feed_unit}"
    lowest = min(
        (c for row, ok in zip(data.cost, data.safe, strict=True)
         for c, is_safe in zip(row, ok, strict=True) if is_safe),
        default=min(min(row) for row in data.cost),
    )  # fmt: skip
    shown = [[min(value, _DEAREST * lowest) for value in row] for row in data.cost]
    figure.add_trace(
        go.Contour(
            x=speeds, y=feeds, z=shown,
            contours={"coloring": "heatmap", "showlabels": True,
                      "labelfont": {"color": colours.ink, "size": 12}},
            ncontours=10,
            colorscale=[[0, colours.band.replace("0.14", "0.7").replace("0.20", "0.7")],
                        [1, colours.band.replace("0.14", "0.03").replace("0.20", "0.03")]],
            line={"color": colours.muted, "width": 1},
            showscale=False,  # the lines say it, and beside them it takes half of a phone's width
            customdata=[list(zip(a, b, strict=True)) for a, b in
                        zip(data.low, data.high, strict=True)],
            hovertemplate=place + ": %{z:.3f} " + data.currency
            + " (%{customdata[0]:.3f} to %{customdata[1]:.3f})<extra></extra>",
        )
    )  # fmt: skip
    unsafe = [
        (speed, feed)
        for feed, row in zip(feeds, data.safe, strict=True)
        for speed, is_safe in zip(speeds, row, strict=True)
        if not is_safe
    ]
    if unsafe:
        figure.add_trace(
            go.Scatter(
                x=[speed for speed, _ in unsafe], y=[feed for _, feed in unsafe], mode="markers",
                marker={"symbol": "x-thin", "size": 7, "line": {"width": 1.5,
                                                                "color": colours.bad}},
                name="not safe enough", hoverinfo="skip",
            )
        )  # fmt: skip
    for end in dict.fromkeys(mark.end for mark in data.tried):
        look = end_mark(end)
        marks = [mark for mark in data.tried if mark.end == end]
        figure.add_trace(
            go.Scatter(
                x=[of_speed * mark.speed_m_per_min for mark in marks],
                y=[of_feed * mark.feed_mm_per_rev for mark in marks],
                mode="markers+text", text=[str(mark.number) for mark in marks],
                textposition="top center", textfont={"color": colours.ink, "size": 13},
                name=look.word,
                marker={"symbol": look.shape.removesuffix("-open"), "size": 13,
                        "color": colours.paper if look.shape.endswith("-open")
                        else getattr(colours, look.role),
                        "line": {"width": 2, "color": getattr(colours, look.role)}},
                customdata=[as_text(mark.label) for mark in marks],
                hovertemplate="run %{text}: %{customdata}<extra></extra>",
            )
        )  # fmt: skip
    best = data.recommended
    figure.add_trace(
        go.Scatter(
            x=[of_speed * best.speed_m_per_min], y=[of_feed * best.feed_mm_per_rev], mode="markers",
            name="to produce with now",
            marker={"symbol": "star", "size": 18, "color": colours.accent,
                    "line": {"width": 1.5, "color": colours.paper}},
            hovertemplate=f"to produce with now: {place}<extra></extra>",
        )
    )  # fmt: skip
    figure.update_xaxes(title_text=f"speed, {speed_unit}", type="log", showgrid=False, nticks=6,
                        range=[math.log10(speeds[0]), math.log10(speeds[-1])])  # fmt: skip
    figure.update_yaxes(title_text=f"feed, {feed_unit}", type="log", showgrid=False, nticks=6,
                        range=[math.log10(feeds[0]), math.log10(feeds[-1])])  # fmt: skip
    figure.update_layout(legend={"orientation": "h", "y": 1.02, "yanchor": "bottom"})
    return figure
