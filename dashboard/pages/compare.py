"""Drills compared: what a hole costs with each, how sure that is, and for which size of run."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboard import ids, links, texts
from dashboard.components import Cell, aria, empty_state, figure, problem, table
from dashboard.pages.trial import title
from dashboard.show import NOTHING, Show
from trials.errors import HolewiseError
from trials.figures import (
    PART_NAMES,
    ComparisonFigure,
    CostBreakdown,
    RunSizeFigure,
    comparison_figure,
    draw_comparison,
    draw_cost_breakdown,
    draw_run_size,
    run_size_figure,
)

if TYPE_CHECKING:
    from trials.workbench import DrillsCompared, RunSizeAdvice, Workbench


def layout(workbench: Workbench, show: Show, name: str) -> tuple[Component, str]:
    """The page; drills are compared after it stands, because that can take a second."""
    trial = workbench.trial(name)
    return html.Article(
        [
            title(trial, show, here="compare"),
            dcc.Store(id=ids.COMPARE_TRIAL, data=name),
            html.Div(
                html.P(texts.COMPARE_WORKING, className="working"),
                id=ids.COMPARE_SHOWN,
                className="parts",
                **aria(live="polite"),
            ),
        ]
    ), f"{texts.COMPARE_TITLE} · {trial.name}"


def register(app: Dash, workbench: Workbench) -> None:
    """The comparison itself."""

    @app.callback(
        Output(ids.COMPARE_SHOWN, "children"),
        Input(ids.COMPARE_TRIAL, "data"),
        State(ids.VIEW, "data"),
    )
    def show_comparison(name: str, view: dict[str, Any]) -> list[Component] | Component:
        try:
            return compared(workbench, Show.from_view(view), name)
        except HolewiseError as error:
            return problem(error)


def compared(workbench: Workbench, show: Show, name: str) -> list[Component]:
    """Three figures for all drills, each with sentences and a table."""
    found = workbench.comparison(name)
    data = comparison_figure(found.found)
    if not data.drills:
        whys = [html.P(show.sentence(one.why), className="aside") for one in data.without]
        empty = empty_state(texts.COMPARE_EMPTY_TITLE, texts.COMPARE_EMPTY, trial=name)
        return [empty, html.Section(whys)]
    parts: list[Component | None] = [
        figure(
            draw_comparison(data, show.dark, decimal=show.decimal),
            title=texts.COMPARE_FIGURE,
            sentence=_said([one.why for one in (*data.drills, *data.without)], show),
            ident=ids.COMPARISON,
            size="small",
        ),
        html.Section([_drills(data, show)]),
        _pairs(found, data, show),
        *_sizes(workbench.run_size(name), show),
        *_breakdown(workbench.cost_breakdown(name), show),
        _closely(workbench, name),
    ]
    return [part for part in parts if part is not None]


def _said(sentences: list[str], show: Show) -> Component:
    return html.Ul([html.Li(show.sentence(one)) for one in sentences if one])


def _drills(data: ComparisonFigure, show: Show) -> Component:
    rows: list[list[Cell]] = []
    for one in (*data.drills, *data.without):
        span = show.money_span(one.low, one.high, data.currency)
        if one.low is None and one.high is not None:
            span = texts.COMPARE_AT_MOST.format(cost=show.money(one.high, data.currency))
        rows.append(
            [
                one.drill,
                texts.COMPARE_RUNS.format(runs=show.count(one.runs), ended=show.count(one.ended)),
                show.count(one.holes_per_edge),
                show.money(None if one.cost is None else one.cost.total, data.currency),
                span,
                texts.COMPARE_VERDICTS[one.verdict],
            ]
        )
    return table(texts.COMPARE_COLUMNS, rows, caption=texts.COMPARE_FIGURE,
                 numbers=("holes", "cost", "span"))  # fmt: skip


def _pairs(compared: DrillsCompared, data: ComparisonFigure, show: Show) -> Component | None:
    if not data.differences:
        return None
    rows: list[list[Cell]] = []
    for pair in data.differences:
        runs = pair.runs_to_settle
        more = texts.COMPARE_OVER if runs is None else texts.COMPARE_ABOUT.format(runs=runs)
        rows.append(
            [
                texts.COMPARE_PAIR.format(cheaper=pair.cheaper, dearer=pair.dearer),
                show.share(pair.p_cheaper),
                show.money_span(pair.low, pair.high, data.currency),
                show.count(pair.paired) if pair.paired else NOTHING,
                more if pair.tie else texts.COMPARE_SETTLED,
            ]
        )
    return html.Section(
        [
            html.H2(texts.COMPARE_SURE),
            _said([step.why for step in compared.steps], show),
            table(texts.COMPARE_PAIR_COLUMNS, rows, caption=texts.COMPARE_SURE,
                  numbers=("sure", "span", "shared")),
        ],
        className="sure",
    )  # fmt: skip


def _sizes(advice: RunSizeAdvice, show: Show) -> list[Component]:
    if advice.sizes is None:
        return []
    data = run_size_figure(advice.sizes)
    said = [advice.sizes.advice, texts.RUN_SIZE_INSIDE if advice.tests_counted else ""]
    said += [one.why for one in advice.dialling_in]
    return [
        figure(
            draw_run_size(data, show.dark, decimal=show.decimal),
            title=texts.RUN_SIZE_FIGURE,
            sentence=_said([*said, *advice.without], show),
            ident=ids.RUN_SIZE,
            size="medium",
        ),
        html.Section([html.H2(texts.RUN_SIZE_TABLE), _size_table(data, show)]),
    ]


def _size_table(data: RunSizeFigure, show: Show) -> Component:
    lines, currency = data.found.lines, data.found.currency
    columns = {"holes": texts.RUN_SIZE_HOLES}
    columns |= {f"drill-{number}": line.drill for number, line in enumerate(lines)}
    if len(lines) > 1:
        columns["cheapest"] = texts.RUN_SIZE_CHEAPEST
    rows: list[list[Cell]] = []
    for size in data.table_sizes:
        costs = {line.drill: data.per_hole(line.drill, size) for line in lines}
        holes = show.count(size)
        rows.append(
            [
                texts.RUN_SIZE_THIS.format(holes=holes)
                if size == data.found.holes_to_make
                else holes,
                *(show.money(middle, currency) for _, middle, _ in costs.values()),
                *([min(costs, key=lambda drill: costs[drill][1])] if len(lines) > 1 else []),
            ]
        )
    return table(columns, rows, caption=texts.RUN_SIZE_FIGURE,
                 numbers=[key for key in columns if key != "cheapest"])  # fmt: skip


def _breakdown(data: CostBreakdown, show: Show) -> list[Component]:
    if not data.bars:
        return []
    said = []
    for bar in data.bars:
        largest = max(bar.parts, key=lambda name: bar.parts[name])
        said.append(
            texts.BREAKDOWN_SENTENCE.format(
                drill=bar.drill,
                cost=show.money(bar.total, data.currency),
                part=PART_NAMES[largest],
                share=show.pct(100 * bar.parts[largest] / bar.total if bar.total else 0.0),
            )
        )
    columns = {"part": texts.BREAKDOWN_PART}
    columns |= {f"drill-{number}": bar.drill for number, bar in enumerate(data.bars)}
    rows: list[list[Cell]] = [
        [PART_NAMES[name], *(show.money(bar.shown[name], data.currency) for bar in data.bars)]
        for name in data.used
    ]
    rows.append(
        [texts.BREAKDOWN_TOTAL, *(show.money(bar.total, data.currency) for bar in data.bars)]
    )
    return [
        figure(
            draw_cost_breakdown(data, show.dark, decimal=show.decimal),
            title=texts.BREAKDOWN_FIGURE,
            sentence=html.Ul([html.Li(one) for one in said]),
            ident=ids.COST_BREAKDOWN,
            size="small",
        ),
        html.Section(
            [table(columns, rows, caption=texts.BREAKDOWN_FIGURE,
                   numbers=[key for key in columns if key != "part"])]
        ),
    ]  # fmt: skip


def _closely(workbench: Workbench, name: str) -> Component | None:
    """The way to wear and life of each drill: its newest run that was looked at, or its newest."""
    newest: dict[str, int] = {}
    for run in sorted(workbench.runs(name), key=lambda one: (bool(one.wear), one.number)):
        if run.holes > 0:
            newest[run.drill] = run.number
    if not newest:
        return None
    return html.P(
        [
            dcc.Link(texts.COMPARE_WEAR.format(drill=drill), href=links.wear(name, number),
                     className="way named")
            for drill, number in newest.items()
        ],
        className="runs-of",
    )  # fmt: skip
