"""Ways of wear that add up, against rates of wear written out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.drilling_process import Process
from trials.model import CuttingData
from trials.optimizer import RunResult
from trials.optimizer.belief import Belief
from trials.optimizer.wear import LIVES

PROBLEM = Process().problem()
START = PROBLEM.start


def _x(speed: float, feed: float) -> np.ndarray:
    """Features of a speed and a feed against the start, as factors."""
    v, f = math.log(speed), math.log(feed)
    return np.asarray([[v, f, 0.0, 0.0, v * v, f * f]])


def test_rates_of_wear_add_up() -> None:
    # The first possibility: a twentieth of the wear at the start is heat, with speed^2, a fiftieth
    # is of thick chips, the rest is way. At twice the speed and half as much feed again:
    heat = 0.05 * (2.0 * 1.5**0.1) ** 2
    crushing = 0.02 * 1.5**2.5
    way = 0.93 * 1.5**-0.7
    assert LIVES[0](_x(2.0, 1.5))[0] == pytest.approx(-math.log(heat + crushing + way))


@pytest.mark.parametrize("log_life", LIVES)
def test_life_is_that_of_the_start_there_and_bends_one_way(log_life) -> None:  # type: ignore[no-untyped-def]  # a function of features
    assert log_life(_x(1.0, 1.0))[0] == pytest.approx(0.0, abs=1e-12)
    # The logarithm of a sum of powers is convex, so that of a life is concave (any textbook).
    for between, ends in (
        ((1.0, 1.0), ((0.5, 1.0), (2.0, 1.0))),
        ((1.0, 1.0), ((1.0, 0.4), (1.0, 2.5))),
        ((1.2, 1.2), ((0.6, 2.4), (2.4, 0.6))),
    ):
        assert log_life(_x(*between))[0] >= np.mean([log_life(_x(*end))[0] for end in ends])


def test_a_life_of_ways_that_add_up_is_foreseen_between_and_beyond_few_tests() -> None:
    # None of the possibilities: heat with speed^4 and a twelfth of the wear at the start, thick
    # chips with feed^2.6, way with 1 / feed^0.9.
    def life(data: CuttingData) -> float:
        speed = data.speed_m_per_min / START.speed_m_per_min
        feed = data.feed_mm_per_rev / START.feed_mm_per_rev
        heat = 0.085 * (speed * feed**0.3) ** 4.0
        return 600.0 / (heat + 0.05 * feed**2.6 + 0.865 * feed**-0.9)

    tests = [
        START,
        *(CuttingData(28.0 * v, 0.1 * f) for v, f in ((1.4, 1.3), (1.8, 1.0), (1.3, 2))),
    ]
    runs = [RunResult(data, round(life(data)), "worn", 20.0, 27.0, 0.2) for data in tests]
    belief = Belief(replace(PROBLEM, max_test_holes=2000), runs)
    between, beyond = ((1.5, 1.6), (1.6, 1.2), (1.1, 1.6)), ((2.2, 1.3), (2.0, 2.0), (2.4, 1.0))
    # A drill scatters by about 0.2: between, nothing is gained by coming nearer than half of that.
    # How steeply heat grows beyond what was tried is not known from four drills; that is said.
    for factors, most, most_sd in ((between, 0.1, 0.2), (beyond, 0.5, 0.5)):
        places = [CuttingData(28.0 * v, 0.1 * f) for v, f in factors]
        found = belief.at(places).life
        off = np.abs(found.mean - np.log([life(data) for data in places]))
        assert off.max() < most
        assert (off < 2.0 * found.known_sd).all()
        assert found.known_sd.max() < most_sd
