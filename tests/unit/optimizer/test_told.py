"""What a test that is stopped early tells of its life, by its holes and by its load."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import truncnorm

from tests.helpers.drilling_process import Process
from trials.model import CuttingData
from trials.optimizer import RunResult
from trials.optimizer.belief import Belief
from trials.optimizer.length import told
from trials.optimizer.told import by_holes, by_load, to_go

PROBLEM = Process().problem()
AT = [PROBLEM.start]


@pytest.mark.parametrize("z", [-2.0, -0.5, 0.0, 1.0])
def test_doubt_that_a_stopped_test_takes_away(z: float) -> None:
    # Law of total variance with scipy's truncated normal: what remains is the doubt of those that
    # outlasted the stop.
    outlasting = 1 - 0.5 * math.erfc(-z / math.sqrt(2))
    remaining = outlasting * truncnorm.var(z, math.inf)
    assert float(by_holes(np.asarray(z))) == pytest.approx(1 - remaining, abs=1e-9)


def test_load_that_grew_half_way_says_how_many_holes_are_to_go() -> None:
    # Growth goes with share^1.25: half of it is reached after 0.5^0.8 of the life.
    worn, known_sd, shown = (np.asarray([one]) for one in (0.4, 0.08, 0.2))
    further, doubt, shared = to_go(worn, known_sd, shown, 0.05)
    assert further[0] == pytest.approx(math.log(1 / 0.5**0.8))
    assert doubt[0] == pytest.approx(math.hypot(0.05 / 0.2 / 1.25, 0.3 / 1.25 * further[0]))
    assert shared[0] == pytest.approx(0.08 / 0.4 / 1.25)
    # It never says that fewer holes are in an edge than it drilled.
    assert to_go(np.asarray([0.3]), known_sd, np.asarray([0.5]), 0.05)[0][0] == 0.0


@pytest.mark.parametrize("share", [0.4, 0.7, 1.0])
def test_doubt_that_the_load_of_a_stopped_edge_takes_away(share: float) -> None:
    # Drawn: log life of an edge, and what its load says of it with errors in the growth of worn
    # edges, from edge to edge, and in the power. The share is that of the best straight line.
    random = np.random.default_rng(5)
    growth, known_sd, scatter_sd, outcome_sd = 0.35, 0.08, 0.03, 0.5
    lives = random.normal(0.0, outcome_sd, 200_000)
    shown = growth * share**1.25
    said = (
        lives
        + random.normal(0.0, scatter_sd / shown / 1.25, len(lives))
        + random.normal(0.0, known_sd / growth / 1.25, len(lives))
        + random.normal(0.0, 0.3 / 1.25 * abs(math.log(share)), len(lives))
    )
    expected = np.corrcoef(lives, said)[0, 1] ** 2
    values = (np.asarray([one]) for one in (share, growth, known_sd))
    found = by_load(*values, scatter_sd, np.asarray([outcome_sd]))
    assert found[0] == pytest.approx(expected, abs=0.01)


def test_load_that_has_hardly_grown_tells_nothing() -> None:
    one = np.asarray([0.1])
    assert by_load(one, np.asarray([0.3]), one, 0.03, np.asarray([0.5]))[0] == 0.0


def _stopped(holes: int, growth: float, at: CuttingData = PROBLEM.start) -> RunResult:
    return RunResult(at, holes, "stopped", 20.0, 20.0 * math.exp(growth), 0.2)


def _lives(runs: list[RunResult]) -> tuple[float, float]:
    """Median holes to wear at the start: what is said, and what is chosen by."""
    belief = Belief(PROBLEM, runs)
    said, likely = (float(one(AT).life.mean[0]) for one in (belief.at, belief.likely))
    return math.exp(said), math.exp(likely)


def test_lives_that_bounds_pushed_too_high_are_called_back_by_loads() -> None:
    # Worn edges grow by 0.4 here; these were stopped after 900 holes with nearly all of it, so
    # they would have lasted 900 / 0.95^0.8 = 938 holes.
    worn = [
        RunResult(CuttingData(50, 0.12), holes, "worn", 26.0, 26.0 * math.exp(0.4), 0.15)
        for holes in (80, 85, 90)
    ]
    said, likely = _lives(worn + [_stopped(900, 0.38 + 0.01 * k) for k in (-1, 0, 1, 0, -1, 1)])
    assert said > 1.15 * 938
    assert likely == pytest.approx(938, rel=0.12)


def test_lives_are_told_by_loads_only_where_loads_were_recorded() -> None:
    said, likely = _lives([replace(_stopped(900, 0.3), load_worn_pct=None)])
    assert likely == said
    said, likely = _lives([_stopped(900, 0.01)])
    assert likely == said


def test_a_stopped_test_tells_more_where_loads_are_recorded() -> None:
    runs = [_stopped(900, 0.15)]
    silent = [replace(run, load_worn_pct=None) for run in runs]
    with_loads, without = (
        float(told(Belief(PROBLEM, one).likely(AT), 300)[0]) for one in (runs, silent)
    )
    assert 0.0 < without < with_loads < 1.0
