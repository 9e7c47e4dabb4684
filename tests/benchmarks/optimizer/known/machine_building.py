"""Jobs of those who build machines and steelwork, each with physics of its own. All invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class GirderSplice(Process):
    """Coated cobalt drill, 18 mm through flanges of rolled girders, on a beam drilling line.

    Mill scale on both faces scours the corners for as many turns as it takes to get through it.
    A flange sticks out from its web and rings when turns are quick and chips are thin; thick chips
    hold it still. Oil mist does not cool much, so corners temper. When the point comes through, the
    flange springs back and lips take a bite, the bigger the higher the feed.
    """

    name = "girder splice"
    physics = "scale scours by turns; thin chips let a flange ring; corners temper; a bite at exit"
    life_scatter = 0.22
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.6
    base_break = 0.008
    idle_pct = 6.0
    moving_min = 0.05
    machine = Machine(11.0, 600, 3000, max_feed_mm_per_min=1500, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(9, 65), feed_mm_per_rev=(0.06, 0.50), peck_depth_xd=(0.3, 1.0),
        peck_modes=("none",), start=CuttingData(19, 0.22), load_limit_pct=60,
        diameter_mm=18, depth_mm=15, max_test_holes=300, machine=machine, group="P",
        economics=Economics(1.3, 2.5, 58, 6, 9, 70, 50, 0.5), point_angle_deg=130.0,
        substrate="cobalt", through=True,
    )  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 30 * (data.feed_mm_per_rev / 0.24) ** 0.3

    def _rings(self, data: CuttingData) -> float:
        """How loud the flange rings, 0 to 1."""
        loud = data.speed_m_per_min / 30 * (0.13 / data.feed_mm_per_rev) ** 0.8
        return logistic((loud - 1.0) / 0.13)

    def _bites(self, data: CuttingData) -> float:
        return data.feed_mm_per_rev / 0.40

    def life(self, data: CuttingData) -> float:
        scale = 0.35 * 0.24 / data.feed_mm_per_rev * (data.speed_m_per_min / 30) ** 0.7
        tempers = 0.42 * min(self._hot(data), 4.0) ** 4.5
        rings = 0.9 * self._rings(data)
        bites = 0.35 * min(self._bites(data), 2.0) ** 3.5
        return 310.0 / (0.12 + scale + tempers + rings + bites)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2030 * data.feed_mm_per_rev**0.82 * 324 / 8000 * (1.0 + 0.08 * self._rings(data))

    def growth(self, data: CuttingData) -> float:
        return 1.27 + 0.08 * min(self._hot(data), 2.0) + 0.06 * self._rings(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.4 * logistic((self._bites(data) - 1.0) / 0.055)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.14 * self._rings(data) + 0.1 * logistic((self._bites(data) - 0.9) / 0.07)


class SprayBar(Process):
    """Coated carbide, 1.6 mm and 8 x D in stainless bar, with emulsion from outside, on a mill.

    The drill is slender and bows under its thrust, so its margins rub along the wall, the longer
    the hole. Steel hardly leads heat away: lips get hotter with every turn of a peck until it ends.
    Chips pile up in the flutes; what a peck leaves there adds to the twist, and the drill snaps
    when it is too much. Each peck starts with a rub on a bottom that is harder than the bar.
    """

    name = "spray bar"
    physics = "a slender drill bows and rubs; heat and chips pile up during a peck; hard bottoms"
    life_scatter = 0.26
    fresh_scatter = 0.04
    worn_scatter = 0.04
    load_curve = 1.4
    base_break = 0.02
    idle_pct = 11.0
    moving_min = 0.03
    machine = Machine(1.2, 9000, 20_000, max_feed_mm_per_min=5000, rapid_mm_per_min=18_000)
    problem = Problem(
        speed_m_per_min=(11, 95), feed_mm_per_rev=(0.007, 0.07), peck_depth_xd=(0.3, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(25, 0.024, "full_retract", 0.8), load_limit_pct=45,
        diameter_mm=1.6, depth_mm=13, max_test_holes=500, machine=machine, group="M",
        economics=Economics(1.1, 2.5, 34, 0, 0, 60, 50, 0.5), substrate="carbide",
        maker_speed_m_per_min=(30, 55), maker_feed_mm_per_rev=(0.016, 0.04),
    )  # fmt: skip

    _path_xd = 13.3 / 1.6

    def _one_peck_xd(self, data: CuttingData) -> float:
        return self._path_xd if data.peck_mode == "none" else data.peck_depth_xd

    def _piled(self, data: CuttingData) -> float:
        """Chips in the flutes at the end of a peck, 1 for as many as they hold with ease."""
        kept = self._one_peck_xd(data)
        if data.peck_mode == "chip_break":
            kept = min(self._path_xd, 2.2 + 0.6 * kept)
        return min(kept, self._path_xd) / 2.3 * (data.feed_mm_per_rev / 0.03) ** 0.25

    def _bows(self, data: CuttingData) -> float:
        return (data.feed_mm_per_rev / 0.045) ** 0.7

    def _hot(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        turns = min(self._one_peck_xd(data), self._path_xd) * 1.6 / feed
        soaked = 1.0 - math.exp(-turns / 110)
        if data.peck_mode == "chip_break":
            soaked = 0.6 * soaked + 0.2
        return speed / 46 * (feed / 0.028) ** 0.25 * (0.8 + 0.32 * soaked)

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.3 * (0.028 / feed) ** 0.8 * (1.0 + (0.011 / feed) ** 2)
        heat = 0.42 * min(self._hot(data), 4.0) ** 3.4
        margins = 0.3 * min(self._bows(data), 2.5) ** 2.5
        each = {"none": 0.0, "chip_break": 0.016, "full_retract": 0.024}[data.peck_mode]
        bottoms = each * (pecks_of(data, self._path_xd) - 1)
        packed = 0.2 * min(self._piled(data), 3.0) ** 2
        return 340.0 / (lips + heat + margins + bottoms + packed)

    def _twist(self, data: CuttingData) -> float:
        """Peak torque, 1 where a drill is as likely to snap as not."""
        chips = 0.8 + 0.25 * min(self._piled(data), 3.0)
        return (data.feed_mm_per_rev / 0.052) ** 0.77 * chips

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.25 * min(self._piled(data), 3.0) + 0.1 * min(self._bows(data), 2.0) ** 2
        return 2550 * data.feed_mm_per_rev**0.77 * 2.56 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.1 * min(self._bows(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.55 * logistic((self._twist(data) - 1.0) / 0.085)

    def p_chip(self, data: CuttingData) -> float:
        return 0.025 + 0.15 * logistic((self._hot(data) - 1.5) / 0.1)


class BearingPedestal(Process):
    """Coated carbide, 17.5 mm through feet of grey iron pedestals, dry, on a horizontal mill.

    The skin of the casting holds sand and takes the same bite out of the corners at every hole. In
    the iron, wear goes with the way. Dry, a coating gets hot and gives way bit by bit. Thin chips
    are dust that laps the margins. At the bottom iron crumbles away and the corners drop through;
    with a thick chip they break. Thin feet cool fast and are hard: lives scatter.
    """

    name = "bearing pedestal"
    physics = "skin bites at each hole; way; a dry coating gives way; dust laps; a drop at exit"
    life_scatter = 0.28
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.5
    base_break = 0.006
    idle_pct = 4.0
    moving_min = 0.06
    machine = Machine(13.0, 800, 4000, max_feed_mm_per_min=3000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(28, 190), feed_mm_per_rev=(0.08, 0.65), peck_depth_xd=(0.4, 2),
        peck_modes=("none",), start=CuttingData(56, 0.25), load_limit_pct=65,
        diameter_mm=17.5, depth_mm=32, max_test_holes=500, machine=machine, group="K",
        economics=Economics(1.35, 2.5, 175, 4, 38, 210, 50, 0.5), substrate="carbide",
        through=True, maker_speed_m_per_min=(65, 110), maker_feed_mm_per_rev=(0.22, 0.42),
    )  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 105 * (data.feed_mm_per_rev / 0.3) ** 0.28

    def _drops(self, data: CuttingData) -> float:
        return data.feed_mm_per_rev / 0.5

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        skin = 0.22 * (speed / 90) ** 0.8
        way = 0.32 * (0.3 / feed) ** 0.9 * (0.75 + 0.25 * speed / 90)
        coating = 0.36 * min(self._hot(data), 3.0) ** 4
        dust = 0.3 * math.exp(-feed / 0.09)
        drops = 0.5 * min(self._drops(data), 2.0) ** 3
        return 720.0 / (skin + way + coating + dust + drops)

    def torque_n_m(self, data: CuttingData) -> float:
        dust = 1.0 + 0.25 * math.exp(-data.feed_mm_per_rev / 0.09)
        return 1350 * data.feed_mm_per_rev**0.74 * 306.25 / 8000 * dust

    def growth(self, data: CuttingData) -> float:
        return 1.38 + 0.08 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.3 * logistic((self._drops(data) - 1.1) / 0.07)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.25 * logistic((self._drops(data) - 0.95) / 0.08)


class WinchDrum(Process):
    """Insert drill, 42 mm in forged carbon steel, with coolant through it, on a boring mill.

    The face is forged rough, so inserts are knocked when they enter, the harder the higher the
    feed. Chips of a low feed are long and run along the wall: they load the spindle and get under
    the inserts. Speed makes them longer. The outer insert craters with heat; the inner one stands
    nearly still in the middle, where steel welds onto it. The spindle has little to spare.
    """

    name = "winch drum"
    physics = "a rough face knocks; long chips get under inserts; crater outside, welding inside"
    life_scatter = 0.2
    fresh_scatter = 0.03
    worn_scatter = 0.03
    load_curve = 1.4
    base_break = 0.01
    idle_pct = 5.0
    moving_min = 0.1
    machine = Machine(
        18.0, 600, 2500, max_feed_mm_per_min=1200, rapid_mm_per_min=10_000, coolant_bar=15
    )
    problem = Problem(
        speed_m_per_min=(50, 250), feed_mm_per_rev=(0.04, 0.28), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none", "chip_break"), start=CuttingData(98, 0.095), load_limit_pct=85,
        diameter_mm=42, depth_mm=80, max_test_holes=90, machine=machine, group="P",
        economics=Economics(1.7, 2.0, 50, 3, 0, 480, 10, 0.5), substrate="carbide",
        maker_speed_m_per_min=(110, 190), maker_feed_mm_per_rev=(0.08, 0.18),
    )  # fmt: skip

    _path_xd = 81.5 / 42

    def _long(self, data: CuttingData) -> float:
        """Share of long chips; a step back cuts some of them."""
        short = 0.075 * (data.speed_m_per_min / 130) ** 0.5
        cut = 0.7 if data.peck_mode == "chip_break" else 1.0
        return cut * logistic((short - data.feed_mm_per_rev) / 0.011)

    def _knocks(self, data: CuttingData) -> float:
        return data.feed_mm_per_rev / 0.21

    def _craters(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 0.42 * min(speed / 150 * (feed / 0.13) ** 0.35, 3.0) ** 3.6

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        flank = 0.3 * (0.13 / feed) ** 0.7
        welds = 0.25 * (100 / speed) ** 2
        knocks = 0.3 * min(self._knocks(data), 2.0) ** 3
        steps = 0.09 * (pecks_of(data, self._path_xd) - 1)
        return 75.0 / (
            flank + welds + knocks + steps + self._craters(data) + 0.5 * self._long(data)
        )

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.16 * self._long(data) + 0.05 * (80 / data.speed_m_per_min) ** 2
        return 2050 * data.feed_mm_per_rev**0.79 * 1764 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.06 * min(self._craters(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        knocked = 0.35 * logistic((self._knocks(data) - 1.0) / 0.08)
        return self.base_break + knocked + 0.04 * self._long(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.1 * self._long(data) + 0.15 * logistic((self._knocks(data) - 0.9) / 0.08)


class GuideRail(Process):
    """Coated carbide, 5.5 mm and 4 x D in rails hardened on the outside, soft within, on a mill.

    Two millimetres of hard skin wear the lips by pressure and heat. Where it ends the drill dives
    into soft steel and corners take a jolt, the more the higher the feed. The soft steel below
    welds on where it is cut slowly. Crumbs of the skin stay in the hole and are cut again; a
    retract lets coolant wash them out, but every new start costs the corners a little.
    """

    name = "guide rail"
    physics = "a hard skin wears by heat; a dive into soft steel; slow welding; crumbs of skin"
    life_scatter = 0.24
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.8
    base_break = 0.015
    idle_pct = 5.0
    moving_min = 0.04
    machine = Machine(3.7, 3000, 12_000, max_feed_mm_per_min=4000, rapid_mm_per_min=20_000)
    problem = Problem(
        speed_m_per_min=(12, 95), feed_mm_per_rev=(0.015, 0.15), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "full_retract"), start=CuttingData(26, 0.045), load_limit_pct=60,
        diameter_mm=5.5, depth_mm=22, max_test_holes=160, machine=machine, group="H",
        economics=Economics(1.4, 2.5, 72, 2, 20, 140, 20, 0.5), substrate="carbide",
        maker_speed_m_per_min=(25, 50), maker_feed_mm_per_rev=(0.035, 0.08),
    )  # fmt: skip

    _path_xd = 23 / 5.5

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 42 * (data.feed_mm_per_rev / 0.06) ** 0.3

    def _dives(self, data: CuttingData) -> float:
        return data.feed_mm_per_rev / 0.1

    def _crumbs(self, data: CuttingData) -> float:
        """Crumbs that are cut again, 1 for as many as there are without a retract."""
        if data.peck_mode == "none":
            return 1.0
        return 0.15 + 0.85 * min(data.peck_depth_xd / self._path_xd, 1.0)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        skin = (0.06 / feed) ** 0.6 * (0.22 + 0.36 * min(self._hot(data), 4.0) ** 3)
        welds = 0.3 * logistic((25 - speed) / 4)
        dives = 0.4 * min(self._dives(data), 2.0) ** 3
        starts = 0.05 * (pecks_of(data, self._path_xd) - 1)
        return 150.0 / (skin + welds + dives + starts + 0.3 * self._crumbs(data) ** 1.5)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.15 * self._crumbs(data)
        return 3100 * data.feed_mm_per_rev**0.78 * 30.25 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.1 * self._crumbs(data)

    def p_break(self, data: CuttingData) -> float:
        snaps = self._dives(data) + 0.08 * self._crumbs(data)
        return self.base_break + 0.45 * logistic((snaps - 1.05) / 0.07)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.2 * logistic((self._dives(data) - 0.95) / 0.08)


class ConveyorRoller(Process):
    """Polished high-speed steel, 12 mm and 5 x D in cast nylon rollers, with air jet, on a lathe.

    Plastic keeps its heat: the wall gets warm for as long as margins rub on it, swells and grips
    the drill, and melts at last. Lips must be very keen, so a little dulling ends an edge. A chip
    is one string, as long as the peck; long ones wind around the drill until it is stopped. A
    thick chip pulls the drill in, the hole tears and the drill is bent.
    """

    name = "conveyor roller"
    physics = "a warm wall swells and grips, then melts; strings wind up; thick chips pull it in"
    life_scatter = 0.25
    fresh_scatter = 0.05
    worn_scatter = 0.05
    load_curve = 1.3
    base_break = 0.004
    idle_pct = 8.0
    moving_min = 0.03
    machine = Machine(5.5, 1500, 4500, max_feed_mm_per_min=3000, rapid_mm_per_min=12_000)
    problem = Problem(
        speed_m_per_min=(22, 160), feed_mm_per_rev=(0.06, 0.60), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(64, 0.25, "full_retract", 1.1), load_limit_pct=50,
        diameter_mm=12, depth_mm=60, max_test_holes=800, machine=machine, group="N",
        economics=Economics(0.95, 2.5, 26, 5, 8, 65, 100, 0.4), point_angle_deg=118.0,
        substrate="hss",
    )  # fmt: skip

    _path_xd = 63.6 / 12

    def _celsius(self, data: CuttingData) -> float:
        """Heat of the wall at the end of the longest rub."""
        rubbed_xd = self._path_xd
        if data.peck_mode == "full_retract":
            rubbed_xd = min(rubbed_xd, 0.6 + data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            rubbed_xd *= 0.85
        turns = rpm(data.speed_m_per_min, 12)
        seconds = rubbed_xd * 12 / feed_rate_mm_per_min(turns, data.feed_mm_per_rev) * 60
        return 20 + 78 * (data.speed_m_per_min / 80) ** 0.9 * (0.35 + seconds**0.5)

    def _grips(self, data: CuttingData) -> float:
        return max(0.0, self._celsius(data) - 20) / 130

    def _winds(self, data: CuttingData) -> float:
        """Share of strings that wind around the drill."""
        string_xd = self._path_xd
        if data.peck_mode != "none":
            string_xd = min(string_xd, data.peck_depth_xd)
        stays = 1.15 if data.peck_mode == "full_retract" else 0.85
        stiff = (data.feed_mm_per_rev / 0.25) ** 0.5
        return logistic((stays * string_xd / stiff - 3.6) / 0.4)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        dulls = (0.28 / feed) ** 0.6 * (0.25 + 0.3 * speed / 80)
        melts = 0.6 * math.exp(min((self._celsius(data) - 185) / 18, 5.0))
        torn = 0.7 * (min(feed, 0.6) / 0.38) ** 4
        return 700.0 / (dulls + 0.25 * min(self._grips(data), 3.0) ** 2 + melts + torn
                        + 0.5 * self._winds(data))  # fmt: skip

    def torque_n_m(self, data: CuttingData) -> float:
        wound = 1.0 + 0.5 * min(self._grips(data), 3.0) + 0.5 * self._winds(data)
        return 230 * data.feed_mm_per_rev**0.8 * 144 / 8000 * wound

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.1 * min(self._grips(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        pulled = 0.25 * logistic((data.feed_mm_per_rev - 0.5) / 0.025)
        melted = 0.2 * logistic((self._celsius(data) - 220) / 8)
        return self.base_break + pulled + melted + 0.03 * self._winds(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.01 + 0.12 * self._winds(data)
