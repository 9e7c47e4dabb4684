"""Small drills, which break before anything is felt. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class BreakageCliff(Process):
    """Small carbide drill, 3 mm in steel: it twists off long before the spindle feels anything.

    Breaking rises like a cliff in feed, and earlier at high speed; the load says little.
    """

    name = "breakage cliff"
    life_scatter = 0.2
    base_break = 0.02
    machine = Machine(1.1, 3000, 18_000)
    problem = Problem(
        speed_m_per_min=(25, 120), feed_mm_per_rev=(0.02, 0.14), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(55, 0.045), load_limit_pct=60,
        diameter_mm=3, depth_mm=12, max_test_holes=1500, machine=machine, group="P",
        economics=Economics(1.1, 1.5, 32, 0, 0, 150, 200, 0.5),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 900.0 * (60 / speed) ** 3.2 * (0.05 / feed) ** 0.35

    def torque_n_m(self, data: CuttingData) -> float:
        return 2500 * data.feed_mm_per_rev**0.75 * 9 / 8000

    def p_break(self, data: CuttingData) -> float:
        cliff = 0.085 * (60 / data.speed_m_per_min) ** 0.15
        return self.base_break + 0.9 * logistic((data.feed_mm_per_rev - cliff) / 0.004)


class CrossedBore(Process):
    """Carbide, 10 x D in duplex steel, 1.8 mm, through a cross-hole at six diameters.

    Chips of this tough steel stay long when they are thin; long ones bridge the cross-hole and jam,
    short ones fall into it. Pecks that break chips help. A full retract clears all chips, but each
    one from below the cross-hole drags the lips over its two rims. The slanted far wall throws the
    thin drill to the side, the more the higher the feed, and it breaks there. The lips knock on the
    rims with speed and feed. A jam raises the torque.
    """

    name = "crossed bore"
    life_scatter = 0.26
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.3
    base_break = 0.025
    idle_pct = 6.0
    machine = Machine(0.5, 12_000, 30_000, max_feed_mm_per_min=4000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(10, 70), feed_mm_per_rev=(0.010, 0.075), peck_depth_xd=(0.4, 5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(21, 0.025, "full_retract", 1.0), load_limit_pct=60,
        diameter_mm=1.8, depth_mm=18, max_test_holes=400, machine=machine, group="M",
        economics=Economics(1.2, 2.0, 38, 0, 0, 130, 80, 0.6),
    )  # fmt: skip

    _path_xd = 18.33 / 1.8
    _crossing_xd = 6.0

    def _long(self, data: CuttingData) -> float:
        """Share of the chips that stay long."""
        alone = logistic((0.046 - data.feed_mm_per_rev) / 0.008)
        if data.peck_mode == "chip_break":
            return 0.06 + 0.94 * alone * (1.0 - math.exp(-data.peck_depth_xd / 1.8))
        return 0.06 + 0.94 * alone

    def _jams(self, data: CuttingData) -> float:
        """How full of chips the flutes are; around 1 is trouble."""
        above = self._crossing_xd
        if data.peck_mode == "full_retract":
            above = min(above, data.peck_depth_xd)
        below = min(self._path_xd - self._crossing_xd, above)
        thick = (data.feed_mm_per_rev / 0.035) ** 0.5
        return (above * (0.35 + 0.65 * self._long(data)) + below * self._long(data)) / 6.5 * thick

    def _dragged(self, data: CuttingData) -> int:
        """Retracts that begin below the cross-hole."""
        if data.peck_mode != "full_retract":
            return 0
        return (
            pecks_of(data, self._path_xd) - 1 - math.floor(self._crossing_xd / data.peck_depth_xd)
        )

    def _entries(self, data: CuttingData) -> int:
        return pecks_of(data, self._path_xd) - 1

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        heat = (speed / 30) ** 2.7 * (feed / 0.03) ** 0.25 + 0.2 * (0.03 / feed)
        knocks = 0.22 * (speed / 30) * (feed / 0.03) ** 1.3
        drags = 0.07 * self._dragged(data)
        hits = 0.012 * self._entries(data) * (feed / 0.03) ** 0.5
        packed = 1.0 + 1.1 * self._jams(data) ** 2
        return 350.0 / (heat * packed + knocks + drags + hits)

    def torque_n_m(self, data: CuttingData) -> float:
        jammed = 1.0 + 0.3 * self._jams(data) ** 2
        return 2900 * data.feed_mm_per_rev**0.75 * 3.24 / 8000 * jammed

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.15 * min(self._jams(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        thrown = data.feed_mm_per_rev * (1.0 + 0.15 * (data.speed_m_per_min / 30))
        jam = 0.3 * logistic((self._jams(data) - 1.05) / 0.11)
        return self.base_break + jam + 0.6 * logistic((thrown - 0.056) / 0.004)

    def p_chip(self, data: CuttingData) -> float:
        rims = (data.speed_m_per_min / 30) ** 0.6 * data.feed_mm_per_rev / 0.03
        return 0.02 + 0.006 * self._dragged(data) + 0.15 * logistic((rims - 2.3) / 0.2)


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


class OrificePlate(Process):
    """High-speed steel, 1.1 mm through nickel-silver plate, on a bench drill for small holes.

    There is no pilot: the point skids before it bites, longer the faster it turns and the lower
    the feed, which dulls its web. The corners wear by a Taylor law. A burr too high to brush off
    ends an edge; it stands up with feed and dullness. Drills cost pennies, time is all.
    """

    name = "orifice plate"
    physics = "the point skids before it bites; corners wear by Taylor's law; burrs end an edge"
    life_scatter = 0.25
    fresh_scatter = 0.04
    worn_scatter = 0.04
    load_curve = 1.4
    base_break = 0.025
    idle_pct = 14.0
    moving_min = 0.05
    machine = Machine(0.25, 4000, 16_000, max_feed_mm_per_min=600, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(8, 52), feed_mm_per_rev=(0.006, 0.060), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(17, 0.014), load_limit_pct=60,
        diameter_mm=1.1, depth_mm=1.6, max_test_holes=1500, machine=machine, group="N",
        economics=Economics(0.9, 1.0, 2.8, 0, 0, 6, 200, 0.4), point_angle_deg=118.0,
        through=True, substrate="hss",
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        skids = 0.3 * (speed / 25) ** 1.2 * (0.02 / feed)
        corner = 0.5 * (speed / 25) ** 3 * (0.02 / feed) ** 0.3
        burr = 0.3 * (feed / 0.028) ** 2.5
        return 520.0 / (skids + corner + burr + 0.15)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2000 * (data.feed_mm_per_rev + 0.003) ** 0.78 * 1.21 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.3


class TungstenCollimator(Process):
    """Micro drill of carbide, 0.9 mm in pure tungsten plate, with oil, on a five-axis mill.

    Cold tungsten is brittle: its grains crack out and batter the lips. Warm it turns tough and is
    cut, but then heat wears the corner. A retract lets the bottom of the hole cool, so the next
    bite is a cold one; without it the crumbs that pass for chips pack.
    """

    name = "tungsten collimator"
    physics = "brittle when cold, tough when warm, and worn by heat; retracts cool; crumbs pack"
    life_scatter = 0.3
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.2
    base_break = 0.025
    idle_pct = 18.0
    machine = Machine(0.6, 10_000, 24_000, max_feed_mm_per_min=1500, rapid_mm_per_min=20_000)
    problem = Problem(
        speed_m_per_min=(6, 48), feed_mm_per_rev=(0.004, 0.035), peck_depth_xd=(0.3, 3),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(19, 0.0125, "full_retract", 1.25), load_limit_pct=45,
        diameter_mm=0.9, depth_mm=5, max_test_holes=60, machine=machine,
        economics=Economics(1.5, 3.0, 24, 0, 0, 140, 10, 0.4), substrate="carbide",
    )  # fmt: skip

    _path_xd = 5.16 / 0.9

    def _brittle(self, data: CuttingData) -> float:
        """Share of the work that cracks instead of being cut."""
        warm = (data.speed_m_per_min / 18) ** 0.55 * (data.feed_mm_per_rev / 0.012) ** 0.2
        if data.peck_mode == "full_retract":
            warm *= 1.0 - 0.25 * math.exp(-data.peck_depth_xd / 1.2)
        elif data.peck_mode == "chip_break":
            warm *= 1.0 - 0.08 * math.exp(-data.peck_depth_xd)
        return logistic((1.0 - warm) / 0.08)

    def _packed(self, data: CuttingData) -> float:
        cleared = data.peck_mode == "full_retract"
        held = min(self._path_xd, data.peck_depth_xd) if cleared else self._path_xd
        return (held / 4.0) ** 1.5 * (0.7 + 0.3 * data.feed_mm_per_rev / 0.012)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        battered = (0.012 / feed) ** 0.6 * (0.35 + 1.3 * self._brittle(data))
        heat = 0.4 * (speed / 25) ** 3.6 * (feed / 0.012) ** 0.3
        pressed = 0.3 * (feed / 0.019) ** 3.5
        return 95.0 / ((battered + heat) * (1.0 + 0.5 * self._packed(data)) + pressed)

    def torque_n_m(self, data: CuttingData) -> float:
        packed = 1.0 + 0.3 * self._packed(data)
        return 5400 * (data.feed_mm_per_rev + 0.002) ** 0.72 * 0.81 / 8000 * packed

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.25 * self._brittle(data)


class HingeLeaf(Process):
    """High-speed steel, 4.5 mm through scaled strip, dry, on an old feed unit driven by air.

    Below a feed rate the seals of the cylinder stick and slip: the drill stands, rubs, then lunges
    and snaps, sooner the harder it is pressed. At the exit the air springs and the lips tear a
    burr, which goes with feed. Scale takes its share of each hole; corners temper with heat.
    """

    name = "hinge leaf"
    physics = "a feed rate too low sticks and slips, and snaps drills; exits tear; corners temper"
    life_scatter = 0.34
    fresh_scatter = 0.045
    worn_scatter = 0.05
    base_break = 0.03
    idle_pct = 10.0
    machine = Machine(0.75, 1400, 4000, max_feed_mm_per_min=900, rapid_mm_per_min=5000)
    problem = Problem(
        speed_m_per_min=(9, 50), feed_mm_per_rev=(0.03, 0.26), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(30, 0.080), load_limit_pct=70,
        diameter_mm=4.5, depth_mm=6, max_test_holes=400, machine=machine, group="P",
        economics=Economics(0.4, 1.5, 2.4, 2, 1.1, 14, 100, 0.3), point_angle_deg=118.0,
        through=True, substrate="hss",
    )  # fmt: skip

    def _sticks(self, data: CuttingData) -> float:
        rate = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 4.5), data.feed_mm_per_rev)
        return logistic((1.0 - rate / (105 * (data.feed_mm_per_rev / 0.1) ** 0.35)) / 0.055)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubs = (0.1 / feed) ** 0.6 * (0.3 + 0.5 * self._sticks(data))
        tempers = 0.5 * (speed / 23) ** 4.5 * (feed / 0.1) ** 0.5
        torn = 0.5 * (feed / 0.135) ** 3
        return 190.0 / (rubs + tempers + torn + 0.15)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2150 * data.feed_mm_per_rev**0.78 * 20.25 / 8000

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.65 * self._sticks(data)
