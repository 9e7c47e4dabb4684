"""The page at the drill: what is seen is entered with large keys, photographed, and measured."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from uuid import UUID

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links
from dashboard.access import require_editor, viewer
from dashboard.components import empty_state, problem, runs_nav
from dashboard.pages import look_end, look_entry, look_photo, look_stands
from dashboard.pages.trial import title
from dashboard.show import Show
from dashboard.texts import look as texts
from trials.errors import ConflictError, HolewiseError

if TYPE_CHECKING:
    from trials.model import Run
    from trials.workbench import Workbench

_TICK_MS = 5000


def layout(
    workbench: Workbench, show: Show, name: str, run: int | None = None
) -> tuple[Component, str]:
    """The page of a run; without one of the open run, or the newest."""
    trial = workbench.trial(name)
    runs = workbench.runs(name)
    top = title(trial, show, here="look")
    heading = f"{texts.TITLE} · {trial.name}"
    if not runs and run is None:
        empty = empty_state(texts.EMPTY_TITLE, texts.EMPTY, trial=name)
        return html.Article([top, empty]), heading
    shown = workbench.run(name, run) if run is not None else _at_hand(runs)
    at = {"trial": name, "run": shown.number, "version": workbench.version(name, shown.number)}
    return html.Article(
        [
            top,
            dcc.Store(id=ids.LOOK_AT, data=at),
            dcc.Interval(id=ids.LOOK_TICK, interval=_TICK_MS, disabled=shown.state == "ended"),
            html.Div(
                [
                    html.H2(texts.OF_RUN.format(number=shown.number, drill=shown.drill)),
                    runs_nav([one.number for one in runs], shown.number,
                             lambda other: links.look(name, other), texts.RUNS),
                ],
                className="title",
            ),
            html.P(texts.READER, className="aside") if not viewer().may_edit else None,
            html.Div(
                [
                    look_entry.entry(trial, _holes(workbench, name, shown), show),
                    html.Div(
                        look_stands.stands(workbench, trial, shown, show),
                        id=ids.LOOK_STANDS,
                        className="parts",
                    ),
                ],
                className="look-grid",
            ),
            look_photo.section(workbench, trial, shown, show),
            html.Section(
                [
                    dcc.Store(id=ids.LOOK_END_STANDS, data=look_end.stands(shown)),
                    html.Div(look_end.box(workbench, trial, shown, show), id=ids.LOOK_END_BOX),
                    html.Div(id=ids.LOOK_END_SAID, role="status"),
                ],
                className="card end-of-run",
            ),
        ],
        className="look",
    ), heading  # fmt: skip


def _at_hand(runs: list[Run]) -> Run:
    """The run that a person stands before: recorded, else drilled, else planned, else the last."""
    for state in ("recording", "drilled", "planned"):
        found = [one for one in runs if one.state == state]
        if found:
            return found[0] if state == "planned" else found[-1]
    return runs[-1]


def _holes(workbench: Workbench, name: str, run: Run) -> int:
    """Holes drilled so far, as far as anything tells."""
    view = workbench.live(name, run.number) if run.state == "recording" else None
    counted = run.holes if view is None else view.holes_count
    return max(counted, run.wear[-1].hole if run.wear else 0)


def register(app: Dash, workbench: Workbench) -> None:
    """Readings are kept and taken back; everything else of the page follows."""
    values = State({"type": ids.LOOK_VALUE, "kind": ALL}, "value")
    kinds = State({"type": ids.LOOK_VALUE, "kind": ALL}, "id")

    @app.callback(
        Output(ids.LOOK_AT, "data"),
        Output(ids.LOOK_SAID, "children"),
        Output({"type": ids.LOOK_VALUE, "kind": ALL}, "value"),
        Output(ids.LOOK_NOTE, "value"),
        Input(ids.LOOK_KEEP, "n_clicks"),
        State(ids.LOOK_AT, "data"),
        State(ids.LOOK_HOLE, "value"),
        values,
        kinds,
        State(ids.LOOK_NOTE, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
        running=[(Output(ids.LOOK_KEEP, "disabled"), True, False)],
    )
    def keep(
        clicks: int | None, at: dict[str, Any], hole: str | None, typed: list[str | None],
        of: list[dict[str, str]], note: str | None, view: dict[str, Any],
    ) -> tuple[Any, ...]:  # fmt: skip
        same = [no_update] * len(of)
        if not clicks or ctx.triggered_id != ids.LOOK_KEEP:
            return no_update, no_update, same, no_update
        show = Show.from_view(view)
        name, run = str(at["trial"]), int(at["run"])
        try:
            require_editor()
            reading = look_entry.read(
                hole, {one["kind"]: text for one, text in zip(of, typed, strict=True)}, note,
                show.system,
            )  # fmt: skip
            before = workbench.run(name, run)
            workbench.add_wear(name, run, reading, version=at["version"])
        except ConflictError as error:
            return _now(workbench, at), problem(f"{error} {texts.AGAIN}"), same, no_update
        except HolewiseError as error:
            return no_update, problem(error), same, no_update
        said = look_entry.kept(reading, before.wear, show)
        return _now(workbench, at), said, [""] * len(of), ""

    @app.callback(
        Output(ids.LOOK_AT, "data", allow_duplicate=True),
        Output(ids.LOOK_SAID, "children", allow_duplicate=True),
        Input({"type": ids.LOOK_TAKE, "key": ALL}, "n_clicks"),
        Input({"type": ids.LOOK_PUT, "key": ALL}, "n_clicks"),
        State(ids.LOOK_AT, "data"),
        prevent_initial_call=True,
    )
    def take_back(
        _take: list[int], _put: list[int], at: dict[str, Any]
    ) -> tuple[Any, Component | Any]:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update, no_update
        name, run, version = str(at["trial"]), int(at["run"]), at["version"]
        pressed = dict(ctx.triggered_id)
        try:
            require_editor()
            key = UUID(pressed["key"])
            hole = next(one.reading.hole for one in workbench.wear(name, run) if one.uuid == key)
            if pressed["type"] == ids.LOOK_TAKE:
                workbench.remove_wear(name, run, key, who=viewer().name, version=version)
                said = texts.TAKEN_BACK.format(hole=hole)
            else:
                workbench.restore_wear(name, run, key, version=version)
                said = texts.PUT_BACK_DONE.format(hole=hole)
        except HolewiseError as error:
            return _now(workbench, at), problem(error)
        return _now(workbench, at), html.P(said, className="done")

    @app.callback(
        Output(ids.LOOK_STANDS, "children"),
        Output(ids.LOOK_END_BOX, "children"),
        Output(ids.LOOK_END_STANDS, "data"),
        Output({"type": ids.LOOK_UNIT, "kind": ALL}, "children"),
        Output(ids.LOOK_HELP, "children"),
        Input(ids.LOOK_AT, "data"),
        Input(ids.VIEW, "data"),
        State({"type": ids.LOOK_UNIT, "kind": ALL}, "id"),
        State(ids.LOOK_END_STANDS, "data"),
        prevent_initial_call=True,
    )
    def follow(
        at: dict[str, Any], view: dict[str, Any], of: list[dict[str, str]], before: str
    ) -> tuple[Any, ...]:
        show = Show.from_view(view)
        trial, run = workbench.trial(at["trial"]), workbench.run(at["trial"], at["run"])
        now = look_end.stands(run)
        return (
            look_stands.stands(workbench, trial, run, show),
            no_update if now == before else look_end.box(workbench, trial, run, show),
            now,
            [look_entry.label(one["kind"], show) for one in of],
            look_entry.help_text(show),
        )

    @app.callback(
        Output(ids.LOOK_NEWEST, "children"),
        Output(ids.LOOK_NEWEST, "value"),
        Input(ids.LOOK_TICK, "n_intervals"),
        Input(ids.LOOK_AT, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def newest(_tick: int, at: dict[str, Any], view: dict[str, Any]) -> tuple[str, str]:
        holes = _holes(workbench, at["trial"], workbench.run(at["trial"], at["run"]))
        return texts.NEWEST.format(hole=Show.from_view(view).count(holes)), str(holes)

    @app.callback(
        Output(ids.LOOK_HOLE, "value"),
        Input(ids.LOOK_NEWEST, "n_clicks"),
        State(ids.LOOK_NEWEST, "value"),
        prevent_initial_call=True,
    )
    def take_newest(clicks: int | None, holes: str) -> Any:
        return holes if clicks else no_update

    look_photo.register(app, workbench)
    look_end.register(app, workbench, _now)


def _now(workbench: Workbench, at: dict[str, Any]) -> dict[str, Any]:
    """The run as it stands now; what is kept next builds on it."""
    version = workbench.version(at["trial"], at["run"])
    return {**at, "version": version, "change": int(at.get("change", 0)) + 1}
