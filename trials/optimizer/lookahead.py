"""What a test is worth: the cost of what would be recommended after it, against that of today.

The knowledge gradient of Frazier, Powell and Dayanik 2009, with the cost formula in place of their
linear one: cost per hole is a + b / holes, log life is normal, and one test moves the belief about
all candidates together. Its outcome is a single standard normal value, so the expectation over it
is a sum over a few of them (Gauss and Hermite).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trials.optimizer.gaussian import Floats

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(11)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True, slots=True)
class PlacesToProduce:
    """What may be recommended after the test; arrays of the same length.

    ``per_hole`` and ``per_edge`` give the cost, ``mean`` and ``known_sd`` the belief of log life.
    """

    per_hole: Floats
    per_edge: Floats
    mean: Floats
    known_sd: Floats


@dataclass(frozen=True, slots=True)
class PlacesToTest:
    """What may be tested; arrays of the same length.

    ``if_survived`` is what an edge costs there once one has come through; ``told`` the share of the
    doubt that the longest test takes away.
    """

    per_hole: Floats
    if_survived: Floats
    mean: Floats
    known_sd: Floats
    p_fail: Floats
    told: Floats


def expected_gain(
    tests: PlacesToTest,
    choices: PlacesToProduce,
    covariance: Floats,
    scatter_sd: float,
    may_follow: NDArray[np.bool_],
) -> Floats:
    """Expected fall of the cost of the recommendation by each test.

    Args:
        tests, choices: as above.
        covariance: of log life, shape (choices, tests).
        scatter_sd: scatter of log life from edge to edge.
        may_follow: which choices may be recommended, shape (choices, tests).

    A test whose edge fails teaches nothing here. One that comes through may itself be recommended,
    at the price of a place where edges have come through.
    """
    outcome_sd = np.sqrt(tests.known_sd**2 + scatter_sd**2)
    step = covariance / outcome_sd * np.sqrt(tests.told)
    left = np.maximum(choices.known_sd[:, None] ** 2 - step**2, 0.0)
    middle = choices.per_edge[:, None] * np.exp(-choices.mean[:, None] + 0.5 * left)
    itself = tests.known_sd**2 / outcome_sd * np.sqrt(tests.told)
    left_itself = np.maximum(tests.known_sd**2 - itself**2, 0.0)
    middle_itself = tests.if_survived * np.exp(-tests.mean + 0.5 * left_itself)
    now = choices.per_hole + choices.per_edge * np.exp(-choices.mean + 0.5 * choices.known_sd**2)
    best_now = np.where(may_follow, now[:, None], np.inf).min(axis=0, initial=np.inf)
    untested = tests.per_hole + tests.if_survived * np.exp(-tests.mean + 0.5 * tests.known_sd**2)
    best_now = np.where(np.isfinite(best_now), best_now, untested)
    gain = np.zeros(len(tests.mean))
    for node, weight in zip(_NODES.tolist(), _WEIGHTS.tolist(), strict=True):
        after = choices.per_hole[:, None] + middle * np.exp(-step * node)
        best = np.where(may_follow, after, np.inf).min(axis=0, initial=np.inf)
        own = tests.per_hole + middle_itself * np.exp(-itself * node)
        gain += weight * (best_now - np.minimum(best, own))
    result: Floats = np.maximum(gain, 0.0) * (1.0 - tests.p_fail)
    return result
