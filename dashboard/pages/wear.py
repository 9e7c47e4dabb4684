"""Wear of one run and the life of its drill: curve, readings, drill on or stop, change interval."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard import ids, links, texts
from dashboard.components import aria, empty_state, problem, runs_nav
from dashboard.pages import wear_life, wear_run
from dashboard.pages.trial import title
from dashboard.show import Show
from trials.errors import HolewiseError, NotFoundError

if TYPE_CHECKING:
    from trials.workbench import Workbench


def layout(
    workbench: Workbench, show: Show, name: str, run: int | None = None
) -> tuple[Component, str]:
    """The page; without a run, of the newest that was looked at. Simulations come afterwards."""
    trial = workbench.trial(name)
    heading = f"{texts.WEAR_TITLE} · {trial.name}"
    top = title(trial, show, here="wear")
    drilled = [one for one in workbench.runs(name) if one.holes > 0 or one.wear]
    if run is not None and run not in [one.number for one in drilled]:
        raise NotFoundError(f"run {run} of {name} with holes")
    if not drilled:
        commands = [line.format(trial=shlex.quote(name)) for line in texts.WEAR_EMPTY_COMMANDS]
        return html.Article(
            [top, empty_state(texts.WEAR_EMPTY_TITLE, texts.WEAR_EMPTY, commands, trial=name)]
        ), heading
    looked = [one for one in drilled if any(each.largest_mm is not None for each in one.wear)]
    shown = next((one for one in drilled if one.number == run), (looked or drilled)[-1])
    return html.Article(
        [
            top,
            dcc.Store(id=ids.WEAR_AT, data={"trial": name, "run": shown.number}),
            html.Div(
                [
                    html.H2(texts.WEAR_OF_RUN.format(number=shown.number, drill=shown.drill)),
                    runs_nav(
                        [one.number for one in drilled],
                        shown.number,
                        lambda other: links.wear(name, other),
                        texts.WEAR_RUNS,
                    ),
                ],
                className="title",
            ),
            *wear_run.wear(workbench, trial, shown, show),
            html.Div(
                html.P(texts.DRILL_ON_WORKING, className="working") if shown.end is None else None,
                id=ids.DRILL_ON,
                className="parts",
                **aria(live="polite"),
            ),
            html.Div(
                html.P(texts.LIFE_WORKING, className="working"),
                id=ids.LIFE_SHOWN,
                className="parts",
                **aria(live="polite"),
            ),
        ]
    ), heading


def register(app: Dash, workbench: Workbench) -> None:
    """What is simulated or fitted is worked out after the page stands."""

    @app.callback(
        Output(ids.DRILL_ON, "children"),
        Input(ids.WEAR_AT, "data"),
        State(ids.VIEW, "data"),
    )
    def show_drill_on(at: dict[str, Any], view: dict[str, Any]) -> Component | None:
        try:
            return wear_run.drill_on(workbench, Show.from_view(view), at["trial"], at["run"])
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.LIFE_SHOWN, "children"),
        Input(ids.WEAR_AT, "data"),
        State(ids.VIEW, "data"),
    )
    def show_life(at: dict[str, Any], view: dict[str, Any]) -> list[Component] | Component:
        try:
            return wear_life.life(workbench, Show.from_view(view), at["trial"], at["run"])
        except HolewiseError as error:
            return problem(error)
