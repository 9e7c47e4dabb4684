"""Cutting data that may be considered: on the control's grid, within every hard limit.

Nothing in here looks at the load limit: a tighter limit can only take candidates away.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from skopt.space import Categorical, Real, Space

from trials.mechanics import within_machine
from trials.model import CuttingData
from trials.optimizer.gaussian import Floats
from trials.optimizer.physics import features, thrust_n
from trials.optimizer.problem import Problem, RunResult
from trials.optimizer.risk import FAILED

# How many cutting data are drawn in all the space for each peck mode, and around each of the best
# runs within this logarithmic spread.
_DRAWN, _AROUND, _SPREAD = 450, 200, 0.12
# Logarithmic distance from what has been tried that one step may go: towards harsher values at
# first, more for each edge that came through, at most; towards gentler values twice as far.
_FIRST_STEP, _MORE_STEP, _LONGEST_STEP = 0.35, 0.07, 0.7
_GENTLER_STEP = 2.0
_GENTLER_AFTER_FAILING = 0.1
PECK_STEP_XD = 0.05
# What lies between bounds, by its name in cutting data and in the problem.
_BOUNDED = ("speed_m_per_min", "feed_mm_per_rev", "peck_depth_xd")


def round_down(value: float, step: float, low: float, high: float) -> float:
    """The control's step at or below ``value`` (the safe side), kept within the bounds.

    The lowest step inside the bounds is taken when rounding down would leave them; a bound itself
    when no step lies inside.
    """
    rounded = math.floor(value / step + 1e-9) * step
    if rounded < low - 1e-12:
        rounded = math.ceil(low / step - 1e-9) * step
    return float(min(max(round(rounded, 9), low), high))


def speed_step(value: float) -> float:
    """Three digits of cutting speed are kept, at least 0.01 m/min."""
    return max(0.01, float(10.0 ** (math.floor(math.log10(value)) - 2)))


def feed_step(value: float) -> float:
    """Controls take feeds in thousandths of a mm; the smallest drills need a digit more."""
    return 0.001 if value >= 0.05 else 0.0001


def rounded(problem: Problem, data: CuttingData) -> CuttingData:
    """The same cutting data as a control takes it, rounded towards the safe side."""
    speed, feed, peck_xd = _taken(
        problem, data.speed_m_per_min, data.feed_mm_per_rev, data.peck_depth_xd
    )
    return replace(data, speed_m_per_min=speed, feed_mm_per_rev=feed, peck_depth_xd=peck_xd)


def _taken(
    problem: Problem, speed: float, feed: float, peck_xd: float
) -> tuple[float, float, float]:  # fmt: skip
    """Speed, feed and peck depth as a control takes them."""
    return (
        round_down(speed, speed_step(speed), *problem.speed_m_per_min),
        round_down(feed, feed_step(feed), *problem.feed_mm_per_rev),
        round_down(peck_xd, PECK_STEP_XD, *problem.peck_depth_xd),
    )


def within_hard_limits(problem: Problem, data: CuttingData) -> bool:
    """Bounds, and the machine's speed, feed rate and thrust where the machine is known."""
    if problem.outside(data) is not None:
        return False
    machine = problem.machine
    if machine is None:
        return True
    if within_machine(data, problem.diameter_mm, machine):
        return False
    return machine.max_thrust_n is None or thrust_n(problem, data) <= machine.max_thrust_n


def hard_load_limit_pct(problem: Problem) -> float:
    """The load limit; never above the rating of a machine that is known."""
    return problem.load_limit_pct if problem.machine is None else min(problem.load_limit_pct, 100.0)


def within_a_step(
    problem: Problem,
    data: Sequence[CuttingData],
    runs: Sequence[RunResult],
    harsher: float = _LONGEST_STEP,
) -> NDArray[np.bool_]:
    """Which of these cutting data one step from what has been tried reaches.

    Steps start from the start of the search before any run, then from every edge that came
    through. After nothing but chipped and broken edges only gentler values than theirs are within
    a step. Speed, feed and the uncleared chip column count. ``harsher`` limits the step towards
    harsher values further.
    """
    x = _harshness(features(problem, data))
    failed = [run.cutting_data for run in runs if run.end in FAILED]
    came_through = [run.cutting_data for run in runs if run.end not in FAILED]
    if failed and not came_through:
        steps = x[:, None, :2] - _harshness(features(problem, failed))[None, :, :2]
        gentler = (steps.max(axis=2) <= 1e-9) & (steps.min(axis=2) <= -_GENTLER_AFTER_FAILING)
        after_failing: NDArray[np.bool_] = gentler.all(axis=1)
        return after_failing
    bases = _harshness(features(problem, came_through or [problem.start]))
    reach = min(_LONGEST_STEP, _FIRST_STEP + _MORE_STEP * max(0, len(came_through) - 1))
    steps = x[:, None, :] - bases[None, :, :]
    shorter = reach / min(reach, harsher)
    lengths = np.where(steps > 0, steps * shorter, -steps / _GENTLER_STEP).max(axis=2)
    within: NDArray[np.bool_] = (lengths <= reach).any(axis=1)
    return within


def opened_by(
    problem: Problem, data: Sequence[CuttingData], tests: Sequence[CuttingData], harsher: float
) -> NDArray[np.bool_]:
    """Which cutting data an edge that comes through each test opens, shape (data, tests)."""
    x, y = (_harshness(features(problem, one)) for one in (data, tests))
    steps = x[:, None, :] - y[None, :, :]
    lengths = np.where(steps > 0, steps / harsher, -steps / (_GENTLER_STEP * _FIRST_STEP))
    opened: NDArray[np.bool_] = lengths.max(axis=2) <= 1.0
    return opened


def harsher_than_all(
    problem: Problem, data: Sequence[CuttingData], tried: Sequence[CuttingData]
) -> NDArray[np.bool_]:
    """Which of these go further than each that was tried, in speed, feed or uncleared chips."""
    x = _harshness(features(problem, data))
    known = _harshness(features(problem, tried))
    further = np.maximum.reduce(x[:, None, :] - known[None, :, :], axis=2)
    result: NDArray[np.bool_] = (further > 1e-9).all(axis=1)
    return result


def _harshness(x: Floats) -> Floats:
    """Speed, feed and chip column; the column may change twice as far in one step."""
    columns: Floats = x[:, (0, 1, 3)] * np.asarray([1.0, 1.0, 0.5])
    return columns


def draw(
    problem: Problem, around: Sequence[CuttingData], tried: Sequence[CuttingData], seed: int
) -> list[CuttingData]:
    """Candidates inside the bounds on the control's grid, each once, always in the same order.

    Drawn over all the space and closely around ``around``; the start and what was ``tried`` are
    among them when they lie within the bounds. scikit-optimize's own start designs are not used:
    they ignore constraints.
    """
    random = np.random.RandomState(seed)
    space, names = _space(problem)
    lowest = {name: getattr(problem, name)[0] for name in _BOUNDED}
    drawn = [
        _on_the_grid(problem, problem.start, **(lowest | dict(zip(names, point, strict=True))))
        for point in space.rvs(_DRAWN * len(problem.peck_modes), random_state=random)
    ]
    for centre in around:
        depth_xd = _clip(centre.peck_depth_xd, problem.peck_depth_xd)
        drawn += [
            _on_the_grid(
                problem, centre, centre.speed_m_per_min * speed, centre.feed_mm_per_rev * feed,
                depth_xd * peck, centre.peck_mode,
            )
            for speed, feed, peck in np.exp(random.normal(0.0, _SPREAD, (_AROUND, 3))).tolist()
        ]  # fmt: skip
    known = [problem.start, *tried]
    candidates = dict.fromkeys([*drawn, *known])
    return [data for data in candidates if within_hard_limits(problem, data)]


def _space(problem: Problem) -> tuple[Space, list[str]]:
    """The search space; a bound of no width is left out, scikit-optimize refuses those."""
    dimensions = [
        Real(low, high, "log-uniform", name=name)
        for name, (low, high) in ((name, getattr(problem, name)) for name in _BOUNDED)
        if low < high
    ]
    dimensions.append(Categorical(list(problem.peck_modes), name="peck_mode"))
    return Space(dimensions), [dimension.name for dimension in dimensions]


def _on_the_grid(
    problem: Problem, like: CuttingData,
    speed_m_per_min: float, feed_mm_per_rev: float, peck_depth_xd: float, peck_mode: str,
) -> CuttingData:  # fmt: skip
    """Drawn values, NumPy scalars or plain, within the bounds and as a control takes them.

    Without pecks the depth has no meaning: the start's, so that candidates do not double.
    """
    speed, feed, peck_xd = _taken(
        problem,
        _clip(speed_m_per_min, problem.speed_m_per_min),
        _clip(feed_mm_per_rev, problem.feed_mm_per_rev),
        _clip(peck_depth_xd, problem.peck_depth_xd),
    )
    mode = next(mode for mode in problem.peck_modes if mode == peck_mode)
    if mode == "none":
        peck_xd = _clip(problem.start.peck_depth_xd, problem.peck_depth_xd)
    return replace(
        like,
        speed_m_per_min=speed,
        feed_mm_per_rev=feed,
        peck_mode=mode,
        peck_depth_xd=peck_xd,
    )


def _clip(value: float, bounds: tuple[float, float]) -> float:
    return float(min(max(value, bounds[0]), bounds[1]))


def apart(x: Floats, score: Floats, most: int, distance: float) -> NDArray[np.int64]:
    """Indices of the lowest scores, none nearer than ``distance`` to a lower one; inf is left out.

    Speed, feed and both features of pecks (columns of ``x``) count.
    """
    order = np.argsort(score, kind="stable")
    order = order[np.isfinite(score[order])]
    free, kept = np.ones(len(order), dtype=bool), []
    at = np.ascontiguousarray(x[order].T)
    for place in range(len(order)):
        if free[place]:
            kept.append(place)
            if len(kept) == most:
                break
            free &= np.abs(at - at[:, place, None]).max(axis=0) >= distance
    return order[np.asarray(kept, dtype=np.int64)]
