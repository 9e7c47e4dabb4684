"""The run that is open: set it, record it, look at the drill, or take its plan back."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids, links, texts
from dashboard.access import viewer
from dashboard.components import command
from dashboard.texts import next_more as more_texts
from dashboard.texts import plan_run as own_texts
from trials.model import Run, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench


def open_run(
    workbench: Workbench, trial: Trial, run: Run, data: Component, length: Component,
    after: Sequence[int] = (),
) -> list[Component]:  # fmt: skip
    """Heading and steps for the state that an open run is in.

    Args:
        workbench: where profiles are kept.
        trial, run: which.
        data: its cutting data, large enough for the machine.
        length: how long its test is.
        after: numbers of the runs that are planned after it.
    """
    watch = dcc.Link(texts.OPEN_LIVE, href=links.live(trial.name), className="button main")
    look = dcc.Link(
        own_texts.LOOK,
        href=links.look(trial.name, run.number),
        className="button main" if run.state == "drilled" else "button",
    )
    waiting = more_texts.AFTER_IT.format(runs=", ".join(map(str, after)))
    # Plans are taken back from the last one on, so that no number is left out.
    newest = max(after, default=run.number)
    take_back = more_texts.TAKE_BACK_LAST.format(number=newest) if after else own_texts.TAKE_BACK
    if run.state == "planned":
        return [
            html.H3(texts.PLANNED_TITLE.format(number=run.number)),
            data,
            length,
            html.Ol(
                [
                    html.Li(texts.PLANNED_STEP_DRILL.format(drill=run.drill)),
                    html.Li(_how_to_record(workbench.profiles(), trial.name, run.number)),
                    html.Li(texts.PLANNED_STEP_WATCH),
                ],
                className="steps",
            ),
            html.Div(
                [
                    watch,
                    look,
                    html.Button(take_back, id=ids.PLAN_BACK, type="button", n_clicks=0,
                                value=str(newest), disabled=not viewer().may_edit,
                                className="button"),
                ],
                className="act",
            ),
            *([html.P(waiting, className="aside")] if after else []),
        ]  # fmt: skip
    if run.state == "recording":
        return [
            html.H3(texts.RECORDING_TITLE.format(number=run.number)),
            html.P(texts.RECORDING_TEXT),
            html.Div([watch, look], className="act"),
            data,
        ]
    go_on = own_texts.COMMAND_RESUME.format(trial=shlex.quote(trial.name), number=run.number)
    return [
        html.H3(texts.DRILLED_TITLE.format(number=run.number)),
        html.Ol(
            [
                html.Li([own_texts.LOOK_STEP, html.P(look, className="act")]),
                html.Li([own_texts.MORE_STEP, command(go_on)]),
            ],
            className="steps",
        ),
        data,
    ]


def _how_to_record(profiles: Sequence[str], trial: str, number: int) -> list[Component | str]:
    """The exact line to type, as far as the shop's profiles tell."""
    lines = [
        own_texts.COMMAND_PROFILE.format(
            trial=shlex.quote(trial), number=number, profile=shlex.quote(profile)
        )
        for profile in profiles
    ]
    said: list[Component | str]
    if lines:
        said = [own_texts.LOG_HERE, *(command(line) for line in lines)]
    else:
        said = [
            own_texts.LOG_FIRST,
            command(own_texts.COMMAND_SETUP),
            html.P(own_texts.LOG_THEN),
            command(log_command(trial, number)),
        ]
    return [*said, html.P(f"{own_texts.LOG_WHY} {own_texts.NO_LOAD}", className="aside")]


def log_command(trial: str, number: int) -> str:
    """The command that starts recording a run, with everything written out."""
    return texts.COMMAND_LOG.format(trial=shlex.quote(trial), number=number)
