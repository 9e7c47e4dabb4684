"""What is expected of the spindle load, against loads worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.helpers.drilling_process import Process
from trials.model import CuttingData
from trials.optimizer import RunResult
from trials.optimizer.belief import Belief

PROBLEM = Process().problem()


def _fresh_pct(feed_mm_per_rev: float, idle_pct: float) -> float:
    """The cut goes with feed^0.78 (specific force of steel); idling does not."""
    return idle_pct + 24.0 * (feed_mm_per_rev / 0.10) ** 0.78


@pytest.mark.parametrize("idle_pct", [0.0, 3.0, 8.0, 14.0])
@pytest.mark.parametrize("feed_mm_per_rev", [0.05, 0.20])
@pytest.mark.parametrize("machine", [PROBLEM.machine, None])
def test_a_spindle_that_idles_is_told_from_three_runs(
    idle_pct: float, feed_mm_per_rev: float, machine: object
) -> None:
    problem = replace(PROBLEM, machine=machine)
    runs = [
        RunResult(CuttingData(28, feed), 300, "worn", _fresh_pct(feed, idle_pct))
        for feed in (0.085, 0.10, 0.13)
    ]
    fresh = Belief(problem, runs).at([CuttingData(28, feed_mm_per_rev)]).fresh
    truth = math.log(_fresh_pct(feed_mm_per_rev, idle_pct))
    assert abs(fresh.mean[0] - truth) < 0.12
    assert abs(fresh.mean[0] - truth) < 2.0 * fresh.known_sd[0] + 0.02


def test_a_heavier_cut_is_expected_to_load_less_where_the_spindle_may_idle() -> None:
    run = RunResult(PROBLEM.start, 300, "worn", 30.0)
    fresh = Belief(PROBLEM, [run]).at([CuttingData(28, 0.20), CuttingData(28, 0.05)]).fresh
    cut_alone = 0.78 * math.log(2.0)
    assert math.log(30.0) < fresh.mean[0] < math.log(30.0) + cut_alone - 0.03
    assert math.log(30.0) - cut_alone + 0.03 < fresh.mean[1] < math.log(30.0)
