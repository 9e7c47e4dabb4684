"""What single runs show of the life and of the load, and observations as they are gathered."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trials.life import kept_holes_to_wear
from trials.optimizer.gaussian import Floats, Observations, observations
from trials.optimizer.problem import Problem, RunResult
from trials.optimizer.risk import FAILED

# Ends at which an edge had truly come to the end of its useful life. A run that met the load
# limit was cut short: its wear life is only known to be longer.
LIFE_ENDED = ("worn", "out_of_tolerance")

# A 90 % range is this many standard deviations wide.
_RANGE_IN_SD = 3.29


class Seen:
    """Observations as they are gathered, of so many features each."""

    def __init__(self, features: int) -> None:
        self._features = features
        self._x: list[Floats] = []
        self._y: list[float] = []
        self._doubt: list[float] = []
        self._is_bound: list[bool] = []

    def add(self, x: Floats, y: float, doubt: float = 0.0, *, is_bound: bool = False) -> None:
        self._x.append(x)
        self._y.append(y)
        self._doubt.append(doubt)
        self._is_bound.append(is_bound)

    def observations(self, *, robust: bool = False) -> Observations:
        return observations(
            self._x, self._y, is_bound=self._is_bound, extra_sd=self._doubt, robust=robust,
            features=self._features,
        )  # fmt: skip


def growth_shown(run: RunResult) -> float | None:
    """Growth of the load in logarithms; None where it was not seen or the edge failed.

    A chipped edge shows the load of chipping, not of wear.
    """
    if not run.load_fresh_pct or not run.load_worn_pct or run.end in FAILED:
        return None
    return math.log(run.load_worn_pct / run.load_fresh_pct)


@dataclass(frozen=True, slots=True)
class LifeShown:
    """Holes to wear, doubt of their logarithm, and whether they are only a lower bound."""

    holes: float
    doubt: float
    is_bound: bool


def life_shown(problem: Problem, run: RunResult) -> LifeShown:
    """What a run shows of the life: a value, a value with doubt, or a lower bound."""
    limit = problem.wear_limits or problem.wear_limit_mm
    if run.wear and limit is not None and run.end in ("worn", "stopped"):
        told = kept_holes_to_wear(run.wear, limit, run.end, run.holes)
        if told.holes is not None and told.kind != "censored":
            low, high = told.low or told.holes, told.high or told.holes
            doubt = math.log(max(high, 1.0) / max(low, 1.0)) / _RANGE_IN_SD
            return LifeShown(max(told.holes, 0.5), doubt, is_bound=False)
    return LifeShown(max(run.holes, 0.5), 0.0, is_bound=run.end not in LIFE_ENDED)
