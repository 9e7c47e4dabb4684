"""Mending holes by touch: what is to be done is said first, then done, and can be taken back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.access import require_editor, viewer
from dashboard.components import aria, problem
from dashboard.pages import holes_parts as parts
from dashboard.pages.holes_parts import At
from dashboard.show import Show
from trials import units
from trials.errors import HolewiseError, InputError
from trials.workbench import WEAR_STAYS

if TYPE_CHECKING:
    from trials.workbench import Mended, Workbench

_ASKS = (ids.HOLES_MERGE, ids.HOLES_SPLIT, ids.HOLES_DROP, ids.HOLES_ADD)


def mend_section(workbench: Workbench, at: At) -> Component | None:
    """The buttons, the question they ask, and the list of what was mended."""
    if not viewer().may_edit:
        return None
    edits = workbench.edits(at.trial, at.run)

    def button(ident: str, text: str, *, disabled: bool = False, kind: str = "") -> html.Button:
        return html.Button(
            text, id=ident, type="button", n_clicks=0, disabled=disabled,
            className=f"button small {kind}".strip(),
        )  # fmt: skip

    def field(ident: str, text: str, **more: Any) -> html.Label:
        return html.Label([text, dcc.Input(id=ident, debounce=False, **more)], className="field")

    return html.Section(
        [
            html.H2(texts.HOLES_MEND),
            html.P(texts.HOLES_MEND_TEXT, className="aside"),
            html.Div(
                [
                    button(ids.HOLES_MERGE, texts.HOLES_MERGE, disabled=at.hole is None),
                    button(ids.HOLES_SPLIT, texts.HOLES_SPLIT, disabled=at.hole is None),
                    button(ids.HOLES_DROP, texts.HOLES_DROP, disabled=at.hole is None),
                    button(ids.HOLES_ADD, texts.HOLES_ADD),
                    html.Div(
                        [
                            button(ids.HOLES_UNDO, texts.HOLES_UNDO, disabled=not _undo(edits)),
                            button(ids.HOLES_REDO, texts.HOLES_REDO, disabled=not _redo(edits)),
                        ],
                        className="apart",
                    ),
                ],
                className="moves",
                role="group",
                **aria(label=texts.HOLES_MEND),
            ),
            dcc.Store(id=ids.HOLES_DO),
            html.Div(
                [
                    html.P(id=ids.HOLES_ASK_TEXT),
                    html.Div(
                        field(ids.HOLES_SPLIT_AT, texts.HOLES_SPLIT_AT, type="text",
                              inputMode="decimal"),
                        id=ids.HOLES_SPLIT_BOX, className="fields", hidden=True,
                    ),
                    html.Div(
                        [
                            field(ids.HOLES_ADD_START, texts.HOLES_ADD_START, type="text",
                                  inputMode="decimal"),
                            field(ids.HOLES_ADD_END, texts.HOLES_ADD_END, type="text",
                                  inputMode="decimal"),
                        ],
                        id=ids.HOLES_ADD_BOX, className="fields", hidden=True,
                    ),
                    html.P(WEAR_STAYS),
                    field(ids.HOLES_WHO, texts.HOLES_WHO, type="text", maxLength=60,
                          persistence=True, value=""),
                    html.Div(
                        [
                            button(ids.HOLES_CONFIRM, texts.HOLES_CONFIRM, kind="main"),
                            button(ids.HOLES_CANCEL, texts.HOLES_CANCEL),
                        ],
                        className="moves",
                    ),
                ],
                id=ids.HOLES_ASK, className="ask", hidden=True,
            ),
            html.Div(id=ids.HOLES_SAID, role="status"),
            html.H3(texts.HOLES_EDITS),
            html.Div(parts.edits_list(edits), id=ids.HOLES_EDITS),
        ],
        className="card mend",
    )  # fmt: skip


def register_mending(app: Dash, workbench: Workbench) -> None:
    """Ask, then do; undo and redo do at once, because they are each other's way back."""

    @app.callback(
        Output(ids.HOLES_ASK, "hidden"),
        Output(ids.HOLES_ASK_TEXT, "children"),
        Output(ids.HOLES_SPLIT_BOX, "hidden"),
        Output(ids.HOLES_SPLIT_AT, "value"),
        Output(ids.HOLES_ADD_BOX, "hidden"),
        Output(ids.HOLES_ADD_START, "value"),
        Output(ids.HOLES_ADD_END, "value"),
        Output(ids.HOLES_CONFIRM, "disabled"),
        Output(ids.HOLES_DO, "data"),
        *[Input(ident, "n_clicks") for ident in _ASKS],
        Input(ids.HOLES_CANCEL, "n_clicks"),
        Input(ids.HOLES_AT, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def ask(*values: Any) -> tuple[Any, ...]:
        at, view = At.from_plain(values[-2]), values[-1]
        if ctx.triggered_id not in _ASKS:  # cancelled, or another hole was chosen meanwhile
            return (True, *[no_update] * 7, None)
        show = Show.from_view(view)
        return _question(workbench, at, str(ctx.triggered_id), show)

    @app.callback(
        Output(ids.HOLES_AT, "data", allow_duplicate=True),
        Output(ids.HOLES_SAID, "children"),
        Output(ids.HOLES_EDITS, "children"),
        Output(ids.HOLES_UNDO, "disabled"),
        Output(ids.HOLES_REDO, "disabled"),
        Output(ids.HOLES_TRENDS, "children"),
        Input(ids.HOLES_CONFIRM, "n_clicks"),
        Input(ids.HOLES_UNDO, "n_clicks"),
        Input(ids.HOLES_REDO, "n_clicks"),
        State(ids.HOLES_DO, "data"),
        State(ids.HOLES_AT, "data"),
        State(ids.HOLES_SPLIT_AT, "value"),
        State(ids.HOLES_ADD_START, "value"),
        State(ids.HOLES_ADD_END, "value"),
        State(ids.HOLES_WHO, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.HOLES_CONFIRM, "disabled"), True, False)],
    )
    def do(
        _confirm: int, _undo_clicks: int, _redo_clicks: int, asked: str | None,
        plain: Mapping[str, Any], split_at: str | None, start: str | None, end: str | None,
        who: str | None, view: Mapping[str, Any],
    ) -> tuple[Any, ...]:  # fmt: skip
        require_editor()
        at, show = At.from_plain(plain), Show.from_view(view)
        what = asked if ctx.triggered_id == ids.HOLES_CONFIRM else str(ctx.triggered_id)
        if not ctx.triggered[0]["value"] or what is None:
            return (no_update,) * 6
        said: Component
        try:
            done = _done(workbench, at, what, (split_at, start, end), who or texts.HOLES_BY_NOBODY)
            said = html.P(
                texts.HOLES_DONE.format(
                    said=done.said, before=done.holes_before, now=done.holes, note=done.note
                ).strip(),
                className="done",
            )
        except HolewiseError as error:
            said = problem(error)
        holes = workbench.holes(at.trial, at.run)
        edits = workbench.edits(at.trial, at.run)
        hole = None if not len(holes) else min(at.hole or 1, len(holes))
        now = replace(
            at, hole=hole, change=at.change + 1, version=workbench.version(at.trial, at.run)
        )
        return (
            now.plain(), said, parts.edits_list(edits), not _undo(edits), not _redo(edits),
            parts.trends(workbench, at.trial, at.run, show),
        )  # fmt: skip


def _question(workbench: Workbench, at: At, what: str, show: Show) -> tuple[Any, ...]:
    """What is going to happen, with the times filled in that the trace suggests."""
    holes = workbench.holes(at.trial, at.run)
    hidden_split, hidden_add, split_at, start, end = True, True, None, None, None
    number, sure = at.hole, True
    if what == ids.HOLES_ADD:
        quarter = (at.end_s - at.start_s) / 4
        text = texts.HOLES_ASK_ADD
        hidden_add, start, end = False, at.start_s + quarter, at.end_s - quarter
    elif number is None or (what == ids.HOLES_MERGE and number >= len(holes)):
        text, sure = texts.HOLES_ASK_NOT, False
    elif what == ids.HOLES_MERGE:
        text = texts.HOLES_ASK_MERGE.format(number=number, next=number + 1)
    elif what == ids.HOLES_SPLIT:
        text, hidden_split = texts.HOLES_ASK_SPLIT.format(number=number), False
        split_at = workbench.split_place(at.trial, at.run, number)
    else:
        text = texts.HOLES_ASK_DROP.format(number=number)
    typed = [None if one is None else parts.typed_s(one, show) for one in (split_at, start, end)]
    return False, text, hidden_split, typed[0], hidden_add, *typed[1:], not sure, what


def _done(
    workbench: Workbench, at: At, what: str, times: tuple[str | None, str | None, str | None],
    who: str,
) -> Mended:  # fmt: skip
    name, run, number = at.trial, at.run, at.hole or 0
    if what == ids.HOLES_UNDO:
        return workbench.undo_edit(name, run, who=who, version=at.version)
    if what == ids.HOLES_REDO:
        return workbench.redo_edit(name, run, who=who, version=at.version)
    if what == ids.HOLES_MERGE:
        return workbench.merge_holes(name, run, number, number + 1, who=who, version=at.version)
    if what == ids.HOLES_DROP:
        return workbench.drop_hole(name, run, number, who=who, version=at.version)
    split_at, start, end = times
    if what == ids.HOLES_SPLIT:
        at_s = _time_s(split_at, texts.HOLES_SPLIT_AT)
        return workbench.split_hole(name, run, number, at_s, who=who, version=at.version)
    start_s = _time_s(start, texts.HOLES_ADD_START)
    end_s = _time_s(end, texts.HOLES_ADD_END)
    return workbench.add_hole(name, run, start_s, end_s, who=who, version=at.version)


def _time_s(text: str | None, what: str) -> float:
    """A time as a person types it, decimal comma or point.

    Raises:
        InputError: it is no number.
    """
    if text is None or not str(text).strip():
        raise InputError(texts.HOLES_NO_NUMBER)
    return units.parse_number(str(text), what=what)


def _undo(edits: Any) -> bool:
    return any(edit.next_undo for edit in edits)


def _redo(edits: Any) -> bool:
    return any(edit.next_redo for edit in edits)
