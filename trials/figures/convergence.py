"""Convergence: what each run's holes cost, the best so far, and what the next run should cost."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import plotly.graph_objects as go

from trials.errors import require
from trials.figures.style import DecimalMark, as_text, bare_figure, end_mark, palette
from trials.model import End

# Ends after which production may not copy the cutting data: they never count as best so far.
UNSAFE_ENDS: frozenset[End] = frozenset({"broken", "load_limit"})
_LOG_FROM_RATIO = 6.0


@dataclass(frozen=True, slots=True)
class RunMark:
    """One run in the figure.

    Args:
        number: number of the run in its trial.
        cost: cost per hole in the figure's currency; None when it is not known (yet).
        low, high: 90 % range of that cost; None when the cost is certain or unknown.
        end: how the run ended; None when it has not.
        label: cutting data in words, shown beside the mark.
    """

    number: int
    cost: float | None
    low: float | None = None
    high: float | None = None
    end: End | None = None
    label: str = ""

    def __post_init__(self) -> None:
        require(self.number >= 1, "number of the run", self.number, "1 or more")
        for what, value in (("cost", self.cost), ("low cost", self.low), ("high cost", self.high)):
            require(value is None or (math.isfinite(value) and value >= 0),
                    f"{what} per hole of run {self.number}", value,
                    "0 or more and finite, or None")  # fmt: skip
        require(self.low is None or self.high is None or self.low <= self.high,
                f"range of the cost of run {self.number}", f"{self.low} to {self.high}",
                "the lower value first")  # fmt: skip

    @property
    def counts(self) -> bool:
        """Whether the run may be the best so far: it has a cost and did not end unsafely."""
        return self.cost is not None and self.end is not None and self.end not in UNSAFE_ENDS


@dataclass(frozen=True, slots=True)
class Convergence:
    """Cost per hole against run number.

    Args:
        runs: every run of the trial in the order of their numbers, also those without a cost.
        best: lowest cost so far of the runs that count, one value for each run; None before the
            first that counts.
        expected_low, expected_median, expected_high: 90 % band and middle of what the next run is
            expected to cost; None when nothing is expected (no suggestion).
        currency: ISO 4217 code of every cost here.
        bound: lowest cost per hole that is still possible by what is known; None when unknown.
    """

    runs: tuple[RunMark, ...]
    best: tuple[float | None, ...]
    expected_low: float | None = None
    expected_high: float | None = None
    currency: str = "EUR"
    expected_median: float | None = None
    bound: float | None = None

    def __post_init__(self) -> None:
        numbers = [mark.number for mark in self.runs]
        require(numbers == sorted(set(numbers)), "runs of the convergence figure", numbers,
                "each number once, in rising order")  # fmt: skip
        require(len(self.best) == len(self.runs), "best cost so far", f"{len(self.best)} values",
                f"one for each of the {len(self.runs)} runs")  # fmt: skip
        require((self.expected_low is None) == (self.expected_high is None),
                "band of the expected cost", f"{self.expected_low} to {self.expected_high}",
                "both ends or none")  # fmt: skip

    @property
    def best_run(self) -> RunMark | None:
        """The cheapest run that counts; the earlier of two that cost the same."""
        counted = [mark for mark in self.runs if mark.counts]
        return min(counted, key=lambda mark: (mark.cost, mark.number)) if counted else None

    @property
    def next_number(self) -> int:
        """Number that the next run will carry."""
        return self.runs[-1].number + 1 if self.runs else 1

    @property
    def _values(self) -> list[float]:
        values = [
            value
            for mark in self.runs
            for value in (mark.cost, mark.low, mark.high)
            if value is not None
        ]
        ends = (self.expected_low, self.expected_high, self.bound)
        values += [v for v in ends if v is not None]
        return values

    @property
    def log_scale(self) -> bool:
        """Whether the costs lie so far apart that an even scale would hide the cheap ones."""
        values = self._values
        return bool(values) and min(values) > 0 and max(values) > _LOG_FROM_RATIO * min(values)


def convergence(
    runs: Iterable[RunMark],
    *,
    currency: str,
    expected: tuple[float, float, float] | None = None,
    bound: float | None = None,
) -> Convergence:
    """Put the runs in order and find the best cost so far at each of them.

    Args:
        runs: marks in any order. Runs that broke the drill or reached the load limit, and runs
            that have not ended, are shown but never count as best.
        currency: ISO 4217 code.
        expected: 5 %, 50 % and 95 % points of the next run's cost per hole.
        bound: lowest cost that is still possible.
    """
    ordered = tuple(sorted(runs, key=lambda mark: mark.number))
    best: list[float | None] = []
    lowest: float | None = None
    for mark in ordered:
        if mark.counts and mark.cost is not None:
            lowest = mark.cost if lowest is None else min(lowest, mark.cost)
        best.append(lowest)
    low, median, high = expected if expected is not None else (None, None, None)
    return Convergence(
        runs=ordered,
        best=tuple(best),
        expected_low=low,
        expected_high=high,
        currency=currency,
        expected_median=median,
        bound=bound,
    )


def draw_convergence(
    data: Convergence, dark: bool = False, *, decimal: DecimalMark = ".", legend: bool = True
) -> go.Figure:
    """Draw the figure: marks by end, the best so far as steps, the next run's expected band.

    ``legend=False`` is for screens that say beside the figure what each mark means.
    """
    colours = palette(dark)
    figure = bare_figure(dark, decimal)
    _draw_expected(figure, data, dark)
    if data.bound is not None:
        figure.add_hline(
            y=data.bound, line={"color": colours.good, "width": 2, "dash": "dash"},
            annotation={"text": "still possible", "font": {"color": colours.good}},
            annotation_position="bottom left",
        )  # fmt: skip
    known = [(mark.number, best) for mark, best in zip(data.runs, data.best, strict=True)
             if best is not None]  # fmt: skip
    if known:
        figure.add_trace(
            go.Scatter(
                x=[number for number, _ in known],
                y=[best for _, best in known],
                mode="lines",
                line={"shape": "hv", "width": 2.5, "color": colours.ink},
                name="best so far",
                hoverinfo="skip",
            )
        )
    for end in dict.fromkeys(mark.end for mark in data.runs):
        _draw_marks(figure, data, end, dark)
    first = data.runs[0].number if data.runs else 1
    figure.update_xaxes(
        title_text="run",
        range=[first - 0.6, data.next_number + 0.6],
        showgrid=False,
        tickformat="d",
        **({"dtick": 1} if data.next_number - first <= 20 else {"nticks": 12}),
    )
    figure.update_yaxes(title_text=f"cost per hole, {data.currency}")
    figure.update_layout(showlegend=legend)
    if data.log_scale:
        low, high = min(data._values), max(data._values)
        figure.update_yaxes(
            type="log",
            range=[math.log10(low / 1.3), math.log10(high * 1.3)],
            tickmode="array",
            tickvals=_ratio_ticks(low / 1.3, high * 1.3),
            tickformat=",.4~g",
        )
    else:
        figure.update_yaxes(rangemode="tozero")
    return figure


def _ratio_ticks(low: float, high: float) -> list[float]:
    """The values 1, 2 and 5 of each power of ten between two costs."""
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    steps = (step * 10.0**power for power in powers for step in (1, 2, 5))
    return [step for step in steps if low <= step <= high]


def _draw_marks(figure: go.Figure, data: Convergence, end: End | None, dark: bool) -> None:
    look = end_mark(end)
    colour = getattr(palette(dark), look.role)
    marks = [mark for mark in data.runs if mark.end == end and mark.cost is not None]
    if not marks:
        return
    open_shape = look.shape.endswith("-open")
    ranged = any(mark.low is not None and mark.high is not None for mark in marks)
    figure.add_trace(
        go.Scatter(
            x=[mark.number for mark in marks],
            y=[mark.cost for mark in marks],
            mode="markers",
            name=look.word,
            marker={
                "symbol": look.shape.removesuffix("-open"),
                "size": 13,
                "color": palette(dark).paper if open_shape else colour,
                "line": {"width": 2, "color": colour},
            },
            error_y={
                "type": "data",
                "symmetric": False,
                "thickness": 1.5,
                "width": 5,
                "color": colour,
                "array": [_up(mark) for mark in marks],
                "arrayminus": [_down(mark) for mark in marks],
            }
            if ranged
            else None,
            text=[as_text(mark.label) for mark in marks],
            customdata=[look.word] * len(marks),
            hovertemplate="run %{x}: %{y:.3f} "
            + data.currency
            + "<br>%{customdata}<br>%{text}<extra></extra>",
        )
    )


def _up(mark: RunMark) -> float:
    return max(0.0, mark.high - mark.cost) if mark.high is not None and mark.cost else 0.0


def _down(mark: RunMark) -> float:
    return max(0.0, mark.cost - mark.low) if mark.low is not None and mark.cost else 0.0


def _draw_expected(figure: go.Figure, data: Convergence, dark: bool) -> None:
    if data.expected_low is None or data.expected_high is None:
        return
    colours = palette(dark)
    left, right = data.next_number - 0.4, data.next_number + 0.4
    figure.add_trace(
        go.Scatter(
            x=[left, right, right, left, left],
            y=[data.expected_low] * 2 + [data.expected_high] * 2 + [data.expected_low],
            mode="lines",
            fill="toself",
            fillcolor=colours.band,
            line={"color": colours.accent, "width": 1.5, "dash": "dot"},
            name="next run, expected (90 %)",
            hoverinfo="skip",
        )
    )
    if data.expected_median is not None:
        figure.add_trace(
            go.Scatter(
                x=[left, right],
                y=[data.expected_median] * 2,
                mode="lines",
                line={"color": colours.accent, "width": 2.5},
                showlegend=False,
                hovertemplate="next run, expected: %{y:.3f} " + data.currency + "<extra></extra>",
            )
        )
