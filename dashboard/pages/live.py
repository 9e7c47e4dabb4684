"""The page beside the machine: load now, this hole, holes so far, trend, link, advisory alarm.

Everything comes from `Workbench.live`, that is from the journal on disk and the store: this page
and the logger never wait for each other.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, Patch, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.browser import in_browser
from dashboard.components import aria, figure
from dashboard.pages import live_parts
from dashboard.pages.trial import title
from dashboard.shared_look import SharedLook
from dashboard.show import Show
from trials.figures import LiveTrace, RunTrend, draw_live, draw_run_trend
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import LiveView, Workbench

TICK_MS = 500
# After this long without an answer from the server the page says so by itself.
PATIENCE_S = 4
_WATCH_MS = 1000


def layout(workbench: Workbench, show: Show, name: str) -> tuple[Component, str]:
    """The page as it stands now; it goes on by itself, also when recording starts later."""
    trial = workbench.trial(name)
    view = SharedLook(workbench).look(name)
    trace = live_parts.trace(trial, view)
    trend = live_parts.trend(trial, view)
    parts = live_parts.parts(workbench, trial, view, show)
    content = html.Article(
        [
            dcc.Store(id=ids.LIVE_TRIAL, data=name),
            dcc.Store(id=ids.LIVE_ASK),
            dcc.Store(id=ids.LIVE_BEAT),
            dcc.Store(id=ids.LIVE_HOLES_SEEN, data=live_parts.holes_key(view)),
            dcc.Store(
                id=ids.LIVE_WATCH_TEXT,
                data={"text": texts.LIVE_NO_ANSWER, "patience_s": PATIENCE_S},
            ),
            dcc.Interval(id=ids.LIVE_TICK, interval=TICK_MS),
            dcc.Interval(id=ids.LIVE_WATCH_TICK, interval=_WATCH_MS),
            title(trial, show, here="live"),
            html.Div(id=ids.LIVE_WATCH, className="watch", role="alert"),
            html.Div(
                parts.alarm,
                id=ids.LIVE_ALARM,
                className=f"state {parts.level}",
                role="status",
                **aria(live="assertive", atomic="true"),
            ),
            html.Div(
                [
                    html.Section(parts.gauge, id=ids.LIVE_GAUGE, className="gauge"),
                    html.Section(parts.facts, id=ids.LIVE_FACTS, className="facts"),
                ],
                className="now",
            ),
            figure(
                draw_live(trace, show.dark, decimal=show.decimal),
                title=texts.LIVE_TRACE,
                sentence=html.Span(live_parts.trace_sentence(trial, view, show),
                                   id=ids.LIVE_TRACE_TEXT),
                ident=ids.LIVE_TRACE,
                size="small",
            ),
            html.Div(
                [
                    figure(
                        draw_run_trend(trend, show.dark, decimal=show.decimal),
                        title=texts.LIVE_TREND,
                        sentence=html.Span(live_parts.trend_sentence(trend, show),
                                           id=ids.LIVE_TREND_TEXT),
                        ident=ids.LIVE_TREND,
                        size="small",
                    ),
                    html.Section(
                        [
                            html.H2(texts.LIVE_HOLES_TITLE),
                            html.Div(live_parts.holes_table(view, show), id=ids.LIVE_HOLES),
                        ]
                    ),
                ],
                className="beside",
            ),
        ],
        id=ids.LIVE,
        className="live",
    )  # fmt: skip
    return content, f"{texts.LIVE_TITLE} · {trial.name}"


def register(app: Dash, workbench: Workbench) -> None:
    """The page goes on: twice a second from the workbench, and a watch in the browser itself."""

    shared = SharedLook(workbench)

    @app.callback(
        Output(ids.LIVE_ALARM, "children"),
        Output(ids.LIVE_ALARM, "className"),
        Output(ids.LIVE_GAUGE, "children"),
        Output(ids.LIVE_FACTS, "children"),
        Output(ids.LIVE_TRACE, "figure"),
        Output(ids.LIVE_TRACE_TEXT, "children"),
        Output(ids.LIVE_TREND, "figure"),
        Output(ids.LIVE_TREND_TEXT, "children"),
        Output(ids.LIVE_HOLES, "children"),
        Output(ids.LIVE_HOLES_SEEN, "data"),
        Output(ids.LIVE_BEAT, "data"),
        Input(ids.LIVE_ASK, "data"),
        State(ids.LIVE_TRIAL, "data"),
        State(ids.LIVE_HOLES_SEEN, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def go_on(beat: int, name: str, seen: str, chosen: dict[str, Any]) -> tuple[Any, ...]:
        show = Show.from_view(chosen)
        trial = workbench.trial(name)
        view = shared.look(name)
        parts = live_parts.parts(workbench, trial, view, show)
        return (
            parts.alarm,
            f"state {parts.level}",
            parts.gauge,
            parts.facts,
            _patch_trace(live_parts.trace(trial, view)),
            live_parts.trace_sentence(trial, view, show),
            *_holes(trial, view, seen, show),
            beat,
        )

    in_browser(
        app,
        "ask",
        Output(ids.LIVE_ASK, "data"),
        Input(ids.LIVE_TICK, "n_intervals"),
        State(ids.LIVE_BEAT, "data"),
        State(ids.LIVE_WATCH_TEXT, "data"),
    )
    in_browser(
        app,
        "watch",
        Output(ids.LIVE_WATCH, "children"),
        Output(ids.LIVE, "className"),
        Input(ids.LIVE_WATCH_TICK, "n_intervals"),
        State(ids.LIVE_BEAT, "data"),
        State(ids.LIVE_WATCH_TEXT, "data"),
    )


def _holes(trial: Trial, view: LiveView | None, seen: str, show: Show) -> tuple[Any, ...]:
    """Trend, its sentence, table and key; nothing travels while no hole has been added."""
    key = live_parts.holes_key(view)
    if key == seen:
        return no_update, no_update, no_update, no_update
    trend = live_parts.trend(trial, view)
    return (
        _patch_trend(trend),
        live_parts.trend_sentence(trend, show),
        live_parts.holes_table(view, show),
        key,
    )


def _patch_trace(data: LiveTrace) -> Patch:
    """Only the points and the height of the axis travel; the drawing stays in the browser."""
    changed = Patch()
    changed["data"][0]["x"] = list(data.before_s)
    changed["data"][0]["y"] = list(data.load_pct)
    changed["layout"]["yaxis"]["range"] = [0, data.top_pct]
    return changed


def _patch_trend(data: RunTrend) -> Patch:
    changed = Patch()
    changed["data"][0]["x"] = list(data.numbers)
    changed["data"][0]["y"] = list(data.peak_pct)
    changed["layout"]["yaxis"]["range"] = [0, data.top_pct]
    return changed
