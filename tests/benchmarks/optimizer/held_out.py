"""Six processes that the optimizer was not worked on with: for the table only.

They were written without a look at how the search works. All figures are invented.
"""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


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


class SpoolBore(Process):
    """Gun drill with a carbide head, 6 mm and 25 x D in heat-treated steel, with oil at pressure.

    Its pads float on oil once they slide fast enough; slower they touch, rub and load the spindle.
    Cutting force presses the film out, heat thins it. A thin chip leaves as a ribbon, longer when
    hot, that jams in the straight flute, and the drill twists off. A spoiled valve body is dear.
    """

    name = "spool bore"
    physics = "pads float on oil or touch; thin chips are ribbons that jam and twist the drill off"
    life_scatter = 0.2
    base_break = 0.012
    idle_pct = 12.0
    moving_min = 0.15
    machine = Machine(2.2, 4500, 9000, rapid_mm_per_min=8000, coolant_bar=90)
    problem = Problem(
        speed_m_per_min=(35, 160), feed_mm_per_rev=(0.008, 0.075), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(66, 0.026), load_limit_pct=60,
        diameter_mm=6, depth_mm=150, max_test_holes=70, machine=machine, group="P",
        economics=Economics(1.3, 4.0, 130, 8, 24, 520, 15, 1.0), substrate="carbide",
    )  # fmt: skip

    def _touching(self, data: CuttingData) -> float:
        """Share of the pads' force that oil does not carry."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        film = speed / 70 * math.exp(-0.3 * (speed / 100) ** 2) * (0.025 / feed) ** 0.35
        return logistic((0.8 - film) / 0.1)

    def _ribbons(self, data: CuttingData) -> float:
        longest = 0.0155 * (data.speed_m_per_min / 80) ** 0.4
        return logistic((longest - data.feed_mm_per_rev) / 0.0012)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = (0.025 / feed) ** 0.7
        lip = way * (0.35 + 0.45 * (speed / 85) ** 3)
        pads = 0.6 * way * self._touching(data)
        return 85.0 / (lip + pads + 0.3 * (feed / 0.038) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        rubs = 1.0 + 0.45 * self._touching(data) + 0.3 * self._ribbons(data)
        return 2600 * data.feed_mm_per_rev**0.78 * 36 / 8000 * rubs

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.2 * self._touching(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.45 * self._ribbons(data)


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


HELD_OUT: tuple[type[Process], ...] = (
    TungstenCollimator, SpoolBore, ShaftEnd, HingeLeaf, BrakeRotor, TieRod,
)  # fmt: skip
