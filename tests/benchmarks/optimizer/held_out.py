"""Six processes that the optimizer was not worked on with: for the table only.

Ordinary jobs of a machine shop, written without a look at how the search works. All figures are
invented.
"""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class SwivelYoke(Process):
    """Coated carbide with coolant through it, 14 mm and 3 x D in forged yokes of alloy steel.

    Flank, crater and corners wear side by side, and whichever is done first ends the edge: to
    spare the two others is of no use. The flank goes by way, the crater by heat, and the corners
    by the forged skin, which they meet once a hole and which knocks harder at a thick chip. A
    step back hammers the corners a little; the jet through the drill needs no help with chips.
    """

    name = "swivel yoke"
    physics = "flank by way, crater by heat, corners by skin: whichever is done first ends the edge"
    life_scatter = 0.17
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.8
    base_break = 0.006
    idle_pct = 3.0
    moving_min = 0.04
    machine = Machine(
        15.0, 1400, 9000, max_feed_mm_per_min=10_000, rapid_mm_per_min=36_000, coolant_bar=40
    )
    problem = Problem(
        speed_m_per_min=(25, 225), feed_mm_per_rev=(0.06, 0.55), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(72, 0.18), load_limit_pct=70,
        diameter_mm=14, depth_mm=42, max_test_holes=450, machine=machine, group="P",
        economics=Economics(1.35, 2.5, 135, 4, 38, 240, 50, 0.4), substrate="carbide",
        maker_speed_m_per_min=(70, 115), maker_feed_mm_per_rev=(0.16, 0.3),
    )  # fmt: skip

    _path_xd = 44.5 / 14

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 112 * (data.feed_mm_per_rev / 0.22) ** 0.3

    def life(self, data: CuttingData) -> float:
        feed, steps = data.feed_mm_per_rev, pecks_of(data, self._path_xd) - 1
        flank = 0.95 * (0.22 / feed) ** 0.8
        crater = min(self._hot(data), 4.0) ** 4.0
        corners = 0.85 * (feed / 0.24) ** 2.2 * (1.0 + 0.06 * steps)
        return 330.0 / (flank**5 + crater**5 + corners**5) ** 0.2

    def torque_n_m(self, data: CuttingData) -> float:
        return 2050 * data.feed_mm_per_rev**0.75 * 196 / 8000

    def growth(self, data: CuttingData) -> float:
        """A flank rubs, a crater makes the rake keener."""
        return 1.45 - 0.1 * logistic((self._hot(data) - 1.0) / 0.12)

    def p_chip(self, data: CuttingData) -> float:
        steps = pecks_of(data, self._path_xd) - 1
        return 0.02 + 0.008 * min(steps, 6) + 0.08 * logistic((data.feed_mm_per_rev - 0.36) / 0.03)


class PistonCrown(Process):
    """Uncoated carbide, 6 mm and 5 x D in pistons of aluminium with much silicon, with emulsion.

    The alloy is soft, but it is full of coarse crystals. At a slow drill they are pushed aside; a
    quick one hits and splits them, and the splinters scour the flank far more than heat does. A
    thick chip meets fewer of them for a hole. Splinters lie on the bottom at each step back and
    are cut again. Too slow, the alloy smears. Chips are short and leave by themselves.
    """

    name = "piston crown"
    physics = "quick lips split crystals into splinters that scour; cut again at steps; slow smears"
    life_scatter = 0.22
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.1
    base_break = 0.004
    idle_pct = 5.0
    moving_min = 0.025
    machine = Machine(9.0, 4000, 18_000, max_feed_mm_per_min=12_000, rapid_mm_per_min=40_000)
    problem = Problem(
        speed_m_per_min=(38, 330), feed_mm_per_rev=(0.04, 0.4), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(115, 0.125, "chip_break", 1.5), load_limit_pct=60,
        diameter_mm=6, depth_mm=30, max_test_holes=700, machine=machine, group="N",
        economics=Economics(1.2, 2.0, 58, 3, 17, 45, 100, 0.4), substrate="carbide",
    )  # fmt: skip

    _path_xd = 31.1 / 6

    def _splits(self, data: CuttingData) -> float:
        """Share of the crystals that are split and not pushed aside."""
        return logistic((data.speed_m_per_min - 122) / 19)

    def _again(self, data: CuttingData) -> float:
        """Splinters cut again, over all the steps of a hole."""
        steps = pecks_of(data, self._path_xd) - 1
        washed = 0.6 if data.peck_mode == "full_retract" else 1.0
        return washed * steps * (0.4 + 1.6 * self._splits(data))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        pushed = 0.3 * (0.16 / feed) ** 0.9
        split = 1.5 * self._splits(data) * (0.16 / feed) ** 0.7
        quick = 0.12 * (speed / 100) ** 1.5
        smears = 0.4 * logistic((56 - speed) / 7)
        again = 0.035 * self._again(data)
        return 420.0 / (pushed + split + quick + smears + again + 0.3 * (feed / 0.19) ** 3.2)

    def torque_n_m(self, data: CuttingData) -> float:
        smear = 1.0 + 0.2 * logistic((56 - data.speed_m_per_min) / 7)
        return 820 * data.feed_mm_per_rev**0.76 * 36 / 8000 * smear

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.25 * self._splits(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.015 + 0.04 * self._splits(data)


class MooringCleat(Process):
    """High-speed steel, 20 mm through feet of cleats of ductile iron, dry, on a small knee mill.

    Dust of iron and graphite cakes in the flutes by the minutes of a stroke. The cake rubs, and
    the drag on a worn drill is the worse for it. A retract shakes it out, but some of it falls
    under the point. The rim of the foot is chilled, and thin chips stay long in it; corners
    temper. The motor has little for such a drill, and worn drills take all that there is.
    """

    name = "mooring cleat"
    physics = "dust cakes by minutes of a stroke and loads worn drills; a chilled rim; tempering"
    life_scatter = 0.25
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.4
    base_break = 0.008
    idle_pct = 8.0
    moving_min = 0.15
    machine = Machine(1.8, 320, 2200, max_feed_mm_per_min=800, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(7, 58), feed_mm_per_rev=(0.06, 0.54), peck_depth_xd=(0.3, 2.3),
        peck_modes=("none", "full_retract"),
        start=CuttingData(19.5, 0.165, "full_retract", 0.75), load_limit_pct=80,
        diameter_mm=20, depth_mm=40, max_test_holes=130, machine=machine, group="K",
        economics=Economics(9.5, 3.0, 420, 8, 65, 600, 15, 0.4, currency="SEK"),
        point_angle_deg=118.0, substrate="hss", through=True,
    )  # fmt: skip

    _path_xd = 46.0 / 20

    def _cake(self, data: CuttingData) -> float:
        """How full of cake the flutes are at the end of a stroke, at most 1."""
        way_xd = self._path_xd
        if data.peck_mode == "full_retract":
            way_xd = min(way_xd, data.peck_depth_xd)
        minutes = way_xd * 20 / feed_rate_mm_per_min(rpm(data.speed_m_per_min, 20),
                                                     data.feed_mm_per_rev)  # fmt: skip
        return 1.0 - math.exp(-minutes / 0.55)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = 0.3 * (0.24 / feed) ** 0.7
        rim = 0.2 * (0.24 / feed) * (speed / 24) ** 0.5
        cake = self._cake(data)
        tempers = 0.36 * min(speed / 28 * (feed / 0.24) ** 0.3 * (0.9 + 0.25 * cake), 4.0) ** 4.4
        under = 0.035 * (pecks_of(data, self._path_xd) - 1)
        return 115.0 / (way + rim + tempers + 0.25 * cake + under + 0.2 * (feed / 0.38) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.1 * self._cake(data)
        return 1560 * data.feed_mm_per_rev**0.76 * 400 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.4 * self._cake(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.025 + 0.06 * logistic((data.feed_mm_per_rev - 0.42) / 0.04)


class LanceTip(Process):
    """Carbide with coolant through it, 2.2 mm and 8 x D in tips of heat-resisting stainless.

    The drill runs out by some micrometres, more at quick turns: one lip takes more than its share
    of the chip, and at a fine feed the other one only rubs. A thicker chip is shared better, but
    so thin a drill is twisted and bent by it, and it snaps beyond what it bears. Corners wear by
    heat. Each step back lets the point find its way anew, and bends it.
    """

    name = "lance tip"
    physics = "run-out loads one lip, the more at fine feeds and quick turns; a thick chip snaps it"
    life_scatter = 0.26
    fresh_scatter = 0.05
    worn_scatter = 0.05
    load_curve = 1.5
    base_break = 0.012
    idle_pct = 6.0
    moving_min = 0.02
    machine = Machine(
        1.5, 6000, 24_000, max_feed_mm_per_min=5000, rapid_mm_per_min=24_000, coolant_bar=70
    )
    problem = Problem(
        speed_m_per_min=(12, 105), feed_mm_per_rev=(0.011, 0.1), peck_depth_xd=(0.4, 5),
        peck_modes=("none", "chip_break"), start=CuttingData(36, 0.032, "chip_break", 2.0),
        load_limit_pct=60, diameter_mm=2.2, depth_mm=17.6, max_test_holes=350, machine=machine,
        economics=Economics(1.6, 2.0, 62, 0, 0, 38, 100, 0.4, currency="CHF"),
        substrate="carbide", maker_speed_m_per_min=(35, 65), maker_feed_mm_per_rev=(0.03, 0.055),
    )  # fmt: skip

    _path_xd = 18.0 / 2.2

    def _uneven(self, data: CuttingData) -> float:
        """Run-out over the chip of one lip: 1 where the other lip only rubs."""
        out_mm = 0.0055 * (1.0 + (rpm(data.speed_m_per_min, 2.2) / 11_000) ** 2)
        return 2.0 * out_mm / data.feed_mm_per_rev

    def _bent(self, data: CuttingData) -> float:
        """How much of what it bears is asked of the drill."""
        steps = pecks_of(data, self._path_xd) - 1
        uneven = min(self._uneven(data), 1.5)
        return (data.feed_mm_per_rev / 0.054) ** 0.9 * (0.9 + 0.35 * uneven + 0.008 * steps)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        uneven = min(self._uneven(data), 1.5)
        lips = 0.3 * (0.045 / feed) ** 0.5 * (1.0 + uneven) ** 1.2
        heat = 0.36 * min(speed / 66 * (feed / 0.045) ** 0.25 * (1 + 0.15 * uneven), 4.0) ** 3.6
        finds = 0.02 * (pecks_of(data, self._path_xd) - 1)
        return 240.0 / (lips + heat + finds + 0.2 * min(self._bent(data), 2.0) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        rubs = 1.0 + 0.15 * min(self._uneven(data), 1.5) ** 2
        return 2500 * data.feed_mm_per_rev**0.77 * 4.84 / 8000 * rubs

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.12 * min(self._uneven(data), 1.5)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.45 * logistic((self._bent(data) - 1.08) / 0.05)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.05 * min(self._uneven(data), 1.5) ** 2


class BogieFrame(Process):
    """Coated carbide, 18 mm through the walls of welded hollow frames, on a strong boring mill.

    The wall is a span without support: it bends under the thrust like a drumskin, and where the
    point comes out it springs back and the corners bite. Within a band of turns it drums and
    shakes the lips, most where the chip is thick enough to feed it. Heat from the cut stays in the
    thin wall. A long thin chip only winds around the drill and scratches its margins.
    """

    name = "bogie frame"
    physics = "a hollow wall bends and springs back at the exit; drums in a band of turns; heat"
    life_scatter = 0.2
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.6
    base_break = 0.005
    idle_pct = 4.0
    moving_min = 0.08
    machine = Machine(22.0, 900, 4000, max_feed_mm_per_min=6000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(25, 215), feed_mm_per_rev=(0.08, 0.7), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(74, 0.245), load_limit_pct=65,
        diameter_mm=18, depth_mm=20, max_test_holes=420, machine=machine, group="P",
        economics=Economics(7.0, 3.0, 720, 4, 190, 1100, 40, 0.5, currency="PLN"),
        substrate="carbide", through=True,
    )  # fmt: skip

    def _springs(self, data: CuttingData) -> float:
        """Bite of the corners when the wall comes back, 1 where it begins to nick them."""
        return (data.feed_mm_per_rev / 0.235) ** 1.2

    def _drums(self, data: CuttingData) -> float:
        off_rpm = rpm(data.speed_m_per_min, 18) - 1280
        return math.exp(-((off_rpm / 260) ** 2)) * logistic((data.feed_mm_per_rev - 0.17) / 0.03)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = 0.22 * (0.2 / feed) ** 0.5
        heat = 0.36 * min(speed / 112 * (feed / 0.2) ** 0.25, 4.0) ** 3.6
        nicks = 0.5 * min(self._springs(data), 4.0) ** 3.2
        winds = 0.15 * math.exp(-feed / 0.08)
        return 240.0 / (way + heat + nicks + winds + 0.35 * self._drums(data))

    def torque_n_m(self, data: CuttingData) -> float:
        return 1950 * data.feed_mm_per_rev**0.76 * 324 / 8000 * (1.0 + 0.06 * self._drums(data))

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.1 * self._drums(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.04 * self._drums(data) + 0.2 * logistic((self._springs(data) - 1.35) / 0.12)


class CutterArbor(Process):
    """High-speed steel, 9 mm and 7 x D along arbors of case-hardening steel, on a lathe.

    A drill that starts cold goes through a sticky stretch until it is warm: steel welds to the
    lips and takes grains along. Each full retract cools it, so each peck goes through it anew. In
    a hole that lies flat chips do not fall out; a stroke too long packs the flutes and the drill
    is twisted off. The warm end of a stroke tempers the corners.
    """

    name = "cutter arbor"
    physics = "each stroke starts cold and sticky; flat holes pack; warm ends of strokes temper"
    life_scatter = 0.24
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.015
    idle_pct = 6.0
    moving_min = 0.1
    machine = Machine(5.5, 1200, 4500, max_feed_mm_per_min=3000, rapid_mm_per_min=10_000)
    problem = Problem(
        speed_m_per_min=(7, 60), feed_mm_per_rev=(0.035, 0.33), peck_depth_xd=(0.3, 5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(20, 0.115, "full_retract", 0.9), load_limit_pct=60,
        diameter_mm=9, depth_mm=63, max_test_holes=90, machine=machine,
        economics=Economics(0.9, 3.0, 26, 4, 7, 40, 15, 0.4), point_angle_deg=130.0,
        substrate="hss",
    )  # fmt: skip

    _path_xd = 65.1 / 9
    _warms_min = 0.035

    def _stroke_xd(self, data: CuttingData) -> float:
        if data.peck_mode == "full_retract":
            return min(self._path_xd, data.peck_depth_xd)
        return self._path_xd

    def _minutes(self, data: CuttingData) -> float:
        turns = rpm(data.speed_m_per_min, 9)
        return self._stroke_xd(data) * 9 / feed_rate_mm_per_min(turns, data.feed_mm_per_rev)

    def _ends(self, data: CuttingData) -> float:
        """Warmth that a long stroke comes to; lips are sticky up to 0.5."""
        return (data.speed_m_per_min / 25) ** 0.7 * (data.feed_mm_per_rev / 0.14) ** 0.25

    def _sticky(self, data: CuttingData) -> float:
        """Minutes of a hole that the lips are sticky."""
        minutes, ends = self._minutes(data), self._ends(data)
        until = -self._warms_min * math.log(1.0 - 0.5 / ends) if ends > 0.5 else math.inf
        return min(until, minutes) * self._path_xd / self._stroke_xd(data)

    def _packed(self, data: CuttingData) -> float:
        """How full the flutes are; around 1 the drill is twisted off."""
        held_xd = self._stroke_xd(data)
        if data.peck_mode == "chip_break":
            held_xd *= 0.75
        return (held_xd / 3.0) ** 0.7 * (data.feed_mm_per_rev / 0.13) ** 0.5

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        way = 0.3 * (0.14 / feed) ** 0.7
        sticks = 1.6 * self._sticky(data) * data.speed_m_per_min / 25
        warm = self._ends(data) * (1.0 - 0.3 * math.exp(-self._minutes(data) / 0.06))
        tempers = 0.3 * min(warm, 3.0) ** 6
        packs = 0.2 * min(self._packed(data), 3.0) ** 2
        return 75.0 / (way + sticks + tempers + packs + 0.2 * (feed / 0.15) ** 3.2)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.3 * min(self._packed(data), 2.0) ** 2
        return 2000 * data.feed_mm_per_rev**0.77 * 81 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.08 * min(self._ends(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.45 * logistic((self._packed(data) - 1.12) / 0.07)


HELD_OUT: tuple[type[Process], ...] = (
    SwivelYoke, PistonCrown, MooringCleat, LanceTip, BogieFrame, CutterArbor,
)  # fmt: skip
