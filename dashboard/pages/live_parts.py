"""What the page beside the machine is made of, from one `LiveView`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import links, texts
from dashboard.components import SILENT, Cell, aria, command, table, tile, tiles
from dashboard.pages import live_next
from dashboard.pages.open_run import log_command
from dashboard.show import Show
from trials.figures import LiveTrace, RunTrend, live_trace, run_trend
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import LiveView, Workbench

Level = Literal["ok", "alarm", "stale", "ended", "none"]
_SIGNS: dict[Level, str] = {
    "ok": texts.LIVE_SIGN_OK,
    "alarm": texts.LIVE_SIGN_ALARM,
    "stale": texts.LIVE_SIGN_STALE,
    "ended": texts.LIVE_SIGN_ENDED,
    "none": texts.LIVE_SIGN_ENDED,
}
_BETWEEN: dict[Level, str] = {
    "ok": texts.LIVE_BETWEEN,
    "alarm": texts.LIVE_BETWEEN,
    "stale": texts.LIVE_NOT_KNOWN,
    "ended": texts.LIVE_NO_VALUE,
    "none": texts.LIVE_NO_VALUE,
}
_HOLES_SHOWN = 8
_WINDOW_S = 60.0


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts that change with every look, ready to be put in their places."""

    level: Level
    alarm: list[Component]
    gauge: list[Component]
    facts: Component
    todo: list[Component]
    standing: bool


def level(view: LiveView | None) -> Level:
    """How the run stands. Old values come before everything: they are never shown as fine."""
    if view is None:
        return "none"
    if view.run.state in ("drilled", "ended"):
        return "ended"
    if view.stale or not view.recording or view.newest_load_pct is None:
        return "stale"
    return "alarm" if view.alarm is not None else "ok"


def parts(workbench: Workbench, trial: Trial, view: LiveView | None, show: Show) -> Parts:
    """Everything of the page that is not a figure or table."""
    stands = level(view)
    if view is None:
        return Parts(
            stands,
            _nothing_recorded(workbench, trial),
            _gauge(trial, None, stands, show),
            tiles([]),
            [],
            standing=False,
        )
    return Parts(
        stands,
        _state(view, stands),
        _gauge(trial, view, stands, show),
        _facts(trial, view, stands, show),
        live_next.strip(trial, view, stands, show),
        live_next.standing(view),
    )


def _nothing_recorded(workbench: Workbench, trial: Trial) -> list[Component]:
    unfinished = [run for run in workbench.runs(trial.name) if run.state != "ended"]
    to_do: list[Component] = (
        [html.Span(texts.LIVE_EMPTY), command(log_command(trial.name, unfinished[-1].number))]
        if unfinished
        else [
            html.Span(texts.LIVE_EMPTY_PLAN),
            dcc.Link(texts.LIVE_EMPTY_GO, href=links.trial(trial.name), className="button"),
        ]
    )
    return [
        html.Span(_SIGNS["none"], className="sign", **SILENT),
        html.Strong(texts.LIVE_EMPTY_TITLE),
        *to_do,
    ]


def _state(view: LiveView, stands: Level) -> list[Component]:
    heading, text = {
        "ok": (texts.LIVE_OK, ""),
        "alarm": (texts.LIVE_ALARM, texts.LIVE_ALARM_TEXT),
        "stale": (
            texts.LIVE_STALE,
            texts.LIVE_ALARM_TEXT if view.alarm else texts.LIVE_STALE_TEXT,
        ),
        "ended": (texts.LIVE_ENDED, texts.LIVE_ENDED_TEXT),
    }[stands]
    said = text.format(alarm=view.alarm or "", number=view.run.number)
    return [
        html.Span(_SIGNS[stands], className="sign", **SILENT),
        html.Strong(heading),
        html.Span(said.strip()),
    ]


def said_keys(trial: Trial, view: LiveView | None, show: Show) -> list[str]:
    """Change whenever the banner, or what to do, says something else."""
    if view is None:
        return ["none", "none"]
    stands = level(view)
    return [
        f"{stands}|{view.run.number}|{view.run.state}|{view.alarm}",
        live_next.said(trial, view, stands, show),
    ]


def _gauge(trial: Trial, view: LiveView | None, stands: Level, show: Show) -> list[Component]:
    limit = trial.load_limit_pct if view is None else view.limit_pct
    load = view.newest_load_pct if view is not None and stands in ("ok", "alarm") else None
    top = max(100.0, 1.25 * limit)
    below = texts.LIVE_LIMIT.format(limit=show.pct(limit))
    if load is not None:
        below = " · ".join((below, live_next.distance(load, limit, show)))
    if stands == "stale" and view is not None and view.newest_load_pct is not None:
        below = " · ".join(
            (
                texts.LIVE_LAST_VALUE.format(
                    load=show.pct(view.newest_load_pct), age=show.seconds(view.age_s)
                ),
                below,
            )
        )
    said = (
        texts.LIVE_METER_UNKNOWN
        if load is None
        else texts.LIVE_METER.format(load=show.pct(load), limit=show.pct(limit))
    )
    return [
        html.H2(texts.LIVE_LOAD),
        html.Div(
            (texts.LIVE_STALE_VALUE if stands == "stale" else texts.LIVE_NO_VALUE)
            if load is None
            else [
                html.Span(show.count(load), className="digits"),
                html.Span("%", className="unit"),
            ],
            className=f"load {_kind(load, limit)}",
        ),
        html.Div(
            [
                html.Div(
                    className=f"fill {_kind(load, limit)}",
                    style={"width": f"{_share(load or 0.0, top):.1f}%"},
                ),
                html.Div(className="limit", style={"left": f"{_share(limit, top):.1f}%"}),
            ],
            className="bar",
            role="meter",
            **aria(
                label=texts.LIVE_LOAD,
                valuemin="0",
                valuemax=f"{top:.0f}",
                valuenow=f"{load or 0.0:.0f}",
                valuetext=said,
            ),
        ),
        html.P(below, className="below"),
    ]


def _kind(load: float | None, limit: float) -> str:
    if load is None:
        return "unknown"
    return "over" if load > limit else "below"


def _share(value: float, top: float) -> float:
    return min(100.0, max(0.0, 100.0 * value / top))


def _facts(trial: Trial, view: LiveView, stands: Level, show: Show) -> Component:
    fresh = stands in ("ok", "alarm")
    current = view.current if fresh else None
    peak = float(view.holes["peak_pct"].iloc[-1]) if len(view.holes) else None
    return tiles(
        [
            tile(
                texts.LIVE_HOLES,
                show.count(view.holes_count),
                texts.LIVE_HOLES_NOTE.format(most=show.count(trial.max_test_holes)),
                kind="holes",
            ),
            tile(
                texts.LIVE_THIS_HOLE,
                _BETWEEN[stands]
                if current is None
                else texts.LIVE_THIS_HOLE_NOW.format(number=show.count(current.number)),
                ""
                if current is None
                else texts.LIVE_THIS_HOLE_NOTE.format(
                    age=show.seconds(current.elapsed_s), peak=show.pct(current.peak_pct)
                ),
                kind="unknown" if current is None else "",
            ),
            tile(texts.LIVE_LAST_PEAK, show.pct(peak), _margin(view, peak, show)),
            tile(
                texts.LIVE_LINK,
                f"{texts.LIVE_SIGN_OK if fresh else _SIGNS[stands]} {view.state}",
                ""
                if view.age_s is None
                else texts.LIVE_LINK_NOTE.format(age=show.seconds(view.age_s)),
                kind=f"link {stands}",
            ),
        ]
    )


def _margin(view: LiveView, peak: float | None, show: Show) -> str:
    if peak is None:
        return texts.LIVE_NO_HOLE
    over = peak > view.limit_pct
    said = texts.LIVE_LAST_PEAK_OVER if over else texts.LIVE_LAST_PEAK_NOTE
    return said.format(margin=show.count(abs(round(view.limit_pct) - round(peak))))


def trace(trial: Trial, view: LiveView | None) -> LiveTrace:
    """The newest stretch of load for the figure."""
    if view is None:
        return live_trace([], [], limit_pct=trial.load_limit_pct, window_s=_WINDOW_S)
    return live_trace(
        view.time_s,
        view.load_pct,
        limit_pct=view.limit_pct,
        window_s=_WINDOW_S,
        gaps=[(start, end) for start, end, _ in view.gaps],
    )


def trace_sentence(data: LiveTrace, view: LiveView | None, show: Show) -> str:
    """What the live trace shows, in words, with every gap named."""
    shown = [load for load in data.load_pct if load is not None]
    if view is None or not shown:
        return texts.LIVE_TRACE_NONE
    said = texts.LIVE_TRACE_TEXT.format(high=show.pct(max(shown)), limit=show.pct(view.limit_pct))
    gaps = [
        texts.LIVE_TRACE_GAP.format(length=show.seconds(end - start), reason=reason)
        for start, end, reason in view.gaps[-2:]
    ]
    return " ".join([said, *gaps])


def trend(trial: Trial, view: LiveView | None) -> RunTrend:
    """Peaks of the run's newest holes for the figure."""
    if view is None or not len(view.holes):
        limit = trial.load_limit_pct if view is None else view.limit_pct
        return RunTrend((), (), limit)
    return run_trend(
        [int(number) for number in view.holes["number"]],
        [float(peak) for peak in view.holes["peak_pct"]],
        limit_pct=view.limit_pct,
        run=view.run.number,
    )


def trend_sentence(data: RunTrend, show: Show) -> str:
    """What the trend shows, in words."""
    if not data.peak_pct:
        return texts.LIVE_TREND_NONE
    change = data.change_pct
    if change is None:
        return texts.LIVE_TREND_FEW.format(holes=show.count(len(data.peak_pct)))
    said = texts.LIVE_TREND_RISE if change >= 0 else texts.LIVE_TREND_FALL
    return said.format(
        change=show.count(abs(change)),
        last=show.pct(data.peak_pct[-1]),
        first_hole=show.count(data.numbers[0]),
        last_hole=show.count(data.numbers[-1]),
    )


def holes_key(view: LiveView | None) -> str:
    """Changes whenever trend or table of the holes would."""
    if view is None or not len(view.holes):
        return "none"
    peak, flags = view.holes["peak_pct"].iat[-1], view.holes["flags"].iat[-1]
    return f"{view.run.number}:{view.holes_count}:{peak}:{flags}"


def holes_table(view: LiveView | None, show: Show) -> Component:
    """The newest holes, the newest first."""
    if view is None or not len(view.holes):
        return html.P(texts.LIVE_TREND_NONE, className="aside")
    rows: list[list[Cell]] = []
    for hole in view.holes.tail(_HOLES_SHOWN).iloc[::-1].to_dict("records"):
        flags = hole.get("flags", "")
        rows.append(
            [
                show.count(hole["number"]),
                show.pct(hole["peak_pct"]),
                show.seconds(hole["cut_s"]),
                show.count(hole["pecks"]),
                flags if isinstance(flags, str) else "; ".join(flags),
            ]
        )
    return table(
        texts.LIVE_HOLES_COLUMNS,
        rows,
        caption=texts.LIVE_HOLES_TITLE,
        numbers=("number", "peak", "cut", "pecks"),
        folds=False,
    )
