"""Found holes and pecks over the load trace: what the program counted, beside what was recorded."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
import plotly.graph_objects as go

from trials.errors import require
from trials.figures.live_trace import min_max_indices
from trials.figures.style import DecimalMark, as_text, bare_figure, draw_limit, palette
from trials.holes import Hole, holes_of, look_at, peck_marks

MOST_POINTS = 2400
MOST_HOLES_WITH_PECKS = 30
MOST_HOLES_DRAWN = 300  # more are narrower than the eye can tell apart
_MOST_NUMBERS = 30
_NO_SAMPLES = "no samples in the trace"
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class HoleShown:
    """One hole in the figure.

    Args:
        hole: number, times and figures.
        marks: where one peck ends and the next begins, s; empty without pecks, and where so many
            holes are shown that they could not be told apart.
        look: why a person should look at it, in words; empty when nothing speaks against it.
    """

    hole: Hole
    marks: tuple[float, ...] = ()
    look: str = ""


@dataclass(frozen=True, slots=True)
class TraceOverlay:
    """A stretch of a trace with the holes found in it.

    Args:
        start_s, end_s: the stretch that is shown.
        first_s, last_s: where the whole trace begins and ends.
        time_s: times, s, rising; load_pct: as many loads, % of rating; None breaks the line (gap).
        limit_pct: load limit, % of rating.
        holes: holes that reach into the stretch, in order.
        gaps: start in s, end in s and reason of those that reach into it, and silences of a source
            that is even otherwise.
        samples: how many there were in the stretch; more than points when the line was thinned.
        run: number of the run.
    """

    start_s: float
    end_s: float
    first_s: float
    last_s: float
    time_s: tuple[float, ...]
    load_pct: tuple[float | None, ...]
    limit_pct: float
    holes: tuple[HoleShown, ...]
    gaps: tuple[tuple[float, float, str], ...]
    samples: int
    run: int = 1

    def __post_init__(self) -> None:
        require(len(self.time_s) == len(self.load_pct), "samples of the overlay",
                f"{len(self.time_s)} times and {len(self.load_pct)} loads",
                "as many times as loads")  # fmt: skip
        require(self.start_s < self.end_s, "stretch of the overlay",
                f"{self.start_s:g} to {self.end_s:g} s", "a start before its end")  # fmt: skip

    @property
    def highest_pct(self) -> float | None:
        """Highest sample of the stretch; None without samples."""
        return max((load for load in self.load_pct if load is not None), default=None)

    @property
    def doubtful(self) -> tuple[HoleShown, ...]:
        """The holes shown that a person should look at."""
        return tuple(shown for shown in self.holes if shown.look)

    @property
    def thinned(self) -> bool:
        """Whether points stand for more samples; highest and lowest of each group are kept."""
        return self.samples > sum(load is not None for load in self.load_pct)

    @property
    def crowded(self) -> bool:
        """Whether there are too many holes to draw each: then only those to look at are."""
        return len(self.holes) > MOST_HOLES_DRAWN

    @property
    def drawn(self) -> tuple[HoleShown, ...]:
        """The holes that are drawn: all, or of too many those to look at, at most so many."""
        if not self.crowded:
            return self.holes
        look = self.doubtful
        return look[:: -(-len(look) // MOST_HOLES_DRAWN)] if look else ()

    @property
    def idle(self) -> tuple[HoleShown, ...]:
        """The holes through which the idle level is drawn: every one, or every so many."""
        return self.holes[:: max(1, -(-len(self.holes) // MOST_HOLES_DRAWN))]

    @property
    def axis_pct(self) -> tuple[float, float]:
        """Bottom and top of the load axis, in steps of 20 % so that it rests while one pans."""
        loads = [load for load in self.load_pct if load is not None]
        top = max([self.limit_pct, *loads])
        low = min([0.0, *loads])
        return 20.0 * math.floor(low / 20.0), max(20.0 * math.ceil(1.1 * top / 20.0), 40.0)


def trace_overlay(
    time_s: npt.ArrayLike,
    load_pct: npt.ArrayLike,
    holes: pd.DataFrame,
    *,
    window_s: tuple[float, float],
    whole_s: tuple[float, float],
    limit_pct: float,
    gaps: Sequence[tuple[float, float, str]] = (),
    silent: Sequence[tuple[float, float, str]] | None = None,
    samples: int | None = None,
    run: int = 1,
    most_points: int = MOST_POINTS,
) -> TraceOverlay:
    """Thin a stretch without losing a peak, break it at gaps, and lay the holes over it.

    Args:
        time_s, load_pct: samples of the stretch (and at most one beside it on each side), s and
            % of rating.
        holes: all holes of the run, columns as `trials.holes.find_holes` gives them.
        window_s: start and end of the stretch, s; whole_s: of the whole trace.
        limit_pct: load limit, % of rating.
        gaps: start in s, end in s and reason, of the whole run.
        silent: what `silences` found in the whole trace, for samples that were thinned before;
            None looks for them here.
        samples: how many samples the stretch has, where some were left out before; None counts.
        run: number of the run.
        most_points: at most so many points of the line are kept.

    Raises:
        InputError: times and loads differ in number, or the stretch is empty.
    """
    times, loads = np.asarray(time_s, dtype=float), np.asarray(load_pct, dtype=float)
    require(times.shape == loads.shape and times.ndim == 1, "samples of the overlay",
            f"{times.size} times and {loads.size} loads", "as many times as loads")  # fmt: skip
    start_s, end_s = window_s
    inside = holes[(holes["end_s"] >= start_s) & (holes["start_s"] <= end_s)]
    found = holes_of(inside)
    with_pecks = len(found) <= MOST_HOLES_WITH_PECKS
    shown = tuple(
        HoleShown(hole, _marks(times, loads, hole) if with_pecks else (), look_at(hole))
        for hole in found
    )
    near = tuple(gap for gap in [*gaps, *(silent or ())] if gap[1] > start_s and gap[0] < end_s)
    near = tuple(sorted([*near, *(silences(times, near) if silent is None else ())]))
    kept = min_max_indices(loads, most_points)
    line = list(zip(times[kept].tolist(), loads[kept].tolist(), strict=True))
    breaks = [((gap[0] + gap[1]) / 2, None) for gap in near]
    # A break lies within its gap, where no sample is; sorting by time alone keeps equal times.
    points: list[tuple[float, float | None]] = sorted([*line, *breaks], key=lambda one: one[0])
    return TraceOverlay(
        float(start_s), float(end_s), float(whole_s[0]), float(whole_s[1]),
        tuple(at for at, _ in points), tuple(load for _, load in points), float(limit_pct), shown,
        near, int(times.size if samples is None else samples), run,
    )  # fmt: skip


def silences(
    times: Floats, known: Sequence[tuple[float, float, str]]
) -> list[tuple[float, float, str]]:
    """Stretches without samples in a trace that has them evenly; those known already left out."""
    steps = np.diff(times)
    steady = steps[steps > 0]
    if len(steady) < 20 or np.quantile(steady, 0.9) > 1.5 * np.median(steady):
        return []  # a source that sends changes only: silence says that nothing changed
    found = np.flatnonzero(steps > max(20.0 * float(np.median(steady)), 0.25))
    return [
        (float(times[at]), float(times[at + 1]), _NO_SAMPLES)
        for at in found
        if not any(a < times[at + 1] and b > times[at] for a, b, _ in known)
    ]


def _marks(times: Floats, loads: Floats, hole: Hole) -> tuple[float, ...]:
    a, b = np.searchsorted(times, (hole.start_s, hole.end_s))
    whole = a > 0 and b < len(times)  # of a hole that the stretch cuts, the dips are not all there
    if hole.pecks < 2 or b - a < 4 * hole.pecks or not whole:
        return ()
    return peck_marks(times[a:b], loads[a:b], hole.start_s, hole.end_s, hole.pecks)


def draw_overlay(
    data: TraceOverlay,
    dark: bool = False,
    *,
    decimal: DecimalMark = ".",
    selected: int | None = None,
) -> go.Figure:
    """Draw trace, holes, pecks, idle level, gaps and limit.

    ``selected`` is the number of a hole that is drawn stronger than the others.
    """
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    bottom, top = data.axis_pct
    _draw_gaps(figure, data, dark)
    drawn = [one for one in data.drawn if one.hole.number != selected]
    sure = [one for one in drawn if not one.look]
    chosen = [one for one in data.holes if one.hole.number == selected]
    _draw_boxes(figure, sure, "hole", colours.accent, colours.band, 1.0)
    _draw_boxes(figure, [one for one in drawn if one.look],
                "hole to look at", colours.warn, None, 2.0, dash="dot")  # fmt: skip
    _draw_boxes(figure, chosen, "hole chosen", colours.warn if chosen and chosen[0].look
                else colours.accent, colours.band, 3.0)  # fmt: skip
    figure.add_trace(
        go.Scatter(
            x=np.array(data.time_s, dtype=float), y=np.array(data.load_pct, dtype=float),
            mode="lines", connectgaps=False,
            line={"color": colours.ink, "width": 1.3}, name="load",
            hovertemplate="%{y:.1f} % at %{x:.2f} s<extra></extra>",
        )
    )  # fmt: skip
    _draw_idle(figure, data, dark)
    _draw_pecks(figure, data, dark)
    _draw_numbers(figure, data, dark, selected)
    draw_limit(figure, data.limit_pct, f"limit {data.limit_pct:.0f} %", dark)
    figure.update_layout(showlegend=False, dragmode="pan")
    # A new stretch replaces what was dragged to in the browser.
    figure.update_layout(uirevision=f"{data.start_s}:{data.end_s}")
    figure.update_xaxes(range=[data.start_s, data.end_s], title_text="time in the trace, s",
                        showgrid=False, nticks=8)  # fmt: skip
    figure.update_yaxes(range=[bottom, top], title_text="load, %", nticks=6, fixedrange=True)
    return figure


def _draw_boxes(
    figure: go.Figure, shown: Sequence[HoleShown], name: str, colour: str, fill: str | None,
    width: float, dash: str = "solid",
) -> None:  # fmt: skip
    if not shown:
        return
    x: list[float | None] = []
    y: list[float | None] = []
    for one in shown:
        hole = one.hole
        x += [hole.start_s, hole.start_s, hole.end_s, hole.end_s, hole.start_s, None]
        y += [hole.idle_pct, hole.peak_pct, hole.peak_pct, hole.idle_pct, hole.idle_pct, None]
    figure.add_trace(
        go.Scatter(
            # As numbers in one piece: plotly looks at each of a list, which takes a tenth of a
            # second for the holes of a long run. None becomes no number, which breaks the line.
            x=np.array(x, dtype=float), y=np.array(y, dtype=float), mode="lines", name=name,
            line={"color": colour, "width": width, "dash": dash},
            fill=None if fill is None else "toself", fillcolor=fill, hoverinfo="skip",
        )
    )  # fmt: skip


def _draw_gaps(figure: go.Figure, data: TraceOverlay, dark: bool) -> None:
    if not data.gaps:
        return
    bottom, top = data.axis_pct
    x: list[float | None] = []
    y: list[float | None] = []
    for start_s, end_s, _ in data.gaps:
        x += [start_s, start_s, end_s, end_s, start_s, None]
        y += [bottom, top, top, bottom, bottom, None]
    figure.add_trace(
        go.Scatter(x=x, y=y, mode="lines", name="gap", line={"width": 0}, fill="toself",
                   fillcolor=palette(dark).grid, hoverinfo="skip")
    )  # fmt: skip
    if len(data.gaps) <= 10:
        figure.add_trace(
            go.Scatter(
                x=[(max(a, data.start_s) + min(b, data.end_s)) / 2 for a, b, _ in data.gaps],
                y=[top - 0.06 * (top - bottom)] * len(data.gaps), mode="text",
                text=["gap"] * len(data.gaps), textfont={"color": palette(dark).muted},
                customdata=[as_text(reason) for _, _, reason in data.gaps],
                hovertemplate="%{customdata}<extra></extra>", name="gap, named",
            )
        )  # fmt: skip


def _draw_idle(figure: go.Figure, data: TraceOverlay, dark: bool) -> None:
    if not data.holes:
        return
    # As numbers in one piece, as above.
    x = np.array([at for one in data.idle for at in (one.hole.start_s, one.hole.end_s)])
    y = np.array([one.hole.idle_pct for one in data.idle for _ in range(2)])
    figure.add_trace(
        go.Scatter(x=x, y=y, mode="lines", name="idle", hoverinfo="skip",
                   line={"color": palette(dark).good, "width": 1.5, "dash": "dash"})
    )  # fmt: skip


def _draw_pecks(figure: go.Figure, data: TraceOverlay, dark: bool) -> None:
    x: list[float | None] = []
    y: list[float | None] = []
    for one in data.holes:
        for mark in one.marks:
            x += [mark, mark, None]
            y += [one.hole.idle_pct, one.hole.peak_pct, None]
    if x:
        figure.add_trace(
            go.Scatter(x=x, y=y, mode="lines", name="pecks", hoverinfo="skip",
                       line={"color": palette(dark).accent, "width": 1.5, "dash": "dot"})
        )  # fmt: skip


def _draw_numbers(figure: go.Figure, data: TraceOverlay, dark: bool, selected: int | None) -> None:
    shown = list(data.holes)
    if len(shown) > _MOST_NUMBERS:
        chosen = [one for one in data.holes if one.hole.number == selected]
        look = [one for one in data.drawn if one.look and one.hole.number != selected]
        shown = [*chosen, *look[:: max(1, -(-len(look) // _MOST_NUMBERS))]]
    if not shown:
        return
    colours = palette(dark)
    figure.add_trace(
        go.Scatter(
            x=[(one.hole.start_s + one.hole.end_s) / 2 for one in shown],
            y=[one.hole.peak_pct for one in shown],
            mode="text",
            name="numbers",
            text=[f"{one.hole.number}{' ?' if one.look else ''}" for one in shown],
            textposition="top center",
            textfont={
                "size": 14,
                "color": [colours.warn if one.look else colours.ink for one in shown],
            },
            customdata=[[one.hole.number, one.hole.peak_pct, one.hole.pecks] for one in shown],
            hovertemplate="hole %{customdata[0]}: peak %{customdata[1]:.0f} %, "
            "pecks %{customdata[2]}<extra></extra>",
        )
    )
