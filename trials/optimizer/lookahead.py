"""What a test is worth: the cost of what would be recommended after it, against that of today.

The knowledge gradient of Frazier, Powell and Dayanik 2009, with the cost formula in place of their
linear one: cost per hole is a + b / holes, log life is normal, and one test moves the belief about
all candidates together. Its outcome is a single standard normal value, so the expectation over it
is a sum over a few of them (Gauss and Hermite).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from trials.optimizer.gaussian import Floats, Joint

# Outcomes that stand for all, with one explanation of the lives and with several, and how many
# standard deviations out the furthest of those lies.
_ALONE, _AMONG_SEVERAL, _FAR_OUT = 11, 15, 2.6
# An explanation believed less than this after an outcome is left out.
_HARDLY_BELIEVED = 1e-4


@dataclass(frozen=True, slots=True)
class PlacesToProduce:
    """What may be recommended; ``per_hole`` and ``per_edge`` give the cost.

    ``if_survived`` and ``if_failed`` are what an edge costs once a test came through or failed,
    shape (choices, tests). ``open_now`` may be produced with today, ``opened`` after a test that
    came through, shape (choices, tests); ``may_follow`` are those that a test may lead to, same
    shape.
    """

    per_hole: Floats
    per_edge: Floats
    if_survived: Floats
    if_failed: Floats
    open_now: NDArray[np.bool_]
    opened: NDArray[np.bool_]
    may_follow: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class PlacesToTest:
    """What may be tested; arrays of the same length.

    ``if_survived`` is what an edge costs there once one has come through, ``survives`` how likely
    that is; ``told`` the share of the doubt that the longest test takes away.
    """

    per_hole: Floats
    if_survived: Floats
    survives: Floats
    told: Floats


def expected_gain(
    tests: PlacesToTest,
    choices: PlacesToProduce,
    explanations: Sequence[Joint],
    scatter_sd: float | Floats,
) -> Floats:
    """Expected fall of the cost of the recommendation by each test.

    A test that comes through moves the belief about lives within each explanation, and how much
    each is believed (Bayes' rule); it makes cliffs before it less likely, and opens what is hardly
    harsher. One that fails tells of cliffs alone. The gain is what changing the recommendation
    then saves against keeping that of today.

    Args:
        tests, choices: as above.
        explanations: of log life at the choices and, as the others, at the tests; their weights
            sum to 1.
        scatter_sd: scatter of log life from edge to edge, or of what each test shows.

    Where nothing may be recommended today, a test is worth what its own place then costs more than
    the cheapest that it opens.
    """
    if not len(choices.per_hole):
        return np.zeros(len(tests.told))
    moved = [_Moved(one, tests.told, scatter_sd) for one in explanations]
    weights = np.asarray([one.weight for one in explanations])
    now = weights @ [one.now for one in moved]
    columns = np.arange(len(tests.told))
    today = choices.may_follow & choices.open_now[:, None]
    cost = np.where(today, (choices.per_hole + choices.per_edge * now)[:, None], np.inf)
    kept, any_today = cost.argmin(axis=0), today.any(axis=0)
    # After a failure lives are what they were.
    failed = choices.per_hole[:, None] + choices.if_failed * now[:, None]
    lowest = np.where(today, failed, np.inf).min(axis=0)
    gain = (1.0 - tests.survives) * np.where(any_today, failed[kept, columns] - lowest, 0.0)
    after_opened = choices.may_follow & (choices.open_now[:, None] | choices.opened)
    for outcome, share in _outcomes(moved, weights):
        believed = _believed(moved, weights, outcome, tests.told)
        per_life = _mixed(believed, moved, outcome)
        own_life = sum(w * one.own(outcome) for w, one in zip(believed, moved, strict=True))
        after = choices.per_hole[:, None] + choices.if_survived * per_life
        own = tests.per_hole + tests.if_survived * own_life
        as_today = np.where(any_today, after[kept, columns], own)
        best = np.minimum(np.where(after_opened, after, np.inf).min(axis=0), own)
        gain += tests.survives * share * np.maximum(as_today - best, 0.0)
    result: Floats = gain
    return result


def _outcomes(moved: Sequence[_Moved], weights: Floats) -> Iterator[tuple[Floats, Floats]]:
    """Log lives that stand for all that the tests may show, and their shares; one value a test.

    For one explanation those of Gauss and Hermite. Several are far from a normal together: even
    steps over all of them, weighed by how likely each is.
    """
    if len(moved) == 1:
        nodes, shares = hermegauss(_ALONE)
        for node, share in zip(nodes.tolist(), (shares / shares.sum()).tolist(), strict=True):
            yield moved[0].tests_mean + moved[0].outcome_sd * node, np.asarray(share)
        return
    low = np.min([one.tests_mean - _FAR_OUT * one.outcome_sd for one in moved], axis=0)
    high = np.max([one.tests_mean + _FAR_OUT * one.outcome_sd for one in moved], axis=0)
    steps = np.linspace(low, high, _AMONG_SEVERAL)
    likely = sum(
        weight * np.exp(one.log_density(steps))
        for weight, one in zip(weights.tolist(), moved, strict=True)
    )
    yield from zip(steps, likely / np.sum(likely, axis=0), strict=True)


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


def _mixed(believed: Sequence[Floats], moved: Sequence[_Moved], outcome: Floats) -> Floats:
    """Expectation of 1 / life at each choice over the explanations, shape (choices, tests).

    Nearly all time of a search goes into these exponentials. Single precision is six times as fast
    and off by one part in a million, far less than what is believed.
    """
    mixed = np.zeros(moved[0].step.shape, dtype=np.float32)
    one_of_them = np.empty_like(mixed)
    for weight, one in zip(believed, moved, strict=True):
        if weight.max() < _HARDLY_BELIEVED:
            continue
        surprise = one.surprise(outcome).astype(np.float32)
        np.multiply(one.step, -surprise, out=one_of_them)
        one_of_them += one.log_middle
        np.exp(one_of_them, out=one_of_them)
        one_of_them *= weight.astype(np.float32)
        mixed += one_of_them
    return mixed.astype(np.float64)


class _Moved:
    """One explanation, and what the outcome of a test makes of it: expectations of 1 / life."""

    def __init__(self, of: Joint, told: Floats, scatter_sd: float | Floats) -> None:
        self.weight, self.tests_mean = of.weight, of.others_mean
        self.outcome_sd = np.sqrt(of.others_known_sd**2 + scatter_sd**2)
        step = of.covariance / self.outcome_sd * np.sqrt(told)
        left = np.maximum(of.known_sd[:, None] ** 2 - step**2, 0.0)
        self.step = step.astype(np.float32)
        self.log_middle = (-of.mean[:, None] + 0.5 * left).astype(np.float32)
        self._own_step = of.others_known_sd**2 / self.outcome_sd * np.sqrt(told)
        own_left = np.maximum(of.others_known_sd**2 - self._own_step**2, 0.0)
        self._own_middle = np.exp(-of.others_mean + 0.5 * own_left)
        self.now = np.exp(-of.mean + 0.5 * of.known_sd**2)

    def surprise(self, outcome: Floats) -> Floats:
        result: Floats = (outcome - self.tests_mean) / self.outcome_sd
        return result

    def log_density(self, outcome: Floats) -> Floats:
        result: Floats = -0.5 * self.surprise(outcome) ** 2 - np.log(self.outcome_sd)
        return result

    def own(self, outcome: Floats) -> Floats:
        """At the tested place itself."""
        result: Floats = self._own_middle * np.exp(-self._own_step * self.surprise(outcome))
        return result
