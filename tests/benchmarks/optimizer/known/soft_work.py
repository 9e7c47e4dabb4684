"""Drills in copper, brass, bronze, zinc, aluminium and magnesium. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class GrippingBronze(Process):
    """Carbide step drill, 16 and 25 mm in cast aluminium bronze, on a small lathe.

    Two drills in one: the point is crushed by feed, the corner of the step, which is further out,
    wears with speed. The edge is worn when the worse of them is. The spindle feels most when both
    cut. Bronze that gets warm swells and grips the margins: torque rises with the heat that is left
    in the hole, and more so with a worn drill. Pecks let emulsion in, but the step enters anew.
    """

    name = "gripping bronze"
    life_scatter = 0.18
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.8
    base_break = 0.006
    idle_pct = 5.0
    machine = Machine(5.5, 750, 3000, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(25, 150), feed_mm_per_rev=(0.06, 0.40), peck_depth_xd=(0.3, 2),
        peck_modes=("none", "chip_break"), start=CuttingData(50, 0.12), load_limit_pct=65,
        diameter_mm=25, depth_mm=55, max_test_holes=450, machine=machine, group="N",
        economics=Economics(1.0, 4.0, 290, 6, 48, 350, 30, 1.0),
    )  # fmt: skip

    def _pecks(self, data: CuttingData) -> int:
        return pecks_of(data, 59.5 / 25) - 1

    def _warm(self, data: CuttingData) -> float:
        """Heat that is left in the hole; 1 is a hole too hot to touch."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        heat = (speed / 80) ** 0.9 * (0.2 / feed) ** 0.25
        return heat * (1.0 - 0.4 * (1.0 - math.exp(-0.5 * self._pecks(data))))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        point = 280.0 * (0.2 / feed) ** 1.7 * (1.0 + 0.25 * min(speed / 60, 2.0))
        corner = 215.0 * (75 / speed) ** 2.8 * (feed / 0.2) ** 0.35
        corner /= (1.0 + 0.35 * self._warm(data) ** 2) * (1.0 + 0.04 * self._pecks(data))
        return (point**-3 + corner**-3) ** (-1 / 3)

    def torque_n_m(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        point = 1350 * feed**0.76 * 256 / 8000
        step = 1250 * feed**0.80 * (625 - 256) / 8000
        return (point + step) * (1.0 + 0.18 * self._warm(data) ** 1.5)

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.17 * min(self._warm(data), 2.5)

    def p_chip(self, data: CuttingData) -> float:
        thick = logistic((data.feed_mm_per_rev - 0.33) / 0.02)
        return 0.015 + 0.01 * self._pecks(data) + 0.1 * thick


class CopperTerminal(Process):
    """Polished high-speed steel, 8 x D in pure copper, 4.2 mm.

    The copper hardly wears the drill, but its chips never break by themselves: they wind up in the
    flutes, rub and smear on the margins until the hole is out of size. A peck cuts them off, a
    retract clears them and lets emulsion in, but takes its time and scrapes the wall. Heat makes
    the copper stick. Torque rises with the chips in the flutes.
    """

    name = "copper terminal"
    physics = "endless chips fill the flutes and smear on the margins; pecks cut or clear them"
    life_scatter = 0.27
    fresh_scatter = 0.04
    worn_scatter = 0.05
    load_curve = 1.0
    idle_pct = 7.0
    machine = Machine(1.5, 3000, 9000, max_feed_mm_per_min=2000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(18, 110), feed_mm_per_rev=(0.03, 0.20), peck_depth_xd=(0.5, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(42, 0.085, "full_retract", 1.5), load_limit_pct=60,
        diameter_mm=4.2, depth_mm=33, max_test_holes=900, machine=machine, group="N",
        economics=Economics(0.8, 1.5, 13, 2, 5, 35, 100, 0.4), substrate="hss",
    )  # fmt: skip

    _path_xd = 33.8 / 4.2

    def _entries(self, data: CuttingData) -> int:
        return pecks_of(data, self._path_xd) - 1

    def _wound(self, data: CuttingData) -> float:
        """How full of chips the flutes get, in diameters of hole whose chips are still there."""
        held = self._path_xd
        if data.peck_mode == "full_retract":
            held = min(held, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            held *= 0.3 + 0.7 * (1.0 - math.exp(-data.peck_depth_xd / 2.5))
        return held * (data.feed_mm_per_rev / 0.09) ** 0.3

    def _sticks(self, data: CuttingData) -> float:
        """How hot the margins get, 1 where the copper begins to stick."""
        cooled = 0.85 if data.peck_mode == "full_retract" else 1.0
        warm = (data.speed_m_per_min / 60) ** 0.8 * (data.feed_mm_per_rev / 0.09) ** 0.2
        return warm * cooled * (1.0 + 0.04 * self._wound(data))

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        smears = 0.3 + self._sticks(data) ** 3.2 * (0.09 / feed) ** 0.5
        packed = 1.0 + 0.035 * self._wound(data) ** 1.6
        each = 0.05 if data.peck_mode == "full_retract" else 0.015
        return 1050.0 / (smears * packed + each * self._entries(data) + 0.45 * (feed / 0.12) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        clogged = 1.0 + 0.09 * self._wound(data)
        return 1300 * data.feed_mm_per_rev**0.76 * 17.64 / 8000 * clogged

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.03 * min(self._wound(data), 8.0)


class BrassFitting(Process):
    """Carbide, 11 mm in lead-free silicon brass, on a rotary transfer machine.

    Hard silicides polish the flank, a little with speed and with the way it goes. Warm chips take
    copper to the rake, whose slope rises with heat. Keen lips pull themselves into brass: past a
    feed they take up the play of the slide at the exit, and corners chip.
    """

    name = "brass fitting"
    physics = "silicides polish the flank; a warm rake dissolves; keen lips grab at a high feed"
    life_scatter = 0.15
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.1
    base_break = 0.004
    idle_pct = 5.0
    machine = Machine(7.5, 1800, 8000, max_feed_mm_per_min=3500, rapid_mm_per_min=20_000)
    problem = Problem(
        speed_m_per_min=(40, 230), feed_mm_per_rev=(0.08, 0.50), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(95, 0.22), load_limit_pct=65,
        diameter_mm=11, depth_mm=22, max_test_holes=2000, machine=machine, group="N",
        economics=Economics(2.4, 5.0, 78, 4, 20, 120, 300, 0.6), substrate="carbide",
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        flank = 0.7 * (0.22 / feed) ** 0.6 * (speed / 110) ** 0.7
        rake = 0.3 * math.exp(min((speed * (feed / 0.22) ** 0.3 - 130) / 38, 8.0))
        return 2600.0 / (flank + rake + 0.25 * (feed / 0.34) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        return 900 * data.feed_mm_per_rev**0.8 * 121 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.05 * min(data.speed_m_per_min / 110, 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.015 + 0.2 * logistic((data.feed_mm_per_rev - 0.38) / 0.025)


class GearboxCover(Process):
    """Uncoated carbide, 6.8 mm in magnesium die castings, nearly dry, on a quick machine.

    The work wears the drill so little that few tests see its end; time is what a hole costs. Hard
    grains of the alloy grind the lips by the way they go, and burrs at the exit end a drill at high
    feed. Thin chips that run hot melt into the flutes, and the drill snaps: a wall that lies
    at high speed and low feed.
    """

    name = "gearbox cover"
    physics = "very little wear, time counts; burrs at high feed; hot thin chips melt and it snaps"
    life_scatter = 0.33
    fresh_scatter = 0.04
    worn_scatter = 0.04
    load_curve = 1.1
    base_break = 0.004
    idle_pct = 5.0
    machine = Machine(7.5, 4000, 16_000, max_feed_mm_per_min=6000, rapid_mm_per_min=45_000)
    problem = Problem(
        speed_m_per_min=(60, 340), feed_mm_per_rev=(0.08, 0.50), peck_depth_xd=(0.5, 2),
        peck_modes=("none", "chip_break"), start=CuttingData(135, 0.20), load_limit_pct=45,
        diameter_mm=6.8, depth_mm=21, max_test_holes=700, machine=machine, group="N",
        economics=Economics(2.1, 2.5, 58, 4, 16, 650, 350, 0.5), substrate="carbide", through=True,
    )  # fmt: skip

    def _burrs(self, data: CuttingData) -> float:
        return 0.5 * (data.feed_mm_per_rev / 0.34) ** 4.5

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        entries = pecks_of(data, 22.2 / 6.8) - 1
        ground = (0.22 / feed) ** 0.85 * (0.7 + 0.3 * (speed / 180) ** 2)
        return 3200.0 / (ground + self._burrs(data) + 0.02 * entries)

    def torque_n_m(self, data: CuttingData) -> float:
        return 520 * data.feed_mm_per_rev**0.78 * 46.24 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.25

    def p_break(self, data: CuttingData) -> float:
        cooled = 0.94 if data.peck_mode == "chip_break" else 1.0
        hot = data.speed_m_per_min * (0.2 / data.feed_mm_per_rev) ** 0.8 * cooled
        return self.base_break + 0.5 * logistic((hot - 212) / 12)


class BrakeRotor(Process):
    """Drill with diamond (PCD) lips, 10.5 mm in aluminium full of silicon carbide grains.

    Grains scour the edge by the way it goes. Slow, a cap of aluminium sits on it and takes the
    scouring, but loads the spindle and tears a little out when it goes. Very fast, diamond turns
    to graphite. Thick chips drive grains into the lips. It is dear and outlasts the longest test.
    """

    name = "brake rotor"
    physics = "grains scour; a cap of aluminium shields slow edges; hot diamond turns to graphite"
    life_scatter = 0.18
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.1
    base_break = 0.003
    idle_pct = 5.0
    machine = Machine(11, 3000, 12_000, max_feed_mm_per_min=5000, rapid_mm_per_min=40_000)
    problem = Problem(
        speed_m_per_min=(50, 380), feed_mm_per_rev=(0.05, 0.40), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(250, 0.13), load_limit_pct=50,
        diameter_mm=10.5, depth_mm=22, max_test_holes=500, machine=machine, group="N",
        economics=Economics(2.2, 3.0, 430, 3, 140, 600, 150, 0.6), through=True,
    )  # fmt: skip

    def _capped(self, data: CuttingData) -> float:
        warm = data.speed_m_per_min * (data.feed_mm_per_rev / 0.16) ** 0.25
        return logistic((115 - warm) / 6)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        scoured = (0.16 / feed) ** 0.8 * (0.55 + 0.45 * (speed / 150) ** 0.9)
        graphite = 0.15 * math.exp(min((speed * (feed / 0.16) ** 0.25 - 250) / 35, 6.0))
        driven = 0.3 * (feed / 0.23) ** 4
        return 1900.0 / (scoured * (1.0 - 0.42 * self._capped(data)) + graphite + driven)

    def torque_n_m(self, data: CuttingData) -> float:
        capped = 1.0 + 0.15 * self._capped(data)
        return 1050 * data.feed_mm_per_rev**0.74 * 110.25 / 8000 * capped

    def growth(self, data: CuttingData) -> float:
        return 1.35 - 0.1 * self._capped(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.01 + 0.04 * self._capped(data)


class LockHousing(Process):
    """High-speed steel, 3.3 mm and 6 x D in zinc die castings, with an air jet, hole after hole.

    The holes follow so quickly that the drill never cools: what it takes up in one hole is still
    there in the next. So the heat goes with how much of the time it is cutting, beside the speed of
    the lips. Too warm, zinc solders to the lands, holes get too wide and some drills twist off.
    Specks of hard metal grind; a high feed tears the thin wall at the bottom.
    """

    name = "lock housing"
    physics = "heat adds up from hole to hole with the share of time it cuts; warm zinc solders"
    life_scatter = 0.3
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.0
    base_break = 0.006
    idle_pct = 8.0
    moving_min = 0.022
    machine = Machine(1.1, 4500, 14_000, max_feed_mm_per_min=3000, rapid_mm_per_min=14_000)
    problem = Problem(
        speed_m_per_min=(18, 130), feed_mm_per_rev=(0.04, 0.32), peck_depth_xd=(0.5, 5),
        peck_modes=("none", "full_retract"), start=CuttingData(40, 0.12), load_limit_pct=70,
        diameter_mm=3.3, depth_mm=20, max_test_holes=2500, machine=machine, group="N",
        economics=Economics(1.4, 5.0, 3.2, 3, 1.6, 60, 500, 0.4), point_angle_deg=118.0,
        substrate="hss",
    )  # fmt: skip

    _path_xd = 20.6 / 3.3

    def _warm(self, data: CuttingData) -> float:
        """How warm the lands are; zinc solders around 1."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cutting = 20.6 / feed_rate_mm_per_min(rpm(speed, 3.3), feed) / self.cycle_min(data)
        bulk = speed / 70 * (feed / 0.12) ** 0.72 * cutting / 0.5
        return 0.45 * (speed / 70) ** 0.7 * (feed / 0.12) ** 0.2 + 0.4 * bulk

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = 0.6 * (0.12 / feed) ** 0.6 * (speed / 70) ** 0.5
        solders = 2.2 * logistic((self._warm(data) - 0.95) / 0.08)
        entries = 0.05 * (pecks_of(data, self._path_xd) - 1)
        return 1900.0 / (ground + solders + entries + 0.4 * (feed / 0.145) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.5 * logistic((self._warm(data) - 0.95) / 0.08)
        return 900 * data.feed_mm_per_rev**0.74 * 10.89 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.15 + 0.15 * min(self._warm(data), 1.5)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.3 * logistic((self._warm(data) - 1.15) / 0.05)
