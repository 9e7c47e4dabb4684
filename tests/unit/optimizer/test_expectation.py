"""Expected improvement against its definition, and the cost formula being the one of economics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from skopt.acquisition import gaussian_ei

from tests.helpers.drilling_process import MONEY, Process
from trials.economics import cost_per_hole
from trials.model import CuttingData
from trials.optimizer import RunResult, suggest
from trials.optimizer.belief import Belief, Log
from trials.optimizer.expectation import Money, describe, log_expected_improvement, money


def _spending(per_hole: list[float]) -> Money:
    return Money(np.asarray(per_hole), np.full(len(per_hole), 60.0), 60.0, 60.0)


@pytest.mark.parametrize("target", [0.35, 0.5, 0.9])
@pytest.mark.parametrize("known", [0.05, 0.4])
def test_expected_improvement_is_the_integral(target: float, known: float) -> None:
    # Definition: E[max(0, target − cost)], integrated numerically over the part of the doubt that
    # one test takes away.
    spending = _spending([0.2])
    life = Log(np.asarray([math.log(200)]), np.asarray([known]), 0.2)
    s = known**2 / math.hypot(known, 0.2)
    f = np.linspace(-9, 9, 200001)
    density = np.exp(-0.5 * f**2) / math.sqrt(2 * math.pi)
    gain = np.maximum(0, target - spending.at(math.log(200) + s * f))
    expected = float((gain * density).sum() * (f[1] - f[0]))
    found = math.exp(log_expected_improvement(spending, life, target)[0])
    assert found == pytest.approx(expected, rel=1e-5, abs=1e-12)


def test_narrow_doubt_agrees_with_scikit_optimize() -> None:
    # With little doubt the cost is nearly normal, and the library's own closed form applies.
    spending = _spending([0.2])
    known, mean = 0.02, math.log(200)
    life = Log(np.asarray([mean]), np.asarray([known]), 1e-9)
    found = math.exp(log_expected_improvement(spending, life, 0.5)[0])

    class Nearly:
        def predict(self, x: object, return_std: bool = True) -> tuple[object, object]:  # noqa: ARG002
            return spending.at(np.asarray([mean])), np.asarray([60.0 / 200 * known])

    library = float(gaussian_ei(np.zeros((1, 1)), Nearly(), y_opt=0.5, xi=0.0)[0])
    assert found == pytest.approx(library, rel=0.02)


def test_no_life_is_long_enough_when_the_machine_costs_more() -> None:
    spending = _spending([0.2, 0.6, 0.7])
    life = Log(np.full(3, 5.0), np.full(3, 0.5), 0.2)
    gain = log_expected_improvement(spending, life, 0.5)
    assert math.exp(gain[1]) == 0.0
    assert gain[0] > gain[1] > gain[2]


@pytest.mark.parametrize("speed", [20, 30, 60])
@pytest.mark.parametrize("log_life", [2.0, 5.5, 8.0])
def test_cost_is_the_formula_of_economics(speed: float, log_life: float) -> None:
    process = Process()
    belief = Belief(process.problem(), process.history(5, seed=1))
    outlook = belief.at([CuttingData(speed, 0.12)])
    # The formula is a straight line in edges and breakages for one life, whose expectations the
    # risk gives; an edge that breaks for certain has the price of breaking once.
    cycle = math.exp(float(outlook.cycle.mean[0]))
    without = cost_per_hole(MONEY, cycle, math.inf).total
    edge = cost_per_hole(MONEY, cycle, 1.0).total - without
    breaking = cost_per_hole(MONEY, cycle, 1.0, 1.0).total - without - edge
    edges, breaks = float(outlook.failing.edges[0]), float(outlook.failing.breaks[0])
    by_formula = without + (edge * edges + breaking * breaks) / math.exp(log_life)
    assert edges >= 1.0
    assert 0 < breaks < edges
    found = money(process.problem(), outlook).at(np.asarray([log_life]))[0]
    assert found == pytest.approx(by_formula, rel=1e-9)


def test_low_median_high_are_in_order() -> None:
    answer = suggest(Process().problem(), Process().history(4, seed=2))
    for low, median, high in (
        answer.holes, answer.load_fresh_pct, answer.load_worn_pct, answer.cycle_min,
        answer.cost_per_hole,
    ):  # fmt: skip
        assert 0 < low < median < high


def test_the_range_of_the_cost_is_of_an_edge_that_is_worn() -> None:
    # By hand: the low end is an edge of the longest life, the high end one of the shortest and bad
    # luck; cliffs are in the median alone, and the high end is never below it.
    problem = Process().problem()
    tried = RunResult(problem.start, 400, "worn", 30.0, 40.0, 0.24)
    broken = RunResult(CuttingData(28, 0.2), 5, "broken", 55.0, 60.0, 0.15)
    belief = Belief(problem, [tried, broken])
    for data in (problem.start, broken.cutting_data):
        said = money(problem, belief.at([data]))
        answer = describe(problem, belief, data)
        cost, holes = answer.cost_per_hole, answer.holes
        per_hole = float(said.per_hole[0])
        assert cost.low == pytest.approx(per_hole + said.when_worn / holes.high, rel=1e-3)
        by_luck = per_hole + said.without_cliff / holes.low
        assert cost.high == pytest.approx(max(by_luck, cost.median), rel=1e-3)
        assert cost.high < per_hole + float(said.per_edge[0]) / holes.low


def test_half_of_what_cliffs_cost_counts_where_cutting_data_are_compared() -> None:
    problem = Process().problem()
    tried = RunResult(problem.start, 400, "worn", 30.0, 40.0, 0.24)
    broken = RunResult(CuttingData(28, 0.2), 5, "broken", 55.0, 60.0, 0.15)
    outlook = Belief(problem, [tried, broken]).at([problem.start, broken.cutting_data])
    said = money(problem, outlook)
    compared = said.to_compare()
    lucky = said.without_cliff
    assert said.per_edge[1] > 1.5 * lucky > lucky  # a cliff is near, and all of it is said
    assert compared.per_edge - lucky == pytest.approx((said.per_edge - lucky) / 2)
    assert compared.per_hole.tolist() == said.per_hole.tolist()
