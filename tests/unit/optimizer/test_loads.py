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


def _stopped(share: float, growth: float, count: int) -> list[RunResult]:
    """Edges stopped by the longest test after this share of their life, hardly scattering.

    Load grows with the share to the power of 1.25.
    """
    return [
        RunResult(
            PROBLEM.start, PROBLEM.max_test_holes, "stopped", 20.0,
            20.0 * math.exp(growth * share**1.25 + 0.02 * math.sin(7 * number)), 0.2,
        )
        for number in range(count)
    ]  # fmt: skip


def _growth_at_start(runs: list[RunResult]) -> tuple[float, float]:
    outlook = Belief(PROBLEM, runs).at([PROBLEM.start])
    return float(outlook.worn.mean[0] - outlook.fresh.mean[0]), float(outlook.worn.known_sd[0])


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
@pytest.mark.parametrize("growth", [0.25, 0.3, 0.35])
def test_stopped_edges_are_carried_on_to_the_worn_state_with_one_doubt_for_all(
    share: float, growth: float
) -> None:
    few, few_sd = _growth_at_start(_stopped(share, growth, 2))
    many, many_sd = _growth_at_start(_stopped(share, growth, 12))
    for expected, sd in ((few, few_sd), (many, many_sd)):
        assert abs(expected - growth) < 1.2 * sd
    # How long they last is as little known from twelve as from two.
    assert many_sd > 0.7 * few_sd


def test_worn_edges_tell_how_much_stopped_ones_will_grow() -> None:
    worn = [
        RunResult(CuttingData(40, 0.1), holes, "worn", 24.0, 24.0 * math.exp(0.5), 0.2)
        for holes in (400, 420, 450)
    ]
    alone, _ = _growth_at_start(worn)
    together, _ = _growth_at_start([*worn, *_stopped(0.6, 0.5, 5)])
    assert 0.4 < alone < 0.55
    assert abs(together - alone) < 0.06
