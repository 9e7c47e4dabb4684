"""Cost per hole: what every hole costs by itself, and what each edge costs, shared by its holes.

Source of the split into machine time, tool and change: any machining textbook, for example
Kalpakjian and Schmid, Manufacturing Engineering and Technology, chapter on machining economics.
"""

from __future__ import annotations

from dataclasses import dataclass

from trials.errors import require
from trials.model import Economics


@dataclass(frozen=True, slots=True)
class EdgeMoney:
    """What one edge costs, however many holes it drills, in the currency of the economics.

    Args:
        drill: the share of price and regrinds that falls on one edge.
        change: machine time of putting it in.
        breakage: what breaking costs beside the drill, times the share of edges that break.
    """

    drill: float
    change: float
    breakage: float

    @property
    def total(self) -> float:
        """All of it."""
        return self.drill + self.change + self.breakage


@dataclass(frozen=True, slots=True)
class CostPerHole:
    """Cost of one hole; ``total`` is the sum of the five parts. Money in ``currency``."""

    total: float
    machine: float
    drill: float
    change: float
    inspection: float
    breakage: float
    currency: str

    @property
    def parts(self) -> dict[str, float]:
        """The five parts by name, in the order they are shown."""
        return {
            "machine": self.machine,
            "drill": self.drill,
            "change": self.change,
            "inspection": self.inspection,
            "breakage": self.breakage,
        }


def money_of_an_edge(economics: Economics, ended_by_breakage_share: float = 0.0) -> EdgeMoney:
    """What one edge costs.

    A drill bought once and reground ``regrinds`` times gives ``1 + regrinds`` edges, so an edge
    costs ``(price + regrinds · regrind_cost) / (1 + regrinds)``. Source: common practice.

    Args:
        economics: money and times of the trial.
        ended_by_breakage_share: share of edges that break, 0 to 1.

    Raises:
        InputError: the share is outside 0 to 1.
    """
    require(0 <= ended_by_breakage_share <= 1, "share of edges that break",
            ended_by_breakage_share, "0 to 1")  # fmt: skip
    edges = 1 + economics.regrinds
    return EdgeMoney(
        drill=(economics.drill_price + economics.regrinds * economics.regrind_cost) / edges,
        change=economics.machine_rate_per_min * economics.tool_change_min,
        breakage=economics.breakage_cost * ended_by_breakage_share,
    )


def minutes_per_hole(economics: Economics, cycle_min: float) -> tuple[float, float]:
    """Machine minutes of one hole: for drilling it, and its share of looking at the drill."""
    if economics.inspect_every_holes == 0:
        return cycle_min, 0.0
    return cycle_min, economics.inspect_min / economics.inspect_every_holes


def cost_per_hole(
    economics: Economics,
    cycle_min: float,
    holes_per_edge: float,
    ended_by_breakage_share: float = 0.0,
) -> CostPerHole:
    """Cost of one hole from times, prices and the life of an edge.

    ``rate · (cycle + inspect_min / inspect_every_holes) + cost of an edge / holes_per_edge``.

    Args:
        economics: money and times of the trial.
        cycle_min: machine time of one hole, min.
        holes_per_edge: holes that one edge drills before it is changed; infinity is allowed and
            leaves the cost of the machine and of looking.
        ended_by_breakage_share: share of edges that break, 0 to 1.

    Raises:
        InputError: a time or a life is not more than 0, or the share is outside 0 to 1.
    """
    require(0 < cycle_min < 1e6, "cycle time of one hole", cycle_min, "more than 0 min")
    require(holes_per_edge > 0, "holes per edge", holes_per_edge, "more than 0")
    edge = money_of_an_edge(economics, ended_by_breakage_share)
    drilling_min, looking_min = minutes_per_hole(economics, cycle_min)
    parts = (
        economics.machine_rate_per_min * drilling_min,
        edge.drill / holes_per_edge,
        edge.change / holes_per_edge,
        economics.machine_rate_per_min * looking_min,
        edge.breakage / holes_per_edge,
    )
    machine, drill, change, inspection, breakage = parts
    return CostPerHole(sum(parts), machine, drill, change, inspection, breakage, economics.currency)
