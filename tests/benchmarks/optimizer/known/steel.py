"""Drills in steel: wear by heat, built-up edges, springing fixtures. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


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


class FreeCuttingBar(Process):
    """Cobalt drill with a coating, 6.2 mm in free-cutting steel, on an automatic bar lathe.

    Sulphides smear a film on the rake face once the chip is warm and spare the edge; beyond that
    the corner wears by Taylor's law, steeper the hotter it runs. Chips are short at any feed. The
    drill is cheap, but the whole lathe stands still while it is changed.
    """

    name = "free-cutting bar"
    physics = "a sulphide film spares the edge once warm; above, the corner wears by Taylor's law"
    life_scatter = 0.2
    base_break = 0.006
    idle_pct = 6.0
    machine = Machine(3.0, 1800, 7000, max_feed_mm_per_min=4000, rapid_mm_per_min=24_000)
    problem = Problem(
        speed_m_per_min=(18, 110), feed_mm_per_rev=(0.06, 0.34), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(33, 0.13), load_limit_pct=70,
        diameter_mm=6.2, depth_mm=18, max_test_holes=500, machine=machine, group="P",
        economics=Economics(1.5, 6, 16, 3, 5, 40, 250, 0.5), substrate="cobalt",
    )  # fmt: skip

    def _film(self, data: CuttingData) -> float:
        """Share of the rake face that the film covers."""
        warm = data.speed_m_per_min * (data.feed_mm_per_rev / 0.15) ** 0.25
        return logistic((warm - 30) / 6)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = (0.15 / feed) ** 0.7
        rubs = 0.55 * way * (speed / 40) ** 0.6 * (1.0 - 0.5 * self._film(data))
        heat = 0.6 * way * (speed / 45) ** 4.2 * (feed / 0.15) ** 0.9
        return 1150.0 / (rubs + heat + 0.6 * (feed / 0.21) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        slides = 1.0 - 0.08 * self._film(data)
        return 1750 * data.feed_mm_per_rev**0.79 * 38.44 / 8000 * slides

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.04 * min(data.speed_m_per_min / 50, 2.0)


class SinteredHub(Process):
    """Coated high-speed steel in sintered iron, 11.5 mm, dry: plain, but no two lots are alike.

    Each pore is a small interruption: lips tire by count and force of them, hard grains rub. Oil in
    the pores bleeds out where it is warm and lubricates, until it smokes off. A thin chip irons the
    pores shut and work-hardens the wall. A high feed crumbles the exit, so the hole is bad before
    the drill is. Density differs from lot to lot, so lives scatter very widely and loads widely.
    """

    name = "sintered hub"
    life_scatter = 0.42
    fresh_scatter = 0.06
    worn_scatter = 0.06
    load_curve = 1.0
    base_break = 0.008
    machine = Machine(3.0, 1000, 5000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(12, 80), feed_mm_per_rev=(0.05, 0.40), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(30, 0.15), load_limit_pct=75,
        diameter_mm=11.5, depth_mm=18, max_test_holes=1000, machine=machine,
        economics=Economics(0.9, 1.5, 32, 7, 6, 45, 120, 0.5),
    )  # fmt: skip

    def _oiled(self, data: CuttingData) -> float:
        """How much the oil of the pores helps, 0 to 1: it must be warm, but not smoke off."""
        warm = data.speed_m_per_min * (data.feed_mm_per_rev / 0.18) ** 0.2
        return logistic((warm - 21) / 4) * logistic((48 - warm) / 5)

    def _ironed(self, data: CuttingData) -> float:
        return math.exp(-((data.feed_mm_per_rev / 0.09) ** 1.5))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = 0.18 / feed
        tired = 0.45 * way * (speed / 35) ** 1.9 * (feed / 0.18) ** 1.2
        rubbed = 0.4 * way * (1.0 + (speed / 45) ** 4) * (1.0 - 0.45 * self._oiled(data))
        crumbled = 0.5 * (feed / 0.23) ** 5
        return 700.0 / ((tired + rubbed) * (1.0 + 0.8 * self._ironed(data)) + crumbled)

    def torque_n_m(self, data: CuttingData) -> float:
        dry = 1.0 + 0.12 * (1.0 - self._oiled(data)) + 0.2 * self._ironed(data)
        spindle = 1.0 + 0.05 * rpm(data.speed_m_per_min, 11.5) / 1000
        return 1450 * data.feed_mm_per_rev**0.74 * 132.25 / 8000 * dry / spindle

    def growth(self, data: CuttingData) -> float:
        return 1.34 - 0.08 * self._oiled(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.04 + 0.15 * logistic((data.feed_mm_per_rev - 0.26) / 0.02)


class CoredBoss(Process):
    """Core drill with three flutes, high-speed steel, opens cored holes in cast steel, 15 mm.

    Hardly any breaks; an edge is done when the hole is out of size. Heat swells drill and boss,
    which takes from the tolerance before any wear does; so does a high feed, which tears the wall.
    What is left is rubbed off the margins turn by turn, and faster where it is hot. Sand of the
    core chips edges. The drill is dear and the machine cheap.
    """

    name = "cored boss"
    physics = "the hole must stay in size: heat and tearing take from it what margins may wear"
    life_scatter = 0.17
    load_curve = 1.0
    base_break = 0.003
    idle_pct = 6.0
    machine = Machine(4.0, 800, 3000, max_feed_mm_per_min=1500, rapid_mm_per_min=6000)
    problem = Problem(
        speed_m_per_min=(6, 36), feed_mm_per_rev=(0.10, 0.70), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(17, 0.30), load_limit_pct=60,
        diameter_mm=15, depth_mm=42, max_test_holes=250, machine=machine, group="P",
        economics=Economics(0.6, 4.0, 76, 5, 17, 70, 25, 0.6), substrate="hss", through=True,
    )  # fmt: skip

    def _swells(self, data: CuttingData) -> float:
        """Share of the tolerance that heat takes."""
        return 0.42 * (data.speed_m_per_min / 18) ** 1.4 * (0.3 / data.feed_mm_per_rev) ** 0.25

    def _left(self, data: CuttingData) -> float:
        """Share of the tolerance that is left to wear."""
        left = 1.0 - self._swells(data) - 0.22 * (data.feed_mm_per_rev / 0.42) ** 3
        return 0.02 + 0.08 * math.log1p(math.exp(min(left / 0.08, 50.0)))

    def life(self, data: CuttingData) -> float:
        turns = (0.3 / data.feed_mm_per_rev) ** 0.9
        hot = 0.55 + 0.45 * (data.speed_m_per_min / 15) ** 2.2
        return 150.0 * self._left(data) / (turns * hot)

    def torque_n_m(self, data: CuttingData) -> float:
        ring = 2200 * data.feed_mm_per_rev**0.8 * (225 - 121) / 8000
        return ring * (1.0 + 0.35 * min(self._swells(data), 2.0))

    def growth(self, data: CuttingData) -> float:
        return 1.12 + 0.1 * min(self._swells(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:  # noqa: ARG002
        return 0.05


class TieRod(Process):
    """Cobalt drill with wide flutes, 10 mm and 13 x D in carbon steel, upright, on a column drill.

    Thin chips stay long and pack unless pecks break or clear them. Thick ones are short and climb
    by themselves, but fall back at a retract, and the drill lands on them: lips chip, some drills
    break. Without retracts no emulsion gets down, and heat that tempers the corner builds up.
    """

    name = "tie rod"
    physics = "long chips pack, short ones fall back at retracts; without retracts it runs hot"
    life_scatter = 0.24
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.7
    base_break = 0.015
    idle_pct = 8.0
    machine = Machine(2.2, 850, 2800, max_feed_mm_per_min=800, rapid_mm_per_min=6000)
    problem = Problem(
        speed_m_per_min=(9, 45), feed_mm_per_rev=(0.06, 0.34), peck_depth_xd=(0.4, 5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(22, 0.15, "full_retract", 1.5), load_limit_pct=75,
        diameter_mm=10, depth_mm=130, max_test_holes=120, machine=machine, group="P",
        economics=Economics(0.8, 3.0, 62, 6, 8, 130, 10, 0.5), substrate="cobalt",
    )  # fmt: skip

    _path_xd = 131.8 / 10

    def _short(self, data: CuttingData) -> float:
        return logistic((data.feed_mm_per_rev - 0.19) / 0.018)

    def _packed(self, data: CuttingData) -> float:
        long, held = 1.0 - self._short(data), self._path_xd
        if data.peck_mode == "full_retract":
            held = min(held, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            long *= 1.0 - 0.8 * math.exp(-data.peck_depth_xd / 1.5)
        return held * (0.16 + 0.84 * long) / 5.0

    def _landings(self, data: CuttingData) -> float:
        """Landings on fallen chips, in one hole."""
        retracts = pecks_of(data, self._path_xd) - 1 if data.peck_mode == "full_retract" else 0
        return retracts * (0.05 + 0.95 * self._short(data))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        dry = self._path_xd - 3.0
        if data.peck_mode == "full_retract":
            dry = min(dry, data.peck_depth_xd)
        hot = speed / 24 * (feed / 0.15) ** 0.3 * (0.82 + 0.035 * dry)
        worn = 0.35 * (0.15 / feed) ** 0.5 + 0.6 * hot**4.5
        entries = 0.01 * (pecks_of(data, self._path_xd) - 1)
        rubs = 1.0 + 0.3 * min(self._packed(data), 3.0)
        pressed = 0.35 * (feed / 0.22) ** 4
        return 70.0 / (worn * rubs + entries + 0.08 * self._landings(data) + pressed)

    def torque_n_m(self, data: CuttingData) -> float:
        packed = 1.0 + 0.22 * min(self._packed(data), 3.0)
        return 2100 * data.feed_mm_per_rev**0.78 * 100 / 8000 * packed

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.06 * min(self._packed(data), 3.0)

    def p_break(self, data: CuttingData) -> float:
        jams = 0.5 * logistic((self._packed(data) - 1.35) / 0.14)
        return self.base_break + jams + 0.05 * (1.0 - math.exp(-self._landings(data) / 6.0))

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.25 * (1.0 - math.exp(-self._landings(data) / 6.0))


class GateBracket(Process):
    """Plain high-speed steel, 10.2 mm through brackets of mild steel, on a weak column drill.

    At blue heat mild steel is stronger and brittle: its chips are short, but the spindle pulls
    harder. Colder, chips are long ribbons that wind around the drill, rub and now and then twist it
    off. Hotter, corners temper. Drills are cheap and are ground by hand, so no two are alike; what
    is dear is the time, and what is scarce is the power of the motor.
    """

    name = "gate bracket"
    physics = "blue heat breaks chips but loads a weak motor; ribbons wind; corners temper"
    life_scatter = 0.35
    fresh_scatter = 0.04
    worn_scatter = 0.045
    load_curve = 1.3
    base_break = 0.01
    idle_pct = 12.0
    moving_min = 0.08
    machine = Machine(1.1, 800, 2800, max_feed_mm_per_min=400, rapid_mm_per_min=2500)
    problem = Problem(
        speed_m_per_min=(9, 60), feed_mm_per_rev=(0.05, 0.36), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(22, 0.12), load_limit_pct=95,
        diameter_mm=10.2, depth_mm=12, max_test_holes=200, machine=machine, group="P",
        economics=Economics(0.7, 1.5, 6.5, 5, 1.2, 18, 50, 0.3), point_angle_deg=118.0,
        substrate="hss", through=True,
    )  # fmt: skip

    def _celsius(self, data: CuttingData) -> float:
        """Heat of the chip where it is sheared."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 20 + 245 * (speed / 25) ** 0.45 * (feed / 0.16) ** 0.15

    def _ribbons(self, data: CuttingData) -> float:
        """Share of the chips that stay long; thick ones break more easily."""
        thin = 1.0 / (1.0 + (data.feed_mm_per_rev / 0.25) ** 3)
        return thin * logistic((245 - self._celsius(data)) / 18)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubs = 0.5 * (0.16 / feed) ** 0.7 * (speed / 25) ** 0.5 * (1.0 + 0.5 * self._ribbons(data))
        tempers = 0.4 * math.exp(min((self._celsius(data) - 300) / 20, 12.0))
        return 340.0 / (rubs + tempers + 0.3 * (feed / 0.26) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        blue = 1.0 + 0.16 * math.exp(-(((self._celsius(data) - 285) / 40) ** 2))
        winds = 1.0 + 0.2 * self._ribbons(data)
        return 1800 * data.feed_mm_per_rev**0.79 * 104 / 8000 * blue * winds

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.08 * self._ribbons(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.05 * self._ribbons(data) * (data.feed_mm_per_rev / 0.2) ** 2
