"""What to do next in a trial: a suggestion to accept, or the open run to drill, look at and end."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.access import viewer
from dashboard.components import quantity, tile, tiles
from dashboard.pages.open_run import open_run
from dashboard.show import Show
from dashboard.texts import next_more as more_texts
from trials.figures import setting_card
from trials.model import CuttingData, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench

    Suggestion = Any  # what `Workbench.suggest` gives


def next_step(workbench: Workbench, show: Show, name: str, drill: str | None) -> Component:
    """The card for the state the trial is in.

    Raises:
        HolewiseError: the trial is gone, or nothing can be suggested; the message says why.
    """
    trial = workbench.trial(name)
    runs = workbench.runs(name)
    unfinished = [run for run in runs if run.state != "ended"]
    if unfinished:
        run = workbench.run(name)
        after = [one.number for one in unfinished if one.number != run.number]
        data = settings(trial, run.cutting_data, show)
        length = test_length(trial, run.test_holes, show)
        return html.Div(open_run(workbench, trial, run, data, length, after), className="card")
    number = max((run.number for run in runs), default=0) + 1
    return _suggestion(workbench, trial, number, trial.drill(drill).name, show)


def accept(workbench: Workbench, name: str, drill: str | None, shown: Mapping[str, Any]) -> bool:
    """Plan the suggestion that the reader saw; False when it is no longer the one given now.

    Raises:
        HolewiseError: another run is open, or the data are beyond the machine.
    """
    if asdict(workbench.suggest(name, drill).cutting_data) != dict(shown):
        return False
    workbench.use_suggestion(name, drill)
    return True


def _suggestion(
    workbench: Workbench, trial: Trial, number: int, drill: str, show: Show
) -> Component:
    suggestion = workbench.suggest(trial.name, drill)
    currency = trial.economics.currency
    if not suggestion.stop:
        worth = (
            html.P(
                texts.WORTH.format(
                    saves=show.money(suggestion.value, currency),
                    costs=show.money(suggestion.test_cost, currency),
                ),
                className="aside",
            )
            if viewer().sees_prices and suggestion.value > 0
            else None
        )
        length = test_length(trial, suggestion.test_holes, show)
        parts = [*_expected(trial, suggestion, show, length), worth]
        return _card(texts.NEXT_SUGGESTION, [*parts, _use_this(suggestion, number, drill)])
    best = workbench.recommend(trial.name, drill)
    return _card(
        texts.NEXT_STOP,
        [
            html.P(texts.NEXT_STOP_TEXT),
            *_expected(trial, best, show),
            html.Details(
                [
                    html.Summary(texts.NEXT_STOP_STILL),
                    *_expected(trial, suggestion, show),
                    _use_this(suggestion, number, drill),
                ]
            ),
        ],
    )


def _use_this(suggestion: Suggestion, number: int, drill: str) -> Component | None:
    if not viewer().may_edit:
        return None
    return html.Div(
        [
            # What was seen is what may be accepted.
            dcc.Store(id=ids.SUGGESTION_SHOWN, data=asdict(suggestion.cutting_data)),
            html.Button(
                texts.USE_THIS,
                id=ids.USE_THIS,
                n_clicks=0,
                type="button",
                className="button" if suggestion.stop else "button main",
            ),
            html.P(texts.USE_THIS_DOES.format(number=number, drill=drill)),
        ],
        className="act",
    )


def _expected(
    trial: Trial, suggestion: Suggestion, show: Show, length: Component | None = None
) -> list[Component | None]:
    """Cutting data, what is expected of them with 90 % ranges, and why."""
    currency = trial.economics.currency
    cost, holes, load = suggestion.cost_per_hole, suggestion.holes, suggestion.load_worn_pct
    money = [
        tile(
            texts.EXPECTED_COST,
            show.money(cost.median, currency),
            show.money_span(cost.low, cost.high, currency),
        )
    ]
    return [
        settings(trial, suggestion.cutting_data, show),
        length,
        html.H4(texts.EXPECTED),
        tiles(
            [
                *(money if viewer().sees_prices else []),
                tile(
                    texts.EXPECTED_HOLES,
                    show.count(holes.median),
                    show.count_span(holes.low, holes.high),
                ),
                tile(
                    texts.EXPECTED_LOAD,
                    show.pct(load.median),
                    f"{show.pct_span(load.low, load.high)} · "
                    + texts.EXPECTED_LIMIT.format(limit=show.pct(trial.load_limit_pct)),
                ),
                tile(
                    texts.EXPECTED_SAFE,
                    show.share(suggestion.p_safe),
                    texts.EXPECTED_BREAK.format(share=show.share(suggestion.p_chip_or_break)),
                ),
            ],
            kind="small",
        ),
        html.H4(texts.WHY),
        html.P(show.sentence(suggestion.why)),
    ]


def settings(trial: Trial, data: CuttingData, show: Show) -> Component:
    """Cutting data as they are set at the machine, large enough to be read across a room."""
    card = setting_card(data, trial.hole)
    parts = [
        # A control is given round numbers; downwards, because faster and deeper is the unsafe
        # side.
        tile(
            texts.SPINDLE_SPEED,
            quantity(texts.RPM.format(value=show.count(math.floor(card.rpm)))),
            show.value(data.speed_m_per_min, "m/min"),
        ),
        tile(
            texts.FEED_RATE,
            quantity(show.value(math.floor(card.feed_rate_mm_per_min), "mm/min")),
            show.value(data.feed_mm_per_rev, "mm/rev"),
        ),
        tile(
            texts.PECKS,
            texts.PECKING[data.peck_mode]
            if card.peck_depth_mm is None
            else quantity(show.length_down(card.peck_depth_mm)),
            "" if card.peck_depth_mm is None else show.peck_mode(data),
        ),
    ]
    if card.breakthrough_feed_rate_mm_per_min is not None:
        parts.append(
            tile(
                texts.BREAKTHROUGH.format(length=show.length(data.breakthrough_mm)),
                quantity(show.value(math.floor(card.breakthrough_feed_rate_mm_per_min), "mm/min")),
            )
        )
    return tiles(parts, kind="settings")


def test_length(trial: Trial, enough: int | None, show: Show) -> Component:
    """How long to drill a test."""
    most = show.count(trial.max_test_holes)
    if enough is None or not 0 < enough < trial.max_test_holes:
        return html.P(more_texts.TEST_LENGTH_WHOLE.format(most=most))
    return html.P(more_texts.TEST_LENGTH.format(most=most, enough=show.count(enough)))


def _card(title: str, parts: Sequence[Component | None]) -> Component:
    return html.Div([html.H3(title), *parts], className="card")
