"""How a run stands at the drill: holes left, the curve, the readings with their way back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.access import viewer
from dashboard.components import Cell, aria, figure, table, tile, tiles
from dashboard.pages.look_entry import values_said
from dashboard.show import NOTHING, Show
from dashboard.texts import look as texts
from trials.figures import draw_wear_curve
from trials.model import Run, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench


_NEWEST = 4  # more would push the photo and the end of the run out of sight


def stands(workbench: Workbench, trial: Trial, run: Run, show: Show) -> list[Component]:
    """Tiles, the curve with its sentence, the table of readings."""
    measured = any(one.largest_mm is not None for one in run.wear)
    drawn: Component
    if measured:
        data = workbench.wear_curve(trial.name, run.number)
        drawing = draw_wear_curve(data, show.dark, decimal=show.decimal, system=show.system)
        drawing.update_layout(showlegend=False)  # the sentence says it, and there is little room
        drawn = figure(
            drawing,
            title=texts.STANDS,
            sentence=show.sentence(data.why),
            ident=ids.LOOK_CURVE,
            size="small",
        )
    else:
        drawn = html.Section(
            [html.H2(texts.STANDS), html.P(texts.CURVE_NONE, className="aside")], className="card"
        )
    return [_tiles(workbench, trial, run, show), drawn, _readings(workbench, trial, run, show)]


def _tiles(workbench: Workbench, trial: Trial, run: Run, show: Show) -> Component:
    due = run.next_look(trial.economics_of(run.drill).inspect_every_holes)
    if due is None:
        look = texts.NO_LOOKS
    else:
        said = texts.NEXT_LOOK_DUE if run.holes >= due and run.end is None else texts.NEXT_LOOK
        look = said.format(hole=show.count(due))
    left, note = _left(workbench, trial, run, show)
    return tiles([tile(texts.LEFT, left, note), tile(texts.DRILLED, show.count(run.holes), look)])


def _left(workbench: Workbench, trial: Trial, run: Run, show: Show) -> tuple[str, str]:
    life = workbench.holes_to_wear(trial.name, run.number)
    drilled = max(run.holes, run.wear[-1].hole if run.wear else 0)
    if life.kind == "censored":
        more = life.low - drilled
        said = texts.LEFT_MORE.format(holes=show.count(more)) if more >= 1 else texts.LEFT_UNKNOWN
        return said, texts.LEFT_KINDS["censored"]
    note = texts.LEFT_KINDS[life.kind].format(
        at=show.count(life.holes), span=show.count_span(life.low, life.high)
    )
    left = 0.0 if life.holes is None else life.holes - drilled
    return (show.count(left) if left >= 0.5 else texts.LEFT_NOW), note


def _readings(workbench: Workbench, trial: Trial, run: Run, show: Show) -> Component:
    kept = workbench.wear(trial.name, run.number)
    stand = [one for one in kept if one.removed_utc is None]
    gone = [one for one in kept if one.removed_utc is not None]
    locked = not viewer().may_edit
    rows: list[list[Cell]] = []
    for one in reversed(stand):
        reading = one.reading
        rows.append(
            [
                show.count(reading.hole),
                values_said(reading, show),
                reading.note or NOTHING,
                html.Button(
                    texts.TAKE_BACK, id={"type": ids.LOOK_TAKE, "key": str(one.uuid)},
                    type="button", n_clicks=0, disabled=locked, className="button small",
                    **aria(label=texts.TAKE_BACK_SAID.format(hole=reading.hole)),
                ),
            ]
        )  # fmt: skip

    def listed(which: list[list[Cell]]) -> Component:
        return table(texts.READINGS_COLUMNS, which, caption=texts.READINGS, numbers=("hole",))

    older = rows[_NEWEST:]
    return html.Section(
        [
            html.H2(texts.READINGS),
            listed(rows[:_NEWEST]) if rows else html.P(texts.READINGS_NONE, className="aside"),
            html.Details(
                [html.Summary(texts.EARLIER.format(count=len(older))), listed(older)]
            )
            if older
            else None,
            html.Details(
                [
                    html.Summary(texts.REMOVED.format(count=len(gone))),
                    *(
                        html.Div(
                            [
                                html.P(
                                    texts.REMOVED_READING.format(
                                        hole=show.count(one.reading.hole),
                                        values=values_said(one.reading, show),
                                    )
                                ),
                                html.Button(
                                    texts.PUT_BACK, id={"type": ids.LOOK_PUT, "key": str(one.uuid)},
                                    type="button", n_clicks=0, disabled=locked,
                                    className="button small",
                                    **aria(label=texts.PUT_BACK_SAID.format(
                                        hole=one.reading.hole)),
                                ),
                            ],
                            className="act",
                        )
                        for one in gone
                    ),
                ],
                open=True,
            )
            if gone
            else None,
        ]
    )  # fmt: skip
