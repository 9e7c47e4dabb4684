"""Answers over all trials: a sentence, a figure and a table for each question."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard import ids
from dashboard import texts as common
from dashboard.access import viewer
from dashboard.components import Cell, empty_state, figure, table, tile, tiles
from dashboard.show import NOTHING, Show
from dashboard.texts import history as texts
from trials.figures import (
    QuarterMark,
    by_quarter,
    draw_by_quarter,
    draw_ranges,
    ranges_figure,
)

if TYPE_CHECKING:
    from trials.model import LikeJobs
    from trials.workbench import CostTrend, DrillsOverTrials, History, LifeScatter, Workbench

_MOST_EFFECTS = 12


def answers(workbench: Workbench, show: Show, like: LikeJobs) -> list[Component]:
    """What is known of the jobs that count, or what there is to ask about."""
    found = workbench.history(like)
    if not found.edges:
        return _nothing(workbench, show, like)
    shown: list[Component | None] = [_counts(found, show)]
    if found.drills is not None:
        shown += _drills(found.drills, show)
    if found.scatter is not None:
        shown += _scatter(found.scatter, show)
    if found.trend is not None and viewer().sees_prices:
        shown += _trend(found.trend, show)
    return [part for part in shown if part is not None]


def _nothing(workbench: Workbench, show: Show, like: LikeJobs) -> list[Component]:
    there = workbench.job_counts()
    shown: list[Component] = [empty_state(texts.EMPTY_TITLE, texts.EMPTY)]
    if not like.invented and any(one.invented for one in there):
        shown.append(html.P(texts.EMPTY_INVENTED))
    if there:
        rows: list[list[Cell]] = [
            [
                html.Span([f"{one.group} {one.material}", _badge() if one.invented else ""],
                          className="named"),
                show.length(one.diameter_mm), show.count(one.trials), show.count(one.runs),
            ]
            for one in there[:12]
        ]  # fmt: skip
        shown.append(html.Section([
            html.H2(texts.THERE),
            table(texts.THERE_COLUMNS, rows, caption=texts.THERE,
                  numbers=("diameter", "trials", "runs")),
        ]))  # fmt: skip
    return shown


def _badge() -> Component:
    return html.Span(common.INVENTED, className="badge", title=common.INVENTED_LONG)


def _counts(found: History, show: Show) -> Component:
    return html.Section(
        [
            html.H2([texts.COUNTS_TITLE, " ", _badge()] if found.like.invented
                    else texts.COUNTS_TITLE),
            tiles(
                [
                    tile(texts.TILE_TRIALS, show.count(found.trials)),
                    tile(texts.TILE_EDGES, show.count(found.edges)),
                    tile(texts.TILE_ENDED, show.count(found.ended)),
                ],
                kind="small",
            ),
        ]
    )  # fmt: skip


def _said(sentences: tuple[str, ...], show: Show) -> Component:
    return html.Ul([html.Li(show.sentence(one)) for one in sentences])


def _drills(found: DrillsOverTrials, show: Show) -> list[Component]:
    priced = viewer().sees_prices
    known = [one for one in found.drills if one.life is not None]
    depth = texts.DRILLS_DEPTH if priced else texts.DRILLS_DEPTH_NO_PRICES
    note = html.P(depth.format(depth=show.length(found.depth_mm)))
    parts: list[Component] = []
    spans = [
        (one.drill, one.cost if priced and one.cost is not None else one.life)
        for one in known
        if one.life is not None
    ]
    rows_of = [(name, span) for name, span in spans if span is not None]
    if rows_of:
        axis = (texts.DRILLS_FIGURE_COST.format(currency=found.currency) if priced
                else texts.DRILLS_FIGURE_LIFE)  # fmt: skip
        parts.append(
            figure(
                draw_ranges(ranges_figure(rows_of, axis, mark_first=True), show.dark,
                            decimal=show.decimal),
                title=texts.DRILLS, sentence=html.Div([_said(found.said, show), note]),
                ident=ids.HISTORY_DRILLS, size="small",
            )
        )  # fmt: skip
    else:
        parts.append(html.Section([html.H2(texts.DRILLS), _said(found.said, show)]))
    rows: list[list[Cell]] = [
        [
            one.drill,
            texts.EDGES.format(edges=show.count(one.edges), ended=show.count(one.ended),
                               trials=show.count(one.trials)),
            one.verdict if one.life is None else _count(one.life, show),
            NOTHING if one.nine_in_ten is None else _count(one.nine_in_ten, show),
            NOTHING if one.cost is None else html.Span([
                show.money(one.cost[1], found.currency), html.Br(),
                html.Small(show.money_span(one.cost[0], one.cost[2], found.currency)),
            ]),
            texts.FIRST if one is found.drills[0] and one.cost is not None
            else show.share(one.p_dearer),
            show.sentence(one.cutting_data) or NOTHING,
        ]
        for one in found.drills
    ]  # fmt: skip
    parts.append(html.Section([
        table(texts.DRILL_COLUMNS, rows, caption=texts.DRILLS,
              numbers=("life", "lasting", "cost", "sure"), money=("cost", "sure")),
    ]))  # fmt: skip
    return parts


def _count(span: tuple[float, float, float], show: Show) -> Component:
    return html.Span([show.count(span[1]), html.Br(),
                      html.Small(show.count_span(span[0], span[2]))])  # fmt: skip


def _scatter(found: LifeScatter, show: Show) -> list[Component]:
    spans = [] if found.edge is None else [("edge", 0, found.edge)]
    for one in found.shared:
        if one.low is not None and one.middle is not None and one.high is not None:
            spans.append((one.share, one.groups, (one.low, one.middle, one.high)))
    if not spans:
        return [html.Section([html.H2(texts.SCATTER), _said(found.said, show)])]
    factors = [
        (texts.SCATTER_NAMES[name], groups, tuple(math.exp(value) for value in span))
        for name, groups, span in spans
    ]
    drawn = ranges_figure([(name, (low, middle, high)) for name, _, (low, middle, high) in factors],
                          texts.SCATTER_AXIS, from_value=1.0)  # fmt: skip
    rows: list[list[Cell]] = [
        [name, show.count(groups) if groups else NOTHING,
         show.sentence(f"{middle:.2f} ({low:.2f} to {high:.2f})")]
        for name, groups, (low, middle, high) in factors
    ]  # fmt: skip
    parts: list[Component] = [
        figure(
            draw_ranges(drawn, show.dark, decimal=show.decimal), title=texts.SCATTER,
            sentence=_said(found.said, show), ident=ids.HISTORY_SCATTER, size="small",
        ),
        html.Section([table(texts.SCATTER_COLUMNS, rows, caption=texts.SCATTER,
                            numbers=("groups", "factor"))]),
    ]  # fmt: skip
    for share, effects in found.effects:
        if share not in texts.EFFECTS:
            continue
        half = _MOST_EFFECTS // 2
        ends = effects if len(effects) <= _MOST_EFFECTS else (*effects[:half], *effects[-half:])
        parts.append(
            html.Details(
                [
                    html.Summary(texts.EFFECTS[share]),
                    table(
                        texts.EFFECT_COLUMNS,
                        [[name, show.sentence(f"{factor:.2f}")] for name, factor in ends],
                        caption=texts.EFFECTS[share], numbers=("factor",), folds=False,
                    ),
                ]
            )
        )  # fmt: skip
    return parts


def _trend(found: CostTrend, show: Show) -> list[Component]:
    if not found.quarters:
        return [html.Section([html.H2(texts.TREND), _said(found.said, show)])]
    marks = [
        (one.year, one.quarter, QuarterMark(one.name, one.cost[0], one.cost[1], one.cost[2],
                                            one.edges))
        for one in found.quarters
    ]  # fmt: skip
    rows: list[list[Cell]] = [
        [one.name, show.count(one.edges), show.count(one.trials),
         show.money(one.cost[1], found.currency),
         show.money_span(one.cost[0], one.cost[2], found.currency)]
        for one in found.quarters
    ]  # fmt: skip
    return [
        figure(
            draw_by_quarter(by_quarter(marks, found.currency), show.dark, decimal=show.decimal),
            title=texts.TREND, sentence=_said(found.said, show), ident=ids.HISTORY_TREND,
            size="medium",
        ),
        html.Section([table(texts.TREND_COLUMNS, rows, caption=texts.TREND,
                            numbers=("edges", "trials", "cost", "span"),
                            money=("cost", "span"))]),
    ]  # fmt: skip
