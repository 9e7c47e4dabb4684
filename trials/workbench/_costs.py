"""What the runs of a trial say in holes and money."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from trials import mechanics
from trials.errors import InputError
from trials.model import Economics, Run, Trial, WearLimits
from trials.workbench._kept import kept
from trials.workbench._money_values import DrillsCompared
from trials.workbench._shop import Shop
from trials.workbench._values import TrialSummary

if TYPE_CHECKING:  # scipy and plotly take their time; a run can be planned without them
    from trials.economics import CostPerHole, CostRange, DrillCost, RunMoney
    from trials.figures import RunMark
    from trials.life import HolesToWear


def summaries(shop: Shop) -> list[TrialSummary]:
    """Every trial in a line, the one changed last first."""
    found = []
    for one in shop.store.trials_with_runs():
        stored, runs = one
        known = shop.lines.get(stored.uuid)
        if known is None or known[0] is not one:  # the store gives the same object while it is so
            known = shop.lines[stored.uuid] = (one, _summary(stored.trial, runs))
        found.append(known[1])
    return found


def _summary(trial: Trial, runs: list[Run]) -> TrialSummary:
    ended = [run for run in runs if run.state == "ended"]
    costs = [mark.cost for mark in (run_mark(trial, run) for run in ended) if mark.counts]
    return TrialSummary(
        name=trial.name,
        material=trial.work.material,
        group=trial.work.group,
        hole=trial.hole.name,
        diameter_mm=trial.hole.diameter_mm,
        depth_mm=trial.hole.depth_mm,
        through=trial.hole.through,
        tolerance=trial.hole.tolerance,
        drills=tuple(drill.name for drill in trial.drills),
        runs=len(runs),
        runs_ended=len(ended),
        best_cost=min((cost for cost in costs if cost is not None), default=None),
        currency=trial.economics.currency,
        invented=trial.invented,
    )


def holes_to_wear(trial: Trial, run: Run) -> HolesToWear:
    """Holes of a run until the trial's wear limit, and how they are known."""
    # A reading can be of the hole in progress, which is counted only when it is finished.
    last = run.wear[-1].hole if run.wear else 0
    from trials.life import kept_holes_to_wear

    return kept_holes_to_wear(run.wear, trial.limits, run.end, max(run.holes, last))


def cycle_min(trial: Trial, run: Run) -> float:
    """Machine time of one hole, min: as recorded, else computed from the cutting data."""
    if run.cycle_min is not None:
        return run.cycle_min
    drill = trial.drill(run.drill)
    return mechanics.hole_time(
        run.cutting_data, drill.diameter_mm, trial.hole.depth_mm,
        point_angle_deg=drill.point_angle_deg, through=trial.hole.through,
        rapid_mm_per_min=trial.machine.rapid_mm_per_min,
    ).cycle_min  # fmt: skip


def cost(trial: Trial, run: Run) -> CostPerHole:
    """Cost per hole of the run's edge, with the prices of its drill.

    The edge's money is shared by its holes to wear; where those are not known, by the holes that
    it drilled (for a run that was stopped early that is the most a hole can have cost). An edge
    that broke bears the cost of breaking, and one that cannot be reground the whole drill. Without
    a recording the cycle time is computed.

    Raises:
        InputError: no hole was drilled yet.
    """
    return _cost_at(trial, run, _life_of_edge(trial, run))


def _life_of_edge(trial: Trial, run: Run) -> float:
    known = holes_to_wear(trial, run).holes
    return float(run.holes) if known is None or run.end in _FAILED else known


_FAILED = ("chipped", "broken", "out_of_tolerance", "load_limit")


def _cost_at(trial: Trial, run: Run, holes: float) -> CostPerHole:
    from trials.economics import beyond_regrind, cost_per_hole

    if holes <= 0:
        raise InputError(
            f"cost of run {run.number} of {trial.name}", got="no hole drilled yet",
            allowed="1 hole or more",
        )  # fmt: skip
    return cost_per_hole(
        trial.economics_of(run.drill), cycle_min(trial, run), holes,
        1.0 if run.end == "broken" else 0.0,
        beyond_regrind_share=1.0 if beyond_regrind(run, trial.limits) else 0.0,
        out_of_tolerance_share=1.0 if run.end == "out_of_tolerance" else 0.0,
    )  # fmt: skip


def run_mark(trial: Trial, run: Run) -> RunMark:
    """A run as the convergence figure shows it; without a hole it has no cost."""
    from trials.figures import RunMark
    from trials.units import show

    data = run.cutting_data
    label = f"{show(data.speed_m_per_min, 'm/min')}, {show(data.feed_mm_per_rev, 'mm/rev')}"
    life = _life_of_edge(trial, run)
    if life <= 0:
        return RunMark(run.number, None, end=run.end, label=label)
    low = high = None
    wear = holes_to_wear(trial, run)
    if wear.kind in ("interpolated", "projected") and run.end not in _FAILED:
        low = None if wear.high is None else _cost_at(trial, run, wear.high).total
        high = _cost_at(trial, run, wear.low).total if wear.low > 0 else None
    if low is None or high is None:
        low = high = None
    return RunMark(run.number, _cost_at(trial, run, life).total, low, high, run.end, label)


def as_evidence(trial: Trial, run: Run) -> Run:
    """An ended run with the life that its wear readings show.

    A run that was carried on past the wear limit, or stopped after it, was worn at the limit.
    """
    return run_as_evidence(run, trial.limits)


def run_as_evidence(run: Run, limits: WearLimits) -> Run:
    """The same by the limits alone."""
    if run.end not in ("worn", "stopped"):
        return run
    drilled = max(run.holes, run.wear[-1].hole if run.wear else 0)
    seen = [reading.largest_mm for reading in run.wear if reading.largest_mm is not None]
    least = min(
        limit
        for limit in (limits.vb_average_mm, limits.vb_maximum_mm, limits.corner_chipping_mm,
                      limits.margin_chipping_mm)
        if limit is not None
    )  # fmt: skip
    if max(seen, default=0.0) < least:
        # A stopped run would be projected, which takes its time and is no evidence.
        return run if run.end == "stopped" else replace(run, holes=max(1, drilled), wear=())
    from trials.life import kept_holes_to_wear

    wear = kept_holes_to_wear(run.wear, limits, run.end, drilled)
    if wear.kind in ("observed", "interpolated"):
        return replace(run, end="worn", holes=max(1, round(wear.holes or 0)), wear=())
    return run


def by_drill(trial: Trial, runs: list[Run]) -> dict[str, list[Run]]:
    """Ended runs of each drill as evidence: with the life their readings show, and a cycle time."""
    found: dict[str, list[Run]] = {drill.name: [] for drill in trial.drills}
    for run in runs:
        if run.state == "ended":
            timed = replace(as_evidence(trial, run), cycle_min=cycle_min(trial, run), wear=run.wear)
            found.setdefault(run.drill, []).append(timed)
    return found


def economics_by_drill(trial: Trial) -> dict[str, Economics]:
    """Money with the price and regrinds of each drill."""
    return {drill.name: trial.economics_of(drill.name) for drill in trial.drills}


def compare(trial: Trial, runs: list[Run]) -> list[DrillCost]:
    """Drills on cost per hole, the cheapest first."""
    return list(comparison(trial, runs).found.drills)


def comparison(
    trial: Trial, runs: list[Run], on_progress: Callable[[float], None] | None = None
) -> DrillsCompared:
    """Drills on cost per hole, the cheapest against each other one, and whether to go on."""
    return kept("comparison", (trial, tuple(runs)), lambda: _compared(trial, runs, on_progress))


def _compared(
    trial: Trial, runs: list[Run], on_progress: Callable[[float], None] | None
) -> DrillsCompared:
    from trials.economics import compare as compare_all
    from trials.economics import next_step

    found = compare_all(
        by_drill(trial, runs),
        economics_by_drill(trial),
        limits=trial.limits,
        on_progress=on_progress,
    )
    prices = {one.drill: price_of_a_run(trial, one) for one in found.drills}
    steps = tuple(
        next_step(pair, prices[pair.cheaper] + prices[pair.dearer], trial.holes_to_make)
        for pair in found.differences
    )
    return DrillsCompared(found, steps)


def price_of_a_run(trial: Trial, one: DrillCost) -> float:
    """Money for one more run to the end of an edge, or to the longest test."""
    if one.cost is None or one.holes_per_edge is None:
        return 0.0
    if one.holes_per_edge <= trial.max_test_holes:
        return one.cost.total * one.holes_per_edge
    edge = one.cost.drill + one.cost.change + one.cost.breakage
    return edge * one.holes_per_edge + (one.cost.total - edge) * trial.max_test_holes


def cost_range(
    trial: Trial, runs: list[Run], drill_name: str | None, run: Run | None,
    on_progress: Callable[[float], None] | None = None,
) -> CostRange:  # fmt: skip
    """Cost per hole with interval: of a drill where it did best, or at a run's cutting data."""
    from trials.economics import cost_range as with_interval

    drill = trial.drill(drill_name if run is None else run.drill).name
    if run is None:  # drawn with the other drills, so that every screen shows the same range
        found = dict(comparison(trial, runs, on_progress).found.ranges)
        if drill in found:
            return found[drill]
    return with_interval(
        drill, by_drill(trial, runs)[drill], trial.economics_of(drill),
        cutting_data=None if run is None else run.cutting_data, limits=trial.limits,
        on_progress=on_progress,
    )  # fmt: skip


def money_of_runs(trial: Trial, runs: list[Run], drill_name: str | None = None) -> list[RunMoney]:
    """What each run that drilled has cost by itself; of one drill, or of all."""
    from trials.economics import money_of_a_run

    return [
        money_of_a_run(run, trial.economics_of(run.drill), cycle_min(trial, run), trial.limits)
        for run in runs
        if run.holes > 0 and drill_name in (None, run.drill)
    ]
