"""The hand-over: one card for the machine, printable, and the same as text to be filed."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids
from dashboard.access import viewer
from dashboard.components import aria, data, problem
from dashboard.pages import hand_over_card
from dashboard.pages.hand_over_edges import edges
from dashboard.pages.trial import title
from dashboard.show import Show
from dashboard.texts import hand_over as texts
from trials.errors import HolewiseError

if TYPE_CHECKING:
    from trials.model import Trial
    from trials.workbench import Workbench


def layout(workbench: Workbench, show: Show, name: str) -> tuple[Component, str]:
    """Choices and buttons; the card is worked out after the page stands."""
    trial = workbench.trial(name)
    return html.Article(
        [
            title(trial, show, here="hand-over"),
            dcc.Store(id=ids.HAND_TRIAL, data=name),
            dcc.Download(id=ids.HAND_FILE_DATA),
            html.Section(
                [
                    html.H2(texts.TITLE),
                    html.Div(_choices(trial), className="hand-choices"),
                    html.Div(
                        [
                            html.Button(texts.PRINT, type="button", className="button main",
                                        **data(print="card")),
                            html.Button(texts.FILE, id=ids.HAND_FILE, type="button", n_clicks=0,
                                        className="button"),
                        ],
                        className="moves",
                    ),
                    html.Div(id=ids.HAND_SAID, role="status"),
                ],
                className="card hand-controls",
            ),
            html.Div(
                html.P(texts.WORKING, className="working"), id=ids.HAND_CARD,
                **aria(live="polite"),
            ),
        ],
        className="hand-over",
    ), f"{texts.NAV} · {trial.name}"  # fmt: skip


def _choices(trial: Trial) -> list[Component]:
    def choice(ident: str, name: str, options: dict[str, str], hidden: bool) -> Component:
        return html.Fieldset(
            [
                html.Legend(name),
                dcc.RadioItems([{"label": text, "value": key} for key, text in options.items()],
                               next(iter(options)), id=ident, inline=True, className="choice"),
            ],
            hidden=hidden,
        )  # fmt: skip

    priced = viewer().sees_prices
    return [
        choice(ids.HAND_DRILL, texts.DRILL, {one.name: one.name for one in trial.drills},
               len(trial.drills) == 1),
        choice(ids.HAND_PRICES, texts.PRICES,
               texts.PRICES_CHOICES if priced else {"without": texts.PRICES_CHOICES["without"]},
               not priced),
        html.Label(
            [html.Span(texts.BY),
             dcc.Input(id=ids.HAND_BY, type="text", value=viewer().name, maxLength=60,
                       debounce=0.5)],
            className="field",
        ),
    ]  # fmt: skip


def register(app: Dash, workbench: Workbench) -> None:
    """The card follows the choices; the file is what the command line writes."""
    choices = (
        Input(ids.HAND_DRILL, "value"), Input(ids.HAND_PRICES, "value"),
        Input(ids.HAND_BY, "value"),
    )  # fmt: skip

    @app.callback(
        Output(ids.HAND_CARD, "children"),
        Input(ids.HAND_TRIAL, "data"),
        *choices,
        Input(ids.VIEW, "data"),
    )
    def show_card(
        name: str, drill: str, prices: str, by: str | None, view: dict[str, Any]
    ) -> Component | list[Component]:
        show = Show.from_view(view)
        try:
            record = workbench.hand_over_record(name, drill, prices=_priced(prices), by=by or "")
            ended = sum(run.end is not None for run in record.runs)
            card = hand_over_card.card(record, ended, show, _other(show))
            return [card, edges(record, show)] if ended else [card]
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.HAND_FILE_DATA, "data"),
        Output(ids.HAND_SAID, "children"),
        Input(ids.HAND_FILE, "n_clicks"),
        State(ids.HAND_TRIAL, "data"),
        *(State(one.component_id, "value") for one in choices),
        prevent_initial_call=True,
    )
    def save(
        clicks: int | None, name: str, drill: str, prices: str, by: str | None
    ) -> tuple[Any, Any]:
        if not clicks:
            return no_update, no_update
        try:
            text = workbench.hand_over(name, drill, prices=_priced(prices), by=by or "")
        except HolewiseError as error:
            return no_update, problem(error)
        file = texts.FILE_NAME.format(trial=re.sub(r"[^\w-]+", "-", name)[:60])
        return {"content": text, "filename": file, "type": "text/markdown"}, None


def _priced(choice: str) -> bool:
    return choice == "with" and viewer().sees_prices


def _other(show: Show) -> Show:
    return replace(show, system="inch" if show.system == "metric" else "metric")
