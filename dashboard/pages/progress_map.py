"""What the search believes, on the page of progress: go on or stop, map, slices, beliefs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.access import viewer
from dashboard.components import Cell, figure, table
from dashboard.show import Show
from trials.errors import InputError
from trials.figures import (
    ResponseMap,
    SearchSlice,
    SearchSlices,
    draw_response_map,
    draw_search_slice,
)
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench

# Of the places along a slice every so many are shown in the table, and the recommended one.
_EVERY = 4


def map_parts(
    workbench: Workbench, show: Show, trial: Trial, drill: str | None = None
) -> list[Component | None]:
    """Advice, figures, tables and beliefs; nothing while no run has ended, or for no prices."""
    if not viewer().sees_prices:
        return []
    try:
        data = workbench.response_map(trial.name, drill)
        slices = workbench.search_slices(trial.name, drill)
    except InputError:
        return []
    if not any(
        run.end and run.drill == trial.drill(drill).name for run in workbench.runs(trial.name)
    ):
        return []
    along: list[tuple[SearchSlice, str, str]] = [
        (slices.speed, texts.SLICE_SPEED_FIGURE, ids.SLICE_SPEED),
        (slices.feed, texts.SLICE_FEED_FIGURE, ids.SLICE_FEED),
    ]
    return [
        html.Section(
            [html.H2(texts.ADVICE_TITLE), html.P(advice(workbench, trial, drill, data, show))],
            className="advice",
        ),
        figure(
            draw_response_map(data, show.dark, decimal=show.decimal, system=show.system),
            title=texts.MAP_FIGURE,
            sentence=sentence(data, slices, trial, show),
            ident=ids.RESPONSE_MAP,
            size="large",
        ),
        html.Div(
            [
                figure(
                    draw_search_slice(
                        slices, one.along, show.dark, decimal=show.decimal, system=show.system
                    ),
                    title=title,
                    sentence=slice_sentence(one, slices, show),
                    ident=ident,
                    size="large",
                )
                for one, title, ident in along
            ],
            className="two-figures",
        ),
        html.Details(
            [html.Summary(texts.MAP_TABLE), *(_slice_table(one, slices, show) for one, *_ in along)]
        ),
        html.Section(
            [
                html.H2(texts.MAP_BELIEFS),
                html.Ul([html.Li(show.sentence(one)) for one in data.beliefs]),
            ]
        ),
    ]


def advice(
    workbench: Workbench, trial: Trial, drill: str | None, data: ResponseMap, show: Show
) -> str:
    """Go on or stop, with what the next test costs and is expected to save."""
    answer = workbench.suggest(trial.name, drill)
    currency = trial.economics.currency
    over = (
        texts.ADVICE_RECURRING
        if trial.holes_to_make is None
        else texts.ADVICE_HOLES.format(holes=show.count(trial.holes_to_make))
    )
    said = (texts.ADVICE_STOP if answer.stop else texts.ADVICE_GO_ON).format(
        saves=show.money(answer.value, currency),
        costs=show.money(answer.test_cost, currency),
        over=over,
    )
    bound = texts.PROGRESS_BOUND.format(cost=show.money(data.lowest_possible, currency))
    return f"{said} {bound}"


def sentence(data: ResponseMap, slices: SearchSlices, trial: Trial, show: Show) -> str:
    """What the map says, in words."""
    at = slices.speed
    return texts.MAP_SENTENCE.format(
        currency=data.currency,
        data=show.cutting_data(data.recommended, trial.hole.diameter_mm),
        cost=show.money(at.cost[at.index], data.currency),
        span=show.money_span(at.cost_low[at.index], at.cost_high[at.index], data.currency),
    )


def slice_sentence(one: SearchSlice, slices: SearchSlices, show: Show) -> str:
    """How exactly speed or feed must be kept, and from where on it is too much."""
    span, most = one.as_cheap, one.too_much_from
    here = show.value(one.here, one.unit)
    said = []
    if span is None:
        said.append(texts.SLICE_NOT_SAFE.format(here=here))
    else:
        said.append(
            texts.SLICE_AS_CHEAP.format(
                low=show.value(span[0], one.unit), high=show.value(span[1], one.unit)
            )
        )
    if most is not None and span is not None:
        limit = show.pct(slices.load_limit_pct)
        said.append(texts.SLICE_TOO_MUCH.format(at=show.value(most, one.unit), limit=limit))
    said.append(
        texts.SLICE_RUNS.format(runs=", ".join(str(run.number) for run in one.runs))
        if one.runs
        else texts.SLICE_NO_RUNS
    )
    return " ".join(said)


def _slice_table(one: SearchSlice, slices: SearchSlices, show: Show) -> Component:
    kept = sorted({*range(0, len(one.at), _EVERY), one.index})
    rows: list[list[Cell]] = [
        [
            (texts.SLICE_HERE if i == one.index else "{at}").format(
                at=show.value(one.at[i], one.unit)
            ),
            show.money(one.cost[i], slices.currency),
            show.money_span(one.cost_low[i], one.cost_high[i], slices.currency),
            show.pct(one.load_pct[i]),
            show.pct_span(one.load_low_pct[i], one.load_high_pct[i]),
            texts.MAP_SAFE if one.allowed[i] else texts.MAP_NOT_SAFE,
        ]
        for i in kept
    ]
    name = texts.SLICE_SPEED if one.along == "speed" else texts.SLICE_FEED
    return table(
        {"at": name, **texts.MAP_COLUMNS}, rows, caption=texts.MAP_TABLE,
        numbers=("at", "cost", "span", "load", "load_span"),
    )  # fmt: skip
