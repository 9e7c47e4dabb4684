"""The interface of a peer, and what peers share: cost of a run, the unit cube of cutting data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from trials.economics import cost_per_hole
from trials.mechanics import hole_time, within_machine
from trials.model import CuttingData
from trials.optimizer import Problem, RunResult, Suggestion


@dataclass(frozen=True)
class Answer:
    """Cutting data; ``said`` is all that was said of them, where a peer says more."""

    data: CuttingData
    said: Suggestion | None = None


class Peer(Protocol):
    """One way to look for cheap holes. Asked anew with all runs each time."""

    name: str

    def suggest(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        """What to test next."""
        ...

    def recommend(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> Answer:
        """What to produce with."""
        ...


def observed_cost(problem: Problem, run: RunResult) -> float:
    """Cost per hole as the run showed it; a run stopped early counts the holes it drilled."""
    cycle = run.cycle_min
    if cycle is None:
        cycle = hole_time(run.cutting_data, problem.diameter_mm, problem.depth_mm).cycle_min
    broken = float(run.end == "broken")
    return cost_per_hole(problem.economics, cycle, max(run.holes, 1), broken).total


def load_share(problem: Problem, run: RunResult) -> float:
    """Worn load over the limit, 1 at the limit."""
    worn = max(run.load_worn_pct or 0.0, run.load_fresh_pct or 0.0)
    share = worn / problem.load_limit_pct
    return max(share, 1.0) if run.end == "load_limit" else share


def was_good(problem: Problem, run: RunResult) -> bool:
    """Within the limit and neither broken nor chipped."""
    return load_share(problem, run) < 1.0 and run.end not in ("broken", "chipped")


def best_seen(problem: Problem, runs: Sequence[RunResult]) -> CuttingData:
    """The cheapest run that was good; the start when none was."""
    good = [run for run in runs if was_good(problem, run)]
    if not good:
        return problem.start
    return min(good, key=lambda run: observed_cost(problem, run)).cutting_data


def to_cube(problem: Problem, data: CuttingData) -> list[float]:
    """Logarithms of speed, feed and peck depth from 0 to 1 within the bounds, and the mode."""

    def share(value: float, bounds: tuple[float, float]) -> float:
        low, high = bounds
        return min(max(math.log(value / low) / math.log(high / low), 0.0), 1.0)

    return [
        share(data.speed_m_per_min, problem.speed_m_per_min),
        share(data.feed_mm_per_rev, problem.feed_mm_per_rev),
        share(data.peck_depth_xd, problem.peck_depth_xd),
        (problem.peck_modes.index(data.peck_mode) + 0.5) / len(problem.peck_modes),
    ]


def from_cube(problem: Problem, point: Sequence[float]) -> CuttingData:
    """Back, lowered to what the machine can turn and feed."""

    def value(share: float, bounds: tuple[float, float]) -> float:
        low, high = bounds
        return min(max(low * (high / low) ** share, low), high)

    modes = problem.peck_modes
    data = CuttingData(
        value(point[0], problem.speed_m_per_min),
        value(point[1], problem.feed_mm_per_rev),
        modes[min(int(point[3] * len(modes)), len(modes) - 1)],
        value(point[2], problem.peck_depth_xd),
    )
    return within_the_machine(problem, data)


def within_the_machine(problem: Problem, data: CuttingData) -> CuttingData:
    """Slower until the machine can do it; peers know the machine's limits as a person does."""
    machine = problem.machine
    while machine is not None and within_machine(data, problem.diameter_mm, machine):
        slower = max(problem.speed_m_per_min[0], data.speed_m_per_min * 0.97)
        if slower == data.speed_m_per_min:
            break
        data = CuttingData(slower, data.feed_mm_per_rev, data.peck_mode, data.peck_depth_xd)
    return data
