"""One drill more closely: how long its edges last, how the newest one wears, what to do with it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard import ids, texts
from dashboard.components import Cell, end_cell, figure, table
from dashboard.show import NOTHING, Show
from trials.figures import (
    LifeDistribution,
    WearCurveFigure,
    draw_life_distribution,
    draw_wear_curve,
    life_distribution,
)
from trials.model import Run, Trial

if TYPE_CHECKING:
    from trials.workbench import DrillLife, Workbench


def layout(workbench: Workbench, show: Show, name: str, drill: str) -> Component:
    """Lives at the cutting data tried most; wear of the newest run that was looked at."""
    trial = workbench.trial(name)
    looked = [
        run
        for run in workbench.runs(name)
        if run.drill == drill and any(one.largest_mm is not None for one in run.wear)
    ]
    parts = [*_life(workbench.life(name, drill), trial, show)]
    if looked:
        run = looked[-1]
        parts += _wear(workbench.wear_curve(name, run.number), show)
        parts.append(_regrind(workbench, show, name, run))
    else:
        parts.append(html.P(texts.WEAR_NONE.format(drill=drill), className="aside"))
    return html.Article(parts)


def _life(found: DrillLife, trial: Trial, show: Show) -> list[Component]:
    if found.cutting_data is None:
        return [html.P(texts.LIFE_NONE.format(drill=found.drill), className="aside")]
    data = life_distribution(found.drill, found.lives, found.choice, found.survival)
    where = show.cutting_data(found.cutting_data, trial.hole.diameter_mm)
    rows: list[list[Cell]] = [
        [str(run), _holes(low, high, ended, show), end_cell(mode or "stopped", "")]
        for run, low, high, ended, mode in (
            (run, life.low, life.high, life.ended, life.mode)
            for run, life in zip(found.runs, found.lives, strict=True)
        )
    ]
    return [
        figure(
            draw_life_distribution(data, show.dark, decimal=show.decimal),
            title=texts.LIFE_FIGURE.format(drill=found.drill),
            sentence=_life_sentence(data, where, show),
            ident=ids.LIFE_DISTRIBUTION,
            size="medium",
        ),
        table(texts.LIFE_COLUMNS, rows, caption=texts.LIFE_FIGURE.format(drill=found.drill),
              numbers=("run", "holes")),
    ]  # fmt: skip


def _life_sentence(data: LifeDistribution, where: str, show: Show) -> str:
    said = [texts.LIFE_AT.format(data=where, edges=len(data.marks), ended=data.ended)]
    if data.half is not None:
        said.append(
            texts.LIFE_HALF.format(
                half=show.count(data.half), span=show.count_span(data.half_low, data.half_high)
            )
        )
    said.append(show.sentence(data.verdict[:1].upper() + data.verdict[1:]))
    return " ".join(said)


def _holes(low: float, high: float, ended: bool, show: Show) -> str:
    if not ended or math.isinf(high):
        return texts.LIFE_MORE_THAN.format(holes=show.count(low))
    if low == high:
        return show.count(high)
    return texts.LIFE_BETWEEN.format(low=show.count(low), high=show.count(high))


def _wear(data: WearCurveFigure, show: Show) -> list[Component]:
    said = [show.sentence(data.why), texts.WEAR_LIMIT.format(limit=show.length(data.limit_mm))]
    odd = [show.count(hole) for hole, _, off in data.readings if off]
    if odd:
        said.append(texts.WEAR_ODD.format(holes=", ".join(odd)))
    rows: list[list[Cell]] = []
    for hole, wear, _ in data.readings:
        low, middle, high = _curve_at(data, hole)
        span = NOTHING if low is None else f"{show.length(low)} – {show.length(high)}"
        rows.append([show.count(hole), show.length(wear), show.length(middle), span])
    heading = texts.WEAR_FIGURE.format(number=data.run, drill=data.drill)
    return [
        figure(
            draw_wear_curve(data, show.dark, decimal=show.decimal, system=show.system),
            title=heading,
            sentence=" ".join(said),
            ident=ids.WEAR_CURVE,
            size="medium",
        ),
        table(texts.WEAR_COLUMNS, rows, caption=heading, numbers=list(texts.WEAR_COLUMNS)),
    ]


def _curve_at(data: WearCurveFigure, hole: int) -> tuple[float | None, float | None, float | None]:
    """Low, middle and high of the curve at the nearest hole it was drawn for."""
    if not data.holes:
        return None, None, None
    at = min(range(len(data.holes)), key=lambda i: abs(data.holes[i] - hole))
    return data.low[at], data.middle[at], data.high[at]


def _regrind(workbench: Workbench, show: Show, name: str, run: Run) -> Component:
    advice = workbench.regrind_advice(name, run.number)
    return html.Section(
        [
            html.H2(texts.REGRIND_TITLE),
            html.P(
                [
                    html.Strong(texts.REGRIND_ACTIONS[advice.action]), " ",
                    show.sentence(f"{advice.rule} {advice.money}"),
                ]
            ),
        ],
        className="card",
    )  # fmt: skip
