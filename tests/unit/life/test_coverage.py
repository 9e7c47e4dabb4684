"""A quick form of the coverage study: 90 % ranges hold the truth about so often.

The full one is ``python tests/benchmarks/coverage.py``; its table is in docs/life.md. Here 60
trials of each with fixed seeds: ranges that hold the truth in 90 % of cases fall below 78 % of so
few about once in three hundred seeds.
"""

from __future__ import annotations

import pytest

from tests.benchmarks import coverage

TRIALS = 60


def silent(kind: str, number: int) -> None:
    """No progress."""


def inside(tally: coverage.Tally, group: str, name: str) -> float:
    numbers = tally[(group, name)]
    assert numbers[3] >= 0.8 * TRIALS
    return numbers[0] / numbers[3]


@pytest.fixture(scope="module")
def lives() -> coverage.Tally:
    return coverage.study_lives(TRIALS, 7, silent, plain=False)


@pytest.mark.parametrize("name", ["shape", "scale", "b10"])
def test_ranges_of_a_life(lives: coverage.Tally, name: str) -> None:
    assert 0.78 <= inside(lives, "all", name) < 1.0


def test_ranges_of_an_equation() -> None:
    tally = coverage.study_equation(TRIALS, 7, silent)
    for name in ("speed_exponent", "feed_exponent", "middle life"):
        assert 0.78 <= inside(tally, "equation", name) < 1.0


def test_ranges_of_projected_wear() -> None:
    # Growth in random steps, readings with error and rounding: not the model that is fitted.
    tally = coverage.study_wear(3 * TRIALS, 7, silent)
    assert 0.78 <= inside(tally, "wear", "projected") < 1.0
