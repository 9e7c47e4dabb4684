"""More than one question at once: which drill to test next, and a day's plan of several tests."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trials.errors import InputError, require
from trials.optimizer.belief import Belief
from trials.optimizer.earlier import Earlier
from trials.optimizer.expectation import log_expected_improvement, money
from trials.optimizer.problem import Problem, RunResult
from trials.optimizer.search import first, next_test, told_of
from trials.optimizer.suggestion import Suggestion
from trials.optimizer.threads import on_one_core
from trials.optimizer.view import View
from trials.optimizer.worth import best_test_believing

_MOST_AT_ONCE = 8
# How much drills of one trial have in common: the same work, machine and hole.
_LIKENESS_OF_DRILLS = 0.6


@on_one_core
def suggest_batch(
    problem: Problem,
    runs: Sequence[RunResult],
    count: int,
    seed: int = 0,
    *,
    earlier: Sequence[Earlier] = (),
) -> tuple[Suggestion, ...]:
    """A plan of several tests that are drilled before any of them is looked at.

    The first is that of `suggest`. For each further one the tests before it are taken to have come
    out as expected (source: the believer of Ginsbourger, Le Riche and Carraro 2010) and to open
    places to produce with, so the plan does not ask the same twice unless that tells most. Safety
    and length of a step rest on real runs alone: what is only believed opens no test.

    Raises:
        InputError: the count is not 1 to 8, or as `suggest`.
    """
    require(1 <= count <= _MOST_AT_ONCE, "tests of a plan", count, f"1 to {_MOST_AT_ONCE}")
    if not runs:
        # Nothing is known but the start: the same again tells how far edges differ.
        return (first(problem, earlier),) * count
    view = View(problem, runs, seed, earlier)
    plan = [next_test(view)]
    while len(plan) < count and view.allowed.any():
        believed = Belief(problem, [*runs, *(_as_expected(problem, one) for one in plan)], earlier)
        outlook = believed.likely(view.candidates)
        planned = [one.cutting_data for one in plan]
        spending = money(problem, outlook).to_compare()
        index = best_test_believing(view, believed, outlook, spending, planned)
        plan.append(told_of(view, index))
    return tuple(plan)


def _as_expected(problem: Problem, answer: Suggestion) -> RunResult:
    """The run that a test is expected to be."""
    worn = answer.holes.median <= problem.max_test_holes
    return RunResult(
        answer.cutting_data,
        max(1, round(min(answer.holes.median, problem.max_test_holes))),
        "worn" if worn else "stopped",
        answer.load_fresh_pct.median,
        answer.load_worn_pct.median if worn else None,
        answer.cycle_min.median,
    )


@dataclass(frozen=True, slots=True)
class NextDrill:
    """Which drill to test next.

    Args:
        drill: its name.
        suggestion: with what; value and stop are against the best of all drills.
        values: what the next test of each drill is expected to save, money.
        suggestions: what would be tested next with each drill.
        left_out: drills with nothing left to try, and why.
    """

    drill: str
    suggestion: Suggestion
    values: dict[str, float]
    suggestions: dict[str, Suggestion]
    left_out: dict[str, str]


@on_one_core
def next_drill(
    problems: Mapping[str, Problem],
    runs: Mapping[str, Sequence[RunResult]],
    seed: int = 0,
    *,
    earlier: Mapping[str, Sequence[Earlier]] | None = None,
) -> NextDrill:
    """Which of several drills to test next, and with what.

    Runs of the other drills count as earlier trials of a like job, beside those ``earlier`` ones
    that are given for each drill. A test is worth what it may save against the cheapest that any
    drill is expected to do now; the drill whose test is worth most beyond its price goes first.

    Raises:
        InputError: no drill was given, or none has anything left to try.
    """
    require(len(problems) > 0, "drills", "none", "one or more")
    answers, views = {}, {}
    left_out: dict[str, InputError] = {}
    worth: dict[str, float] = {}
    for name, problem in sorted(problems.items()):
        others = [
            *(earlier or {}).get(name, ()),
            *(
                Earlier(problems[other], tuple(of_other), _LIKENESS_OF_DRILLS)
                for other, of_other in sorted(runs.items())
                if other != name and other in problems and of_other
            ),
        ]
        try:
            own = runs.get(name, ())
            view = View(problem, own, seed, others)
            answers[name] = next_test(view) if own else first(problem, others)
            views[name] = view
        except InputError as error:
            answers.pop(name, None)
            left_out[name] = error
    if not answers:
        raise next(iter(left_out.values()))
    known = [view for name, view in views.items() if runs.get(name)] or list(views.values())
    cheapest = min(float(np.min(view.cost, where=view.allowed, initial=math.inf)) for view in known)
    for name, view in views.items():
        # What a drill is worth is what it may become one step from here, not what its start is.
        failing = view.outlook.failing.p_fail
        gain = log_expected_improvement(view.money, view.outlook.life, cheapest)
        gains = np.exp(gain) * (1.0 - failing)
        worth[name] = view.holes * float(np.max(gains, where=view.reachable, initial=0.0))
    best = max(worth, key=lambda name: (worth[name] - answers[name].test_cost, name))
    answer = answers[best]
    stop = any(runs.values()) and worth[best] <= answer.test_cost
    said = replace(answer, value=worth[best], stop=stop)
    refused = {name: str(error) for name, error in left_out.items()}
    return NextDrill(best, said, worth, answers | {best: said}, refused)
