"""Jobs of a shop that mends and makes machines, each with physics of its own. All are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class LiftingLug(Process):
    """Cobalt drill, 22 mm through lugs flame-cut from plate, on an old radial drill, hose emulsion.

    The cut edge is close to the hole and its steel is hard: at every turn each lip goes through a
    strip of it, and is knocked, the harder the quicker it comes. The hard side pushes the drill
    over, so that its margins rub on the soft side, the more the higher the thrust. Corners temper.
    Half-way down the plate has a band of slag that costs every hole the same. The motor is small.
    """

    name = "lifting lug"
    physics = "a hard strip knocks at every turn and pushes the drill over; slag; a small motor"
    life_scatter = 0.24
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.008
    idle_pct = 8.0
    moving_min = 0.2
    machine = Machine(3.2, 450, 1800, max_feed_mm_per_min=600, rapid_mm_per_min=3000)
    problem = Problem(
        speed_m_per_min=(7, 58), feed_mm_per_rev=(0.06, 0.55), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(16, 0.17), load_limit_pct=90,
        diameter_mm=22, depth_mm=30, max_test_holes=140, machine=machine, group="P",
        economics=Economics(0.85, 3.0, 66, 8, 8, 55, 20, 0.5), point_angle_deg=130.0,
        substrate="cobalt", through=True,
    )  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 26 * (data.feed_mm_per_rev / 0.25) ** 0.32

    def _pushed(self, data: CuttingData) -> float:
        """How hard the margins are pressed upon the soft side."""
        return min((data.feed_mm_per_rev / 0.32) ** 0.8, 2.5)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        strip = 0.34 * 0.25 / feed * (0.45 + 0.55 * (speed / 22) ** 1.3)
        tempers = 0.4 * min(self._hot(data), 4.0) ** 4.4
        margins = 0.24 * self._pushed(data) ** 2.4 * (speed / 22) ** 0.5
        return 95.0 / (0.14 + strip + tempers + margins)

    def torque_n_m(self, data: CuttingData) -> float:
        rubs = 1.0 + 0.07 * self._pushed(data)
        return 1850 * data.feed_mm_per_rev**0.81 * 484 / 8000 * rubs

    def growth(self, data: CuttingData) -> float:
        return 1.24 + 0.07 * self._pushed(data) + 0.05 * min(self._hot(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.08 * logistic((data.feed_mm_per_rev - 0.42) / 0.04)


class TankSocket(Process):
    """Coated carbide, 14 mm in sockets of austenitic steel, in the driven head of a turning centre.

    The bevel gears of the head take torque for themselves, more with every turn a minute, and as
    they warm they run out of true, so that one lip carries most of the cut. The motor behind them
    has little to spare. A chip breaks if it is thick enough, but a hot one bends and does not
    break: it winds around the drill, scrapes the coating, drags, and may tear the drill off.
    """

    name = "tank socket"
    physics = "a driven head drags and runs out with its turns; thin or hot chips wind; weak motor"
    life_scatter = 0.22
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.6
    base_break = 0.012
    idle_pct = 5.0
    moving_min = 0.06
    machine = Machine(
        3.7, 1200, 4000, max_feed_mm_per_min=2000, rapid_mm_per_min=15_000, coolant_bar=20
    )
    problem = Problem(
        speed_m_per_min=(20, 150), feed_mm_per_rev=(0.04, 0.36), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none", "chip_break"), start=CuttingData(42, 0.105), load_limit_pct=85,
        diameter_mm=14, depth_mm=25, max_test_holes=260, machine=machine, group="M",
        economics=Economics(1.65, 3.0, 128, 4, 34, 190, 25, 0.5), substrate="carbide",
        maker_speed_m_per_min=(45, 85), maker_feed_mm_per_rev=(0.1, 0.2),
    )  # fmt: skip

    _path_xd = 27.5 / 14

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 72 * (data.feed_mm_per_rev / 0.15) ** 0.3

    def _winds(self, data: CuttingData) -> float:
        """Share of chips that wind; a step back cuts some of them."""
        breaks = 0.058 * (1.0 + 0.55 * (data.speed_m_per_min / 70) ** 1.6)
        cut = 0.65 if data.peck_mode == "chip_break" else 1.0
        return cut * logistic((breaks - data.feed_mm_per_rev) / 0.012)

    def _uneven(self, data: CuttingData) -> float:
        """How much more than its half the busier lip cuts."""
        return 0.3 * min(rpm(data.speed_m_per_min, 14) / 1600, 3.0) ** 1.8

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        busier = 1.0 + self._uneven(data)
        flank = 0.34 * (0.15 / feed) ** 0.65
        heat = 0.36 * min(self._hot(data), 4.0) ** 3.3
        corners = 0.3 * (feed * busier / 0.23) ** 3.2
        steps = 0.06 * (pecks_of(data, self._path_xd) - 1)
        return 210.0 / ((flank + heat) * busier + corners + steps + 0.5 * self._winds(data))

    def torque_n_m(self, data: CuttingData) -> float:
        gears = 0.7 * (rpm(data.speed_m_per_min, 14) / 1500) ** 1.2
        drags = 1.0 + 0.15 * self._winds(data)
        return 2250 * data.feed_mm_per_rev**0.77 * 196 / 8000 * drags + gears

    def growth(self, data: CuttingData) -> float:
        return 1.24 + 0.1 * min(self._uneven(data), 1.5)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.35 * self._winds(data) ** 2

    def p_chip(self, data: CuttingData) -> float:
        return 0.025 + 0.12 * self._winds(data)


class Counterweight(Process):
    """Drill with brazed carbide tip, 21 mm in grey iron counterweights, dry, on an old knee mill.

    The solder holds the tip only as long as it is cool: it warms with the power of the cut and the
    time in the hole, and a tip on warm solder rocks and crumbles. A retract lets air at it and
    clears the dust, which laps the margins otherwise. The skin costs every hole the same and is
    worst on a quick corner. Below it, wear goes with the way.
    """

    name = "counterweight"
    physics = "solder warms with power and time, the tip rocks; dust laps unless cleared; a skin"
    life_scatter = 0.25
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.3
    base_break = 0.006
    idle_pct = 7.0
    moving_min = 0.15
    machine = Machine(7.5, 450, 2200, max_feed_mm_per_min=700, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(16, 125), feed_mm_per_rev=(0.07, 0.65), peck_depth_xd=(0.4, 2.5),
        peck_modes=("none", "full_retract"), start=CuttingData(34, 0.19), load_limit_pct=85,
        diameter_mm=21, depth_mm=50, max_test_holes=220, machine=machine, group="K",
        economics=Economics(0.7, 3.0, 88, 9, 13, 75, 20, 0.5), point_angle_deg=118.0,
        substrate="carbide",
    )  # fmt: skip

    _path_xd = 53.8 / 21

    def _celsius(self, data: CuttingData) -> float:
        """Of the solder at the end of its longest stay in the hole."""
        turns = rpm(data.speed_m_per_min, 21)
        stay_xd = self._path_xd
        if data.peck_mode == "full_retract":
            stay_xd = min(stay_xd, data.peck_depth_xd)
        minutes = stay_xd * 21 / feed_rate_mm_per_min(turns, data.feed_mm_per_rev)
        kw = turns * (28 * (data.feed_mm_per_rev / 0.25) ** 0.74) / 9550
        return 60 + 165 * kw**0.8 * (1.0 - 0.6 * math.exp(-minutes / 0.25))

    def _dust(self, data: CuttingData) -> float:
        """Dust in the hole, 1 for as much as there is without a retract."""
        kept = 1.0
        if data.peck_mode == "full_retract":
            kept = 0.35 + 0.65 * min(data.peck_depth_xd / self._path_xd, 1.0)
        return kept * (0.3 + math.exp(-data.feed_mm_per_rev / 0.16))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        skin = 0.16 * (speed / 50) ** 1.1
        way = 0.32 * (0.28 / feed) ** 0.85 * (0.6 + 0.4 * speed / 50)
        rocks = 0.3 * math.exp(min((self._celsius(data) - 380) / 55, 5.0))
        bumps = 0.035 * (pecks_of(data, self._path_xd) - 1)
        crushed = 0.35 * (feed / 0.34) ** 3.4
        return 170.0 / (skin + way + rocks + bumps + crushed + 0.3 * self._dust(data))

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.15 * self._dust(data)
        return 1380 * data.feed_mm_per_rev**0.74 * 441 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.12 * self._dust(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.15 * logistic((self._celsius(data) - 520) / 30)


class PunchPlate(Process):
    """Coated carbide, 10.5 mm and 4 x D in annealed tool steel, with emulsion from outside.

    Grains of chromium carbide in the steel grind the lips by the way they go. Emulsion gets down
    two diameters and no more; below, the lips get hotter with every turn. This steel hardens in the
    air: where a hot bottom is left to cool at a retract, the next peck starts in a hard skin. Chips
    thinner than the rounding of the edge are pressed and not cut, and take more torque.
    """

    name = "punch plate"
    physics = "grains grind by way; hot below two diameters; hot bottoms harden when left to cool"
    life_scatter = 0.2
    fresh_scatter = 0.025
    worn_scatter = 0.03
    load_curve = 1.8
    base_break = 0.01
    idle_pct = 4.0
    moving_min = 0.05
    machine = Machine(7.5, 1500, 8000, max_feed_mm_per_min=5000, rapid_mm_per_min=24_000)
    problem = Problem(
        speed_m_per_min=(14, 125), feed_mm_per_rev=(0.035, 0.34), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(36, 0.105, "full_retract", 1.0), load_limit_pct=50,
        diameter_mm=10.5, depth_mm=42, max_test_holes=200, machine=machine, group="P",
        economics=Economics(1.2, 2.0, 96, 3, 27, 240, 20, 0.5), substrate="carbide",
        maker_speed_m_per_min=(35, 70), maker_feed_mm_per_rev=(0.09, 0.18),
    )  # fmt: skip

    _path_xd = 43.9 / 10.5

    def _hot(self, data: CuttingData) -> float:
        """Heat of the lips at its highest, 1 for as much as the coating bears with ease."""
        dry_xd = self._path_xd - 2.0
        if data.peck_mode == "full_retract":
            dry_xd = min(dry_xd, 0.75 * data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            dry_xd *= 0.85
        turns = max(dry_xd, 0.0) * 10.5 / data.feed_mm_per_rev
        kept = 0.84 + 0.3 * (1.0 - math.exp(-turns / 130))
        return data.speed_m_per_min / 58 * (data.feed_mm_per_rev / 0.14) ** 0.3 * kept

    def _hardened(self, data: CuttingData) -> float:
        """Bottoms that have hardened in a hole."""
        left = pecks_of(data, self._path_xd) - 1
        share = {"none": 0.0, "chip_break": 0.25, "full_retract": 1.0}[data.peck_mode]
        return left * share * logistic((self._hot(data) - 0.85) / 0.1)

    def _pressed(self, data: CuttingData) -> float:
        return math.exp(-data.feed_mm_per_rev / 0.045)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        grains = 0.4 * (0.14 / feed) ** 0.8 * (0.7 + 0.3 * speed / 50) * (1 + self._pressed(data))
        heat = 0.4 * min(self._hot(data), 4.0) ** 3.9
        starts = 0.02 * (pecks_of(data, self._path_xd) - 1) + 0.09 * self._hardened(data)
        return 150.0 / (grains + heat + starts + 0.35 * (feed / 0.18) ** 3.4)

    def torque_n_m(self, data: CuttingData) -> float:
        harder = 1.0 + 0.35 * self._pressed(data) + 0.04 * min(self._hardened(data), 4.0)
        return 2650 * data.feed_mm_per_rev**0.76 * 110.25 / 8000 * harder

    def growth(self, data: CuttingData) -> float:
        return 1.34 + 0.15 * self._pressed(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.025 + 0.12 * (1.0 - math.exp(-0.2 * self._hardened(data)))


class WormWheel(Process):
    """High-speed steel with dubbed lips, 11 mm through rims of tin bronze, on a small bed mill.

    Lips are stoned flat so that they scrape and do not snatch. Patches rich in tin grind them by
    the way they go. Chips are needles: those of a thin chip creep between margin and wall and score
    both, those of a thick one fall out. Dubbed lips push hard, and at the exit the rim breaks out
    below them, which the corners feel. Warm bronze closes around the margins.
    """

    name = "worm wheel"
    physics = "tin patches grind by way; fine needles score margins; push at exit; a warm rim grips"
    life_scatter = 0.27
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.3
    base_break = 0.005
    idle_pct = 6.0
    moving_min = 0.08
    machine = Machine(4.0, 1000, 4000, max_feed_mm_per_min=1500, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(13, 120), feed_mm_per_rev=(0.05, 0.5), peck_depth_xd=(0.4, 2.5),
        peck_modes=("none", "full_retract"), start=CuttingData(32, 0.18), load_limit_pct=70,
        diameter_mm=11, depth_mm=30, max_test_holes=400, machine=machine, group="N",
        economics=Economics(0.9, 1.5, 21, 8, 5, 95, 50, 0.4), point_angle_deg=118.0,
        substrate="hss", through=True,
    )  # fmt: skip

    _path_xd = 32.0 / 11

    def _needles(self, data: CuttingData) -> float:
        """Needles beside the margins, 1 for very many; a retract takes some out."""
        out = 1.0
        if data.peck_mode == "full_retract":
            out = 0.5 + 0.5 * min(data.peck_depth_xd / self._path_xd, 1.0)
        return out * math.exp(-data.feed_mm_per_rev / 0.11)

    def _warm(self, data: CuttingData) -> float:
        """Warmth of the wall, 1 where it begins to grip."""
        rubs = (data.speed_m_per_min / 52) ** 0.8 * (0.2 / data.feed_mm_per_rev) ** 0.2
        cools = 0.93 if data.peck_mode == "full_retract" else 1.0
        return rubs * cools * (1.0 + 0.2 * self._needles(data))

    def _grips(self, data: CuttingData) -> float:
        return logistic((self._warm(data) - 1.1) / 0.1)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        patches = 0.4 * (0.2 / feed) ** 0.8 * (0.5 + 0.5 * (speed / 42) ** 1.4)
        scored = 0.6 * self._needles(data) * (speed / 42) ** 0.6
        heat = 0.22 * min(self._warm(data), 3.0) ** 4 + 0.6 * self._grips(data)
        exits = 0.4 * (feed / 0.25) ** 3.2
        starts = 0.015 * (pecks_of(data, self._path_xd) - 1)
        return 380.0 / (patches + scored + heat + exits + starts)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.25 * self._needles(data) + 0.3 * self._grips(data)
        return 1250 * data.feed_mm_per_rev**0.8 * 121 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.2 * self._needles(data) + 0.12 * self._grips(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.12 * logistic((data.feed_mm_per_rev - 0.36) / 0.035)


class AdjustingScrew(Process):
    """Coated carbide, 3.3 mm and 4 x D in heat-treated steel bar, with oil, on a small lathe.

    The turret is a little off the axis of the bar: at every turn the drill bends to and fro, and
    its margins wear by turns, the more the harder it is held by a thick chip. The oil keeps lips
    cool only so far, and scorches. Chips fill the narrow flutes and add to the twist; under too
    much of it the drill snaps. A retract clears them, but the drill must find its hole again.
    """

    name = "adjusting screw"
    physics = "off its axis it bends at every turn; oil scorches; full flutes twist it off"
    life_scatter = 0.26
    fresh_scatter = 0.04
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.016
    idle_pct = 9.0
    moving_min = 0.04
    machine = Machine(1.5, 5000, 10_000, max_feed_mm_per_min=3000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(14, 100), feed_mm_per_rev=(0.016, 0.16), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(34, 0.05, "full_retract", 1.2), load_limit_pct=50,
        diameter_mm=3.3, depth_mm=14, max_test_holes=450, machine=machine, group="P",
        economics=Economics(1.0, 2.0, 39, 1, 14, 45, 50, 0.4), substrate="carbide",
        maker_speed_m_per_min=(35, 65), maker_feed_mm_per_rev=(0.04, 0.09),
    )  # fmt: skip

    _path_xd = 14.6 / 3.3

    def _full(self, data: CuttingData) -> float:
        """How full the flutes are, 1 for as many chips as they hold with ease."""
        kept = self._path_xd
        if data.peck_mode == "full_retract":
            kept = min(kept, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            kept *= 0.7 + 0.3 * min(data.peck_depth_xd / self._path_xd, 1.0)
        return kept / 3.4 * (data.feed_mm_per_rev / 0.065) ** 0.2

    def _hot(self, data: CuttingData) -> float:
        dry = 0.9 + 0.14 * min(self._full(data), 2.0)
        return data.speed_m_per_min / 60 * (data.feed_mm_per_rev / 0.065) ** 0.28 * dry

    def _twist(self, data: CuttingData) -> float:
        """Peak torque, 1 where a drill is as likely to snap as not."""
        return (data.feed_mm_per_rev / 0.125) ** 0.78 * (0.8 + 0.22 * min(self._full(data), 2.5))

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.3 * (0.065 / feed) ** 0.6
        bends = 0.24 * (0.065 / feed) * (0.6 + 0.4 * (feed / 0.065) ** 1.2)
        scorched = 0.4 * min(self._hot(data), 3.5) ** 3.6
        finds = 0.035 if data.peck_mode == "full_retract" else 0.015
        starts = finds * (pecks_of(data, self._path_xd) - 1)
        scraped = 0.1 * min(self._full(data), 2.5) ** 2 + 0.25 * (feed / 0.105) ** 3
        return 420.0 / (lips + bends + scorched + starts + scraped)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.18 * min(self._full(data), 2.5)
        return 2450 * data.feed_mm_per_rev**0.77 * 10.89 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.07 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._twist(data) - 1.0) / 0.075)

    def p_chip(self, data: CuttingData) -> float:
        return 0.025 + 0.1 * logistic((self._twist(data) - 0.95) / 0.08)
