"""The two public functions."""

from __future__ import annotations

from collections.abc import Sequence

from trials.economics import cost_per_hole
from trials.mechanics import hole_time
from trials.optimizer.problem import Problem, RunResult
from trials.optimizer.suggestion import Estimate, Suggestion


def suggest(problem: Problem, runs: Sequence[RunResult], seed: int = 0) -> Suggestion:
    """Cutting data to test next."""
    return _start(problem)


def recommend(problem: Problem, runs: Sequence[RunResult], seed: int = 0) -> Suggestion:
    """Cutting data to produce with now."""
    return _start(problem)


def _start(problem: Problem) -> Suggestion:
    cycle = hole_time(problem.start, problem.diameter_mm, problem.depth_mm).cycle_min
    low, middle, high = (
        cost_per_hole(problem.economics, cycle, holes).total for holes in (2000.0, 300.0, 40.0)
    )
    return Suggestion(
        cutting_data=problem.start,
        holes=Estimate(40.0, 300.0, 2000.0),
        load_fresh_pct=Estimate(10.0, 25.0, 60.0),
        load_worn_pct=Estimate(15.0, 35.0, 90.0),
        cycle_min=Estimate(cycle, cycle, cycle),
        cost_per_hole=Estimate(low, middle, high),
        p_safe=0.9,
        p_chip_or_break=0.05,
        value=0.0,
        test_cost=problem.test_cost or 0.0,
        why="No run yet: this is the start.",
        stop=False,
    )
