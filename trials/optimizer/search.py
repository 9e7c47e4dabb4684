"""What to test next, and what to produce with now.

A test is worth what it may improve: the cost per hole is ``a + b / holes`` with the life lognormal,
so expected improvement has a closed form. It is measured against the cheapest cutting data tried,
not against the cheapest allowed: the load limit then only takes candidates away, those with the
highest loads, and so a tighter limit cannot lead to a higher load.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from trials.economics import cost_per_hole
from trials.errors import InputError, require
from trials.model import CuttingData
from trials.optimizer import words
from trials.optimizer.belief import Belief
from trials.optimizer.candidates import (
    draw,
    hard_load_limit_pct,
    rounded,
    within_a_step,
    within_hard_limits,
)
from trials.optimizer.expectation import (
    describe,
    high_load_pct,
    log_expected_improvement,
    money,
    p_safe,
)
from trials.optimizer.gaussian import Floats
from trials.optimizer.problem import Problem, RunResult, in_canonical_order
from trials.optimizer.suggestion import Suggestion

SAFE_PROBABILITY = 0.95
# A job that keeps coming back counts as this many holes when a test's value is worked out.
HOLES_OF_A_RECURRING_JOB = 10_000
# Riskier cutting data are not tested nor recommended: share of edges that chip or break.
_MOST_FAILING = 0.2
# How many of the cheapest runs are searched around closely.
_SEARCHED_AROUND = 3
# Runs before a job that keeps coming back may be called done.
_FEWEST_RUNS = 3
# Differences smaller than this are rounding, and the cheaper candidate goes.
_TIE = 1e-9


def suggest(problem: Problem, runs: Sequence[RunResult], seed: int = 0) -> Suggestion:
    """Cutting data to test next, with what is expected of them and whether to stop testing.

    Without runs this is the start, lowered where the machine's limits or the expected load ask for
    it. The order of ``runs`` does not matter; the same arguments give the same answer. A tighter
    load limit never gives a higher ``load_worn_pct.high``, and money in another unit never gives
    other cutting data.

    Raises:
        InputError: nothing within the bounds may be tried, or the seed is not possible.
    """
    if not runs:
        return _first(problem)
    view = _View(problem, runs, seed)
    if not view.allowed.any():
        return view.gentlest()
    gain = log_expected_improvement(view.money, view.outlook.life, view.cheapest_tried())
    index = view.first_of(np.where(view.allowed, gain, -np.inf))
    answer = view.answer(index)
    text = words.next_test(answer, view.best_tried(), view.limit_pct, problem.economics.currency)
    return replace(answer, why=text)


def recommend(problem: Problem, runs: Sequence[RunResult], seed: int = 0) -> Suggestion:
    """Cutting data to produce with now: the lowest expected cost that is safe.

    ``value`` and ``stop`` speak of testing these cutting data once more. Other fields, errors and
    promises are those of `suggest`.
    """
    if not runs:
        return _first(problem)
    view = _View(problem, runs, seed)
    if not view.allowed.any():
        return view.gentlest()
    answer = view.answer(view.cheapest_allowed)
    text = words.produce(answer, len(runs), view.limit_pct, problem.economics.currency)
    return replace(answer, why=text)


class _View:
    """The candidates with what the runs let us expect of each."""

    def __init__(self, problem: Problem, runs: Sequence[RunResult], seed: int) -> None:
        require(0 <= seed < 2**32, "seed of the search", seed, "0 to 4,294,967,295")
        self.problem = problem
        self.runs = in_canonical_order(runs)
        self.limit_pct = hard_load_limit_pct(problem)
        self.belief = Belief(problem, self.runs)
        distinct = dict.fromkeys(run.cutting_data for run in self.runs)
        self.tried = [data for data in distinct if within_hard_limits(problem, data)]
        self.candidates = draw(problem, self._cheapest_runs(), self.tried, seed)
        if not self.candidates:
            raise _nothing_left(problem, "the machine's speed, feed rate or thrust")
        self.outlook = self.belief.at(self.candidates)
        self.money = money(problem, self.outlook)
        self.cost = self.money.expected(self.outlook.life)

    def _cheapest_runs(self) -> list[CuttingData]:
        """Tried cutting data of the lowest expected cost, whatever their load."""
        if not self.tried:
            return []
        outlook = self.belief.at(self.tried)
        cost = money(self.problem, outlook).expected(outlook.life)
        order = np.argsort(_coarse(cost / cost.min()), kind="stable")
        return [self.tried[i] for i in order[:_SEARCHED_AROUND].tolist()]

    @cached_property
    def allowed(self) -> NDArray[np.bool_]:
        """Candidates that may be driven: safe, at most one step away, not shown to be too hot."""
        return (
            (p_safe(self.problem, self.outlook) >= SAFE_PROBABILITY)
            & (self.outlook.p_fail <= _MOST_FAILING)
            & within_a_step(self.problem, self.candidates, self.runs)
            & (self.outlook.shown_pct < self.limit_pct)
        )

    def _indices_of_tried(self) -> list[int]:
        known = set(self.tried)
        return [i for i, data in enumerate(self.candidates) if data in known]

    def cheapest_tried(self) -> float:
        """Lowest expected cost among what was tried, or of all when no run is within the limits."""
        indices = self._indices_of_tried()
        return float(self.cost[indices].min() if indices else self.cost.min())

    def best_tried(self) -> tuple[CuttingData, float] | None:
        """What was tried and may be driven on, of the lowest expected cost; None if there is none.

        With its expected cost.
        """
        indices = [i for i in self._indices_of_tried() if self.allowed[i]]
        if not indices:
            return None
        index = min(indices, key=lambda i: float(self.cost[i]))
        return self.candidates[index], float(self.cost[index])

    def first_of(self, score: Floats) -> int:
        """The highest score; the cheaper one first where scores cannot be told apart."""
        top = float(score.max())
        near = np.flatnonzero(score >= top - _TIE * max(1.0, abs(top)))
        return int(near[int(np.argmin(_coarse(self.cost[near] / self.cost.min())))])

    @cached_property
    def cheapest_allowed(self) -> int:
        """The allowed candidate of the lowest expected cost."""
        return self.first_of(np.where(self.allowed, -self.cost / self.cost.min(), -np.inf))

    def answer(self, index: int) -> Suggestion:
        """An allowed candidate with all that is expected of it and what testing it is worth."""
        answer = describe(self.problem, self.belief, self.candidates[index])
        best = float(self.cost[self.cheapest_allowed])
        gain = float(log_expected_improvement(self.money, self.outlook.life, best)[index])
        holes = self.problem.holes_to_make
        value = math.exp(gain) * (HOLES_OF_A_RECURRING_JOB if holes is None else holes)
        price = price_of_test(self.problem, answer)
        enough = holes is not None or len(self.runs) >= _FEWEST_RUNS
        return replace(answer, value=value, test_cost=price, stop=enough and value <= price)

    def gentlest(self) -> Suggestion:
        """Nothing is safe enough: the candidate of the lowest load, and the advice to stop."""
        index = self.first_of(-np.log(high_load_pct(self.outlook)))
        if self.outlook.shown_pct[index] >= self.limit_pct:
            raise _nothing_left(self.problem, "runs that were too hot for the load limit")
        answer = describe(self.problem, self.belief, self.candidates[index])
        return replace(
            answer,
            test_cost=price_of_test(self.problem, answer),
            stop=True,
            why=words.nothing_safe(answer, self.limit_pct, SAFE_PROBABILITY),
        )


def price_of_test(problem: Problem, answer: Suggestion) -> float:
    """Price of a test that goes on until wear or the longest test: machine time and one edge."""
    if problem.test_cost is not None:
        return float(problem.test_cost)
    worn_at, cost = answer.holes.median, answer.cost_per_hole.median
    without_edge = cost_per_hole(problem.economics, answer.cycle_min.median, math.inf).total
    edge = (cost - without_edge) * worn_at
    return without_edge * min(worn_at, problem.max_test_holes) + edge


def _first(problem: Problem) -> Suggestion:
    """Before any run: the start, lowered while the machine or the load expected of it ask for it.

    A person chose the start, so it is kept as long as the expected worn load is below the limit.
    """
    belief = Belief(problem, ())
    limit_pct = hard_load_limit_pct(problem)
    for data in _from_the_start_down(problem):
        if not within_hard_limits(problem, data):
            continue
        answer = describe(problem, belief, data)
        if answer.load_worn_pct.median < limit_pct:
            lowered = data != problem.start
            return replace(
                answer,
                test_cost=price_of_test(problem, answer),
                why=words.first(problem, answer, limit_pct, lowered=lowered),
            )
    raise _nothing_left(problem, "the machine, or by the load expected there")


def _from_the_start_down(problem: Problem) -> list[CuttingData]:
    """The start, then the feed lowered, the speed lowered, and both, further and further."""
    start = problem.start
    speed_low, feed_low = problem.speed_m_per_min[0], problem.feed_mm_per_rev[0]
    steps = [start]
    for share in np.linspace(0.975, 0.05, 38).tolist():
        speed = max(speed_low, start.speed_m_per_min * share)
        feed = max(feed_low, start.feed_mm_per_rev * share)
        lowered = (
            replace(start, feed_mm_per_rev=feed),
            replace(start, speed_m_per_min=speed),
            replace(start, speed_m_per_min=speed, feed_mm_per_rev=feed),
        )
        steps += [rounded(problem, data) for data in lowered]
    return list(dict.fromkeys(steps))


def _coarse(values: Floats) -> Floats:
    """Without the last digits, which depend on how sums were grouped."""
    result: Floats = np.round(values, 9)
    return result


def _nothing_left(problem: Problem, by: str) -> InputError:
    speed, feed = problem.speed_m_per_min, problem.feed_mm_per_rev
    return InputError(
        f"no cutting data are left to try from {speed[0]:g} to {speed[1]:g} m/min and "
        f"{feed[0]:g} to {feed[1]:g} mm/rev: all are ruled out by {by}",
        do="Lower the lower bounds, raise the load limit if the machine allows it, or use a "
        "stronger machine.",
    )
