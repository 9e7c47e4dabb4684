"""Below the next step of a trial: which drill, what is learned from, several tests at once."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids
from dashboard.access import require_editor, viewer
from dashboard.components import Cell, aria, problem, table
from dashboard.pages import next_step
from dashboard.pages.runs_table import runs_table
from dashboard.show import NOTHING, Show
from dashboard.texts import next_more as texts
from trials.errors import HolewiseError, InputError
from trials.figures import setting_card
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import NextTest, Workbench

_COUNTS = (2, 3, 4)


def more_parts(workbench: Workbench, show: Show, name: str, drill: str | None) -> list[Component]:
    """The sections; each is left out where it has nothing to say."""
    trial = workbench.trial(name)
    parts = [_like(workbench, trial, drill, show), _plan(workbench, trial)]
    if len(trial.drills) > 1:
        parts.insert(0, _drills(workbench, trial, show))
    return parts


def _drills(workbench: Workbench, trial: Trial, show: Show) -> Component:
    try:
        found = workbench.next_test(trial.name)
    except InputError as error:
        return html.Section([html.H3(texts.DRILLS_TITLE), problem(error)], className="card")
    answer, currency = found.suggestion, trial.economics.currency
    if found.stop:
        said = texts.DRILLS_STOP.format(drill=found.drill)
    elif viewer().sees_prices and answer.value > 0:
        said = texts.DRILLS_GO.format(
            drill=found.drill,
            saves=show.money(answer.value, currency),
            costs=show.money(answer.test_cost, currency),
        )
    else:
        said = texts.DRILLS_GO_PLAIN.format(drill=found.drill)
    return html.Section(
        [
            html.H3(texts.DRILLS_TITLE),
            html.P(said),
            dcc.Store(id=ids.NEXT_CHOOSE_NAME, data=found.drill),
            html.Button(
                texts.DRILLS_SHOW.format(drill=found.drill), id=ids.NEXT_CHOOSE, n_clicks=0,
                type="button", className="button",
            ),
            _drills_table(found, trial, show),
        ],
        className="card",
    )  # fmt: skip


def _drills_table(found: NextTest, trial: Trial, show: Show) -> Component:
    rows: list[list[Cell]] = []
    currency = trial.economics.currency
    for test in found.tests:
        answer = test.suggestion
        if answer is None:
            rows.append([test.drill, show.count(test.runs), texts.DRILLS_NOTHING, *[NOTHING] * 4])
            continue
        cost = answer.cost_per_hole
        rows.append(
            [
                test.drill,
                show.count(test.runs),
                show.cutting_data(answer.cutting_data, trial.hole.diameter_mm),
                show.count_span(answer.holes.low, answer.holes.high),
                show.money(cost.median, currency),
                show.money(test.value, currency),
                show.money(answer.test_cost, currency),
            ]
        )
    return table(
        texts.DRILLS_COLUMNS, rows, caption=texts.DRILLS_TITLE,
        numbers=("runs", "holes", "cost", "saves", "costs"), money=("cost", "saves", "costs"),
    )  # fmt: skip


def _like(workbench: Workbench, trial: Trial, drill: str | None, show: Show) -> Component:
    found = workbench.like_trials(trial.name, drill)
    rows: list[list[Cell]] = [
        [
            texts.LIKE_THIS if one.trial == trial.name else one.trial,
            one.drill,
            show.count(one.runs),
            show.pct(100 * one.likeness),
            show.sentence(one.why),
            texts.LIKE_COUNTS if one in found.used else texts.LIKE_COUNTS_NOT,
        ]
        for one in (*found.used, *found.left_out)
    ]
    parts: list[Component | None] = [html.Summary(f"{texts.LIKE_TITLE} ({len(found.used)})")]
    if not rows:
        parts.append(html.P(texts.LIKE_NONE))
    else:
        parts.append(
            table(texts.LIKE_COLUMNS, rows, caption=texts.LIKE_TITLE, numbers=("runs", "alike"))
        )
    if found.holes_with is not None and found.holes_without is not None:
        a, b = found.holes_with, found.holes_without
        said = texts.LIKE_CHANGE.format(
            with_them=show.count(a.median), with_span=show.count_span(a.low, a.high),
            without=show.count(b.median), without_span=show.count_span(b.low, b.high),
        )  # fmt: skip
        parts.append(html.P(said))
    others = any(one.trial != trial.name for one in (*found.used, *found.left_out))
    if others and viewer().may_edit:
        parts += [
            dcc.Store(id=ids.NEXT_ALONE_NOW, data=trial.alone),
            html.Button(
                texts.LIKE_COUNT if trial.alone else texts.LIKE_LEAVE, id=ids.NEXT_ALONE,
                n_clicks=0, type="button", className="button",
            ),
        ]  # fmt: skip
    return html.Details(parts, className="card", open=bool(rows))


def _plan(workbench: Workbench, trial: Trial) -> Component:
    waiting = [run for run in workbench.runs(trial.name) if run.state == "planned"]
    if len(waiting) > 1:
        return html.Div()
    count = dcc.RadioItems(
        [{"label": str(one), "value": one} for one in _COUNTS], None, id=ids.PLAN_COUNT,
        inline=True, className="choice",
    )  # fmt: skip
    return html.Details(
        [
            html.Summary(texts.PLAN_TITLE),
            html.P(texts.PLAN_TEXT),
            html.Div(
                [html.Span(texts.PLAN_COUNT, className="label", id=f"{ids.PLAN_COUNT}-label"),
                 count],
                role="group", **aria(labelledby=f"{ids.PLAN_COUNT}-label"),
            ),
            html.Div(id=ids.PLAN_SHOWN, **aria(live="polite")),
        ],
        className="card",
    )  # fmt: skip


def plan_parts(
    workbench: Workbench, show: Show, name: str, drill: str | None, count: int
) -> list[Component | None]:
    """The tests of a plan, and what can be done with them."""
    trial, runs = workbench.trial(name), workbench.runs(name)
    used = trial.drill(drill).name
    tests = workbench.plan(name, count, used)
    first = max((run.number for run in runs), default=0) + 1
    currency = trial.economics.currency
    rows: list[list[Cell]] = []
    for number, test in enumerate(tests, start=first):
        card, data = setting_card(test.cutting_data, trial.hole), test.cutting_data
        holes, load, cost = test.holes, test.load_worn_pct, test.cost_per_hole
        rpm = show.count(math.floor(card.rpm))
        rate = show.value(math.floor(card.feed_rate_mm_per_min), "mm/min")
        span = show.money_span(cost.low, cost.high, currency)
        rows.append(
            [
                str(number),
                f"{rpm}\u00a0/min ({show.value(data.speed_m_per_min, 'm/min')})",
                f"{rate} ({show.value(data.feed_mm_per_rev, 'mm/rev')})",
                show.pecking(data, trial.hole.diameter_mm),
                show.count(test.test_holes or trial.max_test_holes),
                f"{show.count(holes.median)} ({show.count_span(holes.low, holes.high)})",
                f"{show.pct(load.median)} ({show.pct_span(load.low, load.high)})",
                f"{show.money(cost.median, currency)} ({span})",
            ]
        )
    reasons: dict[str, list[str]] = {}
    for number, test in enumerate(tests, start=first):
        reasons.setdefault(test.why, []).append(str(number))
    waiting = [str(run.number) for run in runs if run.state in ("planned", "recording")]
    parts: list[Component | None] = [
        table(texts.PLAN_COLUMNS, rows, caption=texts.PLAN_TITLE,
              numbers=("length", "holes", "load", "cost"), money=("cost",)),
        html.Ul([html.Li(texts.PLAN_WHY.format(numbers=", ".join(numbers), why=show.sentence(why)))
                 for why, numbers in reasons.items()]),
        # What was seen is what may be planned.
        dcc.Store(id=ids.PLAN_SEEN, data=[asdict(test.cutting_data) for test in tests]),
        dcc.Download(id=ids.PLAN_FILE),
    ]  # fmt: skip
    if waiting:
        parts.append(html.P(texts.PLAN_OPEN.format(runs=", ".join(waiting)), className="aside"))
    elif viewer().may_edit:
        does = texts.PLAN_USE_DOES.format(first=first, last=first + len(tests) - 1, drill=used)
        parts.append(
            html.Div(
                [
                    html.Button(texts.PLAN_USE, id=ids.PLAN_USE, n_clicks=0, type="button",
                                className="button main"),
                    html.P(does),
                ],
                className="act",
            )
        )  # fmt: skip
    parts.append(
        html.Button(texts.PLAN_PRINT, id=ids.PLAN_PRINT, n_clicks=0, type="button",
                    className="button")
    )  # fmt: skip
    return parts


def register(app: Dash, workbench: Workbench) -> None:
    """Sections after the next step stands; their buttons."""

    @app.callback(
        Output(ids.NEXT_MORE, "children"),
        # After the next step, so that what matters most is there first.
        Input(ids.NEXT_STEP, "children"),
        State(ids.TRIAL, "data"),
        State(ids.NEXT_DRILL, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def show_more(_: Any, name: str, drill: str, view: dict[str, Any]) -> Any:
        try:
            return more_parts(workbench, Show.from_view(view), name, drill)
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.NEXT_DRILL, "value"),
        Input(ids.NEXT_CHOOSE, "n_clicks"),
        State(ids.NEXT_CHOOSE_NAME, "data"),
        prevent_initial_call=True,
    )
    def choose_drill(clicks: int | None, drill: str) -> Any:
        return drill if clicks else no_update

    @app.callback(
        Output(ids.NEXT_STEP, "children", allow_duplicate=True),
        Input(ids.NEXT_ALONE, "n_clicks"),
        State(ids.NEXT_ALONE_NOW, "data"),
        State(ids.TRIAL, "data"),
        State(ids.NEXT_DRILL, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.NEXT_ALONE, "disabled"), True, False)],
    )
    def leave_out(
        clicks: int | None, alone: bool, name: str, drill: str, view: dict[str, Any]
    ) -> Any:
        if not clicks:
            return no_update
        require_editor()
        try:
            workbench.set_search(name, alone=not alone)
            return next_step.next_step(workbench, Show.from_view(view), name, drill)
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.PLAN_SHOWN, "children"),
        Input(ids.PLAN_COUNT, "value"),
        State(ids.TRIAL, "data"),
        State(ids.NEXT_DRILL, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def show_plan(count: int | None, name: str, drill: str, view: dict[str, Any]) -> Any:
        if count not in _COUNTS:
            return no_update
        try:
            return plan_parts(workbench, Show.from_view(view), name, drill, count)
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.NEXT_STEP, "children", allow_duplicate=True),
        Output(ids.RUNS, "children", allow_duplicate=True),
        Output(ids.PLAN_SHOWN, "children", allow_duplicate=True),
        Input(ids.PLAN_USE, "n_clicks"),
        State(ids.PLAN_COUNT, "value"),
        State(ids.PLAN_SEEN, "data"),
        State(ids.TRIAL, "data"),
        State(ids.NEXT_DRILL, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.PLAN_USE, "disabled"), True, False)],
    )
    def use_plan(
        clicks: int | None, count: int, seen: list[dict[str, Any]], name: str, drill: str,
        view: dict[str, Any],
    ) -> tuple[Any, Any, Any]:  # fmt: skip
        if not clicks or count not in _COUNTS:
            return no_update, no_update, no_update
        require_editor()
        show = Show.from_view(view)
        try:
            if not accept_plan(workbench, name, drill, seen):
                shown = plan_parts(workbench, show, name, drill, count)
                return no_update, no_update, [problem(texts.PLAN_CHANGED), *shown]
            step = next_step.next_step(workbench, show, name, drill)
            trial, runs = workbench.trial(name), workbench.runs(name)
            return step, runs_table(trial, runs, workbench.convergence(name, ahead=False), show), []
        except HolewiseError as error:
            return no_update, no_update, problem(error)

    @app.callback(
        Output(ids.PLAN_FILE, "data"),
        Input(ids.PLAN_PRINT, "n_clicks"),
        State(ids.PLAN_COUNT, "value"),
        State(ids.TRIAL, "data"),
        State(ids.NEXT_DRILL, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def print_plan(
        clicks: int | None, count: int, name: str, drill: str, view: dict[str, Any]
    ) -> Any:
        if not clicks or count not in _COUNTS:
            return no_update
        content = workbench.plan_card(name, count, drill, system=Show.from_view(view).system)
        return {"content": content, "filename": texts.PLAN_FILE, "type": "text/html"}


def accept_plan(
    workbench: Workbench, name: str, drill: str | None, seen: list[dict[str, Any]]
) -> bool:
    """Plan the tests that the reader saw; False when the plan is no longer the one given now.

    Raises:
        HolewiseError: a run is open, or a test is beyond the machine.
    """
    now = [asdict(test.cutting_data) for test in workbench.plan(name, len(seen), drill)]
    if now != seen:
        return False
    workbench.use_plan(name, len(seen), drill)
    return True
