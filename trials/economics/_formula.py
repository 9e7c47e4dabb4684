"""The cost formula once, for one value and for many drawn values (arrays) alike.

Typed as `Any` because NumPy's arrays and plain floats go through the same arithmetic.
"""

from __future__ import annotations

from typing import Any

from trials.model import Economics

PARTS = ("machine", "drill", "change", "inspection", "coolant", "breakage", "scrap")


def edges_lives_regrinds(economics: Economics, beyond: Any) -> tuple[Any, Any, Any]:
    """Edges, lives of a new edge, and regrinds of one drill; ``beyond`` is a share of edges."""
    goes_on, lasts = 1.0 - beyond, 1.0 - economics.life_lost_per_regrind
    edges = sum(goes_on**k for k in range(economics.regrinds + 1))
    lives = sum((goes_on * lasts) ** k for k in range(economics.regrinds + 1))
    return edges, lives, edges - 1.0


def money_of_a_life(
    economics: Economics, broken: Any, beyond: Any, out: Any
) -> tuple[Any, Any, Any, Any]:
    """Drill, change, breakage and scrap for one life of a new edge."""
    edges, lives, regrinds = edges_lives_regrinds(economics, beyond)
    edges_per_life = edges / lives
    return (
        (economics.drill_price + regrinds * economics.regrind_cost) / lives,
        economics.machine_rate_per_min * economics.tool_change_min * edges_per_life,
        economics.breakage_cost * broken * edges_per_life,
        economics.scrap_cost * out * edges_per_life,
    )


def looking_min(economics: Economics) -> float:
    """Machine minutes of looking at the drill that fall on one hole."""
    if economics.inspect_every_holes == 0:
        return 0.0
    return economics.inspect_min / economics.inspect_every_holes


def money_of_a_hole(
    economics: Economics, cycle_min: Any, holes: Any, broken: Any, beyond: Any, out: Any
) -> dict[str, Any]:
    """The parts of the cost of one hole, by the names of `PARTS`."""
    drill, change, breakage, scrap = money_of_a_life(economics, broken, beyond, out)
    rate = economics.machine_rate_per_min
    return {
        "machine": rate * cycle_min,
        "drill": drill / holes,
        "change": change / holes,
        "inspection": rate * looking_min(economics),
        "coolant": economics.coolant_per_min * cycle_min,
        "breakage": breakage / holes,
        "scrap": economics.scrap_cost * economics.scrap_share + scrap / holes,
    }
