"""Take in a file: a package looked through side by side, or a sheet of earlier runs matched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links
from dashboard.access import require_editor
from dashboard.components import aria, problem
from dashboard.pages import take_in_package as package
from dashboard.pages import take_in_sheet as sheet
from dashboard.show import Show
from dashboard.texts import take_in as texts
from dashboard.uploads import file_of
from trials.errors import HolewiseError, InputError

if TYPE_CHECKING:
    from trials.workbench import Workbench

_MOST_BYTES = 16 * 2**20
_ZIP = b"PK\x03\x04"


def layout(_workbench: Workbench, _show: Show, _trial: str) -> tuple[Component, str]:
    """A place for the file; what it holds comes below."""
    return html.Article(
        [
            html.H1(texts.TITLE),
            html.P(texts.INTRO, className="intro"),
            dcc.Store(id=ids.IN_HELD),
            dcc.Upload(
                html.Span(texts.CHOOSE, className="button main"), id=ids.IN_FILE,
                accept=".zip,.csv,.txt,.tsv", max_size=_MOST_BYTES, className="upload drop-here",
                style={}, style_active={}, style_reject={}, style_disabled={},
            ),
            html.Div(id=ids.IN_SAID, role="status"),
            html.Div(id=ids.IN_FOUND, className="parts", **aria(live="polite")),
            html.Div(id=ids.IN_DONE, role="status"),
        ],
        className="take-in",
    ), texts.TITLE  # fmt: skip


def register(app: Dash, workbench: Workbench) -> None:
    """Look a file through, follow what is chosen, take it in."""

    @app.callback(
        Output(ids.IN_HELD, "data"),
        Output(ids.IN_FOUND, "children"),
        Output(ids.IN_SAID, "children"),
        Output(ids.IN_DONE, "children", allow_duplicate=True),
        Input(ids.IN_FILE, "contents"),
        State(ids.IN_FILE, "filename"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def look(contents: Any, name: Any, view: Mapping[str, Any]) -> tuple[Any, Any, Any, Any]:
        require_editor()
        if not contents:
            return no_update, no_update, no_update, no_update
        try:
            name, data = file_of(contents, name)
            is_package = data.startswith(_ZIP)
            if not is_package and name.lower().endswith((".xlsx", ".xls", ".ods", ".zip", ".pdf")):
                raise InputError(texts.ODD)
            token = workbench.hold_file(name, data)
            show = Show.from_view(view)
            found = (package.found(workbench, token, show) if is_package
                     else sheet.found(workbench, token, show))  # fmt: skip
        except HolewiseError as error:
            return None, None, problem(error), None
        return token, found, None, None

    @app.callback(
        Output(ids.IN_DONE, "children"),
        Output(ids.IN_FOUND, "children", allow_duplicate=True),
        Input(ids.IN_PACKAGE, "n_clicks"),
        State(ids.IN_HELD, "data"),
        State(ids.IN_NAME, "value"),
        State({"type": ids.IN_SIDE, "key": ALL}, "value"),
        State({"type": ids.IN_SIDE, "key": ALL}, "id"),
        prevent_initial_call=True,
        running=[(Output(ids.IN_PACKAGE, "disabled"), True, False)],
    )
    def take_package(
        clicks: int | None, token: Any, name: Any, sides: Sequence[Any], keys: Any
    ) -> tuple[Any, Any]:
        require_editor()
        if not clicks:
            return no_update, no_update
        try:
            taken = package.take(workbench, token, name, sides, keys)
        except HolewiseError as error:
            return problem(error), no_update
        said = texts.STORED_PACKAGE.format(file=taken.file)
        return _done(said, taken.trial), None

    @app.callback(
        Output({"type": ids.IN_SIDE, "key": ALL}, "value"),
        Input(ids.IN_ALL_MINE, "n_clicks"),
        Input(ids.IN_ALL_THEIRS, "n_clicks"),
        State({"type": ids.IN_SIDE, "key": ALL}, "options"),
        prevent_initial_call=True,
    )
    def all_of(mine: int | None, theirs: int | None, options: Sequence[Any]) -> Any:
        if not (mine or theirs):
            return [no_update] * len(options)
        return package.all_of_one_side(options)

    @app.callback(
        Output(ids.IN_ROWS, "children"),
        Output(ids.IN_RUNS, "disabled"),
        Input(ids.IN_TRIAL, "value"),
        Input({"type": ids.IN_COLUMN, "place": ALL}, "value"),
        Input({"type": ids.IN_OPTION, "name": ALL}, "value"),
        State({"type": ids.IN_COLUMN, "place": ALL}, "id"),
        State({"type": ids.IN_OPTION, "name": ALL}, "id"),
        State(ids.IN_HELD, "data"),
        State(ids.VIEW, "data"),
    )
    def follow(
        trial: Any, columns: Any, options: Any, places: Any, names: Any, token: Any,
        view: Mapping[str, Any],
    ) -> tuple[Any, Any]:  # fmt: skip
        if not token:
            return no_update, no_update
        try:
            asked = sheet.asked(workbench, token, trial, columns, places, options, names)
            return sheet.rows(workbench, asked, Show.from_view(view))
        except HolewiseError as error:
            return problem(error), True

    @app.callback(
        Output(ids.IN_DONE, "children", allow_duplicate=True),
        Output(ids.IN_FOUND, "children", allow_duplicate=True),
        Input(ids.IN_RUNS, "n_clicks"),
        State(ids.IN_TRIAL, "value"),
        State({"type": ids.IN_COLUMN, "place": ALL}, "value"),
        State({"type": ids.IN_OPTION, "name": ALL}, "value"),
        State({"type": ids.IN_COLUMN, "place": ALL}, "id"),
        State({"type": ids.IN_OPTION, "name": ALL}, "id"),
        State(ids.IN_HELD, "data"),
        prevent_initial_call=True,
    )
    def take_runs(
        clicks: int | None, trial: Any, columns: Any, options: Any, places: Any, names: Any,
        token: Any,
    ) -> tuple[Any, Any]:  # fmt: skip
        require_editor()
        if not clicks:
            return no_update, no_update
        try:
            asked = sheet.asked(workbench, token, trial, columns, places, options, names)
            taken = workbench.import_runs(
                asked.path, asked.trial, choices=asked.choices, skip_refused=asked.skip_refused
            )
        except HolewiseError as error:
            return problem(error), no_update
        return _done(texts.STORED_RUNS.format(count=len(taken.new)), taken.trial), None


def _done(said: str, trial: str) -> Component:
    return html.Div(
        [
            html.P(said, className="done"),
            html.P(texts.UNDO, className="aside"),
            html.P([dcc.Link(texts.OPEN, href=links.trial(trial), className="button main")]),
        ],
        className="card",
    )
