"""What every process of the benchmark has in common: truth, scatter, tests and the best there is.

The optimizer sees a `Problem` and `RunResult`s, nothing of this. All figures are invented.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from operator import itemgetter

import numpy as np
from scipy.special import ndtr, ndtri

from trials.economics import cost_per_hole
from trials.mechanics import hole_time, load_pct, rpm, within_machine
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem, RunResult


@dataclass(frozen=True)
class Test:
    """One test: what the optimizer is shown, and what only the benchmark knows.

    ``base_break`` is the chance that its drill would have broken where nothing is wrong.
    """

    shown: RunResult
    money: float
    over_limit: bool
    base_break: float


# Speeds and feeds and peck depths of the search for the optimum, and how many of its places are
# looked at closely, within which logarithmic distances one after another.
_GRID, _DEPTHS, _LOOKED_AT_CLOSELY, _CLOSER = 36, 24, 6, (0.1, 0.04, 0.015, 0.005)
_COST = itemgetter(0)  # of a place: cost and cutting data


class Process:
    """A drilling process with its own physics; see the subclasses.

    Life and load scatter lognormally from edge to edge. An edge breaks with ``p_break`` and chips
    with ``p_chip`` before it is worn, after a share of its life drawn evenly; where breaking is
    likely it comes sooner. A run is stopped by the longest test or by the load limit.
    """

    name = ""
    physics = ""
    problem: Problem
    machine: Machine
    life_scatter = 0.2
    fresh_scatter = 0.025
    worn_scatter = 0.035
    load_curve = 1.5  # growth of the load goes with this power of the share of the life
    moving_min = 0.03

    # -- truth, overridden

    def life(self, data: CuttingData) -> float:
        """Median holes to wear."""
        raise NotImplementedError

    def torque_n_m(self, data: CuttingData) -> float:
        """Torque of a fresh drill."""
        raise NotImplementedError

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        """Worn peak load over fresh peak load."""
        return 1.4

    def p_break(self, data: CuttingData) -> float:  # noqa: ARG002
        """Share of edges that break before they are worn."""
        return self.base_break

    def p_chip(self, data: CuttingData) -> float:  # noqa: ARG002
        """Share of edges that chip before they are worn."""
        return 0.02

    base_break = 0.02  # where nothing is wrong
    idle_pct = 3.0

    # -- what follows from it

    @property
    def economics(self) -> Economics:
        return self.problem.economics

    def cycle_min(self, data: CuttingData) -> float:
        cut = hole_time(
            data, self.problem.diameter_mm, self.problem.depth_mm,
            rapid_mm_per_min=0.8 * self.machine.rapid_mm_per_min,
        ).cycle_min  # fmt: skip
        return cut + self.moving_min

    def fresh_pct(self, data: CuttingData) -> float:
        spindle = rpm(data.speed_m_per_min, self.problem.diameter_mm)
        return self.idle_pct + load_pct(self.machine, spindle, self.torque_n_m(data))

    def worn_pct(self, data: CuttingData) -> float:
        """Median peak load of a worn drill."""
        return self.fresh_pct(data) * self.growth(data)

    @property
    def worn_sd(self) -> float:
        return math.hypot(self.fresh_scatter, self.worn_scatter)

    def allowed(self, data: CuttingData, *, surely: bool = False) -> bool:
        """Within all limits: half of the worn drills, or ``surely`` as many as are asked for."""
        room = math.exp(ndtri(self.problem.p_safe) * self.worn_sd) if surely else 1.0
        return (
            self.problem.outside(data) is None
            and not within_machine(data, self.problem.diameter_mm, self.machine)
            and self.worn_pct(data) * room < self.problem.load_limit_pct
        )

    def cost(self, data: CuttingData) -> float:
        """Cost per hole in the long run, edges that fail included."""
        breaking = self.p_break(data)
        lost = breaking * (1 - 0.5 * (1 - breaking)) + 0.5 * self.p_chip(data)
        holes = self.life(data) * math.exp(self.life_scatter**2 / 2) * (1 - lost)
        return cost_per_hole(self.economics, self.cycle_min(data), holes, self.p_break(data)).total

    @cached_property
    def optimum(self) -> tuple[float, CuttingData]:
        """The lowest cost within the limits: a search everywhere, then closer around the best.

        Cost has a step wherever a peck depth needs one peck less, so the best of each peck depth
        is looked at closely, the depth least of all.
        """
        return self._lowest(surely=False)

    @cached_property
    def price_of_safety(self) -> float:
        """What it costs to keep as many worn drills as are asked for below the load limit.

        The lowest cost that does so over that of `optimum`, which half of its worn drills pass.
        """
        lowest, best = self.optimum
        return 1.0 if self.allowed(best, surely=True) else self._lowest(surely=True)[0] / lowest

    def _lowest(self, *, surely: bool) -> tuple[float, CuttingData]:
        best = sorted(self._best_of_each_depth(surely), key=_COST)[:_LOOKED_AT_CLOSELY]
        for width in _CLOSER:
            best = [
                min([one, *self._costs(_around(self.problem, one[1], width), surely)], key=_COST)
                for one in best
            ]
        return min(best, key=_COST)

    @property
    def breaks_more_at_optimum(self) -> float:
        """How many times as many edges break at the optimum as where nothing is wrong."""
        return self.p_break(self.optimum[1]) / self.base_break

    def _best_of_each_depth(self, surely: bool) -> Iterator[tuple[float, CuttingData]]:
        for depth in _everywhere(self.problem, _GRID):
            allowed = list(self._costs(depth, surely))
            if allowed:
                yield min(allowed, key=_COST)

    def _costs(
        self, grid: Iterator[CuttingData], surely: bool
    ) -> Iterator[tuple[float, CuttingData]]:
        return ((self.cost(data), data) for data in grid if self.allowed(data, surely=surely))

    def drill(self, data: CuttingData, random: np.random.Generator) -> Test:
        """One edge from fresh to its end. The same count of draws whatever happens."""
        z_life, z_fresh, z_worn, z_time = random.standard_normal(4).tolist()
        fate, when = random.random(2).tolist()
        life = self.life(data) * math.exp(self.life_scatter * z_life)
        fresh = self.fresh_pct(data) * math.exp(self.fresh_scatter * z_fresh)
        worn = fresh * self.growth(data) * math.exp(self.worn_scatter * z_worn)
        limit, longest = self.problem.load_limit_pct, self.problem.max_test_holes
        # How an edge ends that neither breaks nor chips, and after which share of its life.
        end, reach = ("worn", 1.0) if life <= longest else ("stopped", longest / life)
        if worn > fresh and fresh + (worn - fresh) * reach**self.load_curve >= limit:
            end = "load_limit"
            reach = max((limit - fresh) / (worn - fresh), 0.0) ** (1 / self.load_curve)
        share, breaking = reach, self.p_break(data)
        if fate < breaking + self.p_chip(data):
            failing = when * (1 - breaking) if fate < breaking else when
            if failing < reach:
                end, share = "broken" if fate < breaking else "chipped", failing
        shown = fresh + (worn - fresh) * share**self.load_curve
        if end == "load_limit":
            shown = max(limit, fresh)
        holes = max(1, int(share * life))
        cycle = self.cycle_min(data) * math.exp(0.005 * z_time)
        run = RunResult(data, holes, end, fresh, max(shown, 0.97 * fresh), cycle)  # type: ignore[arg-type]  # one of the ends
        money = cost_per_hole(self.economics, cycle, holes, float(end == "broken")).total * holes
        base = self.base_break * min(1.0, reach / (1 - self.base_break))
        return Test(run, money, end == "load_limit", base)

    def p_life_between(self, data: CuttingData, low: float, high: float) -> float:
        """Share of edges whose life to wear lies between two values."""
        return _between(math.log(self.life(data)), self.life_scatter, low, high)

    def p_worn_between(self, data: CuttingData, low: float, high: float) -> float:
        """Share of edges whose worn load lies between two values."""
        return _between(math.log(self.worn_pct(data)), self.worn_sd, low, high)

    def p_cost_between(self, data: CuttingData, low: float, high: float) -> float:
        """Share of edges, worn at last, whose cost per hole lies between two values."""
        cycle = self.cycle_min(data)
        by_hole = cost_per_hole(self.economics, cycle, math.inf).total
        edge = cost_per_hole(self.economics, cycle, 1.0).total - by_hole
        shortest = edge / (high - by_hole) if high > by_hole else math.inf
        longest = edge / (low - by_hole) if low > by_hole else math.inf
        return self.p_life_between(data, shortest, longest)


def _between(middle: float, sd: float, low: float, high: float) -> float:
    if high <= 0:
        return 0.0
    below = float(ndtr((math.log(low) - middle) / sd)) if low > 0 else 0.0
    return (1.0 if math.isinf(high) else float(ndtr((math.log(high) - middle) / sd))) - below


def _everywhere(problem: Problem, count: int) -> Iterator[Iterator[CuttingData]]:
    """All speeds and feeds of each peck mode and depth."""
    speeds = np.geomspace(*problem.speed_m_per_min, count).tolist()
    feeds = np.geomspace(*problem.feed_mm_per_rev, count).tolist()
    for mode in problem.peck_modes:
        for depth in (
            [1.0] if mode == "none" else np.geomspace(*problem.peck_depth_xd, _DEPTHS).tolist()
        ):
            yield (CuttingData(v, f, mode, depth) for v, f in itertools.product(speeds, feeds))


def _around(problem: Problem, centre: CuttingData, width: float) -> Iterator[CuttingData]:
    shifts = np.exp(np.linspace(-width, width, 21)).tolist()
    deeper = [1.0] if centre.peck_mode == "none" else shifts[::5]
    for speed, feed, depth in itertools.product(shifts, shifts, deeper):
        yield CuttingData(
            _clip(centre.speed_m_per_min * speed, problem.speed_m_per_min),
            _clip(centre.feed_mm_per_rev * feed, problem.feed_mm_per_rev),
            centre.peck_mode,
            _clip(centre.peck_depth_xd * depth, problem.peck_depth_xd)
            if centre.peck_mode != "none"
            else centre.peck_depth_xd,
        )


def _clip(value: float, bounds: tuple[float, float]) -> float:
    return float(min(max(value, bounds[0]), bounds[1]))


def pecks_of(data: CuttingData, path_xd: float) -> int:
    """Pecks that a way of so many diameters takes; one without pecking."""
    return 1 if data.peck_mode == "none" else math.ceil(path_xd / data.peck_depth_xd)


def logistic(value: float) -> float:
    """1 / (1 + e^−value), without overflow."""
    return 0.5 * (1.0 + math.tanh(0.5 * value))
