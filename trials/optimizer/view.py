"""The candidates, what the runs let us expect of each, and which of them answers a question.

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

from trials.errors import InputError, require
from trials.model import CuttingData, End
from trials.optimizer import physics, words
from trials.optimizer.belief import Belief
from trials.optimizer.candidates import (
    draw,
    hard_load_limit_pct,
    harsher_than_all,
    within_a_step,
    within_hard_limits,
)
from trials.optimizer.earlier import Earlier
from trials.optimizer.expectation import (
    describe,
    high_load_pct,
    log_expected_improvement,
    money,
    p_safe,
)
from trials.optimizer.gaussian import Floats
from trials.optimizer.length import length_of_test, price_of_test, told, with_longest_test
from trials.optimizer.problem import Problem, RunResult, in_canonical_order
from trials.optimizer.risk import FAILED
from trials.optimizer.suggestion import Suggestion

# A job that keeps coming back counts as this many holes when a test's value is worked out.
HOLES_OF_A_RECURRING_JOB = 10_000
# Riskier cutting data are not tested nor recommended: share of edges that chip or break, and risk
# beyond bad luck where nothing as harsh was tried.
_MOST_FAILING, _RISK_OF_A_STEP = 0.35, 0.1
# Production stays this much further below the load limit, in logarithms, more where no worn edge
# was ever seen, and after so many runs tests do a little. A test that loads more than expected says
# so; production is to run on.
_PRODUCE_SURER_BY, _UNSEEN_SURER_BY = 0.02, 0.04
_TEST_SURER_BY, _TEST_SURER_AFTER = 0.01, 6
# Ends that show what a worn edge loads.
_SHOWS_WORN: tuple[End, ...] = ("worn", "load_limit")
# A risk beyond bad luck that is little.
LITTLE_RISK = 0.02
# Production takes no more risk beyond bad luck than this, nor does it go further beyond what edges
# came through, in logarithms.
RISK_TO_PRODUCE, STEP_TO_PRODUCE = 0.1, 0.1
# How many of the cheapest runs are searched around closely.
_SEARCHED_AROUND = 3
# Runs before a job that keeps coming back may be called done.
_FEWEST_RUNS = 2
# Differences smaller than this are rounding, and the cheaper candidate goes.
_TIE = 1e-9


class View:
    """The candidates with what the runs let us expect of each."""

    def __init__(
        self, problem: Problem, runs: Sequence[RunResult], seed: int,
        earlier: Sequence[Earlier] = (),
    ) -> None:  # fmt: skip
        require(0 <= seed < 2**32, "seed of the search", seed, "0 to 4,294,967,295")
        self.problem = problem
        self.runs = in_canonical_order(runs)
        self.limit_pct = hard_load_limit_pct(problem)
        self.earlier = tuple(earlier)
        self.belief = Belief(problem, self.runs, self.earlier)
        distinct = dict.fromkeys(run.cutting_data for run in self.runs)
        self.tried = [data for data in distinct if within_hard_limits(problem, data)]
        self.candidates = draw(problem, self._cheapest_runs(), self.tried, seed)
        if not self.candidates:
            raise nothing_left(problem, "the machine's speed, feed rate or thrust")
        self.outlook = self.belief.likely(self.candidates)
        self.money = money(problem, self.outlook).to_compare()
        self.cost = self.money.expected(self.outlook.life)

    @cached_property
    def some_edge_failed(self) -> bool:
        """Whether any edge has chipped or broken so far."""
        return any(run.end in FAILED for run in self.runs)

    def _cheapest_runs(self) -> list[CuttingData]:
        """Tried cutting data of the lowest expected cost, whatever their load."""
        if not self.tried:
            return []
        outlook = self.belief.likely(self.tried)
        cost = money(self.problem, outlook).to_compare().expected(outlook.life)
        order = np.argsort(_coarse(cost / cost.min()), kind="stable")
        return [self.tried[i] for i in order[:_SEARCHED_AROUND].tolist()]

    @cached_property
    def features(self) -> Floats:
        """Speed, feed and both features of pecks of the candidates."""
        return physics.features(self.problem, self.candidates)[:, :4]

    @cached_property
    def within(self) -> NDArray[np.bool_]:
        """Candidates at most one step away, and the start where no edge has failed.

        A first test that was gentler than the start, because of a load that was only guessed, does
        not make the start that a person chose a step too far once loads were seen.
        """
        within = within_a_step(self.problem, self.candidates, self.runs)
        if not self.some_edge_failed:
            within[self.indices_of([self.problem.start])] = True
        return within

    @cached_property
    def open_now(self) -> NDArray[np.bool_]:
        """Candidates hardly harsher than edges that came through: near enough to produce with."""
        return within_a_step(self.problem, self.candidates, self.runs, STEP_TO_PRODUCE)

    @cached_property
    def safe(self) -> NDArray[np.bool_]:
        """Candidates that are safe for the spindle and not shown too hot."""
        sure = p_safe(self.problem, self.outlook) >= self.problem.p_safe
        result: NDArray[np.bool_] = sure & (self.outlook.shown_pct < self.limit_pct)
        return result

    @cached_property
    def _coolness(self) -> Floats:
        """The higher, the lower the load that a worn edge stays below as surely as is asked for."""
        result: Floats = -np.log(high_load_pct(self.outlook, self.problem.p_safe))
        return result

    @cached_property
    def near(self) -> NDArray[np.bool_]:
        """Candidates at most one step away that do not fail too often."""
        result: NDArray[np.bool_] = self.within & (self.outlook.failing.p_fail <= _MOST_FAILING)
        return result

    @cached_property
    def reachable(self) -> NDArray[np.bool_]:
        """Candidates at most one step away that are safe and do not fail too often."""
        return self.safe & self.near

    @cached_property
    def bold_enough(self) -> NDArray[np.bool_]:
        """Candidates at most one step away that risk little beyond all that was tried.

        Whatever their load: a tighter limit looks at the same ones, and takes some away.
        """
        failing = self.outlook.failing
        calm = failing.p_fail <= failing.luck + _RISK_OF_A_STEP
        beyond = harsher_than_all(self.problem, self.candidates, self.tried)
        return self.near & (calm | ~beyond)

    @cached_property
    def allowed(self) -> NDArray[np.bool_]:
        """Candidates that may be driven."""
        return self.safe & self.bold_enough

    @cached_property
    def testable(self) -> NDArray[np.bool_]:
        """Allowed candidates that may be picked for a test; the first tests need the room."""
        return self._surer(_TEST_SURER_BY if len(self.runs) >= _TEST_SURER_AFTER else 0.0)

    @cached_property
    def _producible(self) -> NDArray[np.bool_]:
        """Allowed candidates that may be recommended."""
        seen = any(run.end in _SHOWS_WORN for run in self.runs)
        return self._surer(_PRODUCE_SURER_BY if seen else _UNSEEN_SURER_BY)

    def _surer(self, by: float) -> NDArray[np.bool_]:
        """Allowed candidates whose load is surer below the limit, by so much.

        The one that is picked of hundreds is the one whose load is likeliest expected too low.
        Where none is left, only the allowed one of the lowest load is.
        """
        surer = self.allowed & (p_safe(self.problem, self.outlook, by) >= self.problem.p_safe)
        if not surer.any() and self.allowed.any():
            surer[self.first_of(np.where(self.allowed, self._coolness, -np.inf))] = True
        return surer

    def indices_of(self, data: Sequence[CuttingData]) -> list[int]:
        """Candidates that are among these cutting data."""
        known = set(data)
        return [i for i, one in enumerate(self.candidates) if one in known]

    def cheapest_tried(self) -> float:
        """Lowest expected cost among what was tried, or of all when no run is within the limits."""
        indices = self.indices_of(self.tried)
        return float(self.cost[indices].min() if indices else self.cost.min())

    def best_tried(self) -> Suggestion | None:
        """What was tried and may be driven on, of the lowest expected cost; None if there is none.

        With all that is said of it.
        """
        indices = [i for i in self.indices_of(self.tried) if self.allowed[i]]
        if not indices:
            return None
        index = min(indices, key=lambda i: float(self.cost[i]))
        return describe(self.problem, self.belief, self.candidates[index])

    def calmly(self, score: Floats, risk: float) -> int:
        """The highest score among those that risk no more beyond bad luck than this.

        Where all risk more, as after a first drill that broke, among those that hardly risk more
        than the calmest.
        """
        failing = self.outlook.failing
        known = self.allowed & np.isfinite(score)
        calmest = float(np.min(failing.p_fail, where=self.bold_enough, initial=1.0))
        calm = failing.p_fail <= max(failing.luck + risk, calmest + LITTLE_RISK)
        if (known & calm).any():
            return self.first_of(np.where(known & calm, score, -np.inf))
        known = known if known.any() else self.allowed
        return self.first_of(np.where(known, -failing.p_fail, -np.inf))

    @property
    def holes(self) -> int:
        """Holes still to make that count."""
        holes = self.problem.holes_to_make
        return HOLES_OF_A_RECURRING_JOB if holes is None else holes

    def first_of(self, score: Floats) -> int:
        """The highest score; the cheaper one first where scores cannot be told apart."""
        top = float(score.max())
        near = np.flatnonzero(score >= top - _TIE * max(1.0, abs(top)))
        return int(near[int(np.argmin(_coarse(self.cost[near] / self.cost.min())))])

    @cached_property
    def cheapest_allowed(self) -> int:
        """The allowed candidate of the lowest expected cost that risks little more than luck.

        Tests step out; production goes hardly further than edges have come through.
        """
        score = np.where(self._producible, -self.cost / self.cost.min(), -np.inf)
        if (self.open_now & self._producible).any():
            score = np.where(self.open_now, score, -np.inf)
        return self.calmly(score, RISK_TO_PRODUCE)

    def answer(self, index: int) -> Suggestion:
        """An allowed candidate with all that is expected of it and what testing it is worth."""
        answer = describe(self.problem, self.belief, self.candidates[index])
        best = float(self.cost[self.cheapest_allowed])
        tells = told(self.outlook, self.problem.max_test_holes)
        gain = log_expected_improvement(self.money, self.outlook.life, best, tells)[index]
        holes = self.problem.holes_to_make
        value = math.exp(float(gain)) * self.holes
        of_it = self.belief.likely([self.candidates[index]])
        length = length_of_test(self.problem, answer, value, of_it)
        price = price_of_test(self.problem, answer)
        enough = holes is not None or len(self.runs) >= _FEWEST_RUNS
        stop = enough and value <= price
        return replace(answer, value=value, test_cost=price, test_holes=length, stop=stop)

    def gentlest(self) -> Suggestion:
        """Nothing is safe enough: the candidate of the lowest load, and the advice to stop."""
        index = self.first_of(self._coolness)
        if self.outlook.shown_pct[index] >= self.limit_pct:
            raise nothing_left(self.problem, "runs that were too hot for the load limit")
        answer = describe(self.problem, self.belief, self.candidates[index])
        why = words.nothing_safe(answer, self.limit_pct, self.problem.p_safe)
        return replace(with_longest_test(self.problem, answer), stop=True, why=why)


def _coarse(values: Floats) -> Floats:
    """Without the last digits, which depend on how sums were grouped."""
    result: Floats = np.round(values, 9)
    return result


def nothing_left(problem: Problem, by: str) -> InputError:
    speed, feed = problem.speed_m_per_min, problem.feed_mm_per_rev
    return InputError(
        f"no cutting data are left to try from {speed[0]:g} to {speed[1]:g} m/min and "
        f"{feed[0]:g} to {feed[1]:g} mm/rev: all are ruled out by {by}",
        do="Lower the lower bounds, raise the load limit if the machine allows it, or use a "
        "stronger machine.",
    )
