"""Rounding towards safe, hard limits, and what runs rule out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.drilling_process import MACHINE, Process
from trials.mechanics import rpm
from trials.model import CuttingData
from trials.optimizer import RunResult
from trials.optimizer.candidates import (
    apart,
    draw,
    harsher_than_all,
    round_down,
    rounded,
    within_a_step,
    within_hard_limits,
)
from trials.optimizer.physics import thrust_n

PROBLEM = Process().problem()


@pytest.mark.parametrize(
    ("value", "step", "low", "high", "expected"),
    [
        (0.1239, 0.001, 0.05, 0.3, 0.123),
        (0.123, 0.001, 0.05, 0.3, 0.123),
        (0.0504, 0.001, 0.0502, 0.3, 0.051),  # down would leave the bounds
        (0.0504, 0.001, 0.0502, 0.0508, 0.0508),  # no step inside the bounds
        (80.0, 0.1, 15, 80.0, 80.0),
        (79.99, 0.1, 15, 80.0, 79.9),
    ],
)
def test_rounding(value: float, step: float, low: float, high: float, expected: float) -> None:
    assert round_down(value, step, low, high) == pytest.approx(expected, abs=1e-12)


def test_rounding_never_goes_up_inside_the_bounds() -> None:
    data = rounded(PROBLEM, CuttingData(33.3333, 0.12777, "none", 1.234))
    assert (data.speed_m_per_min, data.feed_mm_per_rev) == (33.3, 0.127)
    assert data.peck_depth_xd == pytest.approx(1.2)


def test_candidates_are_inside_and_on_the_grid_and_plain() -> None:
    wide = replace(
        PROBLEM, peck_modes=("none", "chip_break", "full_retract"), speed_m_per_min=(15, 400)
    )
    found = draw(wide, [wide.start], [], seed=3)
    assert len(found) > 500
    assert len(set(found)) == len(found)
    for data in found:
        assert type(data.speed_m_per_min) is float or data == wide.start
        assert type(data.peck_mode) is str
        assert wide.outside(data) is None
        assert rpm(data.speed_m_per_min, 8.0) <= MACHINE.max_rpm * (1 + 1e-9)
    assert {data.peck_mode for data in found} == {"none", "chip_break", "full_retract"}


def test_bounds_without_width_are_kept() -> None:
    fixed = replace(PROBLEM, feed_mm_per_rev=(0.1, 0.1), peck_depth_xd=(1.0, 1.0))
    assert {data.feed_mm_per_rev for data in draw(fixed, [], [], seed=0)} == {0.1}


def test_machine_is_a_hard_limit() -> None:
    weak = replace(PROBLEM, machine=replace(MACHINE, max_rpm=1600, max_feed_mm_per_min=150))
    assert within_hard_limits(weak, CuttingData(30, 0.1))  # 1194 /min, 119 mm/min
    assert not within_hard_limits(weak, CuttingData(45, 0.08))  # 1790 /min
    assert not within_hard_limits(weak, CuttingData(30, 0.15))  # 179 mm/min


def test_thrust_is_a_hard_limit() -> None:
    soft = replace(PROBLEM, machine=replace(MACHINE, max_thrust_n=2000))
    assert within_hard_limits(soft, CuttingData(30, 0.06))
    assert not within_hard_limits(soft, CuttingData(30, 0.25))


def test_thrust_follows_the_work_factor_that_is_given() -> None:
    # The handbook's thrust is proportional to Kd; 14,000 (cast iron) against 24,000 (steel).
    steel, iron = (replace(PROBLEM, kd=kd) for kd in (24_000.0, 14_000.0))
    data = CuttingData(30, 0.12)
    assert thrust_n(iron, data) / thrust_n(steel, data) == pytest.approx(14 / 24)
    limit = 0.5 * (thrust_n(iron, data) + thrust_n(steel, data))
    machine = replace(MACHINE, max_thrust_n=limit)
    assert within_hard_limits(replace(iron, machine=machine), data)
    assert not within_hard_limits(replace(steel, machine=machine), data)


def test_production_goes_hardly_beyond_what_came_through() -> None:
    runs = [RunResult(CuttingData(28, 0.10), 300, "worn")]
    data = [CuttingData(29, 0.105), CuttingData(33, 0.10), CuttingData(20, 0.06)]
    assert within_a_step(PROBLEM, data, runs).tolist() == [True, True, True]
    assert within_a_step(PROBLEM, data, runs, 0.06).tolist() == [True, False, True]


def test_candidates_that_are_weighed_lie_apart_and_the_cheapest_come_first() -> None:
    x = np.asarray([[0.0, 0, 0, 0], [0.01, 0, 0, 0], [0.2, 0, 0, 0], [0.4, 0, 0, 0]])
    score = np.asarray([2.0, 1.0, 3.0, np.inf])
    assert apart(x, score, most=10, distance=0.05).tolist() == [1, 2]
    assert apart(x, score, most=1, distance=0.05).tolist() == [1]


def test_steps_are_limited_and_grow() -> None:
    runs = [RunResult(PROBLEM.start, 300, "worn")]
    near, far = CuttingData(34, 0.12), CuttingData(45, 0.12)
    assert within_a_step(PROBLEM, [near, far], runs).tolist() == [True, False]
    assert within_a_step(PROBLEM, [near, far], runs * 6).tolist() == [True, True]


def test_after_only_failures_it_gets_gentler() -> None:
    runs = [RunResult(PROBLEM.start, 5, "broken")]
    data = [CuttingData(28, 0.10), CuttingData(28, 0.12), CuttingData(28, 0.08)]
    assert within_a_step(PROBLEM, data, runs).tolist() == [False, False, True]


def test_harsher_than_all_goes_further_in_something_than_each_run() -> None:
    tried = [CuttingData(28, 0.12), CuttingData(40, 0.08)]
    places = [
        CuttingData(27, 0.11),
        CuttingData(39, 0.08),
        CuttingData(39, 0.09),
        CuttingData(41, 0.07),
    ]
    assert harsher_than_all(PROBLEM, places, tried).tolist() == [False, False, True, True]
    assert harsher_than_all(PROBLEM, places, []).all()
