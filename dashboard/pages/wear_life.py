"""How long edges of a drill last at one cutting data, and when production changes it."""

from __future__ import annotations

import math
import shlex
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.access import viewer
from dashboard.components import Cell, command, end_cell, figure, table
from dashboard.show import Show
from trials.errors import HolewiseError
from trials.figures import LifeDistribution, draw_life_distribution, life_distribution
from trials.model import Trial

if TYPE_CHECKING:
    from trials.workbench import DrillLife, Workbench


def life(workbench: Workbench, show: Show, name: str, run: int) -> list[Component]:
    """Lives at the cutting data of a run: figure, edges, ways to end, equation, interval.

    Where no run has ended at its cutting data, those that its drill was tried with most.
    """
    trial = workbench.trial(name)
    found = workbench.life(name, run=run)
    elsewhere = found.cutting_data is None
    if elsewhere:
        found = workbench.life(name, found.drill)
    heading = texts.LIFE_FIGURE.format(drill=found.drill)
    if found.cutting_data is None:
        return [html.Section([html.H2(heading), html.P(texts.LIFE_NONE.format(drill=found.drill))])]
    data = life_distribution(found.drill, found.lives, found.choice, found.survival)
    where = show.cutting_data(found.cutting_data, trial.hole.diameter_mm)
    rows: list[list[Cell]] = [
        [
            str(number),
            _holes(one.low, one.high, one.ended, show),
            end_cell(one.mode or "stopped", ""),
        ]
        for number, one in zip(found.runs, found.lives, strict=True)
    ]
    said = _life_said(data, found, where, show, elsewhere)
    return [
        figure(
            draw_life_distribution(data, show.dark, decimal=show.decimal),
            title=heading,
            sentence=html.Ul([html.Li(one) for one in said]),
            ident=ids.LIFE_DISTRIBUTION,
            size="medium",
        ),
        html.Section(
            [
                table(texts.LIFE_COLUMNS, rows, caption=heading, numbers=("run", "holes")),
                _quantiles(found, show),
                _ends(found, show),
            ]
        ),
        html.Section(
            [html.H2(texts.LIFE_EQUATION),
             html.Ul([html.Li(show.sentence(one)) for one in found.equation.said()])]
        ),
        _interval(workbench, trial, found.runs[-1], show),
    ]  # fmt: skip


def _life_said(
    data: LifeDistribution, found: DrillLife, where: str, show: Show, elsewhere: bool
) -> list[str]:
    said = [texts.LIFE_ELSEWHERE] if elsewhere else []
    said.append(texts.LIFE_AT.format(data=where, edges=len(data.marks), ended=data.ended))
    if data.half is not None:
        said.append(
            texts.LIFE_HALF.format(
                half=show.count(data.half), span=show.count_span(data.half_low, data.half_high)
            )
        )
    said.append(show.sentence(data.verdict[:1].upper() + data.verdict[1:]))
    if found.choice is not None and found.choice.best.note:
        said.append(show.sentence(found.choice.best.note))
    if any(one.ended and not one.exact for one in found.lives):
        said.append(texts.LIFE_BETWEEN_LOOKS)
    if found.mixed_regrinds:
        said.append(texts.LIFE_MIXED)
    return said


def _quantiles(found: DrillLife, show: Show) -> Component | None:
    """Holes by which one, five and nine edges of ten have ended, for each model."""
    rows: list[list[Cell]] = []
    for fit in found.choice.fits if found.choice is not None else ():
        if not fit.ok:
            continue
        for share, words in texts.LIFE_SHARES.items():
            low, high = fit.interval_at(share)
            rows.append(
                [words, show.count(fit.holes_at(share)), show.count_span(low, high), fit.model]
            )
    if not rows:
        return None
    return table(texts.LIFE_SHARE_COLUMNS, rows, caption=texts.LIFE_SHARES_TITLE,
                 numbers=("holes", "span"))  # fmt: skip


def _ends(found: DrillLife, show: Show) -> Component | None:
    """What share each way of ending takes, where there are several."""
    if not found.ends_apart:
        return None
    rows: list[list[Cell]] = [
        [
            end_cell(mode, ""),
            show.count(found.modes[mode].failures),
            show.share(steps[-1].share),
            show.count(found.modes[mode].holes_at(0.5))
            if found.modes[mode].ok
            else texts.LIFE_TOO_FEW,
        ]
        for mode, steps in found.incidence.items()
    ]
    return html.Div(
        [
            html.H3(texts.LIFE_ENDS),
            html.P(show.sentence(found.ends_apart)),
            table(texts.LIFE_END_COLUMNS, rows, caption=texts.LIFE_ENDS,
                  numbers=("edges", "share", "half")),
        ]
    )  # fmt: skip


def _interval(workbench: Workbench, trial: Trial, run: int, show: Show) -> Component:
    """When production changes the drill, by the trial's prices; a verdict where it cannot say."""
    said: list[Component]
    if not viewer().sees_prices:
        return html.Div()
    try:
        found = workbench.interval(trial.name, run=run)
    except HolewiseError as error:
        said = [html.P(show.sentence(str(error)))]
    else:
        answer = found.interval
        said = [html.P(show.sentence(answer.why if answer is not None else texts.LIFE_NO_INTERVAL))]
        if answer is not None and answer.ok:
            said.append(
                html.P(
                    texts.INTERVAL_COSTS.format(
                        planned=show.money(found.planned_cost, found.currency),
                        failure=show.money(found.failure_cost, found.currency),
                    )
                )
            )
    return html.Section(
        [
            html.H2(texts.INTERVAL_TITLE),
            *said,
            html.P(texts.INTERVAL_MORE),
            command(texts.COMMAND_INTERVAL.format(trial=shlex.quote(trial.name), run=run)),
        ]
    )


def _holes(low: float, high: float, ended: bool, show: Show) -> str:
    if not ended or math.isinf(high):
        return texts.LIFE_MORE_THAN.format(holes=show.count(low))
    if low == high:
        return show.count(high)
    return texts.LIFE_BETWEEN.format(low=show.count(low), high=show.count(high))
