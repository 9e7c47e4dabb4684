"""What is asked of the search is refused when it cannot be."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.helpers.drilling_process import MONEY, Process
from trials.errors import InputError
from trials.model import CuttingData, Economics
from trials.optimizer import RunResult

PROBLEM = Process().problem()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"speed_m_per_min": (80, 15)}, "bounds of speed"),
        ({"feed_mm_per_rev": (0.0, 0.3)}, "bounds of feed"),
        ({"peck_depth_xd": (-1.0, 3.0)}, "bounds of peck depth"),
        ({"peck_modes": ()}, "peck modes"),
        ({"peck_modes": ("some",)}, "peck modes"),
        ({"start": CuttingData(100, 0.1)}, "speed 100 m/min outside 15 to 80"),
        ({"start": CuttingData(30, 0.1, "chip_break", 1.0)}, "peck mode chip_break"),
        ({"load_limit_pct": 0}, "load limit"),
        ({"diameter_mm": 0}, "hole diameter"),
        ({"depth_mm": -1}, "hole depth"),
        ({"max_test_holes": 0}, "longest test"),
        ({"holes_to_make": -1}, "holes to make"),
        ({"test_cost": -1}, "cost of a test"),
        ({"kc1_1_n_per_mm2": 0}, "kc1.1"),
        ({"mc": 1.0}, "exponent mc"),
        ({"economics": Economics(0.0)}, "no cutting data are better"),
    ],
)
def test_impossible_problems(change: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        replace(PROBLEM, **change)


def test_peck_depth_of_a_start_without_pecks_does_not_matter() -> None:
    replace(PROBLEM, start=CuttingData(28, 0.1, "none", 50.0), economics=MONEY)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"holes": -1}, "holes of the run"),
        ({"end": "tired"}, "end of run"),
        ({"load_fresh_pct": -3.0}, "fresh drill"),
        ({"load_worn_pct": float("nan")}, "worn drill"),
        ({"cycle_min": 0.0}, "cycle time"),
    ],
)
def test_impossible_runs(change: dict[str, Any], says: str) -> None:
    run = RunResult(CuttingData(28, 0.1), 100, "worn", 20.0, 30.0, 0.2)
    with pytest.raises(InputError, match=says):
        replace(run, **change)
