"""How a run ended: large buttons, asked once more, and a way back."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, get_args

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links, read
from dashboard.access import require_editor, viewer
from dashboard.components import SILENT, aria, problem
from dashboard.show import Show
from dashboard.texts import look as texts
from trials.errors import HolewiseError, InputError
from trials.figures import END_MARKS
from trials.model import ENDS, End, Run, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench

    Now = Callable[[Workbench, dict[str, Any]], dict[str, Any]]


def stands(run: Run) -> str:
    """Changes whenever `box` says something else; a question that is open stays open till then."""
    return f"{run.state}|{run.end}|{run.holes}"


def box(workbench: Workbench, trial: Trial, run: Run, show: Show) -> list[Component | None]:
    """The ways to end an open run, or how it ended with the way back."""
    if run.end is not None:
        return _ended(workbench, trial, run, show)
    locked = not viewer().may_edit
    counted = run.holes > 0 or run.state != "planned"
    return [
        html.H2(texts.END),
        html.P(texts.END_RECORDING if run.state == "recording" else texts.END_HELP,
               className="aside"),
        html.Div(
            [
                html.Button(
                    [
                        html.Span(END_MARKS[end].sign, className="sign", **SILENT),
                        html.Strong(texts.END_WORDS[end]),
                        html.Span(texts.END_MEANS[end], className="means"),
                    ],
                    id={"type": ids.LOOK_END, "end": end}, type="button", n_clicks=0,
                    disabled=locked, className=f"end-button {END_MARKS[end].role}",
                )
                for end in ENDS
            ],
            className="end-buttons",
            role="group",
            **aria(label=texts.END),
        ),
        dcc.Store(id=ids.LOOK_END_ASKED),
        html.Div(
            [
                html.P(id=ids.LOOK_END_TEXT, className="lead"),
                html.Label(
                    [
                        html.Span(texts.END_HOLES_COUNTED.format(holes=show.count(run.holes))
                                  if counted else texts.END_HOLES),
                        dcc.Input(id=ids.LOOK_END_HOLES, type="text", inputMode="numeric",
                                  autoComplete="off", maxLength=12,
                                  value=str(run.holes) if counted else ""),
                    ],
                    className="field",
                ),
                html.P(texts.END_HOLES_TYPED, className="aside") if not counted else None,
                html.Label(
                    [html.Span(texts.END_NOTE),
                     dcc.Input(id=ids.LOOK_END_NOTE, type="text", value="", maxLength=500)],
                    className="field wide",
                ),
                html.Div(
                    [
                        html.Button(texts.END_DO.format(number=run.number), id=ids.LOOK_END_DO,
                                    type="button", n_clicks=0, className="button main large"),
                        html.Button(texts.END_CANCEL, id=ids.LOOK_END_CANCEL, type="button",
                                    n_clicks=0, className="button large"),
                    ],
                    className="moves",
                ),
            ],
            id=ids.LOOK_END_ASK, className="ask", hidden=True,
        ),
    ]  # fmt: skip


def _ended(workbench: Workbench, trial: Trial, run: Run, show: Show) -> list[Component | None]:
    assert run.end is not None  # noqa: S101 - the caller asks for it
    cost = workbench.cost(trial.name, run.number) if viewer().sees_prices and run.holes else None
    return [
        html.H2(texts.ENDED.format(number=run.number, holes=show.count(run.holes),
                                   means=texts.END_MEANS[run.end])),
        html.P(show.sentence(workbench.holes_to_wear(trial.name, run.number).why)),
        None if cost is None else html.P(
            texts.ENDED_COST.format(cost=show.money(cost.total, cost.currency))),
        html.Div(
            [
                dcc.Link(texts.ENDED_NEXT, href=links.trial(trial.name), className="button main"),
                html.Button(texts.ENDED_UNDO, id=ids.LOOK_REOPEN, type="button", n_clicks=0,
                            disabled=not viewer().may_edit, className="button"),
            ],
            className="moves",
        ),
    ]  # fmt: skip


def register(app: Dash, workbench: Workbench, now: Now) -> None:
    """Ask, then end; opening it again is the way back."""

    @app.callback(
        Output(ids.LOOK_END_ASK, "hidden"),
        Output(ids.LOOK_END_TEXT, "children"),
        Output(ids.LOOK_END_ASKED, "data"),
        Input({"type": ids.LOOK_END, "end": ALL}, "n_clicks"),
        Input(ids.LOOK_END_CANCEL, "n_clicks"),
        State(ids.LOOK_AT, "data"),
        prevent_initial_call=True,
    )
    def ask(_clicks: list[int], _cancel: int, at: dict[str, Any]) -> tuple[Any, ...]:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update, no_update, no_update
        if ctx.triggered_id == ids.LOOK_END_CANCEL:
            return True, "", None
        end = str(ctx.triggered_id["end"])
        if end not in get_args(End):
            return no_update, no_update, no_update
        means = texts.END_MEANS[end]  # type: ignore[index]  # looked at in the line above
        return False, texts.END_ASK.format(number=at["run"], means=means), end

    @app.callback(
        Output(ids.LOOK_AT, "data", allow_duplicate=True),
        Output(ids.LOOK_END_SAID, "children"),
        Input(ids.LOOK_END_DO, "n_clicks"),
        State(ids.LOOK_END_ASKED, "data"),
        State(ids.LOOK_END_HOLES, "value"),
        State(ids.LOOK_END_NOTE, "value"),
        State(ids.LOOK_AT, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.LOOK_END_DO, "disabled"), True, False)],
    )
    def end(
        clicks: int | None, asked: str | None, typed: str | None, note: str | None,
        at: dict[str, Any],
    ) -> tuple[Any, Any]:  # fmt: skip
        if not clicks or asked is None:
            return no_update, no_update
        name, run = str(at["trial"]), int(at["run"])
        try:
            require_editor()
            holes = read.whole(typed, texts.END_HOLES)
            before = workbench.run(name, run)
            if holes is None and before.state == "planned":
                raise InputError(texts.END_HOLES_TYPED)
            if holes == before.holes and before.state != "planned":
                holes = None  # as it was counted
            workbench.end_run(name, run, asked, holes=holes, note=(note or "").strip(),  # type: ignore[arg-type]  # refused if unknown
                              version=at["version"])  # fmt: skip
        except HolewiseError as error:
            return now(workbench, at), problem(error)
        return now(workbench, at), None

    @app.callback(
        Output(ids.LOOK_AT, "data", allow_duplicate=True),
        Output(ids.LOOK_END_SAID, "children", allow_duplicate=True),
        Input(ids.LOOK_REOPEN, "n_clicks"),
        State(ids.LOOK_AT, "data"),
        prevent_initial_call=True,
    )
    def reopen(clicks: int | None, at: dict[str, Any]) -> tuple[Any, Any]:
        if not clicks:
            return no_update, no_update
        try:
            require_editor()
            run = workbench.reopen_run(at["trial"], at["run"], version=at["version"])
        except HolewiseError as error:
            return now(workbench, at), problem(error)
        said = texts.ENDED_UNDONE.format(number=run.number)
        return now(workbench, at), html.P(said, className="done")
