"""Six processes that the optimizer was not worked on with: for the table only.

They were written without a look at how the search works. All figures are invented.
"""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class BonePlate(Process):
    """Carbide, 1.5 mm through bone plates of cobalt-chromium, with oil, on a small fast mill.

    The face of the plate is curved and pushes the thin drill aside: it bends to and fro at every
    turn until its point is in, and tires. So many turns at so much bending and it snaps, however
    sharp it still is: the harder it is fed, and the longer it is in use. Carbides in the work grind
    the lips by the way they go; heat stays in the hole unless pecks let oil in.
    """

    name = "bone plate"
    physics = "a curved face bends it at every turn until it tires and snaps; grinding; heat"
    life_scatter = 0.36
    fresh_scatter = 0.04
    worn_scatter = 0.05
    load_curve = 1.4
    base_break = 0.02
    idle_pct = 11.0
    machine = Machine(0.9, 14_000, 36_000, max_feed_mm_per_min=2500, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(9, 70), feed_mm_per_rev=(0.006, 0.050), peck_depth_xd=(0.3, 3),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(16, 0.020, "full_retract", 0.5), load_limit_pct=40,
        diameter_mm=1.5, depth_mm=4.5, max_test_holes=150, machine=machine, group="S",
        economics=Economics(1.7, 2.0, 29, 0, 0, 95, 20, 0.4), substrate="carbide", through=True,
    )  # fmt: skip

    _path_xd = 4.77 / 1.5

    def _dwell(self, data: CuttingData) -> float:
        """Share of the hole that is cut before oil gets in again."""
        if data.peck_mode == "full_retract":
            return min(1.0, data.peck_depth_xd / self._path_xd)
        if data.peck_mode == "chip_break":
            return 1.0 - 0.7 * math.exp(-data.peck_depth_xd / 2.0)
        return 1.0

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = (0.018 / feed) ** 0.7 * (0.35 + 0.15 * speed / 30)
        hot = speed / 36 * (feed / 0.018) ** 0.25 * (0.55 + 0.45 * self._dwell(data))
        each = 0.03 if data.peck_mode == "full_retract" else 0.015
        entries = each * (pecks_of(data, self._path_xd) - 1)
        return 110.0 / (ground + 0.45 * hot**3.3 + entries + 0.25 * (feed / 0.03) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        return 3100 * (data.feed_mm_per_rev + 0.003) ** 0.78 * 2.25 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.1 * self._dwell(data)

    def _tired(self, data: CuttingData) -> float:
        """Share of the bending that it stands which it has seen by the time it is worn."""
        bends = (data.feed_mm_per_rev / 0.024) ** 0.8
        turns = 0.4 / data.feed_mm_per_rev
        return self.life(data) * turns / 7000 * bends**6

    def p_break(self, data: CuttingData) -> float:
        snaps = 1.0 - math.exp(-(min(self._tired(data), 5.0) ** 1.8))
        return self.base_break + (0.97 - self.base_break) * snaps


class AcidHeater(Process):
    """Cobalt drill, 3.4 mm in tantalum flanges, dipped in paste by hand, on a bench mill.

    Tantalum galls on all it touches. The paste keeps it off, but only for so many metres of way,
    fewer where it is warm and thin; then lips and margins run dry, metal welds on and the drill is
    twisted off. A retract fetches new paste, a step back only stirs what is left. A thicker chip
    means less way in one dip. The flange costs far more than the drill.
    """

    name = "acid heater"
    physics = "paste lasts so many metres, then it galls and twists off; a retract fetches new"
    life_scatter = 0.26
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.6
    base_break = 0.015
    idle_pct = 9.0
    moving_min = 0.06
    machine = Machine(0.55, 2000, 5000, max_feed_mm_per_min=500, rapid_mm_per_min=3000)
    problem = Problem(
        speed_m_per_min=(4, 32), feed_mm_per_rev=(0.02, 0.16), peck_depth_xd=(0.25, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(15, 0.060, "full_retract", 0.7), load_limit_pct=60,
        diameter_mm=3.4, depth_mm=14, max_test_holes=80, machine=machine,
        economics=Economics(0.9, 2.5, 11, 2, 4.5, 230, 10, 0.5), substrate="cobalt",
    )  # fmt: skip

    _path_xd = 14.6 / 3.4

    def _dry(self, data: CuttingData) -> float:
        """Share of the way that goes without paste."""
        dip = self._path_xd
        if data.peck_mode == "full_retract":
            dip = min(dip, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            dip *= 0.65 + 0.35 * (1.0 - math.exp(-data.peck_depth_xd / 0.9))
        way_m = math.pi * 0.0034 * dip * 3.4 / data.feed_mm_per_rev
        lasts = way_m / (0.75 * (12 / data.speed_m_per_min) ** 0.6)
        return 1.0 - (1.0 - math.exp(-lasts)) / lasts

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubs = 0.4 * (0.06 / feed) ** 0.6 * (speed / 12)
        tempers = 0.3 * (speed / 16) ** 4 * (feed / 0.06) ** 0.5
        galls = 1.5 * self._dry(data) ** 1.5
        entries = 0.012 * (pecks_of(data, self._path_xd) - 1)
        return 60.0 / (rubs + tempers + galls + entries + 0.3 * (feed / 0.1) ** 3.5)

    def torque_n_m(self, data: CuttingData) -> float:
        welded = 1.0 + 0.8 * self._dry(data)
        return 2300 * data.feed_mm_per_rev**0.79 * 11.56 / 8000 * welded

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.25 * self._dry(data)

    def p_break(self, data: CuttingData) -> float:
        twisted = self._dry(data) * (data.feed_mm_per_rev / 0.06) ** 0.5
        return self.base_break + 0.6 * logistic((twisted - 0.6) / 0.06)


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


class SpringHanger(Process):
    """Coated carbide, 14 mm in spring hangers of bainitic (austempered) iron, on a strong mill.

    Half of this iron is austenite that turns into hard martensite where it is pressed hard, unless
    it is warm: a thick chip at a low speed makes its own file for the next lip, and chips corners.
    Speed keeps the work warm and soft, until it wears the edge by its heat. Graphite breaks chips.
    """

    name = "spring hanger"
    physics = "pressed cold, the iron turns hard under the lips; warm it stays soft; heat wears"
    life_scatter = 0.14
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.7
    base_break = 0.008
    idle_pct = 4.0
    machine = Machine(15, 1400, 6000, rapid_mm_per_min=30_000, coolant_bar=30)
    problem = Problem(
        speed_m_per_min=(25, 150), feed_mm_per_rev=(0.07, 0.42), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(39, 0.26), load_limit_pct=55,
        diameter_mm=14, depth_mm=42, max_test_holes=250, machine=machine, group="K",
        economics=Economics(1.8, 2.0, 215, 4, 58, 320, 40, 0.6), substrate="carbide", through=True,
        maker_speed_m_per_min=(35, 90), maker_feed_mm_per_rev=(0.13, 0.28),
    )  # fmt: skip

    def _turned(self, data: CuttingData) -> float:
        """Share of the austenite that turns hard before the lip gets to it."""
        pressed = (data.feed_mm_per_rev / 0.2) ** 1.2 * (58 / data.speed_m_per_min) ** 1.1
        return pressed**2 / (1.0 + pressed**2)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = 0.4 * (0.2 / feed) ** 0.5 * (0.7 + 0.3 * speed / 70)
        heat = 0.35 * (speed / 80) ** 3.4 * (feed / 0.2) ** 0.6
        return 180.0 / (ground * (1.0 + 5.0 * self._turned(data)) + heat + 0.2 * (feed / 0.27) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        hard = 1.0 + 0.2 * self._turned(data)
        return 1650 * data.feed_mm_per_rev**0.74 * 196 / 8000 * hard

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.12 * self._turned(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.15 * self._turned(data) ** 2


class DredgerBucket(Process):
    """Hollow cutter with brazed carbide teeth, 22 mm through wear plate, on a magnetic stand drill.

    It cuts a ring and leaves a slug. The magnet holds against so much thrust: past it the stand
    creeps, the cutter jams and sheds teeth. Thrust goes with feed, and more at a low speed, where
    the plate is not softened by heat. Thin chips are wool that winds into the gullets and rubs.
    Heat wears the teeth by a steep law. The motor is weak and the cutter middling dear.
    """

    name = "dredger bucket"
    physics = "a magnet holds so much thrust, then the cutter jams; wool of thin chips; steep heat"
    life_scatter = 0.22
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.02
    idle_pct = 10.0
    moving_min = 0.6
    machine = Machine(1.6, 370, 850, max_feed_mm_per_min=150, rapid_mm_per_min=1200)
    problem = Problem(
        speed_m_per_min=(10, 56), feed_mm_per_rev=(0.03, 0.22), peck_depth_xd=(0.2, 1),
        peck_modes=("none",), start=CuttingData(28, 0.083), load_limit_pct=90,
        diameter_mm=22, depth_mm=20, max_test_holes=60, machine=machine, group="H",
        economics=Economics(0.8, 3.0, 64, 2, 20, 45, 10, 0.5), substrate="carbide", through=True,
    )  # fmt: skip

    def _wool(self, data: CuttingData) -> float:
        return math.exp(-((data.feed_mm_per_rev / 0.06) ** 1.6))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubs = 0.5 * (0.1 / feed) ** 0.8 * (1.0 + 0.8 * self._wool(data))
        heat = 0.5 * (speed / 28) ** 3.5 * (feed / 0.1) ** 0.5
        return 38.0 / (rubs + heat + 0.25 * (feed / 0.14) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        winds = 1.0 + 0.3 * self._wool(data)
        return 3300 * data.feed_mm_per_rev**0.78 * (484 - 196) / 8000 * winds

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.05 * min(data.speed_m_per_min / 28, 2.0)

    def p_break(self, data: CuttingData) -> float:
        thrust = (data.feed_mm_per_rev / 0.15) ** 0.7 * (28 / data.speed_m_per_min) ** 0.2
        return self.base_break + 0.6 * logistic((thrust - 1.0) / 0.05)


class StoneWorktop(Process):
    """Core drill with diamonds in a bronze bond, 40 mm through granite slabs, with water.

    Grains must be pressed to break and stay sharp: too light a feed polishes them flat, faster the
    more way they go, and the core glazes. Too heavy a feed tears them out of the bond, and so does
    thick slurry, which is the thicker the more stone is cut and the deeper; a retract washes it
    out, a step back does half of that. Thick slurry jams the core, and a rim breaks out. High
    speed burns the bond. A glazed core is dressed on sandstone, a few times.
    """

    name = "stone worktop"
    physics = "light feeds glaze the diamonds, heavy ones and thick slurry tear them out; jams"
    life_scatter = 0.24
    fresh_scatter = 0.045
    worn_scatter = 0.05
    load_curve = 0.8
    base_break = 0.012
    idle_pct = 6.0
    moving_min = 0.2
    machine = Machine(5.0, 1800, 6000, max_feed_mm_per_min=400, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(60, 450), feed_mm_per_rev=(0.008, 0.090), peck_depth_xd=(0.08, 0.6),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(255, 0.052, "full_retract", 0.13), load_limit_pct=75,
        diameter_mm=40, depth_mm=30, max_test_holes=30, machine=machine,
        economics=Economics(1.1, 3.0, 150, 5, 7, 190, 10, 0.4), through=True,
    )  # fmt: skip

    _path_xd = 37.3 / 40

    def _slurry(self, data: CuttingData) -> float:
        """How thick the slurry gets at the bottom; around 1 the core may jam."""
        rate = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 40), data.feed_mm_per_rev)
        held = 1.0
        if data.peck_mode == "full_retract":
            held = min(1.0, data.peck_depth_xd / self._path_xd)
        elif data.peck_mode == "chip_break":
            held = 0.5 + 0.5 * min(1.0, data.peck_depth_xd / self._path_xd)
        return rate / 75 * (0.3 + 0.7 * held)

    def _glazed(self, data: CuttingData) -> float:
        return 0.4 * (0.03 / data.feed_mm_per_rev) ** 1.5 * (data.speed_m_per_min / 170) ** 0.6

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        torn = 0.35 * (feed / 0.036) ** 1.8 * (0.6 + 0.7 * min(self._slurry(data), 4.0))
        burns = 0.3 * (speed / 260) ** 4
        each = 0.09 if data.peck_mode == "full_retract" else 0.015
        entries = each * (pecks_of(data, self._path_xd) - 1)
        return 28.0 / (self._glazed(data) + torn + burns + entries)

    def torque_n_m(self, data: CuttingData) -> float:
        slides = 1.0 + 0.25 * min(self._glazed(data), 2.0)
        return 70 * data.feed_mm_per_rev**0.62 * slides

    def growth(self, data: CuttingData) -> float:
        return 1.15 + 0.3 * min(self._glazed(data), 1.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.35 * logistic((self._slurry(data) - 1.05) / 0.09)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.2 * logistic((data.feed_mm_per_rev - 0.06) / 0.006)


HELD_OUT: tuple[type[Process], ...] = (
    BonePlate, AcidHeater, LockHousing, SpringHanger, DredgerBucket, StoneWorktop,
)  # fmt: skip
