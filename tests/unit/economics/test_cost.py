"""Cost per hole by hand."""

from __future__ import annotations

import math

import pytest

from trials.economics import cost_per_hole, maximum_production_speed_m_per_min, money_of_an_edge
from trials.economics import minimum_cost_speed_m_per_min as cheapest_speed
from trials.errors import InputError
from trials.model import Economics

MONEY = Economics(
    machine_rate_per_min=1.5, tool_change_min=4, drill_price=90, regrinds=2, regrind_cost=30,
    breakage_cost=200, inspect_every_holes=50, inspect_min=2, currency="USD",
)  # fmt: skip


def test_parts_by_hand() -> None:
    # Edge: (90 + 2·30)/3 = 50; change 1.5·4 = 6; breakage 200·0.1 = 20; 250 holes an edge.
    cost = cost_per_hole(MONEY, 0.2, 250, 0.1)
    assert cost.machine == pytest.approx(0.30)
    assert cost.drill == pytest.approx(0.20)
    assert cost.change == pytest.approx(0.024)
    assert cost.inspection == pytest.approx(0.06)
    assert cost.breakage == pytest.approx(0.08)
    assert cost.total == pytest.approx(0.664)
    assert cost.currency == "USD"
    assert sum(cost.parts.values()) == pytest.approx(cost.total)


def test_endless_edge_leaves_machine_and_looking() -> None:
    cost = cost_per_hole(MONEY, 0.2, math.inf)
    assert cost.total == pytest.approx(0.36)


def test_no_inspection_costs_nothing() -> None:
    assert cost_per_hole(Economics(1.0, drill_price=10), 0.1, 100).inspection == 0


def test_edge_without_regrinds_costs_the_drill() -> None:
    assert money_of_an_edge(Economics(1.0, drill_price=42.0)).drill == 42.0


@pytest.mark.parametrize(
    ("cycle_min", "holes", "share", "says"),
    [
        (0.0, 100, 0.0, "cycle time"),
        (math.nan, 100, 0.0, "cycle time"),
        (0.1, 0, 0.0, "holes per edge"),
        (0.1, 100, 1.2, "share of edges"),
    ],
)
def test_impossible_values_are_refused(
    cycle_min: float, holes: float, share: float, says: str
) -> None:
    with pytest.raises(InputError, match=says):
        cost_per_hole(MONEY, cycle_min, holes, share)


def test_impossible_speeds_are_refused() -> None:
    with pytest.raises(InputError, match="exponent n"):
        cheapest_speed(1.0, 75, 0.15, 2, 2.5)
    with pytest.raises(InputError, match="fastest speed is the cheapest"):
        cheapest_speed(0.25, 75, 0.15, 0, 0)
    with pytest.raises(InputError, match="change time"):
        maximum_production_speed_m_per_min(0.25, 75, 0)
