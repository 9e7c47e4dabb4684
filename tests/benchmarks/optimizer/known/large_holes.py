"""Large drills: where the spindle gives out first. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


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


class TipDrillPlate(Process):
    """Drill with an exchangeable carbide tip, 32 mm in structural steel, on an old mill.

    The tip would bear more than the spindle gives: torque at low speed, power above. The corner
    wears by a moderate law of speed and feed; at low speed steel welds to the web and tears
    at the coating. The time of a hole is long, so few holes are left for a test.
    """

    name = "tip drill in plate"
    physics = "the spindle's torque and power bind before the tip does; moderate law of life"
    life_scatter = 0.18
    load_curve = 1.6
    base_break = 0.008
    idle_pct = 8.0
    machine = Machine(7.5, 650, 3000, max_feed_mm_per_min=3000, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(30, 130), feed_mm_per_rev=(0.08, 0.36), peck_depth_xd=(0.5, 2),
        peck_modes=("none", "chip_break"), start=CuttingData(58, 0.12), load_limit_pct=95,
        diameter_mm=32, depth_mm=70, max_test_holes=80, machine=machine, group="P",
        economics=Economics(1.2, 2.5, 135, 2, 42, 420, 20, 0.6), substrate="carbide",
    )  # fmt: skip

    def _minutes(self, data: CuttingData) -> float:
        """Life of the corner, minutes in the work."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 130.0 * (75 / speed) ** 2.9 * (0.18 / feed) ** 0.6

    def life(self, data: CuttingData) -> float:
        feed_rate = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 32), data.feed_mm_per_rev)
        corner = 75.8 / feed_rate / self._minutes(data)
        welded = 0.003 * (1.0 + (48 / data.speed_m_per_min) ** 4)
        entries = pecks_of(data, 75.8 / 32) - 1
        return 1.0 / (corner + welded + 0.0004 * entries)

    def torque_n_m(self, data: CuttingData) -> float:
        welded = 1.0 + 0.12 * math.exp(-(((data.speed_m_per_min - 35) / 15) ** 2))
        return 1850 * data.feed_mm_per_rev**0.77 * 1024 / 8000 * welded

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.06 * min(data.speed_m_per_min / 75, 2.0)


class RailJoint(Process):
    """Insert drill, 26 mm through the web of pearlitic rail, on a portable drill.

    The motor has two windings, with a gap in power between them, and gives out before the insert:
    how much feed it bears goes up and down with spindle speed. Steel gets softer as it gets
    hot, so torque falls a little with speed. Hard lamellae grind the edge by the way it rubs. Above
    a heat the flank leaves a white layer behind, as hard as a file; a thick chip gets below it.
    """

    name = "rail joint"
    physics = "two motor windings limit the feed; lamellae grind, a white layer of heat hardens"
    life_scatter = 0.13
    fresh_scatter = 0.03
    worn_scatter = 0.03
    load_curve = 1.3
    base_break = 0.012
    idle_pct = 9.0
    machine = Machine(
        3.0, 500, 1400, max_feed_mm_per_min=500, rapid_mm_per_min=2500,
        power_curve=((250, 1.7), (480, 3.0), (700, 3.0), (800, 2.3), (1050, 3.2), (1400, 2.9)),
    )  # fmt: skip
    problem = Problem(
        speed_m_per_min=(25, 110), feed_mm_per_rev=(0.04, 0.20), peck_depth_xd=(0.3, 1),
        peck_modes=("none",), start=CuttingData(35, 0.105), load_limit_pct=95,
        diameter_mm=26, depth_mm=18, max_test_holes=200, machine=machine, group="P",
        economics=Economics(0.9, 2.0, 26, 1, 0, 140, 12, 0.4), through=True, substrate="carbide",
    )  # fmt: skip

    def _layer(self, data: CuttingData) -> float:
        """How much of the white layer the edge must cut, 0 to 1."""
        hot = data.speed_m_per_min * (data.feed_mm_per_rev / 0.1) ** 0.25
        return logistic((hot - 72) / 6) * math.exp(-data.feed_mm_per_rev / 0.2)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = (0.1 / feed) ** 0.8 * (0.5 + 0.5 * (speed / 58) ** 1.6)
        return 130.0 / (ground * (1.0 + 2.6 * self._layer(data)) + 0.35 * (feed / 0.14) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        softened = 1.0 - 0.14 * logistic((data.speed_m_per_min - 58) / 12)
        return 2050 * data.feed_mm_per_rev**0.76 * 676 / 8000 * softened

    def growth(self, data: CuttingData) -> float:
        return 1.22 + 0.12 * self._layer(data)


class ForgedFlange(Process):
    """Spade blade of cobalt steel, 30 mm in forged flanges, on a radial drill with a flat belt.

    Notches in the lips split the chip, but only a chip that is thick enough; wide ribbons wind up,
    rub and load the spindle. The belt creeps the more the harder it pulls, so the load climbs
    quicker than the torque and sets the feed. Scale at the skin takes its share of every hole;
    the blade tempers with heat. Worn notches stop splitting: the load then grows more.
    """

    name = "forged flange"
    physics = "a belt that creeps sets the feed; notches split thick chips only; scale; tempering"
    life_scatter = 0.2
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.8
    base_break = 0.008
    idle_pct = 9.0
    machine = Machine(4.0, 330, 1200, max_feed_mm_per_min=400, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(10, 55), feed_mm_per_rev=(0.08, 0.45), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none", "chip_break"), start=CuttingData(23, 0.18), load_limit_pct=92,
        diameter_mm=30, depth_mm=45, max_test_holes=160, machine=machine, group="P",
        economics=Economics(1.0, 3.0, 34, 5, 7, 110, 20, 0.8), substrate="cobalt", through=True,
    )  # fmt: skip

    def _ribbons(self, data: CuttingData) -> float:
        """Share of the chips that the notches do not split; a step back tears some of them."""
        wide = logistic((0.15 - data.feed_mm_per_rev) / 0.025)
        if data.peck_mode == "chip_break":
            wide *= 0.4 + 0.6 * (1.0 - math.exp(-data.peck_depth_xd))
        return wide

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        flank = 0.5 * (0.2 / feed) ** 0.5 * (speed / 24)
        tempers = 0.45 * (speed / 30) ** 5 * (feed / 0.2) ** 0.8
        scale = 0.25 + 0.08 * (pecks_of(data, 50.5 / 30) - 1)
        return 105.0 / ((flank + tempers) * (1.0 + 0.5 * self._ribbons(data)) + scale)

    def torque_n_m(self, data: CuttingData) -> float:
        winds = 1.0 + 0.25 * self._ribbons(data)
        return 1900 * data.feed_mm_per_rev**0.8 * 900 / 8000 * winds

    def fresh_pct(self, data: CuttingData) -> float:
        cut = super().fresh_pct(data) - self.idle_pct
        return self.idle_pct + cut * (1.0 + 0.3 * min(cut / 70, 1.7) ** 3)

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.12 * min(data.feed_mm_per_rev / 0.25, 1.6)


class CladTubeSheet(Process):
    """Drill with an exchangeable head, 19.25 mm in steel plate that is clad with stainless steel.

    Two works in one hole: the cladding notches the corner, steeply with speed, and with thin chips
    that stay in its hardened skin; the plate below wears the flank by a moderate law. Where they
    are bonded the metal is hard and wavy, and every hole gives the lips a knock there that goes
    with feed. Strings of stainless chips chip edges, unless pecks or a thick chip break them.
    """

    name = "clad tube sheet"
    physics = "two layers wear it by laws of their own; a knock at the bond; strings chip edges"
    life_scatter = 0.2
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.7
    base_break = 0.018
    idle_pct = 4.0
    machine = Machine(15, 900, 3500, rapid_mm_per_min=15_000, coolant_bar=20)
    problem = Problem(
        speed_m_per_min=(30, 140), feed_mm_per_rev=(0.08, 0.42), peck_depth_xd=(0.3, 2),
        peck_modes=("none", "chip_break"), start=CuttingData(50, 0.22, "chip_break", 0.75),
        load_limit_pct=80, diameter_mm=19.25, depth_mm=70, max_test_holes=350, machine=machine,
        economics=Economics(1.6, 2.0, 104, 2, 44, 480, 25, 0.6), substrate="carbide", through=True,
        maker_speed_m_per_min=(50, 80), maker_feed_mm_per_rev=(0.15, 0.28),
    )  # fmt: skip

    def _strings(self, data: CuttingData) -> float:
        strings = logistic((0.2 - data.feed_mm_per_rev) / 0.03)
        if data.peck_mode == "chip_break":
            strings *= 1.0 - math.exp(-data.peck_depth_xd / 1.5)
        return strings

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        thin = 1.0 + (0.11 / feed) ** 2.5
        clad = 0.4 * (speed / 70) ** 4 * (feed / 0.2) ** 0.3 * thin
        plate = 0.5 * (speed / 85) ** 2.3 * (0.2 / feed) ** 0.5 + 0.08 * (50 / speed) ** 2
        knocks = 0.22 * (feed / 0.22) ** 2.6
        entries = 0.02 * (pecks_of(data, 73.5 / 19.25) - 1)
        return 190.0 / (clad + plate + knocks + entries)

    def torque_n_m(self, data: CuttingData) -> float:
        clad = 2500 * data.feed_mm_per_rev**0.79 * (1.0 + 0.1 * self._strings(data))
        plate = 2350 * data.feed_mm_per_rev**0.76
        return max(clad, plate) * 370.6 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.1 * min(data.speed_m_per_min / 80, 1.6)

    def p_chip(self, data: CuttingData) -> float:
        hard = 0.12 * logistic((data.feed_mm_per_rev - 0.31) / 0.02)
        return 0.02 + 0.08 * self._strings(data) + hard


class ShaftEnd(Process):
    """Insert drill, 24 mm in case-hardening steel, standing still on a lathe of modest power.

    It runs straight only where the forces of its inner and outer insert are even. Feed loads the
    inner more, speed frees it of smeared steel; so even feeds rise with speed. Off them the body
    bends, and drags on its wall. Heat wears the outer edge; steel welds to the inner when slow.
    """

    name = "shaft end"
    physics = "inner and outer insert must be even, or the body bends; heat; welding; power"
    life_scatter = 0.16
    base_break = 0.006
    idle_pct = 6.0
    machine = Machine(9.0, 1500, 3500, max_feed_mm_per_min=2000, rapid_mm_per_min=12_000)
    problem = Problem(
        speed_m_per_min=(70, 260), feed_mm_per_rev=(0.04, 0.24), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(110, 0.12), load_limit_pct=85,
        diameter_mm=24, depth_mm=60, max_test_holes=100, machine=machine, group="P",
        economics=Economics(1.4, 1.5, 30, 3, 0, 460, 25, 0.4), substrate="carbide",
    )  # fmt: skip

    def _bent(self, data: CuttingData) -> float:
        even = 0.115 * (data.speed_m_per_min / 165) ** 0.6
        lean = math.log(data.feed_mm_per_rev / even)
        return (6.0 if lean > 0 else 3.0) * lean**2

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        minutes = 20.0 * (165 / speed) ** 2.8 * (0.11 / feed) ** 0.4
        outer = 63.0 / feed_rate_mm_per_min(rpm(speed, 24), feed) / minutes
        inner = 0.003 * (95 / speed) ** 3 + 0.002 * (feed / 0.16) ** 3
        return 1.0 / ((outer + inner) * (1.0 + self._bent(data)))

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.08 * min(self._bent(data), 3.0)
        return 1950 * data.feed_mm_per_rev**0.76 * 576 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.18 + 0.06 * min(self._bent(data), 3.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.06 * min(self._bent(data), 3.0)


class DredgerBucket(Process):
    """Hollow cutter with brazed carbide teeth, 22 mm through wear plate, on a magnetic stand drill.

    It cuts a ring and leaves a slug. The magnet holds against so much thrust: past it the stand
    creeps, the cutter jams and sheds teeth. Thrust goes with feed, and more at a low speed, where
    the plate is not softened by heat. Thin chips are wool that winds into the gullets and rubs.
    Heat wears the teeth by a steep law. The motor is weak and the cutter middling dear.
    """

    name = "dredger bucket"
    physics = "a magnet holds so much thrust, then the cutter jams; wool of thin chips; steep heat"
    life_scatter = 0.22
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.02
    idle_pct = 10.0
    moving_min = 0.6
    machine = Machine(1.6, 370, 850, max_feed_mm_per_min=150, rapid_mm_per_min=1200)
    problem = Problem(
        speed_m_per_min=(10, 56), feed_mm_per_rev=(0.03, 0.22), peck_depth_xd=(0.2, 1),
        peck_modes=("none",), start=CuttingData(28, 0.083), load_limit_pct=90,
        diameter_mm=22, depth_mm=20, max_test_holes=60, machine=machine, group="H",
        economics=Economics(0.8, 3.0, 64, 2, 20, 45, 10, 0.5), substrate="carbide", through=True,
    )  # fmt: skip

    def _wool(self, data: CuttingData) -> float:
        return math.exp(-((data.feed_mm_per_rev / 0.06) ** 1.6))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubs = 0.5 * (0.1 / feed) ** 0.8 * (1.0 + 0.8 * self._wool(data))
        heat = 0.5 * (speed / 28) ** 3.5 * (feed / 0.1) ** 0.5
        return 38.0 / (rubs + heat + 0.25 * (feed / 0.14) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        winds = 1.0 + 0.3 * self._wool(data)
        return 3300 * data.feed_mm_per_rev**0.78 * (484 - 196) / 8000 * winds

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.05 * min(data.speed_m_per_min / 28, 2.0)

    def p_break(self, data: CuttingData) -> float:
        thrust = (data.feed_mm_per_rev / 0.15) ** 0.7 * (28 / data.speed_m_per_min) ** 0.2
        return self.base_break + 0.6 * logistic((thrust - 1.0) / 0.05)
