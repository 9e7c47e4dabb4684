"""The card that production gets: one sheet of A4 or Letter."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from dash import html
from dash.development.base_component import Component

from dashboard import texts as common
from dashboard.components import SILENT, Cell, quantity, table, tile, tiles
from dashboard.show import Show
from dashboard.texts import hand_over as texts
from trials.figures import setting_card
from trials.model import CAUTIONS

if TYPE_CHECKING:
    HandOver = Any  # what `Workbench.hand_over_record` gives


def card(record: HandOver, ended: int, show: Show, other: Show) -> Component:
    """The sheet: what to set, when to change, what not to pass, what is not known.

    Args:
        record: what is handed over.
        ended: runs of the trial that have ended.
        show, other: how values are shown, and the other unit system beside them.
    """
    trial = record.trial
    hole = common.HOLE.format(
        diameter=show.length(trial.hole.diameter_mm), depth=show.length(trial.hole.depth_mm),
        kind=common.THROUGH if trial.hole.through else common.BLIND,
    )  # fmt: skip
    about = (f"{trial.work.material} ({trial.work.group})", hole, trial.hole.tolerance,
             trial.machine.name)  # fmt: skip
    by = texts.MADE_BY.format(by=record.by) if record.by else ""
    return html.Section(
        [
            html.P(texts.INVENTED, className="badge") if trial.invented else None,
            None
            if any(run.drill == record.drill and run.end is not None for run in record.runs)
            else html.P(texts.UNTESTED, className="badge untested"),
            html.H2(f"{trial.name} · {record.drill}", className="sheet-title"),
            html.P(" · ".join(part for part in about if part), className="sheet-about"),
            html.H3(texts.SET),
            _settings(record, show, other),
            tiles(
                [
                    tile(texts.CHANGE,
                         texts.HOLES.format(holes=show.count(record.change_interval_holes)),
                         texts.CHANGE_NOTE),
                    tile(texts.LIMIT, show.pct(trial.load_limit_pct), texts.LIMIT_NOTE),
                    tile(texts.WATCH, show.pct(record.look_load_pct),
                         texts.WATCH_NOTE.format(span=show.pct_span(
                             record.advice.load_worn_pct.low, record.advice.load_worn_pct.high))),
                ],
                kind="settings",
            ),
            html.Div([_expected(record, show), _unknown(record, show)], className="sheet-half"),
            html.Div(
                [
                    html.H3([html.Span("△", className="sign", **SILENT), f" {texts.CAUTIONS}"]),
                    html.P(CAUTIONS),
                ],
                className="sheet-cautions",
            ),
            html.P(
                texts.MADE.format(
                    when=f"{record.made_utc:%Y-%m-%d %H:%M}", by=by, program=common.PROGRAM,
                    runs=texts.RUNS_ONE if ended == 1 else texts.RUNS.format(ended=ended),
                    trial=trial.name,
                ),
                className="sheet-made",
            ),
        ],
        className="sheet",
    )  # fmt: skip


def _settings(record: HandOver, show: Show, other: Show) -> Component:
    trial, given = record.trial, record.advice.cutting_data
    at = setting_card(given, trial.hole)
    feed_rate = math.floor(at.feed_rate_mm_per_min)  # downwards: faster is the unsafe side
    parts = [
        tile(
            common.SPINDLE_SPEED,
            quantity(common.RPM.format(value=show.count(math.floor(at.rpm)))),
            f"{show.value(given.speed_m_per_min, 'm/min')} "
            f"({other.value(given.speed_m_per_min, 'm/min')})",
        ),
        tile(
            common.FEED_RATE,
            quantity(show.value(feed_rate, "mm/min")),
            f"{show.value(given.feed_mm_per_rev, 'mm/rev')} "
            f"({other.value(given.feed_mm_per_rev, 'mm/rev')}, {other.value(feed_rate, 'mm/min')})",
        ),
        tile(
            common.PECKS,
            common.PECKING[given.peck_mode]
            if at.peck_depth_mm is None
            else quantity(show.length_down(at.peck_depth_mm)),
            ""
            if at.peck_depth_mm is None
            else f"{show.peck_mode(given)} ({other.length_down(at.peck_depth_mm)})",
        ),
    ]
    if at.breakthrough_feed_rate_mm_per_min is not None:
        rate = math.floor(at.breakthrough_feed_rate_mm_per_min)
        parts.append(
            tile(
                common.BREAKTHROUGH.format(length=show.length(given.breakthrough_mm)),
                quantity(show.value(rate, "mm/min")),
                texts.BOTH.format(other=other.value(rate, "mm/min")),
            )
        )
    return tiles(parts, kind="settings")  # fmt: skip


def _expected(record: HandOver, show: Show) -> Component:
    advice, trial = record.advice, record.trial
    holes, worn, fresh = advice.holes, advice.load_worn_pct, advice.load_fresh_pct
    cycle, cost, currency = advice.cycle_min, advice.cost_per_hole, trial.economics.currency
    rows: list[list[Cell]] = [
        [texts.KNOWN_HOLES, show.count(holes.median), show.count_span(holes.low, holes.high)],
        [texts.KNOWN_FRESH, show.pct(fresh.median), show.pct_span(fresh.low, fresh.high)],
        [texts.KNOWN_WORN, show.pct(worn.median), show.pct_span(worn.low, worn.high)],
        [
            texts.KNOWN_CYCLE,
            show.seconds(60 * cycle.median),
            f"{show.seconds(60 * cycle.low)} – {show.seconds(60 * cycle.high)}",
        ],
    ]
    if record.prices:
        rows.append(
            [
                texts.KNOWN_COST,
                show.money(cost.median, currency),
                show.money_span(cost.low, cost.high, currency),
            ]
        )
    return html.Div(
        [
            html.H3(texts.KNOWN),
            table(texts.KNOWN_COLUMNS, rows, caption=texts.KNOWN, numbers=("middle", "span")),
            html.P(texts.WEAR.format(limit=show.length(trial.wear_limit_mm),
                                     safe=show.share(advice.p_safe),
                                     breaks=show.share(advice.p_chip_or_break))),
        ]
    )  # fmt: skip


def _unknown(record: HandOver, show: Show) -> Component:
    said = record.doubts or [texts.NOTHING_UNKNOWN]
    return html.Div(
        [html.H3(texts.UNKNOWN), html.Ul([html.Li(show.sentence(one)) for one in said])]
    )
