"""The search's Gaussian processes and look-ahead on a constrained problem of the literature.

Branin's function in a disk: Gelbart, Snoek and Adams, Bayesian Optimization with Unknown
Constraints, 2014, section 5 (disk (x − 2.5)² + (y − 7.5)² ≤ 50 from memory). Of the function's
three minima of 0.397887 (read in scikit-optimize's documentation: at (−π, 12.275), (π, 2.275) and
(9.42478, 2.475)) only the second lies inside. Nothing of drilling is in this: both functions are
learned from nothing, only from what was evaluated.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr
from skopt.benchmarks import branin

from trials.optimizer.gaussian import LogProcess, Prior, observations
from trials.optimizer.lookahead import PlacesToProduce, PlacesToTest, expected_gain

LOWEST, AT = 0.397887, (math.pi, 2.275)
EVALUATIONS = 40
# Cost is the exponential of what is learned, which is the logarithm of the function here.
OBJECTIVE = Prior(
    level_sd=3.0, slopes_sd=(1.0, 1.0), reach=(0.25, 0.35), residual_sd=(1.0, 2.0),
    noise_sd=(0.02,), noise_expected=0.02,
)  # fmt: skip
CONSTRAINT = Prior(
    level_sd=1.0, slopes_sd=(1.0, 1.0), reach=(0.5, 0.5), residual_sd=(0.5, 2.0),
    noise_sd=(0.01,), noise_expected=0.01,
)  # fmt: skip
GRID = np.asarray(list(itertools.product(np.linspace(0, 1, 61), repeat=2)))


def _objective(point: NDArray[np.float64]) -> float:
    return float(branin([15 * point[0] - 5, 15 * point[1]]))


def _outside(point: NDArray[np.float64]) -> float:
    """Over 0 outside the disk."""
    x, y = 15 * point[0] - 5, 15 * point[1]
    return float((x - 2.5) ** 2 + (y - 7.5) ** 2) / 50 - 1


def _searched(seed: int) -> tuple[list[float], int]:
    """Lowest value inside after each evaluation, and how many evaluations lay outside."""
    random = np.random.default_rng(seed)
    seen = [GRID[i] for i in random.choice(len(GRID), 4, replace=False)]
    lowest = []
    while len(seen) < EVALUATIONS:
        values = [math.log(_objective(point)) for point in seen]
        middle = float(np.mean(values))
        cost = LogProcess(OBJECTIVE, observations(seen, [middle - value for value in values]))
        disk = LogProcess(CONSTRAINT, observations(seen, [_outside(point) for point in seen]))
        mean, sd, _ = cost.at(GRID)
        far, doubt, _ = disk.at(GRID)
        inside = ndtr(-far / np.maximum(doubt, 1e-9))
        hopeful = np.argsort(-(mean + 1.5 * sd + np.log(np.maximum(inside, 1e-12))))[:300]
        ones = np.ones(len(hopeful))
        square = np.ones((len(hopeful), len(hopeful)))
        may_be_inside = (inside[hopeful] >= 0.5)[:, None] & (square > 0)
        # Every place is open and nothing ever fails: what is left is the look ahead by itself.
        gain = expected_gain(
            PlacesToTest(0 * ones, ones, ones, ones),
            PlacesToProduce(0 * ones, ones, square, square, ones > 0, square > 0, may_be_inside),
            cost.explanations(GRID[hopeful], GRID[hopeful]),
            0.02,
        )
        # Improvement times the chance of being inside: Gardner et al. 2014, as in Gelbart's.
        seen.append(GRID[hopeful[int(np.argmax(gain * inside[hopeful]))]])
        lowest.append(min((_objective(p) for p in seen if _outside(p) <= 0), default=math.inf))
    return lowest, sum(_outside(point) > 0 for point in seen)


def test_published_optimum_is_the_lowest_inside() -> None:
    at = np.asarray([(AT[0] + 5) / 15, AT[1] / 15])
    assert _objective(at) == pytest.approx(LOWEST, abs=1e-5)
    assert _outside(at) < 0
    for x, y in ((-math.pi, 12.275), (9.42478, 2.475)):
        assert _outside(np.asarray([(x + 5) / 15, y / 15])) > 0


def test_branin_in_a_disk() -> None:
    nearest = min(_objective(point) for point in GRID if _outside(point) <= 0)
    assert nearest < LOWEST + 0.1  # the grid has the published optimum nearly in it
    for seed in range(3):
        lowest, outside = _searched(seed)
        # The function runs from 0.4 to 308; random search is at 2.3 after as many (median of 300).
        assert LOWEST - 1e-6 <= lowest[-1] <= nearest + 0.2
        assert outside < EVALUATIONS / 2
