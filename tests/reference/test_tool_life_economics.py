"""Tool-life economics against published problems, and cost ratios that the trade knows."""

from __future__ import annotations

import pytest

from trials.economics import (
    cost_per_hole,
    maximum_production_speed_m_per_min,
    minimum_cost_speed_m_per_min,
)
from trials.model import Economics


def test_speeds_of_a_worked_example() -> None:
    # Ghosh and Mallik, Manufacturing Science, examples 4.26 and 4.28: n 0.25, C 75 m/min,
    # Co 0.15 /min, Ct 2.50, tt 2 min → 27.4166 and 47.9207 m/min.
    cheapest = minimum_cost_speed_m_per_min(0.25, 75, 0.15, 2, 2.50)
    fastest = maximum_production_speed_m_per_min(0.25, 75, 2)
    assert cheapest == pytest.approx(27.4166, abs=1e-4)
    assert fastest == pytest.approx(47.9207, abs=1e-4)


def test_speeds_of_a_second_worked_example() -> None:
    # Groover, Fundamentals of Modern Manufacturing; data from memory, hence the wider tolerance:
    # n 0.125, C 70, tt 2 min, Co 0.50 /min, Ct 3 → 42.32 and 50.33 m/min.
    assert minimum_cost_speed_m_per_min(0.125, 70, 0.50, 2, 3) == pytest.approx(42.32, abs=0.02)
    assert maximum_production_speed_m_per_min(0.125, 70, 2) == pytest.approx(50.33, abs=0.02)


def test_cost_formula_is_lowest_at_the_minimum_cost_speed() -> None:
    # The two must be one economics: with life from V·T^n = C and time ~ 1/V the cost per piece is
    # lowest where the published formula says (same example as above).
    n, c, rate, change_min, edge = 0.25, 75.0, 0.15, 2.0, 2.50
    money = Economics(machine_rate_per_min=rate, tool_change_min=change_min, drill_price=edge)

    def cost(speed: float) -> float:
        cycle_min = 30.0 / speed
        life_min = (c / speed) ** (1 / n)
        return cost_per_hole(money, cycle_min, life_min / cycle_min).total

    best = minimum_cost_speed_m_per_min(n, c, rate, change_min, edge)
    assert cost(best) < min(cost(best * 0.97), cost(best * 1.03))
    assert cost(best * 1.002) == pytest.approx(cost(best), rel=1e-4)


@pytest.mark.parametrize("life_ratio", [10, 15, 20])
@pytest.mark.parametrize("speed_ratio", [3, 4, 5])
def test_carbide_against_cobalt(life_ratio: int, speed_ratio: int) -> None:
    # Common practice, no source: a carbide drill costs about ten times a cobalt one, outlives it
    # ten to twenty times and runs three to five times faster; so its tool cost per hole is at or
    # below the cobalt drill's, and the hole is clearly cheaper once machine time counts. Prices
    # and times are invented; 100 holes from a cobalt drill.
    cobalt = Economics(machine_rate_per_min=1.2, tool_change_min=2, drill_price=12)
    carbide = Economics(machine_rate_per_min=1.2, tool_change_min=2, drill_price=120)
    slow = cost_per_hole(cobalt, 0.40, 100)
    fast = cost_per_hole(carbide, 0.40 / speed_ratio, 100 * life_ratio)
    assert fast.drill <= slow.drill * (1 + 1e-12)
    assert fast.total < 0.75 * slow.total
    # By hand, 10 × life and 4 × speed: 0.12 + 0.12 + 0.0024 against 0.48 + 0.12 + 0.024.
    if (life_ratio, speed_ratio) == (10, 4):
        assert slow.total == pytest.approx(0.624)
        assert fast.total == pytest.approx(0.2424)
