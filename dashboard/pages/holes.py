"""The holes of a run over its trace: go from one to the next, and mend what was counted wrong."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links, texts
from dashboard.components import aria, empty_state, figure, runs_nav
from dashboard.pages import holes_parts as parts
from dashboard.pages.holes_mend import mend_section, register_mending
from dashboard.pages.holes_parts import At
from dashboard.pages.trial import title
from dashboard.show import Show
from trials.errors import NotFoundError
from trials.figures import TraceOverlay, draw_overlay

if TYPE_CHECKING:
    from trials.workbench import Workbench

_MOVES = (
    ids.HOLES_FIRST, ids.HOLES_PREVIOUS, ids.HOLES_NEXT, ids.HOLES_LAST, ids.HOLES_LOOK,
    ids.HOLES_NEARER, ids.HOLES_FARTHER, ids.HOLES_WHOLE,
)  # fmt: skip


def layout(
    workbench: Workbench, show: Show, name: str, run: int | None = None
) -> tuple[Component, str]:
    """The page; without a run, of the newest that was recorded."""
    trial = workbench.trial(name)
    heading = f"{texts.TRIAL_HOLES} · {trial.name}"
    top = title(trial, show, here="holes")
    recorded = workbench.recorded_runs(name)
    if run is not None and run not in recorded:
        raise NotFoundError(f"run {run} of {name} with a finished recording")
    if not recorded:
        commands = [line.format(trial=shlex.quote(name)) for line in texts.HOLES_EMPTY_COMMANDS]
        return html.Article(
            [top, empty_state(texts.HOLES_EMPTY_TITLE, texts.HOLES_EMPTY, commands, trial=name)]
        ), heading
    number = recorded[-1] if run is None else run
    holes = workbench.holes(name, number)
    first = 1 if len(holes) else None
    window_s = parts.around(holes, 1) if first else None
    data = workbench.overlay(name, number, window_s=window_s)
    at = At(name, number, workbench.version(name, number), first, data.start_s, data.end_s)
    look = len(parts.doubtful(workbench, at, holes))
    return html.Article(
        [
            top,
            dcc.Store(id=ids.HOLES_AT, data=at.plain()),
            html.Div(
                [
                    html.H2(texts.HOLES_TITLE.format(number=number)),
                    runs_nav(recorded, number,
                             lambda other: links.holes(name, other), texts.HOLES_RUNS),
                ],
                className="title",
            ),
            html.Div([_viewer(data, at, show, look), _beside(workbench, data, at, show)],
                     className="beside"),
            mend_section(workbench, at),
            html.Section(
                [
                    html.H2(texts.HOLES_TRENDS),
                    dcc.Store(id=ids.HOLES_TRENDS_OF, data=[name, number]),
                    html.Div(
                        html.P(texts.HOLES_TRENDS_WORKING, className="working"),
                        id=ids.HOLES_TRENDS,
                    ),
                ]
            ),
        ]
    ), heading  # fmt: skip


def _viewer(data: TraceOverlay, at: At, show: Show, look: int) -> Component:
    def move(ident: str, text: str, kind: str = "") -> html.Button:
        return html.Button(
            text, id=ident, type="button", n_clicks=0, className=f"button small {kind}".strip(),
            disabled=at.hole is None,
        )  # fmt: skip

    return html.Section(
        [
            html.Div(
                [
                    move(ids.HOLES_FIRST, texts.HOLES_FIRST),
                    move(ids.HOLES_PREVIOUS, texts.HOLES_PREVIOUS),
                    move(ids.HOLES_NEXT, texts.HOLES_NEXT),
                    move(ids.HOLES_LAST, texts.HOLES_LAST),
                    html.Button(
                        texts.HOLES_LOOK.format(count=show.count(look)), id=ids.HOLES_LOOK,
                        type="button", n_clicks=0, className="button small look",
                        disabled=look == 0,
                    ),
                    html.Div(
                        [
                            move(ids.HOLES_NEARER, texts.HOLES_NEARER),
                            move(ids.HOLES_FARTHER, texts.HOLES_FARTHER),
                            move(ids.HOLES_WHOLE, texts.HOLES_WHOLE),
                        ],
                        className="apart",
                    ),
                ],
                className="moves",
                role="group",
                **aria(label=texts.HOLES_MOVE),
            ),
            figure(
                draw_overlay(data, show.dark, decimal=show.decimal, selected=at.hole),
                title=texts.HOLES_FIGURE,
                sentence=html.Span(parts.sentence(data, show), id=ids.HOLES_SENTENCE),
                ident=ids.HOLES_FIGURE,
                size="large",
                legend=parts.legend(),
            ),
            html.P(texts.HOLES_KEYS, className="keys"),
        ],
        className="holes-viewer",
        tabIndex="0",
        **aria(label=texts.HOLES_FIGURE),
    )  # fmt: skip


def _beside(workbench: Workbench, data: TraceOverlay, at: At, show: Show) -> Component:
    holes = workbench.holes(at.trial, at.run)
    return html.Div(
        [
            html.Div(parts.facts(holes, data, at, show), id=ids.HOLES_FACTS),
            html.Section(
                [
                    html.H2(texts.HOLES_TABLE),
                    html.Div(parts.holes_table(holes, at, show), id=ids.HOLES_TABLE),
                ]
            ),
        ],
        className="holes-beside",
    )


def register(app: Dash, workbench: Workbench) -> None:
    """Going from hole to hole, zooming, panning; what is shown follows what is chosen."""

    # Three callbacks, because a newer call of the same one drops the answer to the older: a figure
    # that finds its size, or rows that are drawn, must not swallow a press on a button.
    @app.callback(
        Output(ids.HOLES_AT, "data"),
        *[Input(ident, "n_clicks") for ident in _MOVES],
        State(ids.HOLES_AT, "data"),
        prevent_initial_call=True,
    )
    def go(*values: Any) -> Any:
        return _answer(workbench, values[-1], ctx.triggered_id)

    @app.callback(
        Output(ids.HOLES_AT, "data", allow_duplicate=True),
        Input({"type": ids.HOLES_ROW, "number": ALL}, "n_clicks"),
        State(ids.HOLES_AT, "data"),
        prevent_initial_call=True,
    )
    def choose(_clicks: list[int], plain: Mapping[str, Any]) -> Any:
        if not ctx.triggered[0]["value"]:  # a row that was drawn just now, not pressed
            return no_update
        return _answer(workbench, plain, ctx.triggered_id)

    @app.callback(
        Output(ids.HOLES_AT, "data", allow_duplicate=True),
        Input(ids.HOLES_FIGURE, "relayoutData"),
        State(ids.HOLES_AT, "data"),
        prevent_initial_call=True,
    )
    def drag(dragged: Mapping[str, Any] | None, plain: Mapping[str, Any]) -> Any:
        low, high = (dragged or {}).get("xaxis.range[0]"), (dragged or {}).get("xaxis.range[1]")
        if low is None or high is None:  # it found its size
            return no_update
        return replace(At.from_plain(plain), start_s=float(low), end_s=float(high)).plain()

    @app.callback(
        Output(ids.HOLES_FIGURE, "figure"),
        Output(ids.HOLES_SENTENCE, "children"),
        Output(ids.HOLES_FACTS, "children"),
        Output(ids.HOLES_TABLE, "children"),
        Output(ids.HOLES_LOOK, "children"),
        Output(ids.HOLES_LOOK, "disabled"),
        Input(ids.HOLES_AT, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def show_there(plain: Mapping[str, Any], view: Mapping[str, Any]) -> tuple[Any, ...]:
        at, show = At.from_plain(plain), Show.from_view(view)
        data = workbench.overlay(at.trial, at.run, window_s=(at.start_s, at.end_s))
        holes = workbench.holes(at.trial, at.run)
        look = len(parts.doubtful(workbench, at, holes))
        return (
            draw_overlay(data, show.dark, decimal=show.decimal, selected=at.hole),
            parts.sentence(data, show),
            parts.facts(holes, data, at, show),
            parts.holes_table(holes, at, show),
            texts.HOLES_LOOK.format(count=show.count(look)),
            look == 0,
        )

    @app.callback(
        Output(ids.HOLES_TRENDS, "children", allow_duplicate=True),
        # After the page stands: of thousands of holes it takes a moment to say.
        Input(ids.HOLES_TRENDS_OF, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call="initial_duplicate",
    )
    def show_trends(of: tuple[str, int], view: Mapping[str, Any]) -> Component:
        return parts.trends(workbench, of[0], of[1], Show.from_view(view))

    register_mending(app, workbench)


def _answer(workbench: Workbench, plain: Mapping[str, Any], pressed: Any) -> Any:
    at = At.from_plain(plain)
    gone = _gone(workbench, at, pressed)
    return no_update if gone is None or gone == at else gone.plain()


def _zoomed(workbench: Workbench, at: At, pressed: Any) -> At:
    """Half or twice the stretch, or all of it, never beyond the trace: or the way back is lost."""
    trace = workbench.overlay(at.trial, at.run, window_s=(at.start_s, at.start_s))
    first_s, last_s = trace.first_s, trace.last_s
    if pressed == ids.HOLES_WHOLE:
        return replace(at, start_s=first_s, end_s=last_s)
    start_s, end_s = max(at.start_s, first_s), min(at.end_s, last_s)
    centre, half = (start_s + end_s) / 2, (end_s - start_s) / 2
    half = max(half / 2, 0.1) if pressed == ids.HOLES_NEARER else 2 * half
    return replace(at, start_s=max(first_s, centre - half), end_s=min(last_s, centre + half))


def _gone(workbench: Workbench, at: At, pressed: Any) -> At | None:
    """Where the page is after a button or a row was pressed; None when nothing changes."""
    if pressed in (ids.HOLES_NEARER, ids.HOLES_FARTHER, ids.HOLES_WHOLE):
        return _zoomed(workbench, at, pressed)
    holes = workbench.holes(at.trial, at.run)
    if not len(holes):
        return None
    last, here = len(holes), min(at.hole or 1, len(holes))
    if isinstance(pressed, dict):
        number = int(pressed["number"])
    elif pressed == ids.HOLES_LOOK:
        look = parts.doubtful(workbench, at, holes)
        if not look:
            return None
        number = next((one for one in look if one > here), look[0])
    else:
        number = {
            ids.HOLES_FIRST: 1, ids.HOLES_PREVIOUS: here - 1, ids.HOLES_NEXT: here + 1,
            ids.HOLES_LAST: last,
        }[str(pressed)]  # fmt: skip
    number = min(max(1, number), last)
    start_s, end_s = parts.around(holes, number)
    return replace(at, hole=number, start_s=start_s, end_s=end_s)
