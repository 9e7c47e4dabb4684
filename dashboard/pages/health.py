"""How the loggers do: seen from their journals and the store, so that no logger is held up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard import ids, links
from dashboard.components import SILENT, Cell, aria, empty_state, figure, table, tile, tiles
from dashboard.show import Show
from dashboard.texts import health as texts
from trials.figures import RecordedLines, draw_recorded_lines

if TYPE_CHECKING:
    from trials.workbench import LoggerHealth, RecordingHealth, Workbench

TICK_MS = 2000
_LOW_BYTES = 1e9


def layout(workbench: Workbench, show: Show, _trial: str) -> tuple[Component, str]:
    """The page as it stands now; it goes on by itself."""
    return html.Article(
        [
            html.H1(texts.TITLE),
            html.P(texts.INTRO, className="intro"),
            dcc.Interval(id=ids.HEALTH_TICK, interval=TICK_MS),
            html.Div(_parts(workbench.health(), show), id=ids.HEALTH, className="parts"),
            html.P(texts.DURABLE, className="aside"),
        ]
    ), texts.TITLE


def register(app: Dash, workbench: Workbench) -> None:
    """The page goes on every two seconds."""

    @app.callback(
        Output(ids.HEALTH, "children"),
        Input(ids.HEALTH_TICK, "n_intervals"),
        State(ids.VIEW, "data"),
        prevent_initial_call=True,
    )
    def go_on(_tick: int, view: Mapping[str, Any]) -> list[Component]:
        return _parts(workbench.health(), Show.from_view(view))


def _parts(found: LoggerHealth, show: Show) -> list[Component]:
    at_work = found.recordings
    low = found.free_bytes < _LOW_BYTES
    alarms = sum(len(one.alarms) for one in at_work)
    stale = sum(_level(one) != "ok" for one in at_work)
    head = tiles(
        [
            tile(texts.TILE_AT_WORK, show.count(len(at_work))),
            tile(texts.TILE_STALE, show.count(stale), kind="attention" if stale else ""),
            tile(texts.TILE_ALARMS, show.count(alarms), kind="attention" if alarms else ""),
            tile(
                texts.TILE_FREE,
                show.room(found.free_bytes),
                texts.FREE_LOW if low else texts.TILE_FREE_NOTE,
                kind="attention" if low else "",
            ),
        ],
        kind="small",
    )
    if not at_work:
        return [head, empty_state(texts.EMPTY_TITLE, texts.EMPTY, texts.EMPTY_COMMANDS)]
    data = RecordedLines(
        tuple(_name(one) for one in at_work),
        tuple(max(0, one.lines - sum(one.rejected.values())) for one in at_work),
        tuple(sum(one.rejected.values()) for one in at_work),
    )
    return [
        head,
        html.Ul(
            [html.Li(_said(one, show), className=_level(one)) for one in at_work],
            className="said",
            **aria(live="polite"),
        ),
        html.Section(
            [
                html.H2(texts.TABLE),
                table(texts.COLUMNS, [_row(one, show) for one in at_work], caption=texts.TABLE,
                      numbers=("age", "rate", "gaps", "behind", "journal")),
            ]
        ),
        figure(
            draw_recorded_lines(data, show.dark, decimal=show.decimal),
            title=texts.FIGURE,
            sentence=html.Ul(
                [
                    html.Li(
                        texts.BY_RECORDING.format(
                            source=one.source, lines=show.count(one.lines),
                            samples=show.count(one.samples),
                        )
                    )
                    for one in at_work
                ]
            ),
            ident=ids.HEALTH_FIGURE,
            size="small",
        ),
    ]  # fmt: skip


def _level(one: RecordingHealth) -> str:
    if one.holder is None or one.state == "cannot be read":
        return "bad"
    return "stale" if one.stale else "ok"


def _name(one: RecordingHealth) -> str:
    return texts.RUN.format(trial=one.trial, number=one.run)


def _said(one: RecordingHealth, show: Show) -> list[Component | str]:
    run, age = _name(one), show.seconds(one.age_s)
    if one.holder is None:
        said = texts.SAID_STOPPED.format(run=run)
    elif one.state == "cannot be read":
        said = texts.SAID_TROUBLE.format(run=run, state=one.state)
    elif one.age_s is None:
        said = texts.SAID_NONE.format(run=run)
    else:
        said = (texts.SAID_STALE if one.stale else texts.SAID_OK).format(run=run, age=age)
    return [html.Span(f"{texts.SIGNS[_level(one)]} ", className="sign", **SILENT), said]


def _row(one: RecordingHealth, show: Show) -> list[Cell]:
    rejected = sum(one.rejected.values())
    reasons = ", ".join(
        texts.REASON.format(reason=reason.replace("_", " "), count=show.count(count))
        for reason, count in sorted(one.rejected.items(), key=lambda item: -item[1])
        if count
    )
    return [
        dcc.Link(_name(one), href=links.live(one.trial)),
        one.state,
        texts.AGE_NONE if one.age_s is None else texts.AGE.format(age=show.seconds(one.age_s)),
        texts.RATE_WAIT if one.lines_per_s is None else show.count(one.lines_per_s),
        texts.REJECTED.format(count=show.count(rejected), reasons=reasons)
        if rejected
        else texts.REJECTED_NONE,
        show.count(one.gaps),
        show.room(one.behind_bytes),
        show.room(one.journal_bytes),
        html.Ul([html.Li(text) for text in one.alarms]) if one.alarms else texts.ALARMS_NONE,
    ]
