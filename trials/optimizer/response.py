"""What the search believes, for looking at: a map of speed and feed, and sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from trials.model import CuttingData
from trials.optimizer.belief import Belief
from trials.optimizer.candidates import hard_load_limit_pct, within_hard_limits
from trials.optimizer.earlier import Earlier
from trials.optimizer.expectation import Z90, high_load_pct, money, p_safe
from trials.optimizer.problem import Problem, RunResult
from trials.optimizer.search import recommend
from trials.optimizer.threads import on_one_core

_STEPS = 25


@dataclass(frozen=True, slots=True)
class Response:
    """Expectations over speed and feed, with the pecks of the recommended cutting data.

    Args:
        recommended: cutting data to produce with now.
        speeds_m_per_min, feeds_mm_per_rev: the grid, evenly in logarithms.
        cost: expected cost per hole; one row a feed, one column a speed.
        low, high: 90 % range of what is known of that cost (scatter of edges left out).
        load_low_pct, load_pct, load_high_pct: peak load of the worn drill that is expected there,
            and what nine edges in ten lie between, % of rating.
        load_limit_pct: the highest load that is allowed.
        safe: whether the worn load stays below the limit with the probability that is asked for.
        possible: whether bounds and machine allow it.
        lowest_possible: the lowest cost that is still possible (its low end) where it is safe, not
            above the expected cost of what is recommended.
        beliefs: what is believed of each exponent, in words.
    """

    recommended: CuttingData
    speeds_m_per_min: tuple[float, ...]
    feeds_mm_per_rev: tuple[float, ...]
    cost: tuple[tuple[float, ...], ...]
    low: tuple[tuple[float, ...], ...]
    high: tuple[tuple[float, ...], ...]
    load_low_pct: tuple[tuple[float, ...], ...]
    load_pct: tuple[tuple[float, ...], ...]
    load_high_pct: tuple[tuple[float, ...], ...]
    load_limit_pct: float
    safe: tuple[tuple[bool, ...], ...]
    possible: tuple[tuple[bool, ...], ...]
    lowest_possible: float
    beliefs: tuple[str, ...]


@on_one_core
def response(
    problem: Problem, runs: Sequence[RunResult], seed: int = 0, *, earlier: Sequence[Earlier] = ()
) -> Response:
    """Map and beliefs after these runs; errors are those of `recommend`."""
    best = recommend(problem, runs, seed, earlier=earlier)
    belief = Belief(problem, runs, earlier)
    # The recommended speed and feed are lines of the grid, so that slices go through them.
    at = best.cutting_data
    speeds = sorted({*np.geomspace(*problem.speed_m_per_min, _STEPS).tolist(), at.speed_m_per_min})
    feeds = sorted({*np.geomspace(*problem.feed_mm_per_rev, _STEPS).tolist(), at.feed_mm_per_rev})
    grid = [
        replace(best.cutting_data, speed_m_per_min=speed, feed_mm_per_rev=feed)
        for feed in feeds
        for speed in speeds
    ]
    outlook = belief.at(grid)
    spending = money(problem, outlook)
    life = outlook.life
    shape = (len(feeds), len(speeds))
    cost, low, high = (
        values.reshape(shape)
        for values in (
            spending.at(life.mean),
            spending.at(life.mean + Z90 * life.known_sd),
            spending.at(life.mean - Z90 * life.known_sd),
        )
    )
    worn = outlook.worn
    load_low, load, load_high = (
        values.reshape(shape)
        for values in (
            np.exp(worn.mean - Z90 * worn.outcome_sd),
            np.exp(worn.mean),
            high_load_pct(outlook),
        )
    )
    limit = hard_load_limit_pct(problem)
    safe = (p_safe(problem, outlook) >= problem.p_safe) & (outlook.shown_pct < limit)
    possible = np.asarray([within_hard_limits(problem, data) for data in grid])
    may_be = (safe & possible).reshape(shape)
    bound = float(np.min(low, where=may_be, initial=math.inf))
    return Response(
        recommended=best.cutting_data,
        speeds_m_per_min=tuple(speeds),
        feeds_mm_per_rev=tuple(feeds),
        cost=_rows(cost),
        low=_rows(low),
        high=_rows(high),
        load_low_pct=_rows(load_low),
        load_pct=_rows(load),
        load_high_pct=_rows(load_high),
        load_limit_pct=limit,
        safe=tuple(tuple(row) for row in safe.reshape(shape).tolist()),
        possible=tuple(tuple(row) for row in possible.reshape(shape).tolist()),
        lowest_possible=min(bound, best.cost_per_hole.median),
        beliefs=_beliefs(belief, best.cutting_data),
    )


def _beliefs(belief: Belief, at: CuttingData) -> tuple[str, ...]:
    found = belief.exponents(at)
    said = []
    for what, thing, change in (
        ("life speed", "10 % more speed", "holes to wear"),
        ("life feed", "10 % more feed", "holes to wear"),
        ("load feed", "10 % more feed", "load"),
    ):
        mean, doubt = found[what]
        low, middle, high = (
            100 * (1.1 ** (mean + sign * Z90 * doubt) - 1) for sign in (-1.0, 0.0, 1.0)
        )
        sure = "" if low * high > 0 else "; which way is not settled yet"
        said.append(
            f"{thing}: {middle:+.0f} % {change} ({low:+.0f} to {high:+.0f} %), exponent "
            f"{mean:.1f} ± {Z90 * doubt:.1f}{sure}."
        )
    risk = belief.at([at]).failing
    said.append(
        f"About {100 * risk.p_fail[0]:.0f} % of edges chip or break there; "
        f"{100 * risk.luck:.0f} % are put down to bad luck anywhere."
    )
    return tuple(said)


def _rows(values: np.ndarray) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(row) for row in values.tolist())
