"""Jobs of a subcontractor, each with physics of its own. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class EjectorPlate(Process):
    """Coated carbide, 6 mm and 6 x D in prehardened mould steel, with emulsion from outside.

    The jet does not get far down: what is drilled without coming out is drilled nearly dry. Thin
    chips curl loosely and thick ones are stiff; both take up room in the flutes, and too full a
    flute jams and breaks the drill in a plate that has to be eroded free. Whenever the drill goes
    back in it runs upon a crumb that fell to the bottom, and the harder so with a high feed.
    """

    name = "ejector plate"
    physics = "dry below the jet; loose or stiff chips fill the flutes and jam; crumbs at re-entry"
    life_scatter = 0.22
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.7
    base_break = 0.01
    idle_pct = 5.0
    moving_min = 0.04
    machine = Machine(5.5, 2500, 10_000, max_feed_mm_per_min=6000, rapid_mm_per_min=24_000)
    problem = Problem(
        speed_m_per_min=(18, 150), feed_mm_per_rev=(0.03, 0.26), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(46, 0.09, "full_retract", 1.1), load_limit_pct=55,
        diameter_mm=6, depth_mm=36, max_test_holes=500, machine=machine, group="P",
        economics=Economics(1.25, 2.5, 46, 3, 16, 190, 50, 0.4), substrate="carbide",
        through=True, maker_speed_m_per_min=(45, 80), maker_feed_mm_per_rev=(0.07, 0.14),
    )  # fmt: skip

    _path_xd = 37.1 / 6

    def _without_rest_xd(self, data: CuttingData) -> float:
        """Way between two washes of the flutes; a step back only lets a little oil creep in."""
        if data.peck_mode == "full_retract":
            return min(data.peck_depth_xd, self._path_xd)
        if data.peck_mode == "chip_break":
            return min(self._path_xd, 3.4 + 0.5 * data.peck_depth_xd)
        return self._path_xd

    def _full(self, data: CuttingData) -> float:
        """How full the flutes get, 1 where they begin to jam."""
        feed = data.feed_mm_per_rev
        room = 0.5 * (0.075 / feed) ** 0.7 + 0.5 * (feed / 0.12) ** 0.9
        return self._without_rest_xd(data) / 3.6 * room

    def _hot(self, data: CuttingData) -> float:
        dry = 1.0 - math.exp(-self._without_rest_xd(data) / 2.5)
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return speed / 72 * (feed / 0.1) ** 0.25 * (0.78 + 0.34 * dry)

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.34 * (0.1 / feed) ** 0.7
        heat = 0.38 * min(self._hot(data), 4.0) ** 3.3
        each = {"none": 0.0, "chip_break": 0.012, "full_retract": 0.034}[data.peck_mode]
        crumbs = each * (pecks_of(data, self._path_xd) - 1) * (feed / 0.1) ** 0.6
        rubs = 0.22 * min(self._full(data), 3.0) ** 2
        return 330.0 / (lips + heat + crumbs + rubs + 0.3 * (feed / 0.15) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.2 * min(self._full(data), 3.0)
        return 2450 * data.feed_mm_per_rev**0.77 * 36 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.07 * min(self._full(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._full(data) - 1.2) / 0.08)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.1 * logistic((data.feed_mm_per_rev - 0.19) / 0.015)


class StrainerBasket(Process):
    """Cobalt drill, 2.5 mm through stainless sheet of 3 mm, thousands of holes, on a small mill.

    Each hole leaves its heat in the sheet before the next one: the quicker they follow, the warmer
    the sheet, and warm steel wears the corners. The walls of the holes before are hard and spring
    the sheet up, and a thin chip is cut in what the last turn has hardened. At the exit a cap hangs
    on; it is torn off with a thick chip, and the corners suffer.
    """

    name = "strainer basket"
    physics = "holes in quick succession warm the sheet; thin chips in a hardened skin; exit caps"
    life_scatter = 0.3
    fresh_scatter = 0.05
    worn_scatter = 0.05
    load_curve = 1.3
    base_break = 0.015
    idle_pct = 12.0
    moving_min = 0.012
    machine = Machine(1.1, 2500, 8000, max_feed_mm_per_min=2000, rapid_mm_per_min=10_000)
    problem = Problem(
        speed_m_per_min=(5, 50), feed_mm_per_rev=(0.015, 0.15), peck_depth_xd=(0.3, 1.2),
        peck_modes=("none",), start=CuttingData(13, 0.05), load_limit_pct=50,
        diameter_mm=2.5, depth_mm=3, max_test_holes=900, machine=machine, group="M",
        economics=Economics(0.85, 1.5, 3.6, 0, 0, 12, 200, 0.3), point_angle_deg=130.0,
        substrate="cobalt", through=True,
    )  # fmt: skip

    def _celsius(self, data: CuttingData) -> float:
        """Of the sheet around the next hole: heat of a hole times holes in a minute."""
        each = 0.75 * (0.06 / data.feed_mm_per_rev) ** 0.25 * (data.speed_m_per_min / 18) ** 0.3
        return 20 + 2.6 * each / self.cycle_min(data)

    def _hot(self, data: CuttingData) -> float:
        warm = 1.0 + (self._celsius(data) - 50) / 400
        return data.speed_m_per_min / 20 * (data.feed_mm_per_rev / 0.06) ** 0.3 * warm

    def _thin(self, data: CuttingData) -> float:
        """Share of the chip that lies within the hardened skin."""
        return math.exp(-data.feed_mm_per_rev / 0.035)

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.3 * (0.06 / feed) ** 0.5 * (1.0 + 1.4 * self._thin(data))
        heat = 0.4 * min(self._hot(data), 4.0) ** 3.8
        caps = 0.5 * (feed / 0.075) ** 2.6
        return 560.0 / (lips + heat + caps)

    def torque_n_m(self, data: CuttingData) -> float:
        hard = 1.0 + 0.35 * self._thin(data)
        return 2600 * data.feed_mm_per_rev**0.78 * 6.25 / 8000 * hard

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.25 * self._thin(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.08 * logistic((data.feed_mm_per_rev - 0.1) / 0.012)


class TineHolder(Process):
    """Coated carbide, 13 mm through tine holders of austempered iron, on a light mill.

    This iron turns hard where it is pressed while it is cool: a thin slow chip makes martensite of
    the bottom that the next turn has to cut. With heat it stays as it is, but heat takes the
    coating. Graphite helps the lips little, the skin of the casting nicks the corners. The light
    spindle has hardly enough torque for a decent chip, and even less when the iron has turned.
    """

    name = "tine holder"
    physics = "iron turns hard where it is pressed cool, with more torque; heat takes the coating"
    life_scatter = 0.2
    fresh_scatter = 0.025
    worn_scatter = 0.035
    load_curve = 1.5
    base_break = 0.008
    idle_pct = 5.0
    moving_min = 0.05
    machine = Machine(4.0, 1500, 6000, max_feed_mm_per_min=4000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(18, 160), feed_mm_per_rev=(0.05, 0.48), peck_depth_xd=(0.4, 2),
        peck_modes=("none",), start=CuttingData(44, 0.14), load_limit_pct=85,
        diameter_mm=13, depth_mm=28, max_test_holes=350, machine=machine, group="K",
        economics=Economics(1.15, 2.0, 92, 5, 24, 80, 50, 0.5), substrate="carbide", through=True,
        maker_speed_m_per_min=(45, 85), maker_feed_mm_per_rev=(0.12, 0.26),
    )  # fmt: skip

    def _turned(self, data: CuttingData) -> float:
        """Share of the bottom that has turned hard."""
        cool = logistic((58 - data.speed_m_per_min) / 11)
        return cool * math.exp(-((data.feed_mm_per_rev / 0.2) ** 1.5))

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 78 * (data.feed_mm_per_rev / 0.2) ** 0.25

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        way = 0.4 * (0.18 / feed) ** 0.75 * (1.0 + 1.6 * self._turned(data))
        coating = 0.36 * min(self._hot(data), 3.5) ** 3.7
        skin = 0.14 * (feed / 0.18) ** 0.8
        return 250.0 / (way + coating + skin + 0.25 * (feed / 0.34) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        hard = 1.0 + 0.3 * self._turned(data)
        return 1650 * data.feed_mm_per_rev**0.76 * 169 / 8000 * hard

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.15 * self._turned(data) + 0.05 * min(self._hot(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.12 * logistic((data.feed_mm_per_rev - 0.36) / 0.03)


class SheaveBlank(Process):
    """High-speed steel with a taper shank, 30 mm through hubs of cast steel, on a radial drill.

    Oil is poured into the hole from above: it gets to the lips when the drill comes out, and boils
    off while it cuts, so the corners temper by the minutes of a peck. The cast face holds sand
    that scours by turns. The chisel edge squeezes more than it cuts and adds a drag that hardly
    goes with the feed. The motor is old and small for such a drill.
    """

    name = "sheave blank"
    physics = "oil boils off by the minute of a peck; sand scours by turns; a chisel that drags"
    life_scatter = 0.25
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.4
    base_break = 0.005
    idle_pct = 9.0
    moving_min = 0.25
    machine = Machine(3.0, 220, 1600, max_feed_mm_per_min=500, rapid_mm_per_min=3000)
    problem = Problem(
        speed_m_per_min=(7, 60), feed_mm_per_rev=(0.07, 0.65), peck_depth_xd=(0.3, 2.5),
        peck_modes=("none", "full_retract"),
        start=CuttingData(17, 0.18, "full_retract", 0.8), load_limit_pct=90,
        diameter_mm=30, depth_mm=60, max_test_holes=90, machine=machine, group="P",
        economics=Economics(0.75, 4.0, 64, 12, 7, 45, 10, 0.5), point_angle_deg=118.0,
        substrate="hss", through=True,
    )  # fmt: skip

    _path_xd = 69.0 / 30

    def _minutes(self, data: CuttingData) -> float:
        """In the cut without fresh oil."""
        way_xd = self._path_xd
        if data.peck_mode == "full_retract":
            way_xd = min(way_xd, data.peck_depth_xd)
        return way_xd * 30 / feed_rate_mm_per_min(rpm(data.speed_m_per_min, 30),
                                                  data.feed_mm_per_rev)  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        dry = 1.0 - math.exp(-self._minutes(data) / 0.6)
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return speed / 25 * (feed / 0.25) ** 0.3 * (0.75 + 0.4 * dry)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        sand = 0.3 * (0.25 / feed) * (0.5 + 0.5 * speed / 22)
        way = 0.25 * (0.25 / feed) ** 0.4
        tempers = 0.42 * min(self._hot(data), 4.0) ** 4.2
        starts = 0.03 * (pecks_of(data, self._path_xd) - 1)
        return 48.0 / (sand + way + tempers + starts + 0.2 * (feed / 0.42) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        packs = 1.0 + 0.05 * self._minutes(data) / (0.5 + self._minutes(data))
        return (1780 * data.feed_mm_per_rev**0.84 * 900 / 8000 + 9.0) * packs

    def growth(self, data: CuttingData) -> float:
        return 1.24 + 0.07 * min(self._hot(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.05 * logistic((data.feed_mm_per_rev - 0.5) / 0.04)


class SealHousing(Process):
    """Coated carbide with coolant through it, 10.2 mm in duplex stainless, on a turning centre.

    The pump is weak and carries off only so many chips in a minute: beyond that they crowd the
    flutes, drag, and at last jam and break the drill. Slow, the ferrite welds on and is torn off
    again with grains of the coating. Each retract quenches hot lips, which get comb cracks of it
    and chip. A step back breaks the chips a little, and rubs on a bottom that was left hard.
    """

    name = "seal housing"
    physics = "a weak pump carries off so many chips a minute; slow welding; quenched lips crack"
    life_scatter = 0.24
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.6
    base_break = 0.012
    idle_pct = 4.0
    moving_min = 0.07
    machine = Machine(
        6.5, 2000, 5000, max_feed_mm_per_min=5000, rapid_mm_per_min=20_000, coolant_bar=12
    )
    problem = Problem(
        speed_m_per_min=(16, 140), feed_mm_per_rev=(0.04, 0.36), peck_depth_xd=(0.4, 3),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(43, 0.115), load_limit_pct=60,
        diameter_mm=10.2, depth_mm=34, max_test_holes=280, machine=machine, group="M",
        economics=Economics(1.5, 3.0, 118, 3, 30, 260, 20, 0.5), substrate="carbide",
        maker_speed_m_per_min=(40, 75), maker_feed_mm_per_rev=(0.09, 0.2),
    )  # fmt: skip

    _path_xd = 35.9 / 10.2

    def _crowded(self, data: CuttingData) -> float:
        """Chips made in a minute over what the pump carries off."""
        made = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 10.2), data.feed_mm_per_rev) / 480
        if data.peck_mode == "none":
            return made
        shorter = min(data.peck_depth_xd / self._path_xd, 1.0)
        return made * (0.82 + 0.18 * shorter if data.peck_mode == "chip_break"
                       else 0.6 + 0.4 * shorter)  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        crowd = 1.0 + 0.1 * min(self._crowded(data), 2.0) ** 2
        return data.speed_m_per_min / 68 * (data.feed_mm_per_rev / 0.14) ** 0.3 * crowd

    def _welds(self, data: CuttingData) -> float:
        return logistic((44 - data.speed_m_per_min) / 6)

    def _quenched(self, data: CuttingData) -> float:
        if data.peck_mode != "full_retract":
            return 0.0
        return (pecks_of(data, self._path_xd) - 1) * min(self._hot(data), 3.0) ** 2

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.36 * (0.14 / feed) ** 0.7 * (1.0 + 0.7 * self._welds(data))
        heat = 0.4 * min(self._hot(data), 4.0) ** 3.5
        rubs = 0.2 * min(self._crowded(data), 3.0) ** 2
        bottoms = 0.0
        if data.peck_mode != "none":
            bottoms = 0.035 * (pecks_of(data, self._path_xd) - 1) * (0.14 / feed) ** 0.4
        cracks = 0.05 * self._quenched(data)
        return 190.0 / (lips + heat + rubs + bottoms + cracks + 0.25 * (feed / 0.24) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.12 * min(self._crowded(data), 3.0) ** 2 + 0.08 * self._welds(data)
        return 2350 * data.feed_mm_per_rev**0.77 * 104.04 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.32 + 0.08 * self._welds(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.45 * logistic((self._crowded(data) - 1.15) / 0.07)

    def p_chip(self, data: CuttingData) -> float:
        return 0.025 + 0.2 * (1.0 - math.exp(-0.12 * self._quenched(data)))


class ZincLever(Process):
    """Bright high-speed steel, 4.2 mm in levers of die-cast zinc, with mist, on a tapping centre.

    Zinc hardly wears a drill, but it softens where it gets warm: it smears on the margins and
    thickens them, the hole hugs the drill, and drag makes more heat. The mist keeps up with only
    so much work. The chilled skin wears the corners once a hole; pores below it let the lips fall
    in and bite, the deeper the thicker the chip. A drill is cheap and time is all.
    """

    name = "zinc lever"
    physics = "warm zinc smears and hugs the drill; a chilled skin once a hole; bites into pores"
    life_scatter = 0.28
    fresh_scatter = 0.04
    worn_scatter = 0.05
    load_curve = 1.2
    base_break = 0.006
    idle_pct = 7.0
    moving_min = 0.018
    machine = Machine(1.5, 4000, 12_000, max_feed_mm_per_min=6000, rapid_mm_per_min=36_000)
    problem = Problem(
        speed_m_per_min=(16, 140), feed_mm_per_rev=(0.04, 0.38), peck_depth_xd=(0.5, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(46, 0.13), load_limit_pct=55,
        diameter_mm=4.2, depth_mm=17, max_test_holes=1500, machine=machine, group="N",
        economics=Economics(1.0, 1.0, 5.5, 1, 3, 20, 200, 0.25), point_angle_deg=118.0,
        substrate="hss",
    )  # fmt: skip

    _path_xd = 18.3 / 4.2

    def _celsius(self, data: CuttingData) -> float:
        """Of the wall, at its warmest; coming out lets the mist in."""
        way_xd = self._path_xd
        if data.peck_mode == "full_retract":
            way_xd = min(way_xd, 0.8 + data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            way_xd *= 0.92
        rubs = (data.speed_m_per_min / 60) ** 0.75 * (0.16 / data.feed_mm_per_rev) ** 0.15
        return 20 + 88 * rubs * (way_xd / self._path_xd) ** 0.4

    def _smears(self, data: CuttingData) -> float:
        return logistic((self._celsius(data) - 135) / 13)

    def _bites(self, data: CuttingData) -> float:
        return data.feed_mm_per_rev / 0.24

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        skin = 0.3 * (data.speed_m_per_min / 60) ** 0.5
        way = 0.25 * (0.16 / feed) ** 0.8
        welded = 2.2 * self._smears(data) + 0.3 * (self._celsius(data) / 150) ** 4
        starts = 0.02 * (pecks_of(data, self._path_xd) - 1)
        return 1300.0 / (skin + way + welded + starts + 0.9 * min(self._bites(data), 2.0) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        softer = 1.0 - 0.12 * logistic((self._celsius(data) - 110) / 25)
        hugs = 1.0 + 0.5 * self._smears(data)
        return 780 * data.feed_mm_per_rev**0.78 * 17.64 / 8000 * softer * hugs

    def growth(self, data: CuttingData) -> float:
        return 1.22 + 0.3 * self._smears(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.15 * logistic((self._bites(data) - 1.5) / 0.04)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.12 * logistic((self._bites(data) - 1.25) / 0.08)
