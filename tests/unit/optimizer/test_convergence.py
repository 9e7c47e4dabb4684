"""On a process of other physics than its own, the search finds cheap holes in few tests."""

from __future__ import annotations

import statistics

import numpy as np

from tests.helpers.drilling_process import Process
from trials.optimizer import RunResult, recommend, suggest


def test_cheap_holes_in_eight_tests() -> None:
    process = Process()
    problem, lowest = process.problem(), process.lowest_cost()
    above_lowest, over_limit = [], 0
    for seed in range(3):
        random = np.random.default_rng(seed)
        runs: list[RunResult] = []
        for _ in range(8):
            run = process.drill(suggest(problem, runs, seed).cutting_data, random)
            over_limit += (run.load_worn_pct or 0.0) >= problem.load_limit_pct
            runs.append(run)
        best = recommend(problem, runs, seed)
        assert process.worn_pct(best.cutting_data) < problem.load_limit_pct
        above_lowest.append(process.cost(best.cutting_data) / lowest - 1.0)
    assert over_limit == 0
    # The start is 40 % and more above the lowest cost.
    assert process.cost(problem.start) / lowest - 1.0 > 0.4
    assert statistics.median(above_lowest) < 0.10
