"""What a test is worth against its definition, integrated by drawing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.helpers.drilling_process import Process
from trials.model import CuttingData
from trials.optimizer.belief import Belief
from trials.optimizer.lookahead import PlacesToProduce, PlacesToTest, expected_gain

SCATTER = 0.2
COVARIANCE = np.asarray([[0.09, 0.06, 0.0], [0.06, 0.25, 0.02], [0.0, 0.02, 0.16]])
MEAN = np.log([200.0, 180.0, 150.0])
PER_HOLE, PER_EDGE = np.asarray([0.30, 0.27, 0.26]), np.full(3, 60.0)
SD = np.sqrt(np.diag(COVARIANCE))
ALL = np.ones((3, 3), dtype=bool)


def gains(p_fail: float = 0.0, told: float = 1.0, dear: float = 1e9) -> np.ndarray:
    """A tested place is itself so dear that it is never taken, unless ``dear`` is less."""
    ones = np.ones(3)
    return expected_gain(
        PlacesToTest(PER_HOLE, dear * ones, MEAN, SD, p_fail * ones, told * ones),
        PlacesToProduce(PER_HOLE, PER_EDGE, MEAN, SD),
        COVARIANCE,
        SCATTER,
        ALL,
    )


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
    assert gains(p_fail=0.25) == pytest.approx(0.75 * gains())


def test_place_that_came_through_may_be_taken_itself() -> None:
    assert (gains(dear=40.0) > gains()).all()


def test_covariance_agrees_with_the_belief() -> None:
    process = Process()
    belief = Belief(process.problem(), process.history(6, seed=2))
    places = [CuttingData(28, 0.10), CuttingData(35, 0.14), CuttingData(22, 0.2)]
    covariance = belief.life_covariance(places, places)
    assert np.diag(covariance) == pytest.approx(belief.at(places).life.known_sd ** 2)
    assert covariance == pytest.approx(covariance.T)
    assert (np.linalg.eigvalsh(covariance) > -1e-9).all()
