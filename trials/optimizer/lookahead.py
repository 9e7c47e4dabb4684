"""What a test is worth: the cost of what would be recommended after it, against that of today.

The knowledge gradient of Frazier, Powell and Dayanik 2009, with the cost formula in place of their
linear one: cost per hole is a + b / holes, log life is normal, and one test moves the belief about
all candidates together. Its outcome is a single standard normal value, so the expectation over it
is a sum over a few of them (Gauss and Hermite).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from trials.optimizer.gaussian import Floats, Joint

# Outcomes that stand for all, with one explanation of the lives and with several.
_ALONE, _AMONG_SEVERAL = 11, 7


@dataclass(frozen=True, slots=True)
class PlacesToProduce:
    """What may be recommended after the test; ``per_hole`` and ``per_edge`` give the cost."""

    per_hole: Floats
    per_edge: Floats


@dataclass(frozen=True, slots=True)
class PlacesToTest:
    """What may be tested; arrays of the same length.

    ``if_survived`` is what an edge costs there once one has come through; ``told`` the share of the
    doubt that the longest test takes away.
    """

    per_hole: Floats
    if_survived: Floats
    p_fail: Floats
    told: Floats


def expected_gain(
    tests: PlacesToTest,
    choices: PlacesToProduce,
    explanations: Sequence[Joint],
    scatter_sd: float,
    may_follow: NDArray[np.bool_],
) -> Floats:
    """Expected fall of the cost of the recommendation by each test.

    The outcome moves the belief within each explanation, and how much each is believed (Bayes'
    rule): a test also pays by telling explanations apart that ask for other cutting data.

    Args:
        tests, choices: as above.
        explanations: of log life at the choices and, as the others, at the tests; their weights
            sum to 1.
        scatter_sd: scatter of log life from edge to edge.
        may_follow: which choices may be recommended, shape (choices, tests).

    A test whose edge fails teaches nothing here. One that comes through may itself be recommended,
    at the price of a place where edges have come through.
    """
    moved = [_Moved(one, tests, choices, scatter_sd) for one in explanations]
    weights = np.asarray([one.weight for one in explanations])
    now = choices.per_hole + weights @ [one.cost_now for one in moved]
    best_now = np.where(may_follow, now[:, None], np.inf).min(axis=0, initial=np.inf)
    untested = tests.per_hole + weights @ [one.own_now for one in moved]
    best_now = np.where(np.isfinite(best_now), best_now, untested)
    nodes, shares = hermegauss(_ALONE if len(moved) == 1 else _AMONG_SEVERAL)
    gain = np.zeros(len(tests.told))
    for true in moved:
        for node, share in zip(nodes.tolist(), (shares / shares.sum()).tolist(), strict=True):
            outcome = true.tests_mean + true.outcome_sd * node
            believed = _believed(moved, weights, outcome, tests.told)
            after = choices.per_hole[:, None] + sum(
                weight * one.cost_after(outcome)
                for weight, one in zip(believed, moved, strict=True)
            )
            own = tests.per_hole + sum(
                weight * one.own_after(outcome) for weight, one in zip(believed, moved, strict=True)
            )
            best = np.where(may_follow, after, np.inf).min(axis=0, initial=np.inf)
            gain += true.weight * share * (best_now - np.minimum(best, own))
    result: Floats = np.maximum(gain, 0.0) * (1.0 - tests.p_fail)
    return result


def _believed(
    moved: Sequence[_Moved], weights: Floats, outcome: Floats, told: Floats
) -> list[Floats]:
    """How much each explanation is believed after the outcome, one value a test."""
    if len(moved) == 1:
        return [np.ones(len(outcome))]
    # A test that is stopped early tells them apart only as far as it tells the life.
    log = np.asarray([
        math.log(weight) + told * one.log_density(outcome)
        for weight, one in zip(weights.tolist(), moved, strict=True)
    ])  # fmt: skip
    believed = np.exp(log - log.max(axis=0))
    return list(believed / believed.sum(axis=0))


class _Moved:
    """One explanation, and what the outcome of a test makes of it."""

    def __init__(
        self, of: Joint, tests: PlacesToTest, choices: PlacesToProduce, scatter_sd: float
    ) -> None:
        self.weight, self.tests_mean = of.weight, of.others_mean
        self.outcome_sd = np.sqrt(of.others_known_sd**2 + scatter_sd**2)
        self._step = of.covariance / self.outcome_sd * np.sqrt(tests.told)
        left = np.maximum(of.known_sd[:, None] ** 2 - self._step**2, 0.0)
        self._middle = choices.per_edge[:, None] * np.exp(-of.mean[:, None] + 0.5 * left)
        self._own_step = of.others_known_sd**2 / self.outcome_sd * np.sqrt(tests.told)
        own_left = np.maximum(of.others_known_sd**2 - self._own_step**2, 0.0)
        self._own_middle = tests.if_survived * np.exp(-of.others_mean + 0.5 * own_left)
        self.cost_now = choices.per_edge * np.exp(-of.mean + 0.5 * of.known_sd**2)
        self.own_now = tests.if_survived * np.exp(-of.others_mean + 0.5 * of.others_known_sd**2)

    def _surprise(self, outcome: Floats) -> Floats:
        result: Floats = (outcome - self.tests_mean) / self.outcome_sd
        return result

    def log_density(self, outcome: Floats) -> Floats:
        result: Floats = -0.5 * self._surprise(outcome) ** 2 - np.log(self.outcome_sd)
        return result

    def cost_after(self, outcome: Floats) -> Floats:
        """What edges cost a hole at each choice, shape (choices, tests)."""
        result: Floats = self._middle * np.exp(-self._step * self._surprise(outcome))
        return result

    def own_after(self, outcome: Floats) -> Floats:
        """The same at the tested place itself."""
        result: Floats = self._own_middle * np.exp(-self._own_step * self._surprise(outcome))
        return result
