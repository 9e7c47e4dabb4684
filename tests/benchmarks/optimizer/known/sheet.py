"""Drills and pins in sheet and thin walls. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class SheetStack(Process):
    """Plain high-speed steel, 6.5 mm through stacks of galvanised sheet, on a light column drill.

    The sheets spring apart under the thrust, so the lips hook at each of the exits: burrs between
    the sheets end the drill's life, sooner the higher the feed, and a drill that hooks hard
    breaks. Zinc smears on the lips when they run hot. No two stacks are clamped alike, so
    lives scatter very widely. The drill costs next to nothing; a stack to be taken apart does not.
    """

    name = "sheet stack"
    physics = "burrs and hooking at every exit go with feed; zinc smears when hot; wide scatter"
    life_scatter = 0.4
    fresh_scatter = 0.05
    worn_scatter = 0.05
    base_break = 0.02
    idle_pct = 8.0
    machine = Machine(1.1, 900, 3000, max_feed_mm_per_min=1200, rapid_mm_per_min=6000)
    problem = Problem(
        speed_m_per_min=(10, 55), feed_mm_per_rev=(0.04, 0.22), peck_depth_xd=(0.25, 1.5),
        peck_modes=("none", "chip_break"), start=CuttingData(20, 0.13), load_limit_pct=75,
        diameter_mm=6.5, depth_mm=9, max_test_holes=600, machine=machine, group="P",
        economics=Economics(0.7, 1.2, 3.5, 0, 0, 45, 50, 0.3), point_angle_deg=130.0,
        through=True, substrate="hss",
    )  # fmt: skip

    def _hooks(self, data: CuttingData) -> float:
        """How hard the lips hook at an exit; a chip-break peck now and then meets one."""
        eased = 0.97 if data.peck_mode == "chip_break" else 1.0
        return data.feed_mm_per_rev / 0.12 * eased * (30 / data.speed_m_per_min) ** 0.15

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        entries = pecks_of(data, 10.2 / 6.5) - 1
        worn = 0.5 * (0.12 / feed) ** 0.6 * (0.3 + 0.7 * (speed / 28) ** 2.4)
        zinc = 0.5 * math.exp(min((speed * (feed / 0.12) ** 0.2 - 40) / 5, 8.0))
        return 560.0 / (worn + zinc + 1.6 * self._hooks(data) ** 2.8 + 0.03 * entries)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2050 * data.feed_mm_per_rev**0.78 * 42.25 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.35

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._hooks(data) - 1.42) / 0.11)


class FormedCollar(Process):
    """Smooth carbide pin, 9.2 mm, melts its way through the wall of steel tube on a bench drill.

    It has no lips: it rubs the steel so hot and soft that it flows aside into a collar, to be
    threaded. So it pulls and presses less the hotter the steel, which speed and a slow feed
    make it. Pushed cold, the pin cracks and snaps. Too hot, steel sticks to it and the pin
    burns away, for as long as it is in the heat. Paste helps; a good pin outlasts many tests.
    """

    name = "formed collar"
    physics = "it must rub steel soft: cold it loads the motor and snaps, hot it sticks and burns"
    life_scatter = 0.3
    fresh_scatter = 0.045
    worn_scatter = 0.04
    load_curve = 1.0
    base_break = 0.012
    idle_pct = 9.0
    moving_min = 0.06
    machine = Machine(2.2, 2400, 5600, max_feed_mm_per_min=600, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(24, 140), feed_mm_per_rev=(0.02, 0.20), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(62, 0.055), load_limit_pct=90,
        diameter_mm=9.2, depth_mm=13, max_test_holes=1500, machine=machine,
        economics=Economics(0.8, 3.0, 142, 0, 0, 40, 200, 0.4), substrate="carbide", through=True,
    )  # fmt: skip

    def _soft(self, data: CuttingData) -> float:
        """How hot and soft the steel gets under the pin."""
        return (data.speed_m_per_min / 62) ** 0.7 * (0.07 / data.feed_mm_per_rev) ** 0.3

    def _pressed(self, data: CuttingData) -> float:
        """Thrust on the pin; it snaps around 1.45."""
        return (data.feed_mm_per_rev / 0.07) ** 0.6 / self._soft(data) ** 1.1

    def life(self, data: CuttingData) -> float:
        feed_rate = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 9.2), data.feed_mm_per_rev)
        burns = 0.35 * (150 / feed_rate) ** 0.5 * self._soft(data) ** 8
        return 3800.0 / (0.3 + burns + 0.4 * self._pressed(data) ** 2.5)

    def torque_n_m(self, data: CuttingData) -> float:
        return 4.2 * (data.feed_mm_per_rev / 0.07) ** 0.4 / self._soft(data) ** 0.8

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.22

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._pressed(data) - 1.45) / 0.08)
