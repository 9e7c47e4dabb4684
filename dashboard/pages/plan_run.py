"""A run planned by hand: fields, what the machine would be set to, and the way back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, cast

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, read, texts
from dashboard.access import require_editor, viewer
from dashboard.components import problem
from dashboard.pages import next_step
from dashboard.pages.runs_table import runs_table
from dashboard.show import Show
from dashboard.texts import plan_run as own_texts
from trials import units
from trials.errors import HolewiseError
from trials.model import CuttingData, PeckMode, Run, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench

_TEXTS = {
    "speed": own_texts.SPEED,
    "feed": own_texts.FEED,
    "depth": own_texts.PECK_DEPTH,
    "batch": own_texts.BATCH,
    "machine": own_texts.MACHINE,
    "reground": own_texts.REGROUND,
    "note": own_texts.NOTE,
}


def section(trial: Trial, runs: Sequence[Run], show: Show) -> Component | None:
    """The form, folded away; nothing for those who may not plan."""
    if not viewer().may_edit:
        return None
    start, _ = trial.start_of(None)
    return html.Details(
        [
            html.Summary(own_texts.TITLE),
            dcc.Store(id=ids.PLAN_NEXT, data=_next(runs)),
            html.P(own_texts.HELP, className="aside"),
            html.Div(
                [
                    _choice(ids.PLAN_DRILL, own_texts.DRILL,
                            {drill.name: drill.name for drill in trial.drills},
                            trial.drills[0].name),
                    _choice(ids.PLAN_PECKS, own_texts.PECK_MODE, dict(texts.PECKING),
                            start.peck_mode),
                    *(
                        html.Label(
                            [
                                html.Span(name),
                                dcc.Input(id={"type": ids.PLAN_FIELD, "name": key}, type="text",
                                          value=_first(key, start, show), debounce=0.4,
                                          maxLength=500 if key == "note" else 100,
                                          autoComplete="off"),
                            ],
                            className="field",
                        )
                        for key, name in _TEXTS.items()
                    ),
                ],
                className="plan-fields",
            ),
            html.Div(id=ids.PLAN_CHECK, className="parts", role="status"),
            html.Button(own_texts.PLAN, id=ids.PLAN_DO, type="button", n_clicks=0,
                        className="button"),
        ],
        className="card plan-run",
    )  # fmt: skip


def _choice(ident: str, name: str, options: dict[Any, str], value: str) -> Component:
    return html.Fieldset(
        [
            html.Legend(name),
            dcc.RadioItems([{"label": text, "value": key} for key, text in options.items()],
                           value, id=ident, inline=True, className="choice"),
        ],
        className="field wide",
    )  # fmt: skip


def _first(key: str, start: CuttingData, show: Show) -> str:
    if key == "speed":
        return show.value(start.speed_m_per_min, "m/min").replace("\u00a0", " ")
    if key == "feed":
        return show.value(start.feed_mm_per_rev, "mm/rev").replace("\u00a0", " ")
    if key == "depth":
        return show.sentence(f"{start.peck_depth_xd:g}")
    return "0" if key == "reground" else ""


def _data(typed: dict[str, str], pecks: str, system: units.UnitSystem) -> CuttingData:
    """Cutting data as they were typed.

    Raises:
        InputError: a field that cannot be read, or that no drill could be driven with.
    """
    return CuttingData(
        read.value(typed["speed"], own_texts.SPEED, "m/min", system),
        read.value(typed["feed"], own_texts.FEED, "mm/rev", system),
        cast("PeckMode", pecks),
        units.parse_number(typed["depth"] or "1", what=own_texts.PECK_DEPTH),
    )


def register(app: Dash, workbench: Workbench) -> None:
    """Checked while it is typed; planned by a click; taken back by another."""
    fields = [
        State({"type": ids.PLAN_FIELD, "name": ALL}, "id"),
        State(ids.TRIAL, "data"),
        State(ids.VIEW, "data"),
    ]

    @app.callback(
        Output(ids.PLAN_CHECK, "children"),
        Output(ids.PLAN_DO, "disabled"),
        Input({"type": ids.PLAN_FIELD, "name": ALL}, "value"),
        Input(ids.PLAN_PECKS, "value"),
        Input(ids.PLAN_DRILL, "value"),
        *fields,
    )
    def check(
        values: list[str | None], pecks: str, drill: str, names: list[dict[str, str]], name: str,
        view: dict[str, Any],
    ) -> tuple[Any, bool]:  # fmt: skip
        show = Show.from_view(view)
        try:
            trial = workbench.trial(name)
            data = _data(_typed(names, values), pecks, show.system)
            workbench.check_cutting_data(trial, data, drill)
        except HolewiseError as error:
            return problem(error), True
        said = html.P(own_texts.WITHIN.format(machine=trial.machine.name or texts.TRIAL_LIVE))
        return [said, next_step.settings(trial, data, show)], False

    @app.callback(
        Output(ids.NEXT_STEP, "children", allow_duplicate=True),
        Output(ids.RUNS, "children", allow_duplicate=True),
        Output(ids.PLAN_CHECK, "children", allow_duplicate=True),
        Output(ids.PLAN_NEXT, "data"),
        Input(ids.PLAN_DO, "n_clicks"),
        State(ids.PLAN_NEXT, "data"),
        State({"type": ids.PLAN_FIELD, "name": ALL}, "value"),
        State(ids.PLAN_PECKS, "value"),
        State(ids.PLAN_DRILL, "value"),
        *fields,
        prevent_initial_call=True,
        running=[(Output(ids.PLAN_DO, "disabled"), True, False)],
    )
    def plan(
        clicks: int | None, number: int, values: list[str | None], pecks: str, drill: str,
        names: list[dict[str, str]], name: str, view: dict[str, Any],
    ) -> tuple[Any, ...]:  # fmt: skip
        if not clicks or ctx.triggered_id != ids.PLAN_DO:
            return (no_update,) * 4
        show = Show.from_view(view)
        try:
            require_editor()
            there = _next(workbench.runs(name))
            if there != number:
                said = problem(own_texts.MEANWHILE.format(number=there - 1))
                return *_again(workbench, name, drill, show), said, there
            typed = _typed(names, values)
            run = workbench.plan_run(
                name, _data(typed, pecks, show.system), drill=drill, note=typed["note"],
                batch=typed["batch"], machine=typed["machine"],
                regrinds_done=read.whole(typed["reground"], own_texts.REGROUND) or 0,
            )  # fmt: skip
        except HolewiseError as error:
            return no_update, no_update, problem(error), no_update
        planned = html.P(own_texts.PLANNED.format(number=run.number), className="done")
        return *_again(workbench, name, drill, show), planned, run.number + 1

    @app.callback(
        Output(ids.NEXT_STEP, "children", allow_duplicate=True),
        Output(ids.RUNS, "children", allow_duplicate=True),
        Output(ids.PLAN_NEXT, "data", allow_duplicate=True),
        Input(ids.PLAN_BACK, "n_clicks"),
        State(ids.PLAN_BACK, "value"),
        State(ids.TRIAL, "data"),
        State(ids.NEXT_DRILL, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def take_back(
        clicks: int | None, number: str, name: str, drill: str, view: dict[str, Any]
    ) -> tuple[Any, ...]:
        if not clicks or ctx.triggered_id != ids.PLAN_BACK:
            return (no_update,) * 3
        show = Show.from_view(view)
        said: Component
        try:
            require_editor()
            run = workbench.withdraw_run(name, int(number))
            said = html.P(own_texts.TAKEN_BACK.format(number=run.number), className="done")
        except HolewiseError as error:
            said = problem(error)
        step, runs = _again(workbench, name, drill, show)
        return [said, step], runs, _next(workbench.runs(name))


def _next(runs: Sequence[Run]) -> int:
    """The number that the next run gets: what is planned twice by mistake is noticed by it."""
    return max((run.number for run in runs), default=0) + 1


def _typed(names: Sequence[dict[str, str]], values: Sequence[str | None]) -> dict[str, str]:
    return {one["name"]: (value or "").strip() for one, value in zip(names, values, strict=True)}


def _again(
    workbench: Workbench, name: str, drill: str | None, show: Show
) -> tuple[Component, Component]:
    trial, runs = workbench.trial(name), workbench.runs(name)
    table = runs_table(trial, runs, workbench.convergence(name, ahead=False), show)
    return next_step.next_step(workbench, show, name, drill), table
