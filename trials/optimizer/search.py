"""What to test next, and what to produce with now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from trials.model import CuttingData
from trials.optimizer import physics, words
from trials.optimizer.belief import Belief
from trials.optimizer.candidates import hard_load_limit_pct, rounded, within_hard_limits
from trials.optimizer.earlier import Earlier
from trials.optimizer.expectation import describe
from trials.optimizer.length import with_longest_test
from trials.optimizer.problem import Problem, RunResult
from trials.optimizer.suggestion import Suggestion
from trials.optimizer.threads import on_one_core
from trials.optimizer.view import View, nothing_left
from trials.optimizer.worth import best_test


@on_one_core
def suggest(
    problem: Problem, runs: Sequence[RunResult], seed: int = 0, *, earlier: Sequence[Earlier] = ()
) -> Suggestion:  # fmt: skip
    """Cutting data to test next, with what is expected of them and whether to stop testing.

    Without runs this is the start, lowered where the machine's limits or the expected load ask for
    it. The order of ``runs`` does not matter; the same arguments give the same answer. A tighter
    load limit never gives a higher load that a worn edge stays below with ``p_safe`` (with its
    usual 0.95 that is ``load_worn_pct.high``), and money in another unit never gives other cutting
    data. ``earlier`` trials of like jobs shift what is expected, less with each run.

    Raises:
        InputError: nothing within the bounds may be tried, or the seed is not possible.
    """
    if not runs:
        return first(problem, earlier)
    return next_test(View(problem, runs, seed, earlier))


def next_test(view: View) -> Suggestion:
    """The answer of `suggest` once there are runs."""
    if not view.allowed.any():
        return view.gentlest()
    return told_of(view, best_test(view))


def told_of(view: View, index: int) -> Suggestion:
    """A candidate as the next test, with the reason in words."""
    answer = view.answer(index)
    currency = view.problem.economics.currency
    text = words.next_test(answer, view.best_tried(), view.limit_pct, currency)
    return replace(answer, why=text)


@on_one_core
def recommend(
    problem: Problem, runs: Sequence[RunResult], seed: int = 0, *, earlier: Sequence[Earlier] = ()
) -> Suggestion:  # fmt: skip
    """Cutting data to produce with now: the lowest expected cost that is safe.

    ``value`` and ``stop`` speak of testing these cutting data once more. Other fields, errors and
    promises are those of `suggest`.
    """
    if not runs:
        return first(problem, earlier)
    view = View(problem, runs, seed, earlier)
    if not view.allowed.any():
        return view.gentlest()
    answer = view.answer(view.cheapest_allowed)
    text = words.produce(answer, len(runs), view.limit_pct, problem.economics.currency)
    return replace(answer, why=text)


@on_one_core
def expect(
    problem: Problem, runs: Sequence[RunResult], data: CuttingData, *,
    earlier: Sequence[Earlier] = (),
) -> Suggestion:  # fmt: skip
    """What is expected of cutting data that somebody chose; nothing says that they are safe.

    ``value``, ``why`` and ``stop`` are blank.
    """
    return with_longest_test(problem, describe(problem, Belief(problem, runs, earlier), data))


def first(problem: Problem, earlier: Sequence[Earlier] = ()) -> Suggestion:
    """Before any run: the start, lowered while the machine or the load expected of it ask for it.

    A person chose the start, so it is kept as long as the expected worn load is below the limit.
    Where nothing is said of the work, nor known from like jobs, that load is a guess at steel and
    rules nothing out: the gentlest is answered then, with a word on it.
    """
    belief = Belief(problem, (), earlier)
    limit_pct = hard_load_limit_pct(problem)
    gentlest = None
    for data in _from_the_start_down(problem):
        if not within_hard_limits(problem, data):
            continue
        answer = describe(problem, belief, data)
        if answer.load_worn_pct.median < limit_pct:
            lowered = data != problem.start
            why = words.first(problem, answer, limit_pct, lowered=lowered)
            return replace(with_longest_test(problem, answer), why=why)
        gentlest = answer
    guessed = physics.known_of_force(problem) == "neither" and not belief.earlier
    if gentlest is not None and guessed:
        why = words.first_in_unknown_work(problem, gentlest, limit_pct)
        return replace(with_longest_test(problem, gentlest), why=why)
    raise nothing_left(problem, "the machine, or by the load expected there")


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
