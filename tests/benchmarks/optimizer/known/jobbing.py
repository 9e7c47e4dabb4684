"""Jobs of a jobbing shop, each with physics of its own. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class ShieldingBrick(Process):
    """Bright high-speed steel, 12 mm and 4 x D in bricks of lead with antimony, on a small mill.

    Soft lead is pressed into the flutes by the chips that follow, sooner when it is warm; where
    they are full it stands like a plug and twists the drill off. Crystals of antimony scratch the
    lips by their way. Warm lead also plates the rake, and an edge is done when it no longer cuts
    but pushes. A retract lets the crumbs fall, but some go back in with the point.
    """

    name = "shielding brick"
    physics = "soft metal is pressed into the flutes until they plug; it plates warm lips; crystals"
    life_scatter = 0.24
    fresh_scatter = 0.05
    worn_scatter = 0.05
    load_curve = 1.2
    base_break = 0.012
    idle_pct = 8.0
    moving_min = 0.1
    machine = Machine(2.2, 1000, 5000, max_feed_mm_per_min=1500, rapid_mm_per_min=6000)
    problem = Problem(
        speed_m_per_min=(12, 105), feed_mm_per_rev=(0.055, 0.5), peck_depth_xd=(0.3, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(35, 0.17, "full_retract", 0.8), load_limit_pct=60,
        diameter_mm=12, depth_mm=48, max_test_holes=120, machine=machine,
        economics=Economics(1.5, 3.0, 21, 5, 7, 60, 20, 0.4, currency="CHF"),
        point_angle_deg=118.0, substrate="hss",
    )  # fmt: skip

    _path_xd = 50.2 / 12

    def _warm(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 60 * (data.feed_mm_per_rev / 0.25) ** 0.3

    def _plugged(self, data: CuttingData) -> float:
        """How much of the flutes is pressed full; around 1 a plug stands."""
        held = self._path_xd
        if data.peck_mode == "full_retract":
            held = min(held, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            held *= 0.75
        softer = 0.75 + 0.25 * min(self._warm(data), 3.0) ** 2
        return (held / 2.0) ** 0.8 * (data.feed_mm_per_rev / 0.25) ** 0.4 * softer

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        crystals = 0.4 * (0.25 / feed) ** 0.7
        plates = 0.36 * min(self._warm(data), 4.0) ** 4
        pressed = 0.3 * min(self._plugged(data), 3.0) ** 2
        crumbs = 0.02 * (pecks_of(data, self._path_xd) - 1)
        return 85.0 / (crystals + plates + pressed + crumbs + 0.15 * (feed / 0.3) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        pressed = 1.0 + 0.5 * min(self._plugged(data), 2.0) ** 2
        return 330 * data.feed_mm_per_rev**0.7 * 144 / 8000 * pressed

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.1 * min(self._warm(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.45 * logistic((self._plugged(data) - 1.1) / 0.08)


class KnifeBed(Process):
    """High-speed steel, 9 mm through knife beds of plain carbon steel, held by a magnet table.

    The magnet goes up into the drill, and fine chips cling to it like a beard that is cut again
    and again. Thick chips are too heavy to cling, and a quick drill throws them off; steps back
    break them shorter, so that more of them cling, and a full retract drags the beard into the
    hole anew. But the chips of a stroke without steps crowd in the flutes. Corners temper.
    """

    name = "knife bed"
    physics = "a magnet makes fine chips cling and be cut again; turns throw them off; tempering"
    life_scatter = 0.25
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.015
    idle_pct = 5.0
    moving_min = 0.08
    machine = Machine(4.0, 1500, 6000, max_feed_mm_per_min=2500, rapid_mm_per_min=12_000)
    problem = Problem(
        speed_m_per_min=(7, 62), feed_mm_per_rev=(0.04, 0.37), peck_depth_xd=(0.25, 3),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(21, 0.125, "chip_break", 0.8), load_limit_pct=65,
        diameter_mm=9, depth_mm=30, max_test_holes=110, machine=machine, group="P",
        economics=Economics(0.9, 2.0, 11, 4, 3.5, 35, 25, 0.4, currency="GBP"),
        point_angle_deg=130.0, substrate="hss", through=True,
    )  # fmt: skip

    _path_xd = 31.6 / 9

    def _beard(self, data: CuttingData) -> float:
        """How thick the beard of chips is, 1 for the finest at a slow drill."""
        fine = 1.0 / (1.0 + (data.feed_mm_per_rev / 0.13) ** 2.5)
        stays = 1.0 / (1.0 + (rpm(data.speed_m_per_min, 9) / 1150) ** 2)
        short = 1.0
        if data.peck_mode == "chip_break":
            short += 0.4 * math.exp(-data.peck_depth_xd / 0.9)
        return fine * (0.25 + 0.75 * stays) * short

    def _crowd(self, data: CuttingData) -> float:
        held_xd = self._path_xd
        if data.peck_mode == "full_retract":
            held_xd = min(held_xd, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            held_xd = 0.5 * held_xd + 0.5 * min(held_xd, data.peck_depth_xd)
        return (held_xd / 3.5) ** 1.5

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        hot = data.speed_m_per_min / 29 * (feed / 0.18) ** 0.36
        dragged = 1.0
        if data.peck_mode == "full_retract":
            dragged += 0.22 * (pecks_of(data, self._path_xd) - 1)
        way = 0.34 * (0.18 / feed) ** 0.7
        again = 0.55 * self._beard(data) * dragged
        thick = 0.26 * (feed / 0.2) ** 3.4
        return 130.0 / (way + 0.36 * hot**4.6 + again + 0.2 * self._crowd(data) + thick)

    def torque_n_m(self, data: CuttingData) -> float:
        drag = 1.0 + 0.25 * self._beard(data) + 0.12 * self._crowd(data)
        return 2150 * data.feed_mm_per_rev**0.78 * 81 / 8000 * drag

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.2 * self._beard(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.08 * self._beard(data)


class SightGlass(Process):
    """Polished carbide, 10 mm through covers of clear acrylic, with air and a drop of water.

    A hole must stay clear. Warm walls smear and go hazy, the sooner the longer a stroke and the
    thinner the chip, which takes less heat along; cold acrylic crazes under a thick chip. Lips
    round by their way alone, the acrylic being so soft, but it takes keen ones to cut it clear.
    The block gets softer where it is warm, and so does the load.
    """

    name = "sight glass"
    physics = "a hole must stay clear: warm walls go hazy, cold ones craze; keen lips round by way"
    life_scatter = 0.18
    fresh_scatter = 0.05
    worn_scatter = 0.05
    load_curve = 1.0
    base_break = 0.004
    idle_pct = 9.0
    moving_min = 0.06
    machine = Machine(2.2, 6000, 12_000, max_feed_mm_per_min=3000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(15, 140), feed_mm_per_rev=(0.025, 0.24), peck_depth_xd=(0.3, 3),
        peck_modes=("none", "full_retract"), start=CuttingData(46, 0.08, "full_retract", 0.8),
        load_limit_pct=50, diameter_mm=10, depth_mm=22, max_test_holes=300, machine=machine,
        economics=Economics(1.05, 3.0, 64, 3, 22, 40, 15, 0.3, currency="USD"),
        substrate="carbide", through=True,
    )  # fmt: skip

    _path_xd = 23.8 / 10

    def _warm(self, data: CuttingData) -> float:
        """Warmth of the walls, 1 where they begin to smear."""
        stroke_xd = self._path_xd
        if data.peck_mode == "full_retract":
            stroke_xd = min(stroke_xd, data.peck_depth_xd)
        rubbed = (data.speed_m_per_min / 80) ** 0.9 * (0.12 / data.feed_mm_per_rev) ** 0.25
        return rubbed * (stroke_xd / 1.2) ** 0.45

    def life(self, data: CuttingData) -> float:
        feed, warm = data.feed_mm_per_rev, self._warm(data)
        rounds = 0.34 * (0.12 / feed) ** 0.75
        hazes = 0.42 * min(warm, 4.0) ** 4.2
        crazes = 0.24 * (feed / 0.14) ** 3 * (0.8 + 0.9 * math.exp(-1.8 * warm))
        marks = 0.02 * (pecks_of(data, self._path_xd) - 1)
        return 240.0 / (rounds + hazes + crazes + marks)

    def torque_n_m(self, data: CuttingData) -> float:
        softer = 1.3 - 0.25 * min(self._warm(data), 1.6)
        return 150 * data.feed_mm_per_rev**0.68 * 100 / 8000 * softer

    def growth(self, data: CuttingData) -> float:
        return 1.45 + 0.06 * min(self._warm(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.01 + 0.03 * (data.feed_mm_per_rev / 0.14) ** 2


class BoltCircle(Process):
    """Four coated carbide drills at once, 11 mm through malleable iron hubs, in a gang head.

    One spindle turns four drills by gears, whose drag goes up with the turns; an edge is a set of
    four. The drills stand so close that none cools alone: corners get hotter, the greater the
    share of the time that they are in iron. All four come out in the same turn, and the head
    lurches forward with the thrust that is gone. Four drills take all that the motor has.
    """

    name = "bolt circle"
    physics = "four drills on one motor; gears drag with turns; heat by share of time; a lurch"
    life_scatter = 0.15
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.6
    base_break = 0.025
    idle_pct = 4.0
    moving_min = 0.09
    machine = Machine(6.5, 1200, 3600, max_feed_mm_per_min=1500, rapid_mm_per_min=10_000)
    problem = Problem(
        speed_m_per_min=(17, 155), feed_mm_per_rev=(0.04, 0.38), peck_depth_xd=(0.4, 2),
        peck_modes=("none",), start=CuttingData(50, 0.125), load_limit_pct=85,
        diameter_mm=11, depth_mm=16, max_test_holes=650, machine=machine, group="K",
        economics=Economics(19, 14.0, 5200, 4, 1500, 3800, 100, 1.5, currency="CZK"),
        substrate="carbide", through=True, maker_speed_m_per_min=(60, 110),
        maker_feed_mm_per_rev=(0.15, 0.3),
    )  # fmt: skip

    def _share_cut(self, data: CuttingData) -> float:
        """Share of the time that the drills are in iron."""
        cut = 18.0 / feed_rate_mm_per_min(rpm(data.speed_m_per_min, 11), data.feed_mm_per_rev)
        return cut / (cut + 0.02 + self.moving_min)

    def _hot(self, data: CuttingData) -> float:
        warmed = 0.8 + 0.4 * self._share_cut(data)
        return data.speed_m_per_min / 96 * (data.feed_mm_per_rev / 0.2) ** 0.27 * warmed

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        way = 0.36 * (0.2 / feed) ** 0.85
        lurch = 0.2 * (feed / 0.25) ** 3
        return 420.0 / (0.08 + way + 0.4 * min(self._hot(data), 4.0) ** 3.5 + lurch)

    def torque_n_m(self, data: CuttingData) -> float:
        gears = 1.8 * (rpm(data.speed_m_per_min, 11) / 1500) ** 0.8
        return gears + 4 * 1250 * data.feed_mm_per_rev**0.74 * 121 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.26 + 0.07 * min(self._hot(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.04 + 0.05 * min(data.feed_mm_per_rev / 0.25, 1.6) ** 3


class RudderStock(Process):
    """Coated carbide, 15.5 mm and 3 x D in stocks of steel with 13 % chromium, on a boring mill.

    The quill is far out and gives way sideways: a drill that no thick chip holds down whirls, the
    more the quicker it turns, and batters its margins in a hole with three corners; each step back
    lets it begin to whirl anew. Too much thrust bows the quill. Slow, the steel welds to the lips;
    quick, heat wears them, but makes the steel softer to cut. Long chips scour the flutes.
    """

    name = "rudder stock"
    physics = "a long quill lets thin chips whirl, thick ones bow it; welding; heat; long chips"
    life_scatter = 0.22
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.7
    base_break = 0.012
    idle_pct = 7.0
    moving_min = 0.12
    machine = Machine(11.0, 700, 2400, max_feed_mm_per_min=1500, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(16, 116), feed_mm_per_rev=(0.037, 0.34), peck_depth_xd=(0.4, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(47, 0.115), load_limit_pct=70,
        diameter_mm=15.5, depth_mm=45, max_test_holes=100, machine=machine, group="M",
        economics=Economics(14, 4.0, 2150, 3, 540, 4500, 20, 0.7, currency="NOK"),
        substrate="carbide", maker_speed_m_per_min=(50, 90), maker_feed_mm_per_rev=(0.12, 0.24),
    )  # fmt: skip

    _path_xd = 47.8 / 15.5

    def _whirl(self, data: CuttingData) -> float:
        """How much of a hole it whirls, counted anew at each step."""
        held_by = 0.115 * (data.speed_m_per_min / 60) ** 0.35
        steps = pecks_of(data, self._path_xd) - 1
        return logistic((held_by - data.feed_mm_per_rev) / 0.018) * (1.0 + 0.2 * steps)

    def _strings(self, data: CuttingData) -> float:
        if data.peck_mode == "none":
            return 1.0
        return 1.0 - math.exp(-data.peck_depth_xd / 1.2)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        lips = 0.3 * (0.17 / feed) ** 0.6
        welds = 0.3 * logistic((42 - speed) / 6)
        heat = 0.38 * (speed / 70 * (feed / 0.17) ** 0.3) ** 3.5
        bows = 0.22 * (feed / 0.2) ** 3.4
        flutes = 0.1 * self._strings(data)
        return 105.0 / (lips + welds + heat + bows + flutes + 0.3 * self._whirl(data))

    def torque_n_m(self, data: CuttingData) -> float:
        softer = (60 / data.speed_m_per_min) ** 0.1
        drags = 1.0 + 0.1 * self._strings(data) + 0.08 * min(self._whirl(data), 2.0)
        return 2350 * data.feed_mm_per_rev**0.79 * 240.25 / 8000 * softer * drags

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.08 * min(self._whirl(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        bowed = min(data.feed_mm_per_rev / 0.22, 1.6) ** 4
        return 0.02 + 0.05 * min(self._whirl(data), 2.0) + 0.05 * bowed


class AnodeHanger(Process):
    """Cobalt drill, 7 mm through hangers of pure titanium, with oil, on a light milling machine.

    Titanium gives way to the drill and springs back on its margins, over all the stroke; where the
    walls are warm and no oil has come for long they seize it and it is twisted off. A retract lets
    the walls go and oil in, but titanium that sticks to the margins is torn off on the way, with
    grains of the edge. Lips wear by way, corners steeply by heat.
    """

    name = "anode hanger"
    physics = "walls spring back on the margins and seize a long warm stroke; retracts tear grains"
    life_scatter = 0.28
    fresh_scatter = 0.04
    worn_scatter = 0.045
    load_curve = 1.4
    base_break = 0.02
    idle_pct = 8.0
    moving_min = 0.05
    machine = Machine(2.2, 1800, 7000, max_feed_mm_per_min=1500, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(3, 28), feed_mm_per_rev=(0.025, 0.22), peck_depth_xd=(0.25, 2.5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(9.5, 0.075, "full_retract", 0.7), load_limit_pct=60,
        diameter_mm=7, depth_mm=18, max_test_holes=60, machine=machine, group="S",
        economics=Economics(95, 2.0, 2300, 3, 700, 6000, 10, 0.4, currency="JPY"),
        point_angle_deg=135.0, substrate="cobalt", through=True,
        maker_speed_m_per_min=(8, 16), maker_feed_mm_per_rev=(0.07, 0.14),
    )  # fmt: skip

    _path_xd = 19.3 / 7

    def _grip(self, data: CuttingData) -> float:
        """How hard the walls grip; around 1 they seize the drill."""
        stroke_xd = self._path_xd
        if data.peck_mode == "full_retract":
            stroke_xd = min(stroke_xd, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            stroke_xd = 0.8 * stroke_xd + 0.2 * min(stroke_xd, data.peck_depth_xd)
        long = (stroke_xd / self._path_xd) ** 0.6
        return long * (data.speed_m_per_min / 14) ** 0.8 * (0.11 / data.feed_mm_per_rev) ** 0.2

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.35 * (0.11 / feed) ** 0.65
        corners = 0.36 * min(data.speed_m_per_min / 14 * (feed / 0.11) ** 0.35, 4.0) ** 4.2
        margins = 0.28 * min(self._grip(data), 3.0) ** 1.5
        torn = 0.035 * (pecks_of(data, self._path_xd) - 1)
        if data.peck_mode == "chip_break":
            torn *= 0.4
        return 48.0 / (lips + corners + margins + torn + 0.2 * (feed / 0.135) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        rubs = 1.0 + 0.3 * min(self._grip(data), 2.0)
        return 1750 * data.feed_mm_per_rev**0.76 * 49 / 8000 * rubs

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.14 * min(self._grip(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._grip(data) - 1.0) / 0.07)
