"""The map of speed and feed on the page of progress, with its sentence, slices and beliefs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.components import Cell, figure, table
from dashboard.show import Show
from trials.errors import InputError
from trials.figures import ResponseMap, Slice, draw_response_map
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench

# Of the grid's lines every so many are shown in the table.
_EVERY = 4


def map_parts(workbench: Workbench, show: Show, trial: Trial) -> list[Component]:
    """Figure, table and beliefs; nothing while no run has ended or nothing is left to try."""
    try:
        data = workbench.response_map(trial.name)
    except InputError:
        return []
    if not data.tried:
        return []
    return [
        figure(
            draw_response_map(data, show.dark, decimal=show.decimal),
            title=texts.MAP_FIGURE,
            sentence=sentence(data, trial, show),
            ident=ids.RESPONSE_MAP,
            size="large",
        ),
        html.Section([html.H2(texts.MAP_TABLE), _slices(data, show)]),
        html.Section([html.H2(texts.MAP_BELIEFS), html.Ul([html.Li(one) for one in data.beliefs])]),
    ]


def sentence(data: ResponseMap, trial: Trial, show: Show) -> str:
    """What the map says, in words."""
    best, at = data.recommended, data.slice_of_speed()
    here = min(range(len(at.at)), key=lambda i: abs(at.at[i] / best.speed_m_per_min - 1))
    return texts.MAP_SENTENCE.format(
        data=show.cutting_data(best, trial.hole.diameter_mm),
        cost=show.money(at.cost[here], data.currency),
        span=show.money_span(at.low[here], at.high[here], data.currency),
    )


def _slices(data: ResponseMap, show: Show) -> Component:
    rows: list[list[Cell]] = []
    for name, unit, along in (
        ("speed", "m/min", data.slice_of_speed()),
        ("feed", "mm/rev", data.slice_of_feed()),
    ):
        rows += _rows(name, unit, along, data.currency, show)
    return table(
        texts.MAP_COLUMNS, rows, caption=texts.MAP_TABLE, numbers=("at", "cost", "span")
    )  # fmt: skip


def _rows(name: str, unit: str, along: Slice, currency: str, show: Show) -> list[list[Cell]]:
    return [
        [
            name,
            show.value(along.at[i], unit),
            show.money(along.cost[i], currency),
            show.money_span(along.low[i], along.high[i], currency),
            texts.MAP_SAFE if along.safe[i] else texts.MAP_NOT_SAFE,
        ]
        for i in range(0, len(along.at), _EVERY)
    ]
