"""Ordinary jobs of a machine shop, each with physics of its own. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class ChuckJaw(Process):
    """Coated carbide, 6.8 mm in hardened chuck jaws, on a small machining centre.

    The coating is made for heat: only where it runs hot does it grow a hard skin of oxide, which
    spares the lips. Slow it never gets there, and the bare coating is rubbed off by the way the
    lips go. Hotter still, the carbide below gives way, all the faster. Warm steel is also a little
    softer to cut. A thick chip crushes the corners, and far too thick a one breaks the drill.
    """

    name = "chuck jaw"
    physics = "a skin of oxide spares the lips where it runs hot; too hot, the carbide gives way"
    life_scatter = 0.18
    fresh_scatter = 0.03
    load_curve = 2.0
    base_break = 0.012
    idle_pct = 5.0
    moving_min = 0.05
    machine = Machine(1.8, 2000, 10_000, max_feed_mm_per_min=8000, rapid_mm_per_min=20_000)
    problem = Problem(
        speed_m_per_min=(9, 90), feed_mm_per_rev=(0.018, 0.18), peck_depth_xd=(0.4, 2),
        peck_modes=("none",), start=CuttingData(22, 0.055), load_limit_pct=70,
        diameter_mm=6.8, depth_mm=18, max_test_holes=120, machine=machine, group="H",
        economics=Economics(1.5, 2.0, 44, 0, 0, 140, 20, 0.5), substrate="carbide",
    )  # fmt: skip

    def _celsius(self, data: CuttingData) -> float:
        """Heat of the rake face close to the corner."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 20 + 540 * (speed / 25) ** 0.4 * (feed / 0.06) ** 0.15

    def _skin(self, data: CuttingData) -> float:
        """Share of the rubbing faces that the oxide covers."""
        return logistic((self._celsius(data) - 575) / 24)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubbed = (0.06 / feed) ** 0.65 * (0.5 + 0.5 * speed / 25) * (1.0 - 0.6 * self._skin(data))
        gives_way = 0.3 * math.exp(min((self._celsius(data) - 690) / 26, 10.0))
        return 56.0 / (rubbed + gives_way + 0.35 * (feed / 0.085) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        softer = 1.0 - 0.1 * logistic((self._celsius(data) - 600) / 60)
        return 3700 * data.feed_mm_per_rev**0.74 * 46.24 / 8000 * softer

    def growth(self, data: CuttingData) -> float:
        return 1.5 - 0.12 * self._skin(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.35 * logistic((data.feed_mm_per_rev - 0.15) / 0.009)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.1 * logistic((data.feed_mm_per_rev - 0.1) / 0.01)


class MotorBracket(Process):
    """High-speed steel, 5 mm through die-cast aluminium brackets, on a column drill.

    The drill meets a face with the slope that it had in the die. Its point slides downhill until it
    has bitten: the harder it is pressed, the further it bends, and past a bend it snaps. The skin
    is fine and hard and takes its share of every hole, a little more if it is hit fast; what lies
    below is easy. Hot lips solder, but the spindle is at its top speed before they are that hot.
    """

    name = "motor bracket"
    physics = "feed bends the drill on a sloping cast face; a hard skin; the spindle is slow"
    life_scatter = 0.3
    fresh_scatter = 0.04
    worn_scatter = 0.045
    load_curve = 1.2
    base_break = 0.02
    idle_pct = 10.0
    moving_min = 0.07
    machine = Machine(0.75, 2000, 4200, max_feed_mm_per_min=1000, rapid_mm_per_min=5000)
    problem = Problem(
        speed_m_per_min=(13, 120), feed_mm_per_rev=(0.04, 0.40), peck_depth_xd=(0.4, 3),
        peck_modes=("none",), start=CuttingData(34, 0.10), load_limit_pct=80,
        diameter_mm=5, depth_mm=14, max_test_holes=250, machine=machine, group="N",
        economics=Economics(0.8, 1.5, 4.5, 0, 0, 60, 100, 0.3), point_angle_deg=118.0,
        substrate="hss", through=True,
    )  # fmt: skip

    def _bent(self, data: CuttingData) -> float:
        """How far the point slides and bends, 1 where a drill snaps as likely as not."""
        presses = (data.feed_mm_per_rev / 0.25) ** 0.8
        return presses * (50 / data.speed_m_per_min) ** 0.12

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        skin = 0.55 * (speed / 50) ** 0.45 * (1.0 + 0.3 * min(self._bent(data), 2.0) ** 2)
        below = 0.2 * (0.14 / feed) ** 0.8
        solders = 0.2 * math.exp(min((speed - 72) / 11, 6.0))
        return 420.0 / (skin + below + solders + 0.35 * (feed / 0.26) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        solders = 1.0 + 0.15 * logistic((data.speed_m_per_min - 80) / 8)
        return 850 * data.feed_mm_per_rev**0.75 * 25 / 8000 * solders

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.1 * min(self._bent(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.65 * logistic((self._bent(data) - 1.0) / 0.075)


class ProbeSleeve(Process):
    """Cobalt drill, 6.5 mm and 11.5 x D in stainless bar, on a lathe; the drill stands still.

    This chip never breaks by itself: it is as many turns long as the drill makes in one peck. Long
    ones snarl in the flutes, and more so where they have a long way out; then the drill twists
    off. A retract clears them all. After a step back they must still climb, so they must be
    short. At every start anew the lips rub on a floor that they have hardened, unless the feed is
    high enough to get below it. Without retracts it is dry down there, and hot.
    """

    name = "probe sleeve"
    physics = "chips as long as a peck has turns snarl; lips rub anew on a hardened floor; heat"
    life_scatter = 0.28
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.6
    base_break = 0.016
    idle_pct = 8.0
    moving_min = 0.1
    machine = Machine(2.2, 2000, 4500, max_feed_mm_per_min=4000, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(4.5, 42), feed_mm_per_rev=(0.028, 0.26), peck_depth_xd=(0.25, 5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(14, 0.085, "full_retract", 0.8), load_limit_pct=60,
        diameter_mm=6.5, depth_mm=75, max_test_holes=100, machine=machine, group="M",
        economics=Economics(0.95, 3.0, 24, 4, 6, 110, 10, 0.5), substrate="cobalt",
    )  # fmt: skip

    _path_xd = 76.2 / 6.5

    def _snarled(self, data: CuttingData) -> float:
        """How full the flutes are of chips that are so long; around 1.3 they jam."""
        peck_xd = self._path_xd
        if data.peck_mode != "none":
            peck_xd = min(peck_xd, data.peck_depth_xd)
        way_out = peck_xd if data.peck_mode == "full_retract" else self._path_xd
        turns = peck_xd * 6.5 / data.feed_mm_per_rev
        return (way_out / 4.0) ** 0.6 * (turns / 110) ** 0.6

    def _hot(self, data: CuttingData) -> float:
        dry = data.peck_depth_xd if data.peck_mode == "full_retract" else self._path_xd - 3.0
        kept = 0.8 + 0.3 * (1.0 - math.exp(-min(dry, self._path_xd) / 4.0))
        return data.speed_m_per_min / 15 * (data.feed_mm_per_rev / 0.09) ** 0.25 * kept

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.4 * (0.09 / feed) ** 0.6 + 0.45 * self._hot(data) ** 4
        each = 0.045 if data.peck_mode == "full_retract" else 0.018
        floor = each * (pecks_of(data, self._path_xd) - 1) * (0.09 / feed) ** 0.9
        rubs = 0.35 * min(self._snarled(data), 3.0) ** 2
        return 62.0 / (lips + floor + rubs + 0.45 * (feed / 0.115) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.28 * min(self._snarled(data), 3.0)
        return 2350 * data.feed_mm_per_rev**0.78 * 42.25 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.1 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._snarled(data) - 1.3) / 0.09)


class BasePlate(Process):
    """Drill with an exchangeable carbide tip, 20 mm through plate of structural steel, on a mill.

    The tip wears by the minutes that it is in the cut, and steeply with heat. Its worn flank adds a
    drag of its own that is the same whatever the chip: on a thin chip a worn tip pulls half as hard
    again as a new one, on a thick chip a fifth harder. Slow, the soft steel clings to the flank and
    drags more. The spindle sets the limit, by its torque and, higher up, by its power.
    """

    name = "base plate"
    physics = "a worn flank adds the same drag to any chip; minutes in the cut; torque and power"
    life_scatter = 0.14
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.4
    base_break = 0.006
    idle_pct = 4.0
    moving_min = 0.06
    machine = Machine(8.0, 1300, 5000, max_feed_mm_per_min=5000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(28, 260), feed_mm_per_rev=(0.07, 0.65), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(70, 0.16), load_limit_pct=85,
        diameter_mm=20, depth_mm=35, max_test_holes=150, machine=machine, group="P",
        economics=Economics(1.6, 2.0, 76, 0, 0, 190, 50, 0.5), substrate="carbide", through=True,
        maker_speed_m_per_min=(70, 120), maker_feed_mm_per_rev=(0.16, 0.32),
    )  # fmt: skip

    def _drag_n_m(self, data: CuttingData) -> float:
        """What a worn flank adds, with steel that clings to it."""
        return 6.5 * (1.0 + 0.7 * logistic((62 - data.speed_m_per_min) / 8))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        heat = speed / 90 * (feed / 0.22) ** 0.3
        by_minute = 0.5 + 0.5 * heat**3.2 + 0.25 * logistic((60 - speed) / 7)
        path = self.problem.depth_mm + 3.6
        minutes = path / feed_rate_mm_per_min(rpm(speed, 20), feed)
        return 32.0 / (by_minute * minutes + 0.06 * (feed / 0.36) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        softer = (90 / data.speed_m_per_min) ** 0.08
        return 1850 * data.feed_mm_per_rev**0.76 * 400 / 8000 * softer

    def growth(self, data: CuttingData) -> float:
        return 1.03 + self._drag_n_m(data) / self.torque_n_m(data)

    def p_break(self, data: CuttingData) -> float:
        """The pocket of the tip bears so much torque."""
        worn = self.torque_n_m(data) * self.growth(data)
        return self.base_break + 0.4 * logistic((worn - 75) / 3)


class BearingCap(Process):
    """Coated carbide, 9 mm through bearing caps of nodular iron, on a quick machining centre.

    Grains of burnt-on sand sit in the castings, a few in a thousand holes. A lip that hits one has
    a piece out of it, if it is fed and turned hard enough: so the longer an edge lives, the surer
    it meets a bad one, and a very long life is not had. Beside that it wears by the way it goes,
    and with heat. Slow, the soft ferrite smears on the lips and tears at the coating.
    """

    name = "bearing cap"
    physics = "grains of sand chip lips by and by, so long lives are cut short; way; heat; smear"
    life_scatter = 0.22
    fresh_scatter = 0.025
    worn_scatter = 0.035
    load_curve = 1.5
    base_break = 0.007
    idle_pct = 4.0
    moving_min = 0.035
    machine = Machine(
        6.0, 3500, 12_000, max_feed_mm_per_min=12_000, rapid_mm_per_min=40_000, coolant_bar=20
    )
    problem = Problem(
        speed_m_per_min=(28, 260), feed_mm_per_rev=(0.06, 0.60), peck_depth_xd=(0.4, 2.5),
        peck_modes=("none", "chip_break"), start=CuttingData(80, 0.18), load_limit_pct=65,
        diameter_mm=9, depth_mm=32, max_test_holes=600, machine=machine, group="K",
        economics=Economics(1.8, 3.0, 82, 4, 20, 160, 100, 0.5), substrate="carbide", through=True,
    )  # fmt: skip

    _path_xd = 33.6 / 9

    def _hits(self, data: CuttingData) -> float:
        """Grains that do harm, in a hole."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 0.00028 * (feed / 0.2) ** 1.4 * (speed / 90) ** 0.7

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = 0.5 * (0.2 / feed) ** 0.85
        smears = 0.3 * (0.2 / feed) ** 0.5 * logistic((52 - speed) / 9)
        heat = 0.38 * (speed / 115) ** 3.4 * (feed / 0.2) ** 0.3
        entries = 0.06 * (pecks_of(data, self._path_xd) - 1)
        return 900.0 / (ground + smears + heat + entries + 0.3 * (feed / 0.28) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        smears = 1.0 + 0.15 * logistic((52 - data.speed_m_per_min) / 9)
        return 1450 * data.feed_mm_per_rev**0.74 * 81 / 8000 * smears

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.06 * min(data.speed_m_per_min / 100, 2.5)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.3 * logistic((data.feed_mm_per_rev - 0.55) / 0.025)

    def p_chip(self, data: CuttingData) -> float:
        return 0.01 + 0.55 * (1.0 - math.exp(-self._hits(data) * self.life(data)))


class TitaniumClevis(Process):
    """Carbide, 7 mm and 4 x D in forks of a titanium alloy, on a machining centre, with emulsion.

    Titanium welds to the lips while they cut, and that layer even shields them. But each time they
    leave the cut it is torn off, with grains of carbide in it, the more the hotter it was welded
    on. So wear goes by how often they leave, and pecks cost life; but pecks cool. In the cut,
    carbide dissolves in the chip by the minute, steeply with heat. The hole springs back upon
    the margins of a thin chip. Too hot, the drill seizes and snaps in a very dear fork.
    """

    name = "titanium clevis"
    physics = "a welded layer is torn off whenever lips leave the cut; hot minutes dissolve them"
    life_scatter = 0.25
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.7
    base_break = 0.01
    idle_pct = 5.0
    moving_min = 0.06
    machine = Machine(3.7, 3000, 12_000, max_feed_mm_per_min=10_000, rapid_mm_per_min=24_000)
    problem = Problem(
        speed_m_per_min=(12, 110), feed_mm_per_rev=(0.025, 0.24), peck_depth_xd=(0.3, 3),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(36, 0.07, "chip_break", 1.0), load_limit_pct=45,
        diameter_mm=7, depth_mm=26, max_test_holes=150, machine=machine, group="S",
        economics=Economics(1.7, 3.0, 105, 2, 32, 480, 20, 0.5), substrate="carbide",
        maker_speed_m_per_min=(25, 50), maker_feed_mm_per_rev=(0.05, 0.12),
    )  # fmt: skip

    _path_xd = 27.3 / 7

    def _hot(self, data: CuttingData) -> float:
        """Heat of the lips; around 1.25 the drill seizes."""
        cools = {"none": 0.0, "chip_break": 0.08, "full_retract": 0.22}[data.peck_mode]
        kept = 1.0 - cools * math.exp(-data.peck_depth_xd / 2.0)
        return (data.speed_m_per_min / 40) ** 0.8 * (data.feed_mm_per_rev / 0.08) ** 0.3 * kept

    def _torn(self, data: CuttingData) -> float:
        """What is torn off in a hole, as `life` counts it."""
        return 0.12 * pecks_of(data, self._path_xd) * min(self._hot(data), 2.5) ** 1.5

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        minutes = 27.3 / feed_rate_mm_per_min(rpm(data.speed_m_per_min, 7), feed)
        dissolves = 0.45 * minutes / 0.19 * self._hot(data) ** 4.5
        springs = 0.22 * (0.08 / feed) ** 0.8
        crushed = 0.35 * (feed / 0.13) ** 4
        return 95.0 / (dissolves + self._torn(data) + springs + crushed)

    def torque_n_m(self, data: CuttingData) -> float:
        springs = 1.0 + 0.1 * (0.08 / data.feed_mm_per_rev) ** 0.7
        return 2000 * data.feed_mm_per_rev**0.77 * 49 / 8000 * springs

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.12 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._hot(data) - 1.27) / 0.07)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.15 * (1.0 - math.exp(-self._torn(data)))
