"""Six newer processes: held out once, no longer since their tables were seen."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.processes import logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


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


class NozzleBody(Process):
    """Carbide, 12 x D in case-hardening steel, 1.4 mm, from a pilot hole, with coolant through it.

    The thin drill whips in its pilot above a spindle speed, and snaps: more thrust steadies it, so
    a high feed puts that speed up. With full retracts it enters the pilot as often as it retracts.
    A chip thinner than the rounding of the edge is not cut but ploughed. Chips packed in the
    flutes rub; pecks shorten them.
    """

    name = "nozzle body"
    physics = "snaps when it whips above a spindle speed; thin chips plough; pecks shorten chips"
    life_scatter = 0.28
    fresh_scatter = 0.04
    worn_scatter = 0.05
    load_curve = 2.0
    base_break = 0.03
    idle_pct = 7.0
    machine = Machine(
        0.8, 12_000, 32_000, max_feed_mm_per_min=3000, rapid_mm_per_min=20_000, coolant_bar=80
    )
    problem = Problem(
        speed_m_per_min=(20, 130), feed_mm_per_rev=(0.010, 0.080), peck_depth_xd=(0.5, 6),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(36, 0.025, "chip_break", 1.5), load_limit_pct=55,
        diameter_mm=1.4, depth_mm=16.8, max_test_holes=1000, machine=machine, group="P",
        economics=Economics(1.2, 2.0, 47, 0, 0, 160, 60, 0.5), substrate="carbide",
    )  # fmt: skip

    _path_xd = 17.05 / 1.4

    def _packed(self, data: CuttingData) -> float:
        held = self._path_xd if data.peck_mode == "none" else data.peck_depth_xd
        return 1.0 - math.exp(-held / 5.0) * (0.035 / max(data.feed_mm_per_rev, 0.035)) ** 0.5

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        entries = pecks_of(data, self._path_xd) - 1
        each = 0.03 if data.peck_mode == "full_retract" else 0.012
        way = (0.03 / feed) ** 0.6 * (0.35 + 0.65 * (speed / 80) ** 2.2)
        ploughed = 1.0 + (0.014 / feed) ** 2
        pressed = 0.3 * (feed / 0.045) ** 3.5
        return 640.0 / ((way * ploughed + pressed) * (1.0 + 0.7 * self._packed(data))
                        + each * entries)  # fmt: skip

    def torque_n_m(self, data: CuttingData) -> float:
        ploughed = 1.0 + 0.25 * (0.014 / data.feed_mm_per_rev) ** 2
        rubs = 1.0 + 0.6 * self._packed(data)
        return 2350 * data.feed_mm_per_rev**0.75 * 1.96 / 8000 * ploughed * rubs

    def p_break(self, data: CuttingData) -> float:
        steadied = 10_400 * (0.75 + 0.25 * min(data.feed_mm_per_rev / 0.03, 2.0))
        once = 0.6 * logistic((rpm(data.speed_m_per_min, 1.4) - steadied) / 350)
        entries = pecks_of(data, self._path_xd) if data.peck_mode == "full_retract" else 1
        snaps = 1.0 - (1.0 - once) ** (entries**0.5)
        return self.base_break + 0.9 * snaps + 0.02 * self._packed(data)


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


class GraphiteElectrode(Process):
    """Diamond-coated carbide, 8 x D in fine-grained graphite, 3 mm, dry, with suction at the hole.

    Graphite makes no chips but dust, which laps the coating off. Suction draws it from the first
    two diameters; what lies deeper stays until the drill comes out, and the more of it, the faster
    it is made. A short step back shakes only a little of it loose. Each way back down slides
    through dust again. A high feed crumbles the rim. The spindle feels next to nothing.
    """

    name = "graphite electrode"
    physics = "dust laps the coating; retracts clear it, but slide through it; the rim crumbles"
    life_scatter = 0.23
    fresh_scatter = 0.02
    worn_scatter = 0.025
    load_curve = 0.8
    base_break = 0.012
    idle_pct = 11.0
    machine = Machine(2.2, 9000, 24_000, max_feed_mm_per_min=5000, rapid_mm_per_min=30_000)
    problem = Problem(
        speed_m_per_min=(35, 220), feed_mm_per_rev=(0.025, 0.20), peck_depth_xd=(0.4, 5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(68, 0.07, "full_retract", 0.75), load_limit_pct=35,
        diameter_mm=3, depth_mm=24, max_test_holes=1800, machine=machine,
        economics=Economics(1.0, 1.5, 84, 0, 0, 75, 80, 0.4), substrate="carbide",
    )  # fmt: skip

    _path_xd = 24.55 / 3

    def _dust(self, data: CuttingData) -> float:
        """Dust around the drill at the bottom, in diameters of hole that it comes from."""
        held = self._path_xd - 2.0
        if data.peck_mode == "full_retract":
            held = min(held, 0.75 * data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            held *= 0.8 + 0.2 * (1.0 - math.exp(-data.peck_depth_xd))
        made = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 3), data.feed_mm_per_rev)
        return held * (0.6 + 0.4 * made / 900)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        slides = 0.0
        if data.peck_mode == "full_retract":
            slides = 0.03 * (pecks_of(data, self._path_xd) - 1)
        lapped = 0.09 / feed * (0.55 + 0.45 * (speed / 110) ** 1.3)
        crumbled = 0.5 * (feed / 0.12) ** 4
        return 1500.0 / (lapped * (0.7 + 0.16 * self._dust(data) ** 1.3) + slides + crumbled)

    def torque_n_m(self, data: CuttingData) -> float:
        return 420 * data.feed_mm_per_rev**0.7 * 9 / 8000 * (1.0 + 0.1 * self._dust(data))

    def growth(self, data: CuttingData) -> float:
        return 1.1 + 0.03 * min(self._dust(data), 8.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.006 * min(self._dust(data), 20.0)


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


NEWER_PROCESSES: tuple[type[Process], ...] = (
    RailJoint, NozzleBody, CoredBoss, GearboxCover, GraphiteElectrode, CladTubeSheet,
)  # fmt: skip
