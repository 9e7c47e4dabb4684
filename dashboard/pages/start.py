"""The guided page that begins a trial: four steps, errors beside the field, nothing lost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links
from dashboard.access import require_editor
from dashboard.browser import in_browser
from dashboard.components import aria, cautions, problem
from dashboard.pages import start_fields as fields
from dashboard.pages import start_parts as parts
from dashboard.show import Show
from dashboard.texts import start as texts
from trials.errors import ConflictError, HolewiseError, InputError
from trials.model import Overrule, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench

_LAST = len(texts.STEPS) - 1


def layout(workbench: Workbench, show: Show, _trial: str) -> tuple[Component, str]:
    """All steps stand at once and one is shown, so that nothing typed is ever lost."""
    steps = [
        _section(0, [*parts.rows(fields.HOLE[:3]), parts.like(workbench), *parts.rows(
            fields.HOLE[3:])]),
        _section(1, parts.rows(fields.MACHINE)),
        _section(2, parts.drills()),
        _section(3, [html.Div(id=ids.START_FOUND, className="wide", **aria(live="polite"))]),
    ]  # fmt: skip
    content = html.Article(
        [
            html.H1(texts.TITLE),
            html.P(texts.INTRO, className="intro"),
            parts.units_choice(show.system),
            html.Div(parts.progress(0), id=ids.START_STEPS),
            dcc.Store(id=ids.START_STEP, data=0),
            dcc.Store(id=ids.START_FOCUS),
            dcc.Store(id=ids.START_WRONG),
            dcc.Store(id=ids.START_FOCUSED),
            html.Div(id=ids.START_SAID, role="status"),
            *steps,
            html.Div(
                [
                    html.Button(texts.BACK, id=ids.START_BACK, n_clicks=0, type="button",
                                className="button", disabled=True),
                    html.Button(texts.NEXT, id=ids.START_NEXT, n_clicks=0, type="button",
                                className="button main"),
                ],
                className="moves",
            ),
            cautions(),
        ],
        className="start",
    )  # fmt: skip
    return content, texts.TITLE


def _section(number: int, content: list[Any]) -> html.Section:
    title = texts.STEP.format(number=number + 1, steps=len(texts.STEPS), name=texts.STEPS[number])
    return html.Section(
        [html.H2(title, id=f"{ids.START_STEP}-{number}", tabIndex="-1"),
         html.Div(content, className="start-fields")],
        id={"type": ids.START_SECTION, "number": number}, hidden=number > 0, className="card",
    )  # fmt: skip


def register(app: Dash, workbench: Workbench) -> None:
    """Notes beside the fields, the way from step to step, the drill chosen, and the beginning."""
    every = {"type": ids.START_FIELD, "name": ALL}

    @app.callback(
        Output({"type": ids.START_NOTE, "name": ALL}, "children"),
        Output({"type": ids.START_NOTE, "name": ALL}, "className"),
        Input(every, "value"),
        Input(ids.START_UNITS, "value"),
        Input(ids.START_WRONG, "data"),
        State({"type": ids.START_NOTE, "name": ALL}, "id"),
        State(every, "id"),
    )
    def say(
        values: list[Any], system: str, wrong: dict[str, str] | None, notes: Any, names: Any
    ) -> tuple[Any, Any]:
        read = fields.read_fields(_typed(names, values), parts.system(system))
        # What is missing is only said when going on, until something is typed. The notes have one
        # writer: two of them overtake each other on a slow machine.
        if ids.START_WRONG in ctx.triggered_prop_ids.values():
            read.errors.update(wrong or {})
        return parts.notes([one["name"] for one in notes], read)

    @app.callback(
        Output(ids.START_STEP, "data"),
        Output(ids.START_STEPS, "children"),
        Output({"type": ids.START_SECTION, "number": ALL}, "hidden"),
        Output(ids.START_SAID, "children"),
        Output(ids.START_FOUND, "children"),
        Output(ids.START_BACK, "disabled"),
        Output(ids.START_NEXT, "hidden"),
        Output(ids.START_FOCUS, "data"),
        Output(ids.START_WRONG, "data"),
        Input(ids.START_NEXT, "n_clicks"),
        Input(ids.START_BACK, "n_clicks"),
        State(ids.START_STEP, "data"),
        State(every, "value"),
        State(every, "id"),
        State(ids.START_UNITS, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.START_NEXT, "disabled"), True, False)],
    )
    def go(
        ahead: int, back: int, step: int, values: list[Any], names: Any, system: str,
        view: dict[str, Any],
    ) -> tuple[Any, ...]:  # fmt: skip
        if not (ahead or back):
            return (no_update,) * 9
        typed = _typed(names, values)
        read = fields.read_fields(typed, parts.system(system))
        if ctx.triggered_id == ids.START_BACK:
            return _shown(max(0, step - 1), None)
        wrong = fields.missing(fields.BY_STEP[step], typed) | {
            name: text for name, text in read.errors.items() if fields.step_of(name) == step
        }
        if wrong:
            return _shown(step, problem(texts.MENDED), wrong)
        if step + 1 < _LAST:
            return _shown(step + 1, None)
        try:
            found = parts.found(workbench, Show.from_view(view), read.values)
        except InputError as error:
            name = fields.about(error)
            at = step if name is None else fields.step_of(name)
            return _shown(at, problem(error), None if name is None else {name: str(error)})
        return _shown(_LAST, None, found=found)

    @app.callback(
        Output(ids.START_DATA, "children"),
        Input(ids.START_DRILL, "value"),
        Input(ids.VIEW, "data"),
        State(every, "value"),
        State(every, "id"),
        State(ids.START_UNITS, "value"),
    )
    def choose(
        drill: str | None, view: dict[str, Any], values: list[Any], names: Any, system: str
    ) -> Any:
        read = fields.read_fields(_typed(names, values), parts.system(system))
        try:
            return parts.beginning(workbench, Show.from_view(view), read.values, drill)
        except HolewiseError as error:
            return problem(error)

    @app.callback(
        Output(ids.START_BEGUN, "children"),
        Output(ids.START_BEGIN, "disabled"),
        Input(ids.START_BEGIN, "n_clicks"),
        State(ids.START_DRILL, "value"),
        State(ids.START_OVERRULE, "value"),
        State(every, "value"),
        State(every, "id"),
        State(ids.START_UNITS, "value"),
        prevent_initial_call=True,
    )
    def begin(
        clicks: int | None, drill: str, why: str | None, values: list[Any], names: Any, system: str
    ) -> tuple[Any, Any]:
        require_editor()
        if not clicks:
            return no_update, no_update
        read = fields.read_fields(_typed(names, values), parts.system(system))
        try:
            trial = begun(workbench, read.values, drill, why or "")
        except (ConflictError, InputError) as error:
            return problem(error), False
        return parts.has_begun(trial.name, links.trial(trial.name)), True

    @app.callback(
        Output(ids.START_CARD_FILE, "data"),
        Input(ids.START_CARD, "n_clicks"),
        State(ids.START_DRILL, "value"),
        State(every, "value"),
        State(every, "id"),
        State(ids.START_UNITS, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def card(
        clicks: int | None, drill: str, values: list[Any], names: Any, system: str,
        view: dict[str, Any],
    ) -> Any:  # fmt: skip
        if not clicks:
            return no_update
        read = fields.read_fields(_typed(names, values), parts.system(system))
        trial = workbench.draft(fields.plain_trial(read.values, drill), any_start=True)
        found = workbench.begin(trial, drill, **fields.test_material(read.values))
        content = workbench.card(found, Show.from_view(view).system)
        return {"content": content, "filename": texts.CARD_FILE, "type": "text/html"}

    in_browser(app, "startFocus", Output(ids.START_FOCUSED, "data"), Input(ids.START_FOCUS, "data"))


def begun(workbench: Workbench, values: Mapping[str, Any], drill: str, why: str) -> Trial:
    """Store the trial with this drill first; what is overruled goes into its record.

    Raises:
        InputError: it does not fit and no reason was given, or cannot begin at all.
        ConflictError: the name is taken.
    """
    trial = workbench.draft(fields.plain_trial(values, drill))
    candidate = next(
        one for one in workbench.choose(trial).candidates if one.screening.drill.name == drill
    )
    rules = [verdict.rule for verdict in candidate.screening.against]
    if rules and not why.strip():
        raise InputError(texts.OVERRULE_NEEDED.format(drill=drill, rules=", ".join(rules)))
    overruled = tuple(Overrule(drill, rule, why.strip()) for rule in rules)
    for one in overruled:
        workbench.check_overrule(one)
    return workbench.new_trial(replace(trial, overruled=overruled))


def _typed(names: Any, values: list[Any]) -> dict[str, Any]:
    return {one["name"]: value for one, value in zip(names, values, strict=True)}


def _shown(
    step: int, said: Any, wrong: Mapping[str, str] | None = None, found: Any = no_update
) -> tuple[Any, ...]:
    """One step, with what is wrong in its fields; the first of those has the focus."""
    first = next((name for name in fields.FIELDS if name in (wrong or {})), None)
    place = f"{ids.START_STEP}-{step}" if first is None else {"name": first,
                                                              "type": ids.START_FIELD}  # fmt: skip
    return (
        step, parts.progress(step), [number != step for number in range(_LAST + 1)], said, found,
        step == 0, step == _LAST, {"place": place}, wrong,
    )  # fmt: skip
