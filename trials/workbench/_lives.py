"""How long drills last, and when production changes them, from the runs of a trial."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from trials.errors import InputError
from trials.model import CuttingData, End, Run, Trial
from trials.workbench._kept import kept
from trials.workbench._money_values import DrillInterval, DrillLife

if TYPE_CHECKING:
    from trials.life import IncidenceStep, Life, SurvivalStep


def ended_runs(runs: list[Run], drill: str) -> list[Run]:
    """Runs of a drill that have ended and drilled."""
    return [run for run in runs if run.drill == drill and run.end is not None and run.holes > 0]


def most_tried(runs: list[Run]) -> CuttingData | None:
    """The cutting data with most ended edges; of several the one used last."""
    of_data: dict[CuttingData, list[Run]] = defaultdict(list)
    for run in runs:
        of_data[run.cutting_data].append(run)
    if not of_data:
        return None
    return max(
        of_data,
        key=lambda data: (
            sum(run.end != "stopped" for run in of_data[data]),
            len(of_data[data]),
            max(run.number for run in of_data[data]),
        ),
    )


def drill_life(trial: Trial, runs: list[Run], drill_name: str | None, run: Run | None) -> DrillLife:
    """Lives at a run's cutting data, or at those that were tried most."""
    drill = trial.drill(drill_name if run is None else run.drill).name
    data = None if run is None else run.cutting_data
    return kept("life", (trial, tuple(runs), drill, data),
                lambda: _drill_life(trial, runs, drill, data))  # fmt: skip


def _drill_life(trial: Trial, runs: list[Run], drill: str, data: CuttingData | None) -> DrillLife:
    from trials.life import (
        ToolLifePoint,
        choose_model,
        fit_modes,
        fit_tool_life,
        life_of_run,
    )

    ended = ended_runs(runs, drill)
    data = data or most_tried(ended)
    here = [one for one in ended if one.cutting_data == data]
    lives = tuple(life_of_run(one, trial.limits) for one in here)
    points = [
        ToolLifePoint(
            one.cutting_data.speed_m_per_min,
            one.cutting_data.feed_mm_per_rev,
            life_of_run(one, trial.limits),
        )
        for one in ended
    ]
    return DrillLife(
        drill, data if here else None, lives, tuple(one.number for one in here),
        choose_model(lives) if lives else None,
        fit_modes(lives) if lives else {},
        _survival(lives),
        fit_tool_life(points),
        _incidence(lives),
        len({one.regrinds_done for one in here}) > 1,
    )  # fmt: skip


def _survival(lives: tuple[Life, ...]) -> tuple[SurvivalStep, ...]:
    """Steps need lives known to the hole; those between two looks count where they were found."""
    from trials.life import kaplan_meier

    return kaplan_meier(_as_found(lives)) if lives else ()


def _incidence(lives: tuple[Life, ...]) -> dict[End, tuple[IncidenceStep, ...]]:
    from trials.life import cumulative_incidence

    return cumulative_incidence(_as_found(lives)) if lives else {}


def _as_found(lives: tuple[Life, ...]) -> list[Life]:
    from trials.life import ended_at

    return [
        life if life.exact or not life.ended else ended_at(life.high, life.mode) for life in lives
    ]


def costs_of_changing(trial: Trial, drill: str) -> tuple[float, float]:
    """Money for a planned change of an edge, and for one that fails first.

    A planned change costs the edge's share of drill and regrinds, and the time of changing. A
    failure costs the change, what breaking costs, and a drill that is not reground any more: its
    price, or where it is reground what is left of it halfway through its regrinds on average.
    """
    from trials.economics import money_of_an_edge

    money = trial.economics_of(drill)
    edge = money_of_an_edge(money)
    planned = edge.drill + edge.change
    lost = max(edge.drill, money.drill_price / (1 + money.regrinds / 2))
    return planned, lost + edge.change + money.breakage_cost + money.scrap_cost


def change_interval(
    trial: Trial, life: DrillLife, *, planned_cost: float | None, failure_cost: float | None,
    risk: float | None, holes_per_part: int, parts_per_shift: int | None,
) -> DrillInterval:  # fmt: skip
    """The interval for production at the cutting data of ``life``."""
    from trials.life import change_interval as best_interval
    from trials.life import round_interval

    usual_planned, usual_failure = costs_of_changing(trial, life.drill)
    planned = usual_planned if planned_cost is None else planned_cost
    failure = usual_failure if failure_cost is None else failure_cost
    currency = trial.economics.currency
    if life.choice is None:
        return DrillInterval(life, planned, failure, None, None, currency)
    if planned <= 0:
        raise InputError(
            f"planned change of {life.drill}", got="costs nothing", allowed="more than 0",
            do="Give the price of the drill, the machine rate and the time of a change in the "
            "trial, or the money for a planned change here.",
        )  # fmt: skip
    # Where the lives cannot tell the models apart, plan with the one that ends edges earlier.
    fits = [fit for fit in life.choice.fits if fit.ok]
    fit = life.choice.best
    if len(fits) > 1 and abs((fits[0].aic or 0.0) - (fits[1].aic or 0.0)) < 2.0:
        fit = min(fits, key=lambda one: one.b10 or 0.0)
    found = best_interval(fit, planned, failure, risk_cap=risk)
    rounded = whole = None
    if found.holes is not None:
        rounded = round_interval(found.holes, holes_per_part, parts_per_shift)
        if parts_per_shift is not None:
            whole = round_interval(found.holes, holes_per_part)
    return DrillInterval(life, planned, failure, found, rounded, currency, whole)
