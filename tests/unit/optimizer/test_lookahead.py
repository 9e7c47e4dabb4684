"""What a test is worth against its definition, integrated by drawing."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.helpers.drilling_process import Process
from trials.model import CuttingData
from trials.optimizer.belief import Belief
from trials.optimizer.gaussian import Joint
from trials.optimizer.lookahead import PlacesToProduce, PlacesToTest, expected_gain

SCATTER = 0.2
COVARIANCE = np.asarray([[0.09, 0.06, 0.0], [0.06, 0.25, 0.02], [0.0, 0.02, 0.16]])
MEAN = np.log([200.0, 180.0, 150.0])
PER_HOLE, PER_EDGE = np.asarray([0.30, 0.27, 0.26]), np.full(3, 60.0)
SD = np.sqrt(np.diag(COVARIANCE))
ALL, NONE = np.ones((3, 3), dtype=bool), np.zeros((3, 3), dtype=bool)
ONES = np.ones(3)
JOINT = Joint(1.0, MEAN, SD, MEAN, SD, COVARIANCE)


def produced(**changes: Any) -> PlacesToProduce:
    """All may be produced with today, and no test tells of a cliff."""
    edge = np.tile(PER_EDGE[:, None], 3)
    places = PlacesToProduce(PER_HOLE, PER_EDGE, edge, edge, ALL[0], NONE, ALL)
    return replace(places, **changes)


def gains(
    survives: float = 1.0, told: float = 1.0, dear: float = 1e9, **changes: Any
) -> np.ndarray:
    """A tested place is itself so dear that it is never taken, unless ``dear`` is less."""
    tests = PlacesToTest(PER_HOLE, dear * ONES, survives * ONES, told * ONES)
    return expected_gain(tests, produced(**changes), [JOINT], SCATTER)


def test_gain_is_the_fall_of_the_lowest_expected_cost() -> None:
    # Definition: outcomes of a test are drawn, the belief of all three is moved by regression on
    # the outcome, and the lowest expected cost is compared with that of today.
    random = np.random.default_rng(1)
    now = (PER_HOLE + PER_EDGE * np.exp(-MEAN + 0.5 * SD**2)).min()
    for tested in range(3):
        outcome_variance = COVARIANCE[tested, tested] + SCATTER**2
        surprise = random.normal(0, math.sqrt(outcome_variance), 200_000)
        slope = COVARIANCE[:, tested] / outcome_variance
        left = SD**2 - slope * COVARIANCE[:, tested]
        mean = MEAN + slope * surprise[:, None]
        after = (PER_HOLE + PER_EDGE * np.exp(-mean + 0.5 * left)).min(axis=1)
        # Eleven values stand for all outcomes, though the lowest cost has kinks.
        assert gains()[tested] == pytest.approx(now - after.mean(), rel=0.12)


def test_tests_that_tell_nothing_are_worth_nothing() -> None:
    assert gains(told=0.0) == pytest.approx(np.zeros(3), abs=1e-12)
    assert (gains(told=0.3) < gains()).all()
    assert gains(survives=0.75) == pytest.approx(0.75 * gains())


def test_a_test_that_opens_a_place_is_worth_what_it_saves_there() -> None:
    # The third place is the cheapest by far and not open: a test that opens it is worth the whole
    # difference, though it tells nothing of lives.
    cheap = np.asarray([0.30, 0.27, 0.05])
    only_two = np.asarray([True, True, False])
    cost = cheap + PER_EDGE * np.exp(-MEAN + 0.5 * SD**2)
    opened = np.zeros((3, 3), dtype=bool)
    opened[2, 1] = True
    found = gains(told=0.0, per_hole=cheap, open_now=only_two, opened=opened)
    assert found == pytest.approx([0.0, cost[:2].min() - cost[2], 0.0])
    # Nothing that the test may not lead to counts, and half of the tests that fail open nothing.
    kept = gains(told=0.0, per_hole=cheap, open_now=only_two, opened=opened, may_follow=~opened)
    assert kept == pytest.approx(np.zeros(3))
    half = gains(survives=0.5, told=0.0, per_hole=cheap, open_now=only_two, opened=opened)
    assert half == pytest.approx(0.5 * found)


def test_a_failure_is_worth_what_leaving_its_ground_saves() -> None:
    cost = PER_HOLE + PER_EDGE * np.exp(-MEAN + 0.5 * SD**2)
    best = int(cost.argmin())
    dearer = np.tile(PER_EDGE[:, None], 3)
    dearer[best, 0] *= 5.0
    found = gains(survives=0.6, told=0.0, if_failed=dearer)
    risen = PER_HOLE[best] + 5.0 * (cost[best] - PER_HOLE[best])
    assert found == pytest.approx([0.4 * (risen - np.delete(cost, best).min()), 0.0, 0.0])


def test_nothing_to_recommend_is_worth_nothing() -> None:
    none = np.zeros((0, 3))
    places = PlacesToProduce(
        none[:, 0], none[:, 0], none, none, none[:, 0].astype(bool), none.astype(bool),
        none.astype(bool),
    )  # fmt: skip
    joint = Joint(1.0, MEAN[:0], SD[:0], MEAN, SD, COVARIANCE[:0])
    tests = PlacesToTest(PER_HOLE, ONES, ONES, ONES)
    assert expected_gain(tests, places, [joint], SCATTER) == pytest.approx(np.zeros(3))


def test_place_that_came_through_may_be_taken_itself() -> None:
    assert (gains(dear=40.0) > gains()).all()


def test_a_test_also_pays_by_telling_explanations_apart() -> None:
    # Definition, by drawing: which explanation is true, an outcome of the tested place, belief in
    # each by Bayes' rule, its means by regression, and the lowest expected cost against today's.
    other_mean = MEAN + np.asarray([0.0, -0.9, 0.5])
    weights = np.asarray([0.8, 0.2])
    means = np.stack([MEAN, other_mean])
    joints = [
        Joint(weight, mean, SD, mean, SD, COVARIANCE)
        for weight, mean in zip(weights.tolist(), means, strict=True)
    ]
    tests = PlacesToTest(PER_HOLE, 1e9 * ONES, ONES, ONES)
    found = expected_gain(tests, produced(), joints, SCATTER)
    random = np.random.default_rng(2)
    now = (PER_HOLE + PER_EDGE * (weights @ np.exp(-means + 0.5 * SD**2))).min()
    for tested in range(3):
        variance = COVARIANCE[tested, tested] + SCATTER**2
        true = (random.random(200_000) < weights[1]).astype(int)
        outcome = means[true, tested] + random.normal(0, math.sqrt(variance), len(true))
        density = np.exp(-0.5 * (outcome[:, None] - means[:, tested]) ** 2 / variance) * weights
        believed = density / density.sum(axis=1, keepdims=True)
        slope = COVARIANCE[:, tested] / variance
        left = SD**2 - slope * COVARIANCE[:, tested]
        after = np.zeros((len(true), 3))
        for k in range(2):
            mean = means[k] + slope * (outcome - means[k, tested])[:, None]
            after += believed[:, k : k + 1] * np.exp(-mean + 0.5 * left)
        lowest = (PER_HOLE + PER_EDGE * after).min(axis=1)
        assert found[tested] == pytest.approx(now - lowest.mean(), rel=0.12)


def test_covariance_agrees_with_the_belief() -> None:
    process = Process()
    belief = Belief(process.problem(), process.history(6, seed=2))
    places = [CuttingData(28, 0.10), CuttingData(35, 0.14), CuttingData(22, 0.2)]
    explanations = belief.life_explanations(places, places)
    assert sum(one.weight for one in explanations) == pytest.approx(1.0)
    for one in explanations:
        assert one.mean == pytest.approx(one.others_mean)
        assert np.diag(one.covariance) == pytest.approx(one.known_sd**2)
        assert one.covariance == pytest.approx(one.covariance.T)
        assert (np.linalg.eigvalsh(one.covariance) > -1e-9).all()
