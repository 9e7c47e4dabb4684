"""How long to drill before the answer is good enough, and what a test costs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from scipy.special import ndtr

from trials.economics import cost_per_hole
from trials.optimizer.gaussian import Floats
from trials.optimizer.problem import Problem
from trials.optimizer.suggestion import Suggestion

# Lengths that are weighed, as shares of the longest test, and the shortest that still tells load
# and time.
_LENGTHS, _SHORTEST = (0.15, 0.25, 0.4, 0.6, 0.8, 1.0), 5


def price_of_test(problem: Problem, answer: Suggestion, most_holes: int | None = None) -> float:
    """Price of a test until wear or ``most_holes`` (the longest test): machine and one edge."""
    if problem.test_cost is not None:
        return float(problem.test_cost)
    worn_at, cost = answer.holes.median, answer.cost_per_hole.median
    without_edge = cost_per_hole(problem.economics, answer.cycle_min.median, math.inf).total
    edge = (cost - without_edge) * worn_at
    return without_edge * min(worn_at, most_holes or problem.max_test_holes) + edge


def with_longest_test(problem: Problem, answer: Suggestion) -> Suggestion:
    """The answer with length and price of a test that goes on to wear or to the longest test."""
    price = price_of_test(problem, answer)
    return replace(answer, test_cost=price, test_holes=problem.max_test_holes)


def length_of_test(
    problem: Problem, answer: Suggestion, value: float, known_sd: float, scatter_sd: float
) -> int:
    """Holes after which a test may stop although the drill still cuts: the best value for money.

    A test stopped at c tells only that the edge lasts longer. With log life normal and z the
    distance of c from its middle, it takes away the share 1 − (1 − Φ(z))·(1 − λ·(λ − z)) of the
    doubt that a whole test would, λ = φ(z) / (1 − Φ(z)) (variance of a truncated normal, any
    textbook). A stopped edge is paid for whole, so only machine time is saved.
    """
    longest = problem.max_test_holes
    sd = math.hypot(known_sd, scatter_sd)
    middle = math.log(answer.holes.median)
    best, best_net = longest, -math.inf
    for share in _LENGTHS:
        holes = max(min(_SHORTEST, longest), round(share * longest))
        share_told = float(told(np.asarray((math.log(holes) - middle) / sd)))
        net = value * share_told - price_of_test(problem, answer, holes)
        if net > best_net + 1e-9 * abs(net):
            best, best_net = holes, net
    return best


def told(z: Floats) -> Floats:
    """Share of the doubt that a test stopped ``z`` standard deviations above the middle takes."""
    outlasting = np.maximum(ndtr(-z), 1e-300)
    ratio = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi) / outlasting
    result: Floats = np.where(
        outlasting < 1e-12, 1.0, 1.0 - outlasting * (1.0 - ratio * (ratio - z))
    )
    return result
