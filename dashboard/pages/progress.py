"""Progress of the search: what each run's holes cost, the best so far, what is expected next."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.components import Cell, aria, empty_state, end_cell, figure, problem, table
from dashboard.pages.progress_map import map_parts
from dashboard.pages.trial import drill_choice, title
from dashboard.show import NOTHING, Show
from trials.errors import HolewiseError
from trials.figures import NOT_ENDED, Convergence, draw_convergence
from trials.model import Run, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench


def layout(workbench: Workbench, show: Show, name: str) -> tuple[Component, str]:
    """The page: figure, sentence and table say the same."""
    trial = workbench.trial(name)
    heading = f"{texts.PROGRESS_TITLE} · {trial.name}"
    top = title(trial, show, here="progress")
    if not workbench.runs(name):
        empty = empty_state(texts.PROGRESS_EMPTY_TITLE, texts.PROGRESS_EMPTY, trial=name)
        return html.Article([top, empty]), heading
    return html.Article(
        [
            top,
            html.Div(
                _run_by_run(workbench, show, trial, ahead=False),
                id=ids.PROGRESS_SHOWN,
                className="parts",
            ),
            dcc.Store(id=ids.SEARCH_AT, data=name),
            drill_choice(trial, ids.SEARCH_DRILL),
            html.Div(
                html.P(texts.SEARCH_WORKING, className="working"),
                id=ids.SEARCH_SHOWN,
                className="parts",
                **aria(live="polite"),
            ),
        ]
    ), heading


def register(app: Dash, workbench: Workbench) -> None:
    """What the search expects and believes, worked out after the page stands."""

    @app.callback(
        Output(ids.PROGRESS_SHOWN, "children"),
        Input(ids.SEARCH_AT, "data"),
        State(ids.VIEW, "data"),
    )
    def show_next(name: str, view: dict[str, Any]) -> Any:
        try:
            return _run_by_run(workbench, Show.from_view(view), workbench.trial(name), ahead=True)
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.SEARCH_SHOWN, "children"),
        # Only once the runs are drawn: the browser would draw them together with the map, later.
        Input(ids.PROGRESS_SHOWN, "children"),
        Input(ids.SEARCH_DRILL, "value"),
        State(ids.SEARCH_AT, "data"),
        State(ids.VIEW, "data"),
    )
    def show_search(_drawn: Any, drill: str, name: str, view: dict[str, Any]) -> Any:
        try:
            found = workbench.trial(name)
            return map_parts(workbench, Show.from_view(view), found, drill)
        except HolewiseError as error:
            return problem(error)


def _run_by_run(workbench: Workbench, show: Show, trial: Trial, *, ahead: bool) -> list[Component]:
    """Figure, sentence and table of the runs; what is expected of the next one with ``ahead``."""
    data = workbench.convergence(trial.name, ahead=ahead)
    runs = {run.number: run for run in workbench.runs(trial.name)}
    return [
        figure(
            draw_convergence(data, show.dark, decimal=show.decimal, legend=False),
            title=texts.PROGRESS_FIGURE,
            sentence=sentence(data, runs, trial, show, ahead=ahead),
            ident=ids.CONVERGENCE,
            size="large",
            legend=_legend(data),
        ),
        html.Section([html.H2(texts.PROGRESS_TABLE), _table(data, runs, trial, show)]),
    ]


def sentence(
    data: Convergence, runs: dict[int, Run], trial: Trial, show: Show, *, ahead: bool = True
) -> str:
    """What the figure says, in words; without ``ahead`` the next run is still being worked out."""
    best = data.best_run
    said: list[str] = []
    if best is None:
        said.append(texts.PROGRESS_NO_BEST)
    else:
        said.append(
            texts.PROGRESS_BEST.format(
                number=best.number,
                cost=show.money(best.cost, data.currency),
                data=show.cutting_data(runs[best.number].cutting_data, trial.hole.diameter_mm),
            )
        )
        first = next(value for value in data.best if value is not None)
        if best.cost is not None and 0 < best.cost < first:
            said.append(texts.PROGRESS_GAIN.format(share=show.pct(100 * (1 - best.cost / first))))
    if not ahead:
        said.append(texts.PROGRESS_WORKING)
    elif data.expected_low is None:
        said.append(texts.PROGRESS_NOTHING_EXPECTED)
    else:
        span = show.money_span(data.expected_low, data.expected_high, data.currency)
        said.append(texts.PROGRESS_EXPECTED.format(number=data.next_number, span=span))
    if data.bound is not None:
        said.append(texts.PROGRESS_BOUND.format(cost=show.money(data.bound, data.currency)))
    if any(mark.cost is not None and mark.end and not mark.counts for mark in data.runs):
        said.append(texts.PROGRESS_UNSAFE)
    if data.log_scale:
        said.append(texts.PROGRESS_LOG_SCALE)
    return " ".join(said)


def _legend(data: Convergence) -> Component:
    """The marks in use, with the same signs as in the tables."""
    ends = dict.fromkeys(mark.end for mark in data.runs if mark.cost is not None)
    parts: list[Component] = [end_cell(end, NOT_ENDED.word) for end in ends]
    if any(value is not None for value in data.best):
        parts.append(html.Span([html.Span(className="key best"), texts.PROGRESS_LEGEND_BEST]))
    if data.expected_low is not None:
        parts.append(html.Span([html.Span(className="key next"), texts.PROGRESS_LEGEND_NEXT]))
    return html.Ul(
        [html.Li(part) for part in parts], className="legend", **aria(label=texts.PROGRESS_LEGEND)
    )


def _table(data: Convergence, runs: dict[int, Run], trial: Trial, show: Show) -> Component:
    rows: list[list[Cell]] = []
    for mark, best in zip(data.runs, data.best, strict=True):
        run = runs.get(mark.number)
        cutting = (
            mark.label
            if run is None
            else show.cutting_data(run.cutting_data, trial.hole.diameter_mm)
        )
        state = NOTHING if run is None else texts.RUN_STATES[run.state]
        rows.append(
            [
                str(mark.number),
                cutting,
                end_cell(mark.end, state),
                show.money(mark.cost, data.currency),
                show.money_span(mark.low, mark.high, data.currency),
                show.money(best, data.currency),
            ]
        )
    return table(
        texts.PROGRESS_COLUMNS,
        rows,
        caption=texts.PROGRESS_FIGURE,
        numbers=("number", "cost", "span", "best"),
    )
