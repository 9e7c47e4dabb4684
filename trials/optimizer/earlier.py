"""Earlier trials of like jobs: what they say here, and how much it still counts.

Runs of an earlier trial stand beside this trial's own as deviations from the same physics, shifted
by something unknown that all runs of that trial share. While this trial has no runs, the earlier
ones move the expectation; with each run of its own the shift becomes known, and what the earlier
ones still tell is only the exponents. So their weight falls by itself.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from trials.errors import require
from trials.model import CuttingData
from trials.optimizer import physics
from trials.optimizer.gaussian import Floats
from trials.optimizer.problem import Problem, RunResult

# Doubt of the shift of log life and log load between like jobs at likeness 1, divided by the
# likeness; and doubt of each run beside it, for exponents that differ. From memory.
SHIFT_SD = {"life": 0.5, "fresh": 0.15, "growth": 0.12}
_RUN_SD = {"life": 0.2, "fresh": 0.06, "growth": 0.06}


@dataclass(frozen=True, slots=True)
class Earlier:
    """An earlier trial of a like job.

    Args:
        problem: as it was then: its hole, machine and start.
        runs: what they showed.
        likeness: 1 for the same drill and material, towards 0 for little in common.

    Raises:
        InputError: the likeness is not more than 0 and at most 1.
    """

    problem: Problem
    runs: tuple[RunResult, ...]
    likeness: float = 1.0

    def __post_init__(self) -> None:
        require(0 < self.likeness <= 1, "likeness of an earlier trial", self.likeness,
                "more than 0 and at most 1")  # fmt: skip

    def features(self, problem: Problem) -> Floats:
        """Features of its runs from the start of ``problem``; the feed counts in diameters."""
        now, then = problem, self.problem
        x = physics.features(then, [run.cutting_data for run in self.runs])
        shift = np.asarray([
            math.log(then.start.speed_m_per_min / now.start.speed_m_per_min),
            math.log(_feed_xd(then, then.start) / _feed_xd(now, now.start)),
            *(physics.pecking(then, then.start) - physics.pecking(now, now.start)),
        ])  # fmt: skip
        x = x[:, :4] + shift
        return np.column_stack([x, x[:, 0] ** 2, x[:, 1] ** 2])

    def holes_here(self, problem: Problem, holes: float) -> float:
        """Holes of this depth that the same way of cutting would have been."""
        return holes * self.problem.depth_mm / problem.depth_mm

    def run_sd(self, what: str) -> float:
        """Doubt of one of its runs as evidence here."""
        return _RUN_SD[what] / self.likeness


def in_common(earlier: Sequence[Earlier], what: str) -> tuple[float, ...]:
    """Doubt of the shift of each earlier trial, as further slopes of the straight line."""
    return tuple(SHIFT_SD[what] / one.likeness for one in earlier)


def own(x: Floats, count: int) -> Floats:
    """Features with the columns of ``count`` earlier trials, none of which is meant."""
    return np.column_stack([x, np.zeros((len(x), count))])


def marked(x: Floats, index: int, count: int) -> Floats:
    """Features of runs of the earlier trial number ``index``."""
    columns = np.zeros((len(x), count))
    columns[:, index] = 1.0
    return np.column_stack([x, columns])


def _feed_xd(problem: Problem, data: CuttingData) -> float:
    return data.feed_mm_per_rev / problem.diameter_mm
