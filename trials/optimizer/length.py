"""How long to drill before the answer is good enough, and what a test costs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from trials.economics import cost_per_hole
from trials.optimizer.belief import Outlook
from trials.optimizer.gaussian import Floats
from trials.optimizer.problem import Problem
from trials.optimizer.suggestion import Suggestion
from trials.optimizer.told import by_holes, by_load

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


def length_of_test(problem: Problem, answer: Suggestion, value: float, outlook: Outlook) -> int:
    """Holes after which a test may stop although the drill still cuts: the best value for money.

    ``outlook`` is that of the answer alone, to choose by. A test stopped early takes away a share
    of the doubt that a whole test would (`told`). A stopped edge is paid for whole, so only machine
    time is saved.
    """
    longest = problem.max_test_holes
    best, best_net = longest, -math.inf
    for share in _LENGTHS:
        holes = max(min(_SHORTEST, longest), round(share * longest))
        net = value * float(told(outlook, holes)[0]) - price_of_test(problem, answer, holes)
        if net > best_net + 1e-9 * abs(net):
            best, best_net = holes, net
    return best


def told(outlook: Outlook, holes: int) -> Floats:
    """Share of the doubt about the life that tests stopped after so many holes take away.

    What the holes tell or what the load does, whichever is more; one value a place.
    """
    life, growth = outlook.life, outlook.growth
    further = math.log(holes) - life.mean
    outlasted = by_holes(further / life.outcome_sd)
    if not outlook.loads_tell:
        return outlasted
    share = np.exp(np.minimum(further, 0.0))
    by_its_load = by_load(share, growth.mean, growth.known_sd, growth.scatter_sd, life.outcome_sd)
    result: Floats = np.maximum(outlasted, by_its_load)
    return result
