"""A small invented drilling process that the search knows nothing of.

Its physics are not the search's: life falls off a cliff of heat above a speed and of built-up edge
below another, feed shortens life only beyond a chip load, and the load is a specific force with an
idle load added. Seeds make its scatter repeatable.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from trials.economics import cost_per_hole
from trials.mechanics import rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem, RunResult

MACHINE = Machine(rated_power_kw=5.5, base_rpm=1500, max_rpm=6000)
MONEY = Economics(
    machine_rate_per_min=1.2, tool_change_min=2, drill_price=30, regrinds=3, regrind_cost=9,
    breakage_cost=80, inspect_every_holes=100, inspect_min=0.8,
)  # fmt: skip


@dataclass(frozen=True)
class Process:
    """An 8 mm drill, 24 mm deep; all figures invented."""

    load_limit_pct: float = 60.0
    life_scatter: float = 0.15
    diameter_mm: float = 8.0
    depth_mm: float = 24.0

    def problem(self) -> Problem:
        return Problem(
            speed_m_per_min=(15, 80),
            feed_mm_per_rev=(0.05, 0.30),
            peck_depth_xd=(0.5, 3.0),
            peck_modes=("none",),
            start=CuttingData(28, 0.10),
            load_limit_pct=self.load_limit_pct,
            diameter_mm=self.diameter_mm,
            depth_mm=self.depth_mm,
            economics=MONEY,
            max_test_holes=900,
            machine=MACHINE,
        )

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        heat = 1.0 + math.exp((speed - 45) / 6)
        built_up = 1.0 + math.exp((22 - speed) / 3)
        chip_load = 1.0 + (feed / 0.21) ** 5
        return 700.0 / (heat * built_up * chip_load)

    def cycle_min(self, data: CuttingData) -> float:
        feed_rate = rpm(data.speed_m_per_min, self.diameter_mm) * data.feed_mm_per_rev
        return (self.depth_mm + 4.0) / feed_rate + 0.03

    def fresh_pct(self, data: CuttingData) -> float:
        spindle = rpm(data.speed_m_per_min, self.diameter_mm)
        torque = 2400.0 * data.feed_mm_per_rev**0.82 * self.diameter_mm**2 / 8000.0
        rated = MACHINE.rated_torque_n_m * min(1.0, MACHINE.base_rpm / spindle)
        return 3.0 + 100.0 * torque / rated

    def worn_pct(self, data: CuttingData) -> float:
        return 1.5 * self.fresh_pct(data)

    def cost(self, data: CuttingData) -> float:
        return cost_per_hole(MONEY, self.cycle_min(data), self.life(data)).total

    def lowest_cost(self) -> float:
        """By trying everything on a fine grid."""
        grid = (
            CuttingData(float(speed), float(feed))
            for speed in np.geomspace(15, 80, 80)
            for feed in np.geomspace(0.05, 0.30, 80)
        )
        return min(self.cost(one) for one in grid if self.worn_pct(one) < self.load_limit_pct)

    def drill(self, data: CuttingData, random: np.random.Generator) -> RunResult:
        """One edge from fresh to worn, or stopped at the longest test."""
        life = self.life(data) * math.exp(random.normal(0, self.life_scatter))
        fresh = self.fresh_pct(data) * math.exp(random.normal(0, 0.02))
        worn = fresh * 1.5 * math.exp(random.normal(0, 0.03))
        holes = max(1, int(min(life, 900)))
        share = min(1.0, 900 / life)
        return RunResult(
            data,
            holes=holes,
            end="worn" if life <= 900 else "stopped",
            load_fresh_pct=fresh,
            load_worn_pct=fresh + (worn - fresh) * share,
            cycle_min=self.cycle_min(data) * math.exp(random.normal(0, 0.005)),
        )

    def history(self, count: int, seed: int) -> list[RunResult]:
        """Runs scattered around the start, in no clever way."""
        random = np.random.default_rng(seed)
        start = self.problem().start
        return [
            self.drill(
                CuttingData(
                    float(start.speed_m_per_min * math.exp(random.normal(0, 0.2))),
                    float(start.feed_mm_per_rev * math.exp(random.normal(0, 0.2))),
                ),
                random,
            )
            for _ in range(count)
        ]
