"""Wear of one run: curve and readings, what the load says, regrind or retire, drill on or stop."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.access import viewer
from dashboard.components import Cell, figure, table
from dashboard.show import NOTHING, Show
from trials.figures import WearCurveFigure, draw_wear_curve
from trials.model import Run, Trial

if TYPE_CHECKING:
    from trials.workbench import Workbench


def wear(workbench: Workbench, trial: Trial, run: Run, show: Show) -> list[Component]:
    """Figure, table of every reading, and what to do with the edge."""
    if not any(reading.largest_mm is not None for reading in run.wear):
        return [html.P(texts.WEAR_NONE.format(number=run.number), className="aside")]
    data = workbench.wear_curve(trial.name, run.number)
    said = [show.sentence(data.why), _limits(trial, show)]
    odd = [show.count(hole) for hole, _, off in data.readings if off]
    if odd:
        said.append(texts.WEAR_ODD.format(holes=", ".join(odd)))
    load = workbench.second_witness(trial.name, run.number)
    if load.load.readings:
        said.append(show.sentence(load.why))
    heading = texts.WEAR_FIGURE
    return [
        figure(
            draw_wear_curve(data, show.dark, decimal=show.decimal, system=show.system),
            title=heading,
            sentence=html.Ul([html.Li(one) for one in said]),
            ident=ids.WEAR_CURVE,
            size="medium",
        ),
        html.Section(
            [table(texts.WEAR_COLUMNS, _rows(data, run, show), caption=heading,
                   numbers=list(texts.WEAR_COLUMNS))]
        ),
        _regrind(workbench, show, trial.name, run),
    ]  # fmt: skip


def _limits(trial: Trial, show: Show) -> str:
    limits = trial.limits
    of_kind = (limits.vb_average_mm, limits.vb_maximum_mm, limits.corner_chipping_mm,
               limits.margin_chipping_mm)  # fmt: skip
    if len(set(of_kind)) == 1:
        return texts.WEAR_LIMIT.format(limit=show.length(trial.wear_limit_mm))
    average, maximum, corner, margin = (show.length(value) for value in of_kind)
    return texts.WEAR_LIMITS.format(average=average, maximum=maximum, corner=corner, margin=margin)


def _rows(data: WearCurveFigure, run: Run, show: Show) -> list[list[Cell]]:
    rows: list[list[Cell]] = []
    for reading in run.wear:
        low, middle, high = _curve_at(data, reading.hole)
        rows.append(
            [
                show.count(reading.hole),
                *(
                    show.value(value, "mm") if value is not None else NOTHING
                    for value in (
                        reading.vb_average_mm, reading.vb_maximum_mm, reading.corner_chipping_mm,
                        reading.margin_chipping_mm, reading.hole_diameter_mm,
                    )
                ),
                _curve_text(data, middle, show),
                NOTHING
                if low is None or high is None
                else f"{_curve_text(data, low, show)} – {_curve_text(data, high, show)}",
            ]
        )  # fmt: skip
    return rows


def _curve_text(data: WearCurveFigure, wear_mm: float | None, show: Show) -> str:
    if wear_mm is None:
        return NOTHING
    if data.shares:
        return show.pct(100 * wear_mm / data.limit_mm)
    return show.value(wear_mm, "mm")


def _curve_at(data: WearCurveFigure, hole: int) -> tuple[float | None, float | None, float | None]:
    """Low, middle and high of the curve at the nearest hole it was drawn for."""
    if not data.holes or hole > data.holes[-1]:
        return None, None, None
    at = min(range(len(data.holes)), key=lambda i: abs(data.holes[i] - hole))
    return data.low[at], data.middle[at], data.high[at]


def _regrind(workbench: Workbench, show: Show, name: str, run: Run) -> Component:
    advice = workbench.regrind_advice(name, run.number)
    return html.Section(
        [
            html.H3(texts.REGRIND_TITLE),
            html.P(
                [
                    html.Strong(texts.REGRIND_ACTIONS[advice.action]), " ",
                    show.sentence(f"{advice.rule} {advice.money}"),
                ]
            ),
        ],
        className="card",
    )  # fmt: skip


def drill_on(workbench: Workbench, show: Show, name: str, number: int) -> Component | None:
    """Whether to stop an open run or to drill on; nothing for a run that has ended."""
    if not viewer().sees_prices:
        return None
    run = workbench.run(name, number)
    if run.end is not None or not any(one.largest_mm is not None for one in run.wear):
        return None
    advice = workbench.drill_on(name, number)
    rows: list[list[Cell]] = []
    for choice in advice.choices:
        look, money = choice.look, choice.money
        rows.append(
            [
                show.count(look.more_holes),
                show.count(look.looks),
                show.count(look.holes_expected),
                show.share(look.chance_reached or 0.0),
                texts.DRILL_ON_FACTORS.format(
                    now=_factor(look.width_now, show), then=_factor(look.width_then, show)
                ),
                show.money(money.price, advice.currency),
                show.money(money.worth, advice.currency),
            ]
        )
    return html.Section(
        [
            html.H2(texts.DRILL_ON_TITLE),
            html.P(show.sentence(advice.why), className="lead"),
            table(texts.DRILL_ON_COLUMNS, rows, caption=texts.DRILL_ON_TITLE,
                  numbers=list(texts.DRILL_ON_COLUMNS)) if rows else None,
        ]
    )  # fmt: skip


def _factor(width: float, show: Show) -> str:
    return texts.DRILL_ON_OPEN if math.isinf(width) else show.sentence(f"{width:.2g}")
