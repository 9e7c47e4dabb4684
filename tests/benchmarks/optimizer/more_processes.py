"""Six further processes: held out at first, no longer since their tables were seen."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.processes import logistic, pecks_of
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class AbrasiveIron(Process):
    """Carbide in grey cast iron, 12 mm: wear goes with the way that the corner has rubbed.

    Speed costs little until the coating goes; exits chip at high feed.
    """

    name = "abrasive iron"
    life_scatter = 0.12
    machine = Machine(7.5, 1800, 8000)
    problem = Problem(
        speed_m_per_min=(40, 220), feed_mm_per_rev=(0.08, 0.50), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(75, 0.18), load_limit_pct=80,
        diameter_mm=12, depth_mm=36, max_test_holes=1500, machine=machine, group="K",
        economics=Economics(1.6, 2.5, 120, 3, 35, 150, 100, 1.0),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way_m = math.pi * 0.012 * (36 / feed)
        rubbed_m = 14_000.0 / (0.6 + (speed / 140) ** 3.5 + 0.15 * (speed / 70))
        return rubbed_m / way_m / (1.0 + (feed / 0.36) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        return 1250 * data.feed_mm_per_rev**0.72 * 144 / 8000

    def p_chip(self, data: CuttingData) -> float:
        return min(0.8, 0.02 + 0.25 * max(0.0, data.feed_mm_per_rev - 0.32) / 0.1)


class HotTitanium(Process):
    """Carbide in a titanium alloy, 5 mm: heat stays at the corner, life is steep in speed.

    Above a temperature the work welds on and edges chip; without cleared chips it comes sooner.
    """

    name = "hot titanium"
    life_scatter = 0.25
    machine = Machine(1.5, 2500, 12_000)
    problem = Problem(
        speed_m_per_min=(15, 75), feed_mm_per_rev=(0.03, 0.16), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "full_retract"), start=CuttingData(40, 0.045), load_limit_pct=40,
        diameter_mm=5, depth_mm=20, max_test_holes=300, machine=machine, group="S",
        economics=Economics(1.8, 2, 60, 1, 20, 300, 25, 1.0),
    )  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cleared = 0.93 if data.peck_mode == "full_retract" and data.peck_depth_xd <= 1.5 else 1.0
        return (speed / 40) * (feed / 0.07) ** 0.45 * cleared

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        pecks = pecks_of(data, 4.0)
        return 230.0 / (0.35 + self._hot(data) ** 5) / pecks**0.25 / (1.0 + (feed / 0.12) ** 5)

    def torque_n_m(self, data: CuttingData) -> float:
        return 1900 * data.feed_mm_per_rev**0.77 * 25 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.25 * min(1.0, self._hot(data) ** 3)

    def p_chip(self, data: CuttingData) -> float:
        return min(0.9, 0.03 + 0.35 * max(0.0, self._hot(data) - 1.15))


class CoolantFilm(Process):
    """Carbide, 5 × D in alloyed steel with coolant through the drill; the machine is not known.

    Above a speed the coolant boils off the corner: life drops to a lower branch. Slow and thin
    chips do not break and clog, so very low feed costs life and load too.
    """

    name = "coolant film"
    life_scatter = 0.2
    machine = Machine(4.0, 2200, 9000)
    problem = Problem(
        speed_m_per_min=(35, 160), feed_mm_per_rev=(0.05, 0.30), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(60, 0.11), load_limit_pct=70,
        diameter_mm=9, depth_mm=45, max_test_holes=800,
        economics=Economics(1.4, 2.5, 110, 3, 30, 200, 60, 1.0),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cooled = 800.0 * (70 / speed) ** 1.8 * (0.15 / feed) ** 0.3
        boils = 1.0 / (1.0 + math.exp((speed * (feed / 0.15) ** 0.25 - 104) / 4))
        clogs = 1.0 / (1.0 + (0.07 / feed) ** 4)
        thick = 1.0 / (1.0 + (feed / 0.26) ** 6)
        return cooled * (0.3 + 0.7 * boils) * clogs * thick

    def torque_n_m(self, data: CuttingData) -> float:
        clogged = 1.0 + 0.3 * math.exp(-data.feed_mm_per_rev / 0.05)
        return 2250 * data.feed_mm_per_rev**0.76 * 81 / 8000 * clogged

    def growth(self, data: CuttingData) -> float:
        return 1.35 + (0.15 if data.speed_m_per_min > 104 else 0.0)


class HardenedPlate(Process):
    """Coated carbide in hardened steel, 7 mm: the coating carries the life, then it is through.

    What the coating stands falls with contact pressure (feed) and heat; below it the substrate
    wears ten times as fast. The load hardly moves until then. Corners chip when both are high.
    """

    name = "hardened plate"
    life_scatter = 0.22
    load_curve = 3.0
    machine = Machine(3.0, 2000, 10_000)
    problem = Problem(
        speed_m_per_min=(15, 90), feed_mm_per_rev=(0.03, 0.18), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "full_retract"), start=CuttingData(28, 0.06), load_limit_pct=65,
        diameter_mm=7, depth_mm=14, max_test_holes=400, machine=machine, group="H",
        economics=Economics(1.5, 2.5, 105, 1, 30, 220, 40, 1.0),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        pressed = (feed / 0.075) ** 0.9
        heat = math.exp((speed * (feed / 0.06) ** 0.3 - 38) / 13)
        way_m_per_hole = math.pi * 0.007 * (14 / feed)
        coating_m = 1250.0 / (0.4 + 0.25 * pressed**3.5 + heat)
        bare_m = coating_m * 0.1
        entries = 1.0 if data.peck_mode == "none" else 1.0 + 0.2 * (2.0 / data.peck_depth_xd)
        return (coating_m + bare_m) / way_m_per_hole / entries

    def torque_n_m(self, data: CuttingData) -> float:
        return 3100 * data.feed_mm_per_rev**0.74 * 49 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.5 if data.feed_mm_per_rev > 0.1 else 1.42

    def p_chip(self, data: CuttingData) -> float:
        both = (data.speed_m_per_min / 50) ** 0.7 * (data.feed_mm_per_rev / 0.11)
        return 0.02 + 0.5 * logistic((both - 1.15) / 0.07)


class DeepAluminium(Process):
    """Carbide, 9 × D in a gummy aluminium alloy: the faster, the better chips fly, to a point.

    Slow chips smear in the flutes; with too much feed they are too thick for them and drills break.
    The spindle's top speed comes before the tool's.
    """

    name = "deep aluminium"
    life_scatter = 0.28
    fresh_scatter = 0.04
    base_break = 0.01
    machine = Machine(5.5, 4000, 9000, rapid_mm_per_min=25_000)
    problem = Problem(
        speed_m_per_min=(60, 280), feed_mm_per_rev=(0.06, 0.40), peck_depth_xd=(0.5, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(110, 0.12, "chip_break", 1.5), load_limit_pct=60,
        diameter_mm=8, depth_mm=72, max_test_holes=1200, machine=machine, group="N",
        economics=Economics(1.4, 2, 90, 2, 25, 260, 80, 1.0),
    )  # fmt: skip

    def _clogged(self, data: CuttingData) -> float:
        column = 9.0
        if data.peck_mode == "full_retract":
            column = data.peck_depth_xd
        elif data.peck_mode == "chip_break":
            column = 3.0 + 0.8 * data.peck_depth_xd
        smears = 1.0 + (95 / data.speed_m_per_min) ** 2
        thick = (data.feed_mm_per_rev / 0.2) ** 1.2
        return column / 9.0 * (0.35 * smears + 0.65 * thick)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        pecks = 0.0
        if data.peck_mode != "none":
            pecks = math.ceil(9.0 / data.peck_depth_xd) - 1.0
            pecks *= 0.06 if data.peck_mode == "full_retract" else 0.015
        wear = 0.5 + 0.5 * (speed / 160) ** 1.6 + (feed / 0.33) ** 5
        return 1500.0 / (wear * (1.0 + pecks) * (1.0 + 0.6 * self._clogged(data)))

    def torque_n_m(self, data: CuttingData) -> float:
        return 780 * data.feed_mm_per_rev**0.76 * 64 / 8000 * (1.0 + 0.35 * self._clogged(data))

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.25

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._clogged(data) - 1.25) / 0.09)


class SoftFixture(Process):
    """High-speed steel with cobalt in structural steel, 14 mm, on a fixture that sings.

    In a band of spindle speeds the work chatters: life is two thirds of what it should be. Thrust
    bends the fixture, so high feed costs margins. Lives and loads scatter widely.
    """

    name = "soft fixture"
    life_scatter = 0.33
    fresh_scatter = 0.05
    worn_scatter = 0.05
    machine = Machine(4.0, 800, 4500)
    problem = Problem(
        speed_m_per_min=(10, 60), feed_mm_per_rev=(0.08, 0.40), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(18, 0.15), load_limit_pct=90,
        diameter_mm=14, depth_mm=28, max_test_holes=500, machine=machine, group="P",
        economics=Economics(1.1, 2.5, 38, 6, 9, 90, 50, 0.8),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        minutes = 48.0 * (24 / speed) ** 4.5 / (1.0 + (24 / speed) ** 2.0)
        sings = 1.0 - 0.35 * math.exp(-(((speed - 24) / 3.0) ** 2))
        bends = 1.0 / (1.0 + (feed / 0.27) ** 4)
        holes = minutes / max(self.cycle_min(data) - self.moving_min, 1e-6)
        return holes * sings * bends

    def torque_n_m(self, data: CuttingData) -> float:
        return 1900 * data.feed_mm_per_rev**0.78 * 196 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.32


MORE_PROCESSES: tuple[type[Process], ...] = (
    AbrasiveIron, HotTitanium, CoolantFilm, HardenedPlate, DeepAluminium, SoftFixture,
)  # fmt: skip
