"""The shop's trials."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard import ids, links, texts
from dashboard.access import viewer
from dashboard.components import Cell, empty_state, table
from dashboard.show import Show
from dashboard.texts import start as start_texts
from dashboard.texts import take_in as take_in_texts

if TYPE_CHECKING:
    from trials.workbench import TrialSummary, Workbench

NEWEST = 100  # trials in the list at first


def layout(workbench: Workbench, show: Show, _trial: str) -> tuple[Component, str]:
    """List the trials, or say how the first one is made."""
    summaries = workbench.trials()
    folder = html.P(texts.TRIALS_FOLDER.format(folder=workbench.folder), className="aside")
    if not summaries:
        parts: list[Component | None] = [
            html.H1(texts.TRIALS_TITLE),
            _begin(),
            empty_state(texts.TRIALS_EMPTY_TITLE, texts.TRIALS_EMPTY, texts.TRIALS_EMPTY_COMMANDS),
            folder,
        ]
    else:
        parts = [
            html.H1(texts.TRIALS_TITLE),
            html.P(texts.TRIALS_INTRO, className="intro"),
            _begin(),
            html.Div(
                [_table(summaries[:NEWEST], show), _more(len(summaries), show)],
                id=ids.TRIALS_SHOWN,
            ),
            folder,
        ]
    return html.Article(parts), texts.TRIALS_TITLE


def register(app: Dash, workbench: Workbench) -> None:
    """The rest of the list, when somebody wants it."""

    @app.callback(
        Output(ids.TRIALS_SHOWN, "children"),
        Input(ids.TRIALS_ALL, "n_clicks"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def every(_clicks: int | None, view: Mapping[str, Any]) -> Component:
        return _table(workbench.trials(), Show.from_view(view))


def _table(summaries: Sequence[TrialSummary], show: Show) -> Component:
    return table(
        texts.TRIALS_COLUMNS,
        [_row(summary, show) for summary in summaries],
        caption=texts.TRIALS_TITLE,
        numbers=("runs", "best"),
        money=("best",),
    )


def _more(count: int, show: Show) -> Component | None:
    """What is not in the list yet; a thousand lines take a browser longer than anybody waits."""
    if count <= NEWEST:
        return None
    said = texts.TRIALS_NEWEST.format(shown=show.count(NEWEST), all=show.count(count))
    return html.P(
        [said, html.Button(texts.TRIALS_ALL, id=ids.TRIALS_ALL, type="button", n_clicks=0,
                           className="button")],
        className="aside",
    )  # fmt: skip


def _begin() -> Component | None:
    who = viewer()
    if not (who.may_edit and who.sees_prices):
        return None
    return html.P(
        [dcc.Link(start_texts.TITLE, href=links.start(), className="button main"),
         dcc.Link(take_in_texts.TITLE, href=links.take_in(), className="button")],
        className="act moves",
    )  # fmt: skip


def _row(summary: TrialSummary, show: Show) -> list[Cell]:
    name: list[Component | str] = [dcc.Link(summary.name, href=links.trial(summary.name))]
    if summary.invented:
        name.append(html.Span(texts.INVENTED, className="badge", title=texts.INVENTED_LONG))
    best = (
        texts.NOT_KNOWN_YET
        if summary.best_cost is None
        else show.money(summary.best_cost, summary.currency)
    )
    return [
        html.Span(name, className="named"),
        summary.material,
        texts.HOLE.format(
            diameter=show.length(summary.diameter_mm),
            depth=show.length(summary.depth_mm),
            kind=texts.THROUGH if summary.through else texts.BLIND,
        ),
        ", ".join(summary.drills),
        texts.TRIALS_RUNS.format(
            ended=show.count(summary.runs_ended), runs=show.count(summary.runs)
        ),
        best,
    ]
