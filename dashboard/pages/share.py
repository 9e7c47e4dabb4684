"""Pass a trial on: what is left out, what the other side will read; and what came back."""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links
from dashboard.access import require_editor, viewer
from dashboard.components import aria, problem, table
from dashboard.pages.trial import title
from dashboard.show import Show
from dashboard.texts import share as texts
from trials.errors import HolewiseError, InputError
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench

_MOST_DOWNLOAD = 100 * 2**20


def layout(workbench: Workbench, show: Show, name: str) -> tuple[Component, str]:
    """The page; what is left out and what is read follows the choices."""
    trial = workbench.trial(name)
    before = sorted({one for came in workbench.came_in(name) for one in came.removed})
    return html.Article(
        [
            dcc.Store(id=ids.SHARE_TRIAL, data=name),
            dcc.Download(id=ids.SHARE_FILE),
            title(trial, show, here="share"),
            _send(before),
            html.Section(
                [
                    html.H2(texts.ANSWERS),
                    html.Div(answers(workbench, trial, show), id=ids.SHARE_ANSWERS,
                             className="parts"),
                ],
                className="card",
            ),
            html.Section(
                [html.H2(texts.CAME), html.Div(came(workbench, name), id=ids.SHARE_CAME)],
                className="card",
            ),
        ],
        className="share",
    ), f"{texts.TITLE} · {trial.name}"  # fmt: skip


def _send(before: Sequence[str]) -> Component:
    choices = [{"label": said, "value": key} for key, said in texts.LEAVE_CHOICES.items()]
    return html.Section(
        [
            html.H2(texts.SEND),
            html.P(texts.SEND_HELP, className="aside"),
            html.P(texts.ALWAYS.format(removed=", ".join(before))) if before else None,
            html.Fieldset(
                [html.Legend(texts.LEAVE),
                 dcc.Checklist(choices, [], id=ids.SHARE_LEAVE, className="choice")],
            ),
            html.Fieldset(
                [html.Legend(texts.TRACES_LABEL),
                 dcc.RadioItems([{"label": said, "value": key}
                                 for key, said in texts.TRACES.items()],
                                "yes", id=ids.SHARE_TRACES, inline=True, className="choice")],
            ),
            html.Label(
                [html.Span(texts.LICENCE),
                 dcc.Input(id=ids.SHARE_LICENCE, type="text", value="", maxLength=300,
                           autoComplete="off", debounce=True),
                 html.Span(texts.LICENCE_HELP, className="note")],
                className="field",
            ),
            html.Div(id=ids.SHARE_GONE, **aria(live="polite")),
            html.Div(
                [
                    html.Button(texts.SHOW, id=ids.SHARE_SHOW, n_clicks=0, type="button",
                                className="button"),
                    html.Button(texts.REPORT, id=ids.SHARE_REPORT, n_clicks=0, type="button",
                                className="button"),
                    html.Button(texts.PDF, id=ids.SHARE_PDF, n_clicks=0, type="button",
                                className="button"),
                    html.Button(texts.PACKAGE, id=ids.SHARE_PACKAGE, n_clicks=0, type="button",
                                className="button main", disabled=not viewer().may_edit),
                ],
                className="moves",
            ),
            html.Div(id=ids.SHARE_SAID, role="status"),
            html.Div(id=ids.SHARE_SEEN),
        ],
        className="card",
    )  # fmt: skip


def answers(workbench: Workbench, trial: Trial, show: Show) -> list[Component]:
    """Remarks and proposals, each with its origin; those that can be drilled with a button."""
    remarks, proposals = workbench.remarks(trial.name), workbench.proposals(trial.name)
    if not remarks and not proposals:
        return [html.P(texts.ANSWERS_NONE)]
    said = []
    for one in remarks:
        about = texts.REMARK_ALL if one.run is None else texts.REMARK_RUN.format(number=one.run)
        who = one.made_by or texts.SOMEBODY
        day = "" if one.made_utc is None else f"{one.made_utc:%Y-%m-%d}"
        said.append(html.Li([
            texts.REMARK.format(who=who, about=about, text=one.text),
            html.Span(f" ({texts.CAME_FROM.format(file=one.came_from, day=day)})",
                      className="aside"),
        ]))  # fmt: skip
    rows = []
    for each in proposals:
        if each.run is not None:
            state: Component | str = texts.USED.format(number=each.run)
        elif each.problem:
            said_no = show.sentence(each.problem)
            state = html.Span(said_no[:1].upper() + said_no[1:], className="too-much")
        else:
            state = html.Button(
                texts.USE, id={"type": ids.SHARE_USE, "number": each.number}, n_clicks=0,
                type="button", className="button small", disabled=not viewer().may_edit,
            )  # fmt: skip
        rows.append((
            str(each.number), each.drill,
            show.cutting_data(each.cutting_data, trial.drill(each.drill).diameter_mm),
            f"{each.made_by or texts.SOMEBODY} ({each.came_from})", each.why or "–", state,
        ))  # fmt: skip
    parts: list[Component] = [html.Ul(said, className="said-by-others")] if said else []
    if rows:
        parts += [html.H3(texts.PROPOSALS),
                  table(texts.PROPOSAL_COLUMNS, rows, caption=texts.PROPOSALS)]  # fmt: skip
    return parts


def came(workbench: Workbench, name: str) -> list[Component]:
    """What was taken in, and the way to take the last of it out again."""
    found = workbench.came_in(name)
    more = html.P(dcc.Link(texts.TAKE_IN, href=links.take_in(), className="button"))
    if not found:
        return [html.P(texts.CAME_NONE), *([more] if viewer().may_edit else [])]
    rows = [
        (one.file, texts.KINDS[one.kind], f"{one.imported_utc:%Y-%m-%d %H:%M} UTC",
         one.licence or "–")
        for one in found
    ]  # fmt: skip
    parts: list[Component] = [table(texts.CAME_COLUMNS, rows, caption=texts.CAME)]
    if viewer().may_edit:
        parts += [
            html.P(texts.UNDO_HELP.format(file=found[-1].file), className="aside"),
            html.Div(
                [html.Button(texts.UNDO, id=ids.SHARE_UNDO, n_clicks=0, type="button",
                             className="button"), more],
                className="moves",
            ),
        ]  # fmt: skip
    return parts


def register(app: Dash, workbench: Workbench) -> None:
    """What is left out, downloads, using a proposal, taking out what came in."""
    chosen = (State(ids.SHARE_TRIAL, "data"), State(ids.SHARE_LEAVE, "value"))

    @app.callback(
        Output(ids.SHARE_GONE, "children"),
        Input(ids.SHARE_TRIAL, "data"),
        Input(ids.SHARE_LEAVE, "value"),
    )
    def gone(name: str, leave: Any) -> Component:
        try:
            fields = workbench.preview_removal(name, _names(leave))
        except HolewiseError as error:
            return problem(error)
        if not fields:
            return html.P(texts.GONE_NOTHING, className="open-to-all")
        rows = [
            (one.file, one.field, texts.LEAVE_CHOICES[one.removal], f"{one.values:,}")
            for one in fields
        ]
        values = sum(one.values for one in fields)
        count = texts.GONE_COUNT.format(values=f"{values:,}", fields=len(rows))
        return html.Details(
            [html.Summary(count),
             html.P(texts.GONE_NOTES, className="aside"),
             table(texts.GONE_COLUMNS, rows, caption=texts.GONE, numbers=("values",))],
        )  # fmt: skip

    @app.callback(
        Output(ids.SHARE_SEEN, "children"),
        Input(ids.SHARE_SHOW, "n_clicks"),
        *chosen,
        prevent_initial_call=True,
        running=[(Output(ids.SHARE_SHOW, "disabled"), True, False)],
    )
    def seen(clicks: int | None, name: str, leave: Any) -> Any:
        if not clicks:
            return no_update
        try:
            text = workbench.report(name, remove=_names(leave))
        except HolewiseError as error:
            return problem(error)
        # The page inside can run nothing and reach nothing.
        return html.Iframe(srcDoc=text, title=texts.SEEN, sandbox="", className="seen")

    @app.callback(
        Output(ids.SHARE_FILE, "data"),
        Output(ids.SHARE_SAID, "children"),
        Input(ids.SHARE_PACKAGE, "n_clicks"),
        Input(ids.SHARE_REPORT, "n_clicks"),
        Input(ids.SHARE_PDF, "n_clicks"),
        *chosen,
        State(ids.SHARE_TRACES, "value"),
        State(ids.SHARE_LICENCE, "value"),
        prevent_initial_call=True,
        running=[
            (Output(one, "disabled"), True, False) for one in (ids.SHARE_REPORT, ids.SHARE_PDF)
        ],
    )
    def download(
        package: int | None, report: int | None, pdf: int | None, name: str, leave: Any,
        traces: Any, licence: Any,
    ) -> tuple[Any, Any]:  # fmt: skip
        if not (package or report or pdf):
            return no_update, no_update
        try:
            if ctx.triggered_id == ids.SHARE_PACKAGE:
                require_editor()
                data, said = _package(workbench, name, leave, traces, licence)
                return _sent(data, _file_name(name, "zip")), said
            if ctx.triggered_id == ids.SHARE_PDF:
                data = workbench.report_pdf(name, remove=_names(leave))
                return _sent(data, _file_name(name, "pdf")), None
            text = workbench.report(name, remove=_names(leave))
            return {"content": text, "filename": _file_name(name, "html"),
                    "type": "text/html"}, None  # fmt: skip
        except HolewiseError as error:
            return no_update, problem(error)

    @app.callback(
        Output(ids.SHARE_ANSWERS, "children"),
        Output(ids.SHARE_SAID, "children", allow_duplicate=True),
        Input({"type": ids.SHARE_USE, "number": ALL}, "n_clicks"),
        State(ids.SHARE_TRIAL, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def use(clicks: Sequence[int | None], name: str, view: Mapping[str, Any]) -> tuple[Any, Any]:
        require_editor()
        found = ctx.triggered_id
        if not any(clicks) or not isinstance(found, dict):
            return no_update, no_update
        try:
            run = workbench.use_proposal(name, int(found["number"]))
        except (HolewiseError, ValueError, KeyError, TypeError) as error:
            return no_update, problem(error if isinstance(error, HolewiseError) else str(error))
        shown = answers(workbench, workbench.trial(name), Show.from_view(view))
        said = texts.USE_DONE.format(number=run.number, proposal=found["number"])
        return shown, html.P(said, className="done")

    @app.callback(
        Output(ids.SHARE_CAME, "children"),
        Output(ids.SHARE_ANSWERS, "children", allow_duplicate=True),
        Output(ids.LOCATION, "href", allow_duplicate=True),
        Input(ids.SHARE_UNDO, "n_clicks"),
        State(ids.SHARE_TRIAL, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def undo(clicks: int | None, name: str, view: Mapping[str, Any]) -> tuple[Any, Any, Any]:
        require_editor()
        if not clicks:
            return no_update, no_update, no_update
        try:
            taken = workbench.undo_import(name)
        except HolewiseError as error:
            return [problem(error), *came(workbench, name)], no_update, no_update
        if taken.made.get("trial"):
            return no_update, no_update, links.HOME
        said = html.P(texts.UNDONE.format(file=taken.file), className="done")
        shown = answers(workbench, workbench.trial(name), Show.from_view(view))
        return [said, *came(workbench, name)], shown, no_update


def _names(leave: Any) -> list[str]:
    if not isinstance(leave, list) or not all(isinstance(one, str) for one in leave):
        raise InputError(texts.LEAVE, got=leave, allowed=", ".join(texts.LEAVE_CHOICES))
    return leave


def _package(
    workbench: Workbench, name: str, leave: Any, traces: Any, licence: Any
) -> tuple[bytes, Component]:
    with tempfile.TemporaryDirectory() as folder:
        made = workbench.export(
            name, Path(folder) / "package.zip", licence=str(licence or ""),
            traces=traces != "no", remove=_names(leave),
        )  # fmt: skip
        if made.size_bytes > _MOST_DOWNLOAD:
            raise InputError(texts.TOO_LARGE.format(trial=name))
        data = made.path.read_bytes()
    said = [texts.MADE.format(file=_file_name(name, "zip"), size=f"{len(data) / 1e6:,.1f} MB")]
    if made.removed:
        said.append(texts.MADE_REMOVED.format(removed=", ".join(made.removed)))
    return data, html.P(" ".join(said), className="done")


def _sent(data: bytes, name: str) -> dict[str, Any]:
    """Bytes as the download part of the page wants them."""
    return {"content": base64.b64encode(data).decode(), "filename": name, "base64": True}


def _file_name(trial: str, ending: str) -> str:
    plain = "".join(one if one.isalnum() or one in "-_." else "-" for one in trial).strip(".-")
    return f"{plain[:60] or 'trial'}.{ending}"
