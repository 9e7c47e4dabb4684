"""The table of a trial's runs."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard import texts
from dashboard.components import Cell, end_cell, table
from dashboard.show import NOTHING, Show
from trials.figures import Convergence
from trials.model import Run, Trial


def runs_table(trial: Trial, runs: Sequence[Run], costs: Convergence, show: Show) -> Component:
    """Every run of the trial, the newest first; an empty trial says what to do."""
    if not runs:
        return html.P(texts.RUNS_EMPTY, className="aside")
    money = {mark.number: mark for mark in costs.runs}
    best = costs.best_run
    rows: list[list[Cell]] = []
    for run in sorted(runs, key=lambda run: -run.number):
        data = run.cutting_data
        mark = money.get(run.number)
        cost: Cell = NOTHING if mark is None else show.money(mark.cost, costs.currency)
        if best is not None and best.number == run.number:
            cost = html.Span([html.Span(texts.RUNS_BEST, className="badge best"), cost])
        rows.append(
            [
                str(run.number),
                run.drill,
                show.value(data.speed_m_per_min, "m/min"),
                show.value(data.feed_mm_per_rev, "mm/rev"),
                show.pecking(data, trial.hole.diameter_mm),
                show.count(run.holes) if run.holes else NOTHING,
                _load(run, show),
                _wear(run, show),
                end_cell(run.end, texts.RUN_STATES[run.state]),
                cost,
            ]
        )
    return table(
        texts.RUNS_COLUMNS,
        rows,
        caption=texts.RUNS_TITLE,
        numbers=("number", "speed", "feed", "holes", "load", "cost"),
        money=("cost",),
    )


def _load(run: Run, show: Show) -> str:
    if run.load_fresh_pct is None and run.load_worn_pct is None:
        return NOTHING
    return texts.RUNS_LOAD.format(
        fresh=show.pct(run.load_fresh_pct), worn=show.pct(run.load_worn_pct)
    )


def _wear(run: Run, show: Show) -> str:
    measured = [reading for reading in run.wear if reading.largest_mm is not None]
    if not measured:
        return NOTHING
    newest = measured[-1]
    return texts.RUNS_WEAR.format(wear=show.length(newest.largest_mm), hole=show.count(newest.hole))
