"""Cost per hole: what every hole costs by itself, and what each edge costs, shared by its holes.

Source of the split into machine time, tool and change: any machining textbook, for example
Kalpakjian and Schmid, Manufacturing Engineering and Technology, chapter on machining economics.
Regrinds, scrap and coolant: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from trials.economics import _formula
from trials.errors import require
from trials.model import Economics


@dataclass(frozen=True, slots=True)
class EdgesOfADrill:
    """What one drill is good for, from new to thrown away, on average.

    Args:
        edges: edges used, the new one and those reground.
        lives: the same in lives of a new edge: a reground one may last shorter.
        regrinds: regrinds that are paid for.
    """

    edges: float
    lives: float
    regrinds: float


@dataclass(frozen=True, slots=True)
class EdgeMoney:
    """What one life of a new edge costs, however many holes that is, in the trial's currency.

    Args:
        drill: the share of price and regrinds that falls on it.
        change: machine time of putting edges in.
        breakage: what breaking costs beside the drill, times the share of edges that break.
        scrap: parts scrapped by edges that end out of tolerance.
    """

    drill: float
    change: float
    breakage: float
    scrap: float = 0.0

    @property
    def total(self) -> float:
        """All of it."""
        return self.drill + self.change + self.breakage + self.scrap


@dataclass(frozen=True, slots=True)
class CostPerHole:
    """Cost of one hole; ``total`` is the sum of the seven parts. Money in ``currency``."""

    total: float
    machine: float
    drill: float
    change: float
    inspection: float
    breakage: float
    currency: str
    coolant: float = 0.0
    scrap: float = 0.0

    @property
    def parts(self) -> dict[str, float]:
        """The seven parts by name, in the order they are shown."""
        return {
            "machine": self.machine,
            "drill": self.drill,
            "change": self.change,
            "inspection": self.inspection,
            "coolant": self.coolant,
            "breakage": self.breakage,
            "scrap": self.scrap,
        }

    def shown_parts(self, digits: int = 3) -> dict[str, float]:
        """The parts rounded so that what is shown adds up to the shown total.

        Parts are cut to ``digits`` and what is missing goes, a last digit each, to those that
        were cut most.
        """
        step = 10.0**-digits
        units = {name: int(part / step + 1e-9) for name, part in self.parts.items()}
        missing = round(self.total / step) - sum(units.values())
        most_cut = sorted(units, key=lambda name: units[name] - self.parts[name] / step)
        for name in most_cut[: max(missing, 0)]:
            units[name] += 1
        return {name: round(count * step, digits) for name, count in units.items()}


def edges_of_a_drill(economics: Economics, beyond_regrind_share: float = 0.0) -> EdgesOfADrill:
    """Edges, lives and regrinds of one drill on average.

    After each of its edges a drill is thrown away when the edge is ``beyond`` regrinding, or when
    its regrinds are used up. With s = 1 − share and q = 1 − life lost per regrind: edges Σ sᵏ,
    lives Σ (s·q)ᵏ over k = 0…regrinds, regrinds Σ sᵏ over k = 1…regrinds.

    Args:
        economics: number of regrinds and life lost per regrind.
        beyond_regrind_share: share of edges after which the drill cannot be reground: broken, or
            chipped at the margin.

    Raises:
        InputError: the share is outside 0 to 1.
    """
    require(0 <= beyond_regrind_share <= 1, "share of edges beyond regrinding",
            beyond_regrind_share, "0 to 1")  # fmt: skip
    return EdgesOfADrill(*_formula.edges_lives_regrinds(economics, beyond_regrind_share))


def money_of_an_edge(
    economics: Economics,
    ended_by_breakage_share: float = 0.0,
    *,
    beyond_regrind_share: float = 0.0,
    out_of_tolerance_share: float = 0.0,
) -> EdgeMoney:
    """What one life of a new edge costs.

    A drill bought once and reground ``regrinds`` times gives ``1 + regrinds`` edges, so an edge
    costs ``(price + regrinds · regrind_cost) / (1 + regrinds)``; regrinds that shorten the life or
    are refused are allowed for by `edges_of_a_drill`. Source: common practice.

    Args:
        economics: money and times of the trial.
        ended_by_breakage_share: share of edges that break, 0 to 1.
        beyond_regrind_share: share of edges after which the drill cannot be reground.
        out_of_tolerance_share: share of edges that end by scrapping a part.

    Raises:
        InputError: a share is outside 0 to 1.
    """
    require(0 <= ended_by_breakage_share <= 1, "share of edges that break",
            ended_by_breakage_share, "0 to 1")  # fmt: skip
    require(0 <= out_of_tolerance_share <= 1, "share of edges that end out of tolerance",
            out_of_tolerance_share, "0 to 1")  # fmt: skip
    require(0 <= beyond_regrind_share <= 1, "share of edges beyond regrinding",
            beyond_regrind_share, "0 to 1")  # fmt: skip
    return EdgeMoney(
        *_formula.money_of_a_life(
            economics, ended_by_breakage_share, beyond_regrind_share, out_of_tolerance_share
        )
    )


def minutes_per_hole(economics: Economics, cycle_min: float) -> tuple[float, float]:
    """Machine minutes of one hole: for drilling it, and its share of looking at the drill."""
    return cycle_min, _formula.looking_min(economics)


def cost_per_hole(
    economics: Economics,
    cycle_min: float,
    holes_per_edge: float,
    ended_by_breakage_share: float = 0.0,
    *,
    beyond_regrind_share: float = 0.0,
    out_of_tolerance_share: float = 0.0,
) -> CostPerHole:
    """Cost of one hole from times, prices and the life of an edge.

    ``rate · (cycle + inspect_min / inspect_every_holes) + coolant · cycle + scrap_share ·
    scrap_cost + cost of an edge / holes_per_edge``.

    Args:
        economics: money and times of the trial.
        cycle_min: machine time of one hole, min.
        holes_per_edge: holes that a new edge drills before it is changed; infinity is allowed and
            leaves the cost of the machine, of looking, of coolant and of scrap.
        ended_by_breakage_share: share of edges that break, 0 to 1.
        beyond_regrind_share: share of edges after which the drill cannot be reground.
        out_of_tolerance_share: share of edges that end by scrapping a part.

    Raises:
        InputError: a time or a life is not more than 0, or a share is outside 0 to 1.
    """
    require(0 < cycle_min < 1e6, "cycle time of one hole", cycle_min, "more than 0 min")
    require(holes_per_edge > 0, "holes per edge", holes_per_edge, "more than 0")
    money_of_an_edge(  # refuses impossible shares
        economics,
        ended_by_breakage_share,
        beyond_regrind_share=beyond_regrind_share,
        out_of_tolerance_share=out_of_tolerance_share,
    )
    parts = _formula.money_of_a_hole(
        economics, cycle_min, holes_per_edge, ended_by_breakage_share, beyond_regrind_share,
        out_of_tolerance_share,
    )  # fmt: skip
    return CostPerHole(total=sum(parts.values()), currency=economics.currency, **parts)
