"""Cost per hole with parts that add up, the speed that tool life pays for, drills compared."""

from trials.economics.comparison import Comparison, DrillCost, compare, compare_drills
from trials.economics.cost import (
    CostPerHole,
    EdgeMoney,
    EdgesOfADrill,
    cost_per_hole,
    edges_of_a_drill,
    minutes_per_hole,
    money_of_an_edge,
)
from trials.economics.dialling_in import DiallingIn, dialling_in
from trials.economics.difference import Difference, NextStep, difference, next_step, sureness
from trials.economics.drill_on import DrillOn, drill_on
from trials.economics.lives import Edges
from trials.economics.regrind import (
    EVEN_WEAR_LIMIT_MM,
    RegrindAdvice,
    best_regrinds,
    regrind_advice,
)
from trials.economics.run_size import BreakEven, CostLine, Offer, RunSize, job_cost, run_size
from trials.economics.tool_life_speed import (
    maximum_production_speed_m_per_min,
    minimum_cost_speed_m_per_min,
)
from trials.economics.trial_cost import RunMoney, money_of_a_run
from trials.economics.uncertain_cost import (
    CostDraws,
    CostRange,
    DrillEvidence,
    beyond_regrind,
    cost_range,
    costs_from_lives,
    evidence_of,
)

__all__ = [
    "EVEN_WEAR_LIMIT_MM",
    "BreakEven",
    "Comparison",
    "CostDraws",
    "CostLine",
    "CostPerHole",
    "CostRange",
    "DiallingIn",
    "Difference",
    "DrillCost",
    "DrillEvidence",
    "DrillOn",
    "EdgeMoney",
    "Edges",
    "EdgesOfADrill",
    "NextStep",
    "Offer",
    "RegrindAdvice",
    "RunMoney",
    "RunSize",
    "best_regrinds",
    "beyond_regrind",
    "compare",
    "compare_drills",
    "cost_per_hole",
    "cost_range",
    "costs_from_lives",
    "dialling_in",
    "difference",
    "drill_on",
    "edges_of_a_drill",
    "evidence_of",
    "job_cost",
    "maximum_production_speed_m_per_min",
    "minimum_cost_speed_m_per_min",
    "minutes_per_hole",
    "money_of_a_run",
    "money_of_an_edge",
    "next_step",
    "regrind_advice",
    "run_size",
    "sureness",
]
