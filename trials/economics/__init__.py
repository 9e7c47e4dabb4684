"""Cost per hole with parts that add up, the speed that tool life pays for, drills compared."""

from trials.economics.comparison import DrillCost, compare_drills
from trials.economics.cost import (
    CostPerHole,
    EdgeMoney,
    cost_per_hole,
    minutes_per_hole,
    money_of_an_edge,
)
from trials.economics.tool_life_speed import (
    maximum_production_speed_m_per_min,
    minimum_cost_speed_m_per_min,
)

__all__ = [
    "CostPerHole",
    "DrillCost",
    "EdgeMoney",
    "compare_drills",
    "cost_per_hole",
    "maximum_production_speed_m_per_min",
    "minimum_cost_speed_m_per_min",
    "minutes_per_hole",
    "money_of_an_edge",
]
