"""The next cutting data to test, and the cutting data to produce with now.

Life and load are modelled in logarithms, physics first and a Gaussian process for what physics
misses; cost follows from them by the formula of `trials.economics`. Both functions are pure: the
same problem, runs (in any order) and seed give the same answer, in plain Python types.
"""

from trials.optimizer.earlier import Earlier
from trials.optimizer.plan import NextDrill, next_drill, suggest_batch
from trials.optimizer.problem import Problem, RunResult
from trials.optimizer.response import Response, response
from trials.optimizer.search import expect, recommend, suggest
from trials.optimizer.suggestion import Estimate, Suggestion

__all__ = [
    "Earlier",
    "Estimate",
    "NextDrill",
    "Problem",
    "Response",
    "RunResult",
    "Suggestion",
    "expect",
    "next_drill",
    "recommend",
    "response",
    "suggest",
    "suggest_batch",
]
