"""Drills in cast iron. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import rpm
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


class InsertInCasting(Process):
    """Drill with two inserts, 22 mm in nodular iron castings, on an old machine.

    The outer insert wears with speed, the centre one, which hardly moves, is crushed by feed and
    more so when slow. Every entry through the hard skin takes its share however quick the rest of
    the hole is, and sand in it chips edges. Above its base speed the drive gives less and less of
    what its plate says. Inserts are turned, not reground.
    """

    name = "insert in casting"
    life_scatter = 0.27
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 2.2
    base_break = 0.008
    idle_pct = 7.0
    machine = Machine(5.5, 900, 3500, rapid_mm_per_min=10_000)
    problem = Problem(
        speed_m_per_min=(35, 180), feed_mm_per_rev=(0.05, 0.24), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(75, 0.07), load_limit_pct=90,
        diameter_mm=22, depth_mm=45, max_test_holes=180, machine=machine, group="K",
        economics=Economics(1.2, 2.0, 36, 3, 0, 380, 20, 0.7),
    )  # fmt: skip

    def _outer(self, data: CuttingData) -> float:
        """Share of a life that the outer insert loses in one hole, and so on below."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        minutes = 24.0 * (115 / speed) ** 3.4 * (0.1 / feed) ** 0.4
        return (self.cycle_min(data) - self.moving_min) / minutes

    def _centre(self, data: CuttingData) -> float:
        slow = 1.0 + (70 / data.speed_m_per_min) ** 3
        return 0.0035 * (data.feed_mm_per_rev / 0.11) ** 3.2 * slow

    def _skin(self, data: CuttingData) -> float:
        return 0.0045 * (0.5 + 0.5 * data.speed_m_per_min / 110)

    def life(self, data: CuttingData) -> float:
        return 1.0 / (self._outer(data) + self._centre(data) + self._skin(data))

    def torque_n_m(self, data: CuttingData) -> float:
        return 1380 * data.feed_mm_per_rev**0.74 * 484 / 8000

    def fresh_pct(self, data: CuttingData) -> float:
        over = max(0.0, rpm(data.speed_m_per_min, 22) / self.machine.base_rpm - 1.0)
        cut = super().fresh_pct(data) - self.idle_pct
        return self.idle_pct * (1.0 + 0.5 * over) + cut * (1.0 + 0.3 * over**1.3)

    def growth(self, data: CuttingData) -> float:
        return 1.18 + 0.35 * self._outer(data) * self.life(data)

    def p_chip(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev * (90 / data.speed_m_per_min) ** 0.3
        return 0.05 + 0.35 * logistic((feed - 0.165) / 0.015)


class GreyIronBlock(Process):
    """Coated carbide, 8.2 mm in grey iron valve blocks, with coolant through the drill.

    Sand and hard phases grind the flank by the way that the lips have gone, so speed matters little
    and a higher feed spares the edge, until the corners crumble under it. Castings come from one
    line and are alike; so are the lives. The drill is dear and is reground.
    """

    name = "grey iron block"
    physics = "abrasion by way travelled, a flat law of life; corners crumble at a high feed"
    life_scatter = 0.13
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.2
    base_break = 0.005
    idle_pct = 4.0
    machine = Machine(7.5, 2000, 10_000, rapid_mm_per_min=30_000, coolant_bar=20)
    problem = Problem(
        speed_m_per_min=(40, 200), feed_mm_per_rev=(0.08, 0.45), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(80, 0.22), load_limit_pct=70,
        diameter_mm=8.2, depth_mm=40, max_test_holes=1600, machine=machine, group="K",
        economics=Economics(1.1, 2, 98, 4, 26, 150, 200, 0.8), substrate="carbide",
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = (0.22 / feed) ** 0.75 * (0.45 + 0.55 * (speed / 95) ** 1.9)
        crumbled = 0.3 * (feed / 0.3) ** 3.5
        return 1450.0 / (ground + crumbled)

    def torque_n_m(self, data: CuttingData) -> float:
        return 1250 * data.feed_mm_per_rev**0.73 * 67.24 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.5

    def p_chip(self, data: CuttingData) -> float:  # noqa: ARG002
        return 0.015


class SpringHanger(Process):
    """Coated carbide, 14 mm in spring hangers of bainitic (austempered) iron, on a strong mill.

    Half of this iron is austenite that turns into hard martensite where it is pressed hard, unless
    it is warm: a thick chip at a low speed makes its own file for the next lip, and chips corners.
    Speed keeps the work warm and soft, until it wears the edge by its heat. Graphite breaks chips.
    """

    name = "spring hanger"
    physics = "pressed cold, the iron turns hard under the lips; warm it stays soft; heat wears"
    life_scatter = 0.14
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.7
    base_break = 0.008
    idle_pct = 4.0
    machine = Machine(15, 1400, 6000, rapid_mm_per_min=30_000, coolant_bar=30)
    problem = Problem(
        speed_m_per_min=(25, 150), feed_mm_per_rev=(0.07, 0.42), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(39, 0.26), load_limit_pct=55,
        diameter_mm=14, depth_mm=42, max_test_holes=250, machine=machine, group="K",
        economics=Economics(1.8, 2.0, 215, 4, 58, 320, 40, 0.6), substrate="carbide", through=True,
        maker_speed_m_per_min=(35, 90), maker_feed_mm_per_rev=(0.13, 0.28),
    )  # fmt: skip

    def _turned(self, data: CuttingData) -> float:
        """Share of the austenite that turns hard before the lip gets to it."""
        pressed = (data.feed_mm_per_rev / 0.2) ** 1.2 * (58 / data.speed_m_per_min) ** 1.1
        return pressed**2 / (1.0 + pressed**2)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = 0.4 * (0.2 / feed) ** 0.5 * (0.7 + 0.3 * speed / 70)
        heat = 0.35 * (speed / 80) ** 3.4 * (feed / 0.2) ** 0.6
        return 180.0 / (ground * (1.0 + 5.0 * self._turned(data)) + heat + 0.2 * (feed / 0.27) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        hard = 1.0 + 0.2 * self._turned(data)
        return 1650 * data.feed_mm_per_rev**0.74 * 196 / 8000 * hard

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.12 * self._turned(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.15 * self._turned(data) ** 2


class CompactedBlock(Process):
    """Coated carbide, 8.5 mm and 11 x D in compacted graphite iron, on a strong machining centre.

    This iron has no sulphur that could smear a film on the lips, so heat wears them steeply with
    speed, and hard grains of titanium grind them by the way they go. The hole ends in a cast pocket
    with a slanted, sandy wall: one lip comes out first and is hammered, harder the higher the feed;
    there corners chip and, by and by, drills break. Crumbs leave well with coolant through the
    drill; a step back only lets some get under the lips. Drills outlast most tests.
    """

    name = "compacted block"
    physics = "heat without any film; hard grains; a slanted exit hammers the lips; pecks harm"
    life_scatter = 0.16
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.6
    base_break = 0.008
    idle_pct = 4.0
    moving_min = 0.02
    machine = Machine(
        16, 3500, 12_000, max_feed_mm_per_min=20_000, rapid_mm_per_min=45_000, coolant_bar=50
    )
    problem = Problem(
        speed_m_per_min=(30, 200), feed_mm_per_rev=(0.06, 0.50), peck_depth_xd=(1, 6),
        peck_modes=("none", "chip_break"), start=CuttingData(62, 0.17), load_limit_pct=40,
        diameter_mm=8.5, depth_mm=94, max_test_holes=500, machine=machine, group="K",
        economics=Economics(2.3, 3.0, 172, 4, 50, 750, 100, 0.4), substrate="carbide", through=True,
        maker_speed_m_per_min=(60, 110), maker_feed_mm_per_rev=(0.15, 0.30),
    )  # fmt: skip

    _path_xd = 95.5 / 8.5

    def _hammered(self, data: CuttingData) -> float:
        """Blow at the slanted exit, 1 at a feed that a corner bears badly."""
        return (data.feed_mm_per_rev / 0.32) ** 2.2 * (data.speed_m_per_min / 90) ** 0.3

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = 0.45 * (0.2 / feed) ** 0.8 * (0.6 + 0.4 * speed / 90)
        heat = 0.35 * (speed / 90) ** 3.2 * (feed / 0.2) ** 0.2
        entries = 0.035 * (pecks_of(data, self._path_xd) - 1)
        return 620.0 / (ground + heat + entries + 0.5 * self._hammered(data) ** 1.5)

    def torque_n_m(self, data: CuttingData) -> float:
        return 1550 * data.feed_mm_per_rev**0.73 * 72.25 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.32 + 0.05 * min(data.speed_m_per_min / 90, 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.4 * (1.0 - math.exp(-0.12 * self._hammered(data) ** 2))

    def p_chip(self, data: CuttingData) -> float:
        return 0.015 + 0.12 * (1.0 - math.exp(-0.4 * self._hammered(data) ** 2))
