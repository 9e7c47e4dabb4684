"""Photos of a drill: taken or chosen, shown at once, measured with two lines."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import ids, links, photos, read
from dashboard.access import require_editor, viewer
from dashboard.components import aria, data, problem
from dashboard.show import Show
from dashboard.texts import look as texts
from trials.errors import HolewiseError, InputError
from trials.model import Line, Photo, Run, Trial, length_on, scale_of

if TYPE_CHECKING:
    from trials.workbench import Workbench

_MOST_BYTES = 15 * 1024 * 1024
_SURE_PIXELS = 2.0
_TALL_VH = 70  # of a photo that is not enlarged; assets/look.js enlarges it from there


def section(workbench: Workbench, trial: Trial, run: Run, show: Show) -> Component:
    """Ways in, the photos there are, the stage to measure on, and where results go."""
    kept = workbench.photos(trial.name, run.number)
    locked = not viewer().may_edit
    return html.Section(
        [
            html.H2(texts.PHOTO),
            html.P(texts.PHOTO_HELP, className="aside"),
            dcc.Store(id=ids.LOOK_LINES),
            dcc.Store(id=ids.LOOK_MEASURED_MM),
            html.Div(
                [
                    _upload(ids.LOOK_CAMERA, texts.PHOTO_TAKE, "camera", locked),
                    _upload(ids.LOOK_FILE, texts.PHOTO_CHOOSE, "", locked),
                ],
                className="moves",
            ),
            html.Div(id=ids.LOOK_PHOTO_SAID, role="status"),
            dcc.Store(id=ids.LOOK_SHOWN, data=str(kept[-1].uuid) if kept else None),
            html.Div(
                parts(workbench, trial.name, run.number, kept[-1] if kept else None, show),
                id=ids.LOOK_PHOTOS,
            ),
        ],
        className="card photos",
    )  # fmt: skip


def _upload(ident: str, text: str, kind: str, locked: bool) -> Component:
    return dcc.Upload(
        html.Span(text, className="button"), id=ident, accept="image/jpeg,image/png,image/webp",
        max_size=_MOST_BYTES, className=f"upload {kind}".strip(), disabled=locked, style={},
        style_active={}, style_reject={}, style_disabled={},
    )  # fmt: skip


def parts(
    workbench: Workbench, name: str, number: int, shown: Photo | None, show: Show
) -> list[Component | None]:
    """Everything of the section that depends on which photo is shown."""
    kept = workbench.photos(name, number)
    gone = workbench.photos(name, number, removed=True)
    return [
        _choices(kept, shown),
        html.P(texts.PHOTO_NONE, className="aside") if shown is None else None,
        None if shown is None else _stage(workbench.trial(name), shown, show),
        html.Div(
            [
                html.Button(texts.PHOTO_RESTORE.format(hole=one.hole),
                            id={"type": ids.LOOK_PHOTO_BACK, "key": str(one.uuid)}, type="button",
                            n_clicks=0, disabled=not viewer().may_edit, className="button small")
                for one in gone
            ],
            className="moves",
        ) if gone else None,
    ]  # fmt: skip


def _choices(kept: Sequence[Photo], shown: Photo | None) -> Component | None:
    if len(kept) < 2:
        return None
    return html.Div(
        [
            html.Button(
                texts.PHOTO_PLACE.format(hole=one.hole, place=place),
                id={"type": ids.LOOK_SHOW, "key": str(one.uuid)}, type="button", n_clicks=0,
                className="button small",
                **aria(pressed=str(shown is not None and one.uuid == shown.uuid).lower()),
            )
            for place, one in enumerate(kept, 1)
        ],
        className="moves choose-photo", role="group", **aria(label=texts.PHOTO),
    )  # fmt: skip


def _stage(trial: Trial, photo: Photo, show: Show) -> Component:
    def mode(kind: str, text: str) -> Component:
        return html.Button(text, type="button", className="button small",
                           **data(line=kind), **aria(pressed="false"))  # fmt: skip

    def zoom(by: str, text: str) -> Component:
        return html.Button(text, type="button", className="button small", **data(zoom=by))

    drill, shape = trial.drill(None).diameter_mm, photo.width_px / photo.height_px
    return html.Div(
        [
            html.Div(
                [
                    mode("scale", texts.STEP_SCALE),
                    html.Label(
                        [html.Span(texts.LENGTH),
                         dcc.Input(id=ids.LOOK_LENGTH, type="text", value=show.length(drill),
                                   autoComplete="off", maxLength=24, debounce=True)],
                        className="field",
                    ),
                    mode("measure", texts.STEP_MEASURE),
                    zoom("in", texts.LARGER),
                    zoom("out", texts.SMALLER),
                ],
                className="moves measure-moves", role="group", **aria(label=texts.LINES),
            ),
            html.P(texts.STEP_SCALE_HELP, className="aside line-help"),
            html.Div(
                html.Div(
                    [
                        html.Img(
                            src=links.photo(photo.uuid), draggable="false",
                            alt=texts.PHOTO_ALT.format(number=photo.run, hole=photo.hole),
                        ),
                        *(html.Div(className=f"line {kind}", **data(of=kind))
                          for kind in ("scale", "measure")),
                        *(
                            html.Button(
                                type="button", className=f"handle {key.split('-')[0]}",
                                **data(handle=key), **aria(label=said),
                            )
                            for key, said in texts.HANDLES.items()
                        ),
                    ],
                    className="stage-picture",
                    style={"width": f"min(100%, {_TALL_VH * shape:.1f}vh)"},
                ),
                className="stage-scroll",
            ),
            html.Div(measured(photo, None, show), id=ids.LOOK_MEASURED, className="measured",
                     role="status"),
            html.Div(
                [
                    html.Span(texts.TAKE_OVER, className="label"),
                    *(
                        html.Button(
                            texts.FIELDS[kind], id={"type": ids.LOOK_TAKE_OVER, "kind": kind},
                            type="button", n_clicks=0, className="button small",
                        )
                        for kind in texts.FIELDS
                    ),
                ],
                id=ids.LOOK_TAKE_OVER_BOX, className="moves", hidden=True,
            ),
            html.Div(
                html.Button(texts.PHOTO_REMOVE, id=ids.LOOK_PHOTO_OUT, type="button", n_clicks=0,
                            disabled=not viewer().may_edit, className="button small"),
                className="moves",
            ),
        ],
        id=ids.LOOK_STAGE, className="stage", key=str(photo.uuid),
        **data(photo=str(photo.uuid), width=str(photo.width_px), height=str(photo.height_px),
               help_scale=texts.STEP_SCALE_HELP, help_measure=texts.STEP_MEASURE_HELP),
    )  # fmt: skip


def measured(photo: Photo, length: float | None, show: Show) -> list[Component]:
    """The length of the measuring line, or what is still to be done."""
    if length is None or photo.mm_per_pixel is None:
        if photo.mm_per_pixel is None:
            return [html.P(texts.MEASURED_NONE)]
        return [html.P(texts.MEASURED_SCALE_THERE)]
    sure = show.value(_SURE_PIXELS * photo.mm_per_pixel, "mm")
    return [
        html.Strong(texts.MEASURED.format(length=show.value(length, "mm")), className="length"),
        html.P(texts.MEASURED_SURE.format(sure=sure)),
    ]


def register(app: Dash, workbench: Workbench) -> None:
    """Keep, show, measure, take over, take out and put back."""

    def shown_now(at: Mapping[str, Any], key: str | None, view: Mapping[str, Any]) -> Any:
        photo = None if key is None else workbench.photo(key)
        return parts(workbench, at["trial"], at["run"], photo, Show.from_view(view))

    @app.callback(
        Output(ids.LOOK_SHOWN, "data"),
        Output(ids.LOOK_PHOTO_SAID, "children"),
        Output(ids.LOOK_CAMERA, "contents"),
        Output(ids.LOOK_FILE, "contents"),
        Output(ids.LOOK_PHOTOS, "children"),
        Input(ids.LOOK_CAMERA, "contents"),
        Input(ids.LOOK_FILE, "contents"),
        State(ids.LOOK_HOLE, "value"),
        State(ids.LOOK_AT, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def take(
        _camera: str | None, _file: str | None, hole: str | None, at: dict[str, Any],
        view: dict[str, Any],
    ) -> tuple[Any, ...]:  # fmt: skip
        contents = ctx.triggered[0]["value"] if ctx.triggered else None
        if not contents:
            return (no_update,) * 5
        try:
            require_editor()
            number = read.whole(hole, texts.NO_HOLE)
            if number is None:
                raise InputError(texts.NO_HOLE, got=hole or "", allowed="a whole number")
            photo = workbench.add_photo(
                at["trial"], at["run"], number, photos.uploaded(contents), who=viewer().name
            )
        except HolewiseError as error:
            return no_update, problem(error), None, None, no_update
        said = html.P(texts.PHOTO_KEPT.format(hole=photo.hole), className="done")
        key = str(photo.uuid)
        return key, said, None, None, shown_now(at, key, view)

    @app.callback(
        Output(ids.LOOK_SHOWN, "data", allow_duplicate=True),
        Output(ids.LOOK_PHOTO_SAID, "children", allow_duplicate=True),
        Output(ids.LOOK_PHOTOS, "children", allow_duplicate=True),
        Input({"type": ids.LOOK_SHOW, "key": ALL}, "n_clicks"),
        Input({"type": ids.LOOK_PHOTO_BACK, "key": ALL}, "n_clicks"),
        Input(ids.LOOK_PHOTO_OUT, "n_clicks"),
        State(ids.LOOK_SHOWN, "data"),
        State(ids.LOOK_AT, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def another(
        _show: list[int], _back: list[int], _out: int | None, key: str | None, at: dict[str, Any],
        view: dict[str, Any],
    ) -> tuple[Any, ...]:  # fmt: skip
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update, no_update, no_update
        pressed = ctx.triggered_id
        said: str = ""
        try:
            if pressed == ids.LOOK_PHOTO_OUT:
                require_editor()
                workbench.remove_photo(str(key), who=viewer().name)
                left = workbench.photos(at["trial"], at["run"])
                key, said = (str(left[-1].uuid) if left else None), texts.PHOTO_REMOVED
            else:
                key = str(pressed["key"])
                if pressed["type"] == ids.LOOK_PHOTO_BACK:
                    require_editor()
                    hole = workbench.restore_photo(key).hole
                    said = texts.PHOTO_RESTORED.format(hole=hole)
        except HolewiseError as error:
            return no_update, problem(error), no_update
        told = html.P(said, className="done") if said else None
        return key, told, shown_now(at, key, view)

    @app.callback(
        Output(ids.LOOK_MEASURED, "children"),
        Output(ids.LOOK_MEASURED_MM, "data"),
        Output(ids.LOOK_TAKE_OVER_BOX, "hidden"),
        Input(ids.LOOK_LINES, "data"),
        Input(ids.LOOK_LENGTH, "value"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def measure(
        lines: dict[str, Any] | None, length: str | None, view: dict[str, Any]
    ) -> tuple[Any, ...]:
        if not lines:
            return no_update, no_update, no_update
        show = Show.from_view(view)
        try:
            photo = workbench.photo(str(lines["photo"]))
            scale = _line(lines.get("scale"))
            if scale is not None:
                known = read.length_mm(length, texts.LENGTH, show.system)
                if known is None:
                    raise InputError(texts.LENGTH, got="", allowed="a length such as 8.5 mm")
                found = scale_of(scale, known)
                if photo.mm_per_pixel is None or not math.isclose(found, photo.mm_per_pixel):
                    require_editor()
                    photo = workbench.set_photo_scale(photo.uuid, found)
            drawn = _line(lines.get("measure"))
            mm = None if drawn is None else length_on(photo, drawn)
        except HolewiseError as error:
            return problem(error), None, True
        if mm is None and scale is not None and photo.mm_per_pixel is not None:
            pixel = show.value(photo.mm_per_pixel, "mm")
            return html.P(texts.MEASURED_SCALE.format(pixel=pixel)), None, True
        return measured(photo, mm, show), mm, mm is None

    @app.callback(
        Output({"type": ids.LOOK_VALUE, "kind": ALL}, "value", allow_duplicate=True),
        Input({"type": ids.LOOK_TAKE_OVER, "kind": ALL}, "n_clicks"),
        State({"type": ids.LOOK_VALUE, "kind": ALL}, "id"),
        State(ids.LOOK_MEASURED_MM, "data"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def take_over(
        _clicks: list[int], of: list[dict[str, str]], mm: float | None, view: dict[str, Any]
    ) -> list[Any]:
        if mm is None or not ctx.triggered or not ctx.triggered[0]["value"]:
            return [no_update] * len(of)
        kind = ctx.triggered_id["kind"]
        text = Show.from_view(view).value(mm, "mm").replace("\u00a0", " ")
        return [text if one["kind"] == kind else no_update for one in of]


def _line(points: Any) -> Line | None:
    """A line as the browser drew it: two points of two finite numbers.

    Raises:
        InputError: it is not that.
    """
    if points is None:
        return None
    try:
        (x_0, y_0), (x_1, y_1) = points
        line = (float(x_0), float(y_0)), (float(x_1), float(y_1))
    except (TypeError, ValueError):
        raise InputError(texts.LINES, got=str(points), allowed="two points") from None
    if not all(math.isfinite(value) for point in line for value in point):
        raise InputError(texts.LINES, got=str(points), allowed="two points")
    return line
