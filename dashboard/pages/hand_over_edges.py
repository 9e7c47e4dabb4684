"""Below the card: the edges that were tried, beside the hole at which production changes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import html
from dash.development.base_component import Component

from dashboard import ids
from dashboard import texts as common
from dashboard.components import Cell, end_cell, figure, table
from dashboard.show import Show
from dashboard.texts import hand_over as texts
from trials.figures import ChangeInterval, EdgeEnd, change_interval, draw_change_interval

if TYPE_CHECKING:
    from trials.model import Run

    HandOver = Any  # what `Workbench.hand_over_record` gives


def edges(record: HandOver, show: Show) -> Component:
    """Figure, sentence and table of the ended runs of this drill; not printed with the card."""
    tried = [run for run in record.runs if run.drill == record.drill and run.end is not None]
    expected = record.advice.holes
    data = change_interval(
        [EdgeEnd(run.number, float(run.holes), run.end) for run in tried],
        (expected.low, expected.median, expected.high), record.change_interval_holes,
    )  # fmt: skip
    return html.Div(
        [
            figure(
                draw_change_interval(data, show.dark, decimal=show.decimal), title=texts.EDGES,
                sentence=_sentence(data, tried, record, show), ident=ids.HAND_EDGES,
            ),
            table(texts.EDGES_COLUMNS, [_row(run, record, show) for run in reversed(tried)],
                  caption=texts.EDGES, numbers=("run", "speed", "feed", "holes")),
        ],
        className="parts hand-edges",
    )  # fmt: skip


def _sentence(data: ChangeInterval, tried: list[Run], record: HandOver, show: Show) -> str:
    said = [
        texts.EDGES_SAID.format(
            change=show.count(data.change_holes), middle=show.count(data.middle),
            span=show.count_span(data.low, data.high),
        )
    ]  # fmt: skip
    early = [
        texts.EDGES_EARLIER_RUN.format(run=one.run, holes=show.count(one.holes))
        for one in data.earlier
    ]
    said.append(
        texts.EDGES_EARLIER.format(runs=", ".join(early)) if early else texts.EDGES_EARLIER_NONE
    )
    if all(run.cutting_data != record.advice.cutting_data for run in tried):
        said.append(texts.EDGES_OTHER)
    return " ".join(said)


def _row(run: Run, record: HandOver, show: Show) -> list[Cell]:
    data = run.cutting_data
    return [
        str(run.number), show.value(data.speed_m_per_min, "m/min"),
        show.value(data.feed_mm_per_rev, "mm/rev"),
        show.pecking(data, record.trial.hole.diameter_mm), show.count(run.holes),
        end_cell(run.end, common.RUN_STATES[run.state]),
    ]  # fmt: skip
