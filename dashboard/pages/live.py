"""The page beside the machine: load now, this hole, holes so far, trend, link, advisory alarm.

Everything comes from `Workbench.live`, that is from the journal on disk and the store: this page
and the logger never wait for each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.access import Viewer, require_editor, viewer
from dashboard.browser import in_browser
from dashboard.components import aria, figure, problem
from dashboard.pages import live_parts
from dashboard.pages.trial import title
from dashboard.shared_look import SharedLook
from dashboard.show import Show
from dashboard.texts import live_next as next_texts
from trials.errors import HolewiseError
from trials.figures import LiveTrace, RunTrend, draw_live, draw_run_trend
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import LiveView, Workbench

TICK_MS = 240
# After this long without an answer from the server the page says so by itself.
PATIENCE_S = 4
_WATCH_MS = 1000
_MOST_FRAMES = 64


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
            dcc.Store(id=ids.LIVE_TRACE_POINTS),
            dcc.Store(id=ids.LIVE_TREND_POINTS),
            dcc.Store(id=ids.LIVE_HOLES_SEEN, data=live_parts.holes_key(view)),
            dcc.Store(
                id=ids.LIVE_WATCH_TEXT,
                data={"text": texts.LIVE_NO_ANSWER, "patience_s": PATIENCE_S},
            ),
            dcc.Interval(id=ids.LIVE_TICK, interval=TICK_MS),
            dcc.Interval(id=ids.LIVE_WATCH_TICK, interval=_WATCH_MS),
            title(trial, show, here="live"),
            html.Div(id=ids.LIVE_WATCH, className="watch", role="alert"),
            dcc.Store(id=ids.LIVE_SAID, data=live_parts.said_keys(trial, view, show)),
            html.Div([
            html.Div(
                [
                    html.Div(
                        parts.alarm,
                        id=ids.LIVE_ALARM,
                        className="says",
                        role="status",
                        **aria(live="assertive", atomic="true"),
                    ),
                    html.Button(
                        next_texts.ACKNOWLEDGE,
                        id=ids.LIVE_ACKNOWLEDGE,
                        type="button",
                        n_clicks=0,
                        hidden=not parts.standing,
                        disabled=not viewer().may_edit,
                        className="acknowledge",
                    ),
                ],
                id=ids.LIVE_BANNER,
                className=f"state {parts.level}",
            ),
            html.Div(id=ids.LIVE_ACKNOWLEDGED, role="status", className="acknowledged"),
            html.Div(parts.todo, id=ids.LIVE_NEXT, className="todo", **aria(live="polite")),
            ], className="strip"),
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
                sentence=html.Span(live_parts.trace_sentence(trace, view, show),
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
    """The page goes on four times a second, and a watch in the browser itself."""

    shared = SharedLook(workbench)
    frames = _Frames(workbench)

    @app.callback(
        Output(ids.LIVE_ALARM, "children"),
        Output(ids.LIVE_SAID, "data"),
        Output(ids.LIVE_NEXT, "children"),
        Output(ids.LIVE_ACKNOWLEDGE, "hidden"),
        Output(ids.LIVE_BANNER, "className"),
        Output(ids.LIVE_GAUGE, "children"),
        Output(ids.LIVE_FACTS, "children"),
        Output(ids.LIVE_TRACE_POINTS, "data"),
        Output(ids.LIVE_TRACE_TEXT, "children"),
        Output(ids.LIVE_TREND_POINTS, "data"),
        Output(ids.LIVE_TREND_TEXT, "children"),
        Output(ids.LIVE_HOLES, "children"),
        Output(ids.LIVE_HOLES_SEEN, "data"),
        Output(ids.LIVE_BEAT, "data"),
        Input(ids.LIVE_ASK, "data"),
        State(ids.LIVE_TRIAL, "data"),
        State(ids.LIVE_HOLES_SEEN, "data"),
        State(ids.LIVE_SAID, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def go_on(
        beat: int, name: str, seen: str, said: list[str], chosen: dict[str, Any]
    ) -> tuple[Any, ...]:
        show = Show.from_view(chosen)
        frame = frames.of(name, shared.look(name), show)
        parts, (banner, todo) = frame.parts, frame.said
        return (
            # What has not changed is not said again to those who hear the page, and a button in it
            # stays the one that a finger is on.
            no_update if banner == said[0] else parts.alarm,
            [banner, todo],
            no_update if todo == said[1] else parts.todo,
            not parts.standing,
            f"state {parts.level}",
            parts.gauge,
            parts.facts,
            frame.trace,
            frame.trace_text,
            *_new_holes(frame.holes, seen),
            beat,
        )

    @app.callback(
        Output(ids.LIVE_ACKNOWLEDGED, "children"),
        Output(ids.LIVE_ACKNOWLEDGE, "hidden", allow_duplicate=True),
        Input(ids.LIVE_ACKNOWLEDGE, "n_clicks"),
        State(ids.LIVE_TRIAL, "data"),
        prevent_initial_call=True,
    )
    def acknowledge(clicks: int | None, name: str) -> tuple[Any, Any]:
        if not clicks:
            return no_update, no_update
        try:
            require_editor()
            view = shared.look(name)
            if view is not None:
                workbench.acknowledge(name, view.run.number, who=viewer().name or texts.PROGRAM)
        except HolewiseError as error:
            return problem(error), no_update
        return None, True

    for points, drawing in (
        (ids.LIVE_TRACE_POINTS, ids.LIVE_TRACE),
        (ids.LIVE_TREND_POINTS, ids.LIVE_TREND),
    ):
        in_browser(
            app,
            "points",
            Output(drawing, "figure"),
            Input(points, "data"),
            State(drawing, "figure"),
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


@dataclass(frozen=True, slots=True)
class _Frame:
    """What the page shows of one look, for all who see it alike."""

    view: LiveView | None
    parts: live_parts.Parts
    said: list[str]
    trace: dict[str, Any]
    trace_text: str
    holes: _Holes


@dataclass(frozen=True, slots=True)
class _Holes:
    """Trend, its sentence and the table of the newest holes, as long as ``key`` is the same."""

    key: str
    trend: dict[str, Any]
    sentence: str
    table: Component


class _Frames:
    """The newest frame of each trial; drawn once for a look, however many tablets show it."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._drawn: dict[tuple[str, Show, Viewer], _Frame] = {}

    def of(self, name: str, view: LiveView | None, show: Show) -> _Frame:
        """The frame of a look; looks that are not the same one are drawn anew."""
        key = (name, show, viewer())
        drawn = self._drawn.get(key)
        if drawn is not None and view is not None and drawn.view is view:
            return drawn
        trial = self._workbench.trial(name)
        trace = live_parts.trace(trial, view)
        holes = None if drawn is None else drawn.holes
        frame = _Frame(
            view, live_parts.parts(self._workbench, trial, view, show),
            live_parts.said_keys(trial, view, show), _trace_points(trace),
            live_parts.trace_sentence(trace, view, show), _holes(trial, view, show, holes),
        )  # fmt: skip
        if len(self._drawn) >= _MOST_FRAMES:
            self._drawn.clear()
        self._drawn[key] = frame
        return frame


def _holes(trial: Trial, view: LiveView | None, show: Show, before: _Holes | None) -> _Holes:
    """What the holes show; drawn anew only when one has been added or has changed."""
    key = live_parts.holes_key(view)
    if before is not None and before.key == key:
        return before
    trend = live_parts.trend(trial, view)
    return _Holes(
        key, _trend_points(trend), live_parts.trend_sentence(trend, show),
        live_parts.holes_table(view, show),
    )  # fmt: skip


def _new_holes(holes: _Holes, seen: str) -> tuple[Any, ...]:
    """What a page is sent of the holes: nothing while it shows them already."""
    if holes.key == seen:
        return no_update, no_update, no_update, no_update
    return holes.trend, holes.sentence, holes.table, holes.key


def _trace_points(data: LiveTrace) -> dict[str, Any]:
    """Only the points and the height of the axis travel; the drawing stays in the browser."""
    return {"x": list(data.before_s), "y": list(data.load_pct), "top": data.top_pct}


def _trend_points(data: RunTrend) -> dict[str, Any]:
    return {"x": list(data.numbers), "y": list(data.peak_pct), "top": data.top_pct}
