"""Six invented processes, each with physics of its own that the optimizer is not told.

These and the others of `known` may be looked at while the optimizer is worked on; those of
`held_out` may not.
"""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


def pecks_of(data: CuttingData, path_xd: float) -> int:
    """Pecks that a way of so many diameters takes; one without pecking."""
    return 1 if data.peck_mode == "none" else math.ceil(path_xd / data.peck_depth_xd)


def logistic(value: float) -> float:
    """1 / (1 + e^−value), without overflow."""
    return 0.5 * (1.0 + math.tanh(0.5 * value))


class BuiltUpEdge(Process):
    """Coated carbide in low-carbon steel, 10 mm.

    Extended Taylor life with a dip where material welds to the edge at low speed, which also
    raises the torque; crater wear takes over at high speed.
    """

    name = "built-up edge"
    life_scatter = 0.2
    machine = Machine(5.5, 1500, 8000)
    problem = Problem(
        speed_m_per_min=(40, 180), feed_mm_per_rev=(0.06, 0.36), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(60, 0.11), load_limit_pct=75,
        diameter_mm=10, depth_mm=30, max_test_holes=900, machine=machine, group="P",
        economics=Economics(1.4, 3, 95, 2, 28, 180, 50, 1.0),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        minutes = 20.0 * (90 / speed) ** 2.0 * (0.18 / feed) ** 1.1
        dip = 1.0 - 0.8 * math.exp(-(((speed - 50) / 22) ** 2))
        crater = 1.0 / (1.0 + math.exp((speed - 125) / 10))
        chip_load = 1.0 / (1.0 + (feed / 0.3) ** 6)
        return minutes * dip * crater * chip_load / (self.cycle_min(data) - self.moving_min)

    def torque_n_m(self, data: CuttingData) -> float:
        welded = 1.0 + 0.2 * math.exp(-(((data.speed_m_per_min - 52) / 16) ** 2))
        return 2150 * (data.feed_mm_per_rev / 2) ** 0.75 * 2 * 100 / 8000 * welded


class HeatCliff(Process):
    """High-speed steel in alloyed steel, 8 mm.

    The corner softens: life falls by Arrhenius' law with a temperature that goes with speed and
    feed, nearly flat below it.
    """

    name = "heat cliff"
    life_scatter = 0.25
    machine = Machine(2.2, 1000, 6000)
    problem = Problem(
        speed_m_per_min=(10, 50), feed_mm_per_rev=(0.05, 0.30), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(18, 0.11), load_limit_pct=60,
        diameter_mm=8, depth_mm=20, max_test_holes=700, machine=machine,
        economics=Economics(1.0, 2, 14, 4, 6, 60, 100, 1.0),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        celsius = 20 + 285 * (speed / 20) ** 0.45 * (feed / 0.12) ** 0.2
        soft = math.exp(14.0 * (celsius - 375) / 375)
        chip_load = (feed / 0.24) ** 5
        return 900.0 / (0.8 + soft + chip_load)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2300 * data.feed_mm_per_rev**0.8 * 64 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.3


class ChipPacking(Process):
    """Carbide, 6 × D in stainless steel with pecks, 8.5 mm.

    Chips pack when the column that is not cleared grows long: torque, wear and breaking rise. Every
    entry costs life, most with a full retract.
    """

    name = "chip packing"
    life_scatter = 0.2
    base_break = 0.015
    machine = Machine(5.5, 3000, 10_000, rapid_mm_per_min=30_000)
    problem = Problem(
        speed_m_per_min=(20, 100), feed_mm_per_rev=(0.04, 0.24), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(40, 0.09, "full_retract", 1.0), load_limit_pct=70,
        diameter_mm=8.5, depth_mm=52, max_test_holes=500, machine=machine, group="M",
        economics=Economics(1.3, 3, 80, 3, 22, 250, 50, 1.0),
    )  # fmt: skip

    def _packed(self, data: CuttingData) -> float:
        column = self.problem.depth_mm / self.problem.diameter_mm
        if data.peck_mode == "full_retract":
            column = data.peck_depth_xd
        elif data.peck_mode == "chip_break":
            column = min(column, 1.2 + 1.3 * data.peck_depth_xd)
        thick = (data.feed_mm_per_rev / 0.1) ** 0.4
        return max(0.0, column * thick - 2.2)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        entries = 1.0
        if data.peck_mode != "none":
            pecks = math.ceil(self.problem.depth_mm / self.problem.diameter_mm / data.peck_depth_xd)
            entries = pecks if data.peck_mode == "full_retract" else 1.0 + 0.25 * (pecks - 1)
        wear = (speed / 45) ** 2.6 * (feed / 0.1) ** 0.6 * (0.7 + 0.3 * entries**0.6)
        return 420.0 / (wear * (1.0 + 0.5 * self._packed(data)) * (1.0 + (feed / 0.2) ** 5))

    def torque_n_m(self, data: CuttingData) -> float:
        clean = 2400 * data.feed_mm_per_rev**0.78 * 72.25 / 8000
        return clean * (1.0 + 0.14 * self._packed(data))

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.05 * min(self._packed(data), 4.0)

    def p_break(self, data: CuttingData) -> float:
        return min(0.9, self.base_break + 0.08 * max(0.0, self._packed(data) - 1.0))


class WorkHardening(Process):
    """Carbide in austenitic stainless steel, 6 mm.

    Below a chip load the edge rubs in the layer that the turn before hardened; notches make lives
    scatter by 30 %.
    """

    name = "work hardening"
    life_scatter = 0.3
    machine = Machine(2.2, 3000, 12_000)
    problem = Problem(
        speed_m_per_min=(15, 80), feed_mm_per_rev=(0.02, 0.16), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(26, 0.05), load_limit_pct=65,
        diameter_mm=6, depth_mm=18, max_test_holes=600, machine=machine, group="M",
        economics=Economics(1.2, 2, 40, 2, 12, 90, 60, 0.8),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubbing = 1.0 + (0.045 / feed) ** 2.5
        entry = 1.0 if data.peck_mode == "none" else 1.0 + 0.06 / data.peck_depth_xd
        return 650.0 * (30 / speed) ** 3.6 / (rubbing * entry * (1.0 + (feed / 0.1) ** 5))

    def torque_n_m(self, data: CuttingData) -> float:
        hardened = 1.0 + 0.35 * math.exp(-data.feed_mm_per_rev / 0.04)
        return 2700 * data.feed_mm_per_rev**0.8 * 36 / 8000 * hardened

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.12 * logistic((data.feed_mm_per_rev - 0.125) / 0.008)


class BreakageCliff(Process):
    """Small carbide drill, 3 mm in steel: it twists off long before the spindle feels anything.

    Breaking rises like a cliff in feed, and earlier at high speed; the load says little.
    """

    name = "breakage cliff"
    life_scatter = 0.2
    base_break = 0.02
    machine = Machine(1.1, 3000, 18_000)
    problem = Problem(
        speed_m_per_min=(25, 120), feed_mm_per_rev=(0.02, 0.14), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(55, 0.045), load_limit_pct=60,
        diameter_mm=3, depth_mm=12, max_test_holes=1500, machine=machine, group="P",
        economics=Economics(1.1, 1.5, 32, 0, 0, 150, 200, 0.5),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 900.0 * (60 / speed) ** 3.2 * (0.05 / feed) ** 0.35

    def torque_n_m(self, data: CuttingData) -> float:
        return 2500 * data.feed_mm_per_rev**0.75 * 9 / 8000

    def p_break(self, data: CuttingData) -> float:
        cliff = 0.085 * (60 / data.speed_m_per_min) ** 0.15
        return self.base_break + 0.9 * logistic((data.feed_mm_per_rev - cliff) / 0.004)


class TorqueWall(Process):
    """High-speed steel with cobalt, 20 mm, on a small machine: the spindle gives out first.

    The cheapest holes lie at the load limit; life is long and most tests are stopped.
    """

    name = "torque wall"
    life_scatter = 0.15
    machine = Machine(7.5, 900, 4000)
    problem = Problem(
        speed_m_per_min=(10, 45), feed_mm_per_rev=(0.10, 0.50), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(18, 0.18), load_limit_pct=85,
        diameter_mm=20, depth_mm=40, max_test_holes=250, machine=machine, group="P",
        economics=Economics(1.5, 4, 110, 5, 25, 150, 40, 1.5),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 420.0 * (20 / speed) ** 4.0 * (0.2 / feed) ** 0.5

    def torque_n_m(self, data: CuttingData) -> float:
        return 1750 * data.feed_mm_per_rev**0.77 * 400 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.2 * (data.speed_m_per_min / 40)


PROCESSES: tuple[type[Process], ...] = (
    BuiltUpEdge, HeatCliff, ChipPacking, WorkHardening, BreakageCliff, TorqueWall,
)  # fmt: skip
