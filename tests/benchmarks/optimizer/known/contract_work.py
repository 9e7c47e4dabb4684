"""Jobs that a machine shop takes in, each with physics of its own. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class DrawbarEye(Process):
    """Cobalt drill, 24 mm through the eyes of forged drawbars, on a radial drill.

    The arm springs up under the thrust and falls when the point comes through: the lips grab, the
    harder the higher the feed, and corners chip or the drill snaps in its taper. Scale on both
    faces takes its share of every hole. Corners temper with heat. Bars cool unevenly after
    forging, so some are harder than others. The gears give so much torque and no more.
    """

    name = "drawbar eye"
    physics = "a springy arm lets lips grab at the exit; scale; corners temper; torque is scarce"
    life_scatter = 0.27
    fresh_scatter = 0.04
    worn_scatter = 0.04
    load_curve = 1.6
    base_break = 0.012
    idle_pct = 9.0
    moving_min = 0.12
    machine = Machine(4.0, 450, 1400, max_feed_mm_per_min=500, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(6, 52), feed_mm_per_rev=(0.05, 0.50), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(15, 0.15), load_limit_pct=80,
        diameter_mm=24, depth_mm=40, max_test_holes=130, machine=machine, group="P",
        economics=Economics(0.75, 4.0, 62, 5, 9, 85, 20, 0.5), point_angle_deg=118.0,
        substrate="cobalt", through=True,
    )  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 19 * (data.feed_mm_per_rev / 0.2) ** 0.35

    def _thrust(self, data: CuttingData) -> float:
        """How far the arm springs up, 1 where lips that grab snap a drill as likely as not."""
        return (data.feed_mm_per_rev / 0.4) ** 0.8

    def life(self, data: CuttingData) -> float:
        lips = 0.4 * (0.2 / data.feed_mm_per_rev) ** 0.6
        scale = 0.12 * (data.speed_m_per_min / 19) ** 0.4
        grabs = 0.45 * min(self._thrust(data), 2.0) ** 4
        return 85.0 / (lips + scale + 0.4 * self._hot(data) ** 5 + grabs)

    def torque_n_m(self, data: CuttingData) -> float:
        softer = (18 / data.speed_m_per_min) ** 0.06
        return 2050 * data.feed_mm_per_rev**0.78 * 576 / 8000 * softer

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.09 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._thrust(data) - 1.0) / 0.06)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.15 * logistic((self._thrust(data) - 0.85) / 0.06)


class MeteringValve(Process):
    """Coated carbide, 2.5 mm and 6.4 x D in valve bodies of aged stainless steel, on a small mill.

    A layer of steel welds to the rake where it is warm, and peels off with grains of carbide; hot,
    it stays away, but then heat itself wears the lips. A chip thinner than the rounding of the edge
    is ploughed aside. The shank bears so much torque, of worn lips and of chips in the flutes, and
    past that the drill twists off. A step back leaves crumbs under the lips; a retract washes them
    out, but the point knocks on the bottom when it comes back.
    """

    name = "metering valve"
    physics = "a layer peels off warm lips; thin chips are ploughed; the shank twists off"
    life_scatter = 0.25
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.5
    base_break = 0.025
    idle_pct = 6.0
    moving_min = 0.03
    machine = Machine(1.5, 6000, 24_000, max_feed_mm_per_min=4000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(14, 130), feed_mm_per_rev=(0.012, 0.12), peck_depth_xd=(0.3, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(36, 0.035, "full_retract", 1.0), load_limit_pct=50,
        diameter_mm=2.5, depth_mm=16, max_test_holes=400, machine=machine, group="M",
        economics=Economics(1.2, 2.5, 42, 0, 0, 130, 50, 0.5), substrate="carbide",
        maker_speed_m_per_min=(35, 70), maker_feed_mm_per_rev=(0.03, 0.07),
    )  # fmt: skip

    _path_xd = 16.5 / 2.5

    def _filled(self, data: CuttingData) -> float:
        """How full the flutes are, 1 for chips of so many diameters as they hold with ease."""
        held = self._path_xd
        if data.peck_mode == "full_retract":
            held = min(held, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            held *= 1.0 - 0.35 * math.exp(-data.peck_depth_xd / 1.5)
        return held / 4.0 * (data.feed_mm_per_rev / 0.05) ** 0.3

    def _peels(self, data: CuttingData) -> float:
        warm = data.speed_m_per_min * (data.feed_mm_per_rev / 0.045) ** 0.3
        return math.exp(-((math.log(warm / 36) / 0.4) ** 2))

    def _knocks(self, data: CuttingData) -> float:
        """What pecks cost of a life, per hole, as `life` counts it."""
        each = {"none": 0.0, "chip_break": 0.03, "full_retract": 0.022}[data.peck_mode]
        return each * (pecks_of(data, self._path_xd) - 1) * (data.feed_mm_per_rev / 0.045) ** 0.5

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        lips = 0.45 * (0.045 / feed) ** 0.7 * (1.0 + (0.016 / feed) ** 2)
        heat = 0.4 * (speed / 62) ** 3.2 * (feed / 0.045) ** 0.4
        packed = 0.15 * min(self._filled(data), 3.0) ** 2
        crushed = 0.35 * (feed / 0.072) ** 4
        return 330.0 / (lips + heat + 0.3 * self._peels(data) + self._knocks(data)
                        + packed + crushed)  # fmt: skip

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.25 * min(self._filled(data), 3.0) + 0.12 * self._peels(data)
        return 2500 * data.feed_mm_per_rev**0.75 * 6.25 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.08 * self._peels(data)

    def p_break(self, data: CuttingData) -> float:
        worn = self.torque_n_m(data) * self.growth(data)
        return self.base_break + 0.6 * logistic((worn - 0.52) / 0.035)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.2 * (1.0 - math.exp(-self._knocks(data)))


class WindowProfile(Process):
    """Uncoated carbide, 5.5 mm through ribs of aluminium profile, with oil spray, on a long mill.

    The soft alloy hardly wears a drill. It smears, though: cold in the flutes, hot on the lips.
    The long profile lies on few clamps and sways with the thrust, so a burr is left at the exit,
    which ends an edge when it no longer brushes off; a rib that sways far breaks the drill. Time is
    what a hole costs. No test is long enough to see many edges worn.
    """

    name = "window profile"
    physics = "soft alloy smears cold or hot; the profile sways and leaves a burr that ends an edge"
    life_scatter = 0.24
    fresh_scatter = 0.04
    worn_scatter = 0.04
    load_curve = 1.2
    base_break = 0.015
    idle_pct = 7.0
    moving_min = 0.04
    machine = Machine(2.2, 6000, 12_000, max_feed_mm_per_min=3500, rapid_mm_per_min=25_000)
    problem = Problem(
        speed_m_per_min=(24, 210), feed_mm_per_rev=(0.035, 0.34), peck_depth_xd=(0.3, 1.2),
        peck_modes=("none",), start=CuttingData(62, 0.09), load_limit_pct=60,
        diameter_mm=5.5, depth_mm=8, max_test_holes=500, machine=machine, group="N",
        economics=Economics(1.05, 1.5, 36, 2, 9, 55, 150, 0.4), substrate="carbide", through=True,
    )  # fmt: skip

    def _sways(self, data: CuttingData) -> float:
        """How far a rib sways under the thrust; past 1 it grips the drill and breaks it."""
        return (data.feed_mm_per_rev / 0.27) ** 0.75 * (110 / data.speed_m_per_min) ** 0.1

    def _smears(self, data: CuttingData) -> tuple[float, float]:
        """What smears cold in the flutes, and hot on the lips."""
        warm = data.speed_m_per_min * (data.feed_mm_per_rev / 0.13) ** 0.2
        return logistic((58 - warm) / 11), math.exp(min((warm - 165) / 20, 6.0))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cold, hot = self._smears(data)
        lips = 0.35 * (0.13 / feed) ** 0.8 * (0.6 + 0.4 * speed / 110)
        burr = 0.9 * min(self._sways(data), 2.0) ** 2.5
        return 1400.0 / (lips + 0.25 * cold + 0.3 * hot + burr)

    def torque_n_m(self, data: CuttingData) -> float:
        cold, hot = self._smears(data)
        smeared = 1.0 + 0.2 * cold + 0.12 * min(hot, 2.0)
        return 720 * data.feed_mm_per_rev**0.75 * 30.25 / 8000 * smeared

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.08 * min(self._smears(data)[1], 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._sways(data) - 1.0) / 0.07)


class SteeringKnuckle(Process):
    """Coated carbide, 12.5 mm through forged steering knuckles, with coolant through the drill.

    Every hole heats the lips and coolant quenches them when they come out: by and by cracks open
    across them, the sooner the wider the swing, and pieces fall out between the cracks. Beside that
    the flank wears by the way it goes, and a crater eats into the rake where the chip runs hot.
    Slow, the soft grains of the steel weld on. Drills last long, tests do not.
    """

    name = "steering knuckle"
    physics = "heat and quench at every hole open cracks; flank by way; crater when hot"
    life_scatter = 0.19
    fresh_scatter = 0.025
    worn_scatter = 0.035
    load_curve = 1.7
    base_break = 0.01
    idle_pct = 3.0
    moving_min = 0.03
    machine = Machine(
        15.0, 2200, 9000, max_feed_mm_per_min=8000, rapid_mm_per_min=40_000, coolant_bar=30
    )
    problem = Problem(
        speed_m_per_min=(28, 250), feed_mm_per_rev=(0.07, 0.65), peck_depth_xd=(0.4, 2.5),
        peck_modes=("none",), start=CuttingData(70, 0.18), load_limit_pct=70,
        diameter_mm=12.5, depth_mm=36, max_test_holes=260, machine=machine, group="P",
        economics=Economics(1.7, 3.0, 142, 4, 36, 170, 50, 0.5), substrate="carbide", through=True,
        maker_speed_m_per_min=(70, 120), maker_feed_mm_per_rev=(0.18, 0.34),
    )  # fmt: skip

    def _celsius(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 20 + 560 * (speed / 90) ** 0.38 * (feed / 0.25) ** 0.16

    def _cracks(self, data: CuttingData) -> float:
        """What the swing of heat costs of a life, per hole, as `life` counts it."""
        return 0.28 * (max(0.0, self._celsius(data) - 60) / 530) ** 4

    def _others(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        flank = 0.4 * (0.25 / feed) ** 0.8 * (0.7 + 0.3 * speed / 90)
        crater = 0.25 * math.exp(min((self._celsius(data) - 650) / 36, 10.0))
        welds = 0.2 * logistic((430 - self._celsius(data)) / 20)
        return flank + crater + welds + 0.3 * (feed / 0.37) ** 4

    def life(self, data: CuttingData) -> float:
        return 540.0 / (self._cracks(data) + self._others(data))

    def torque_n_m(self, data: CuttingData) -> float:
        welds = 1.0 + 0.12 * logistic((430 - self._celsius(data)) / 20)
        return 1900 * data.feed_mm_per_rev**0.76 * 156.25 / 8000 * welds

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.25 * self._cracks(data) / (self._cracks(data) + self._others(data))

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.35 * logistic((data.feed_mm_per_rev - 0.52) / 0.025)

    def p_chip(self, data: CuttingData) -> float:
        cracks = self._cracks(data)
        return 0.015 + 0.2 * (cracks / (cracks + self._others(data))) ** 2


class CoolingChannel(Process):
    """Coated carbide, 8 mm and 12 x D in plates of tempered mould steel, coolant through the drill.

    A chip leaves well only in a window of feed: a thinner one strings, a thicker one curls too wide
    for the flute. The window is narrow where the way out is long, and outside it chips jam and the
    drill snaps in a dear plate. Pecks make it wider. But margins rub along the whole wall at each
    retract, and where the drill stops to step back the lips dwell. Heat wears the corners.
    """

    name = "cooling channel"
    physics = "chips leave in a window of feed, narrow for a long way out; margins rub at retracts"
    life_scatter = 0.22
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.018
    idle_pct = 5.0
    moving_min = 0.06
    machine = Machine(
        5.5, 2500, 10_000, max_feed_mm_per_min=5000, rapid_mm_per_min=18_000, coolant_bar=20
    )
    problem = Problem(
        speed_m_per_min=(20, 170), feed_mm_per_rev=(0.04, 0.38), peck_depth_xd=(0.4, 6),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(48, 0.11, "full_retract", 1.5), load_limit_pct=60,
        diameter_mm=8, depth_mm=96, max_test_holes=260, machine=machine, group="P",
        economics=Economics(1.3, 3.0, 138, 3, 32, 420, 20, 0.6), substrate="carbide",
    )  # fmt: skip

    _path_xd = 97.5 / 8

    def _jammed(self, data: CuttingData) -> float:
        """How badly chips leave; at 1 a drill snaps as likely as not."""
        way_out = self._path_xd
        if data.peck_mode == "full_retract":
            way_out = min(way_out, 2.0 + data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            way_out *= 1.0 - 0.45 * math.exp(-data.peck_depth_xd / 2.0)
        off = math.log(data.feed_mm_per_rev / 0.15)
        return (way_out / 12.0) ** 0.5 * (0.55 + 1.1 * off**2)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        lips = 0.4 * (0.15 / feed) ** 0.8
        heat = 0.42 * (speed / 68) ** 3.3 * (feed / 0.15) ** 0.4
        retracts = pecks_of(data, self._path_xd) - 1
        each = {"none": 0.0, "chip_break": 0.016, "full_retract": 0.036}[data.peck_mode]
        jams = 0.3 * min(self._jammed(data), 2.0) ** 2
        return 155.0 / (lips + heat + each * retracts + jams + 0.3 * (feed / 0.24) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        jams = 1.0 + 0.4 * min(self._jammed(data), 2.0) ** 2
        return 2350 * data.feed_mm_per_rev**0.77 * 64 / 8000 * jams

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.12 * min(self._jammed(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.55 * logistic((self._jammed(data) - 1.0) / 0.07)


class DairyFlange(Process):
    """Cobalt drill with a coating, 14 mm through flanges of stainless steel, on a light mill.

    Long chips wind into a nest around the drill, which drags at the spindle and keeps emulsion
    out; thick chips and short pecks make less of it. This steel leads little heat away, so what
    the cut takes in power stays with the corners, and they give way steeply. A lip that begins
    anew must bite below what it hardened before. The mill is the first to be short of breath.
    """

    name = "dairy flange"
    physics = "a nest of chips drags and keeps emulsion out; power heats corners; a light spindle"
    life_scatter = 0.26
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.4
    base_break = 0.014
    idle_pct = 7.0
    moving_min = 0.07
    machine = Machine(3.0, 1000, 5000, max_feed_mm_per_min=2500, rapid_mm_per_min=10_000)
    problem = Problem(
        speed_m_per_min=(4.5, 40), feed_mm_per_rev=(0.035, 0.34), peck_depth_xd=(0.2, 1.8),
        peck_modes=("none", "chip_break"), start=CuttingData(12, 0.10, "chip_break", 0.5),
        load_limit_pct=70, diameter_mm=14, depth_mm=25, max_test_holes=120, machine=machine,
        group="M", economics=Economics(0.95, 2.5, 46, 5, 8, 75, 20, 0.5), substrate="cobalt",
        through=True,
    )  # fmt: skip

    _path_xd = 27.5 / 14

    def _nest(self, data: CuttingData) -> float:
        """How much of a nest there is at the end of a hole, 0 to 1."""
        left = 1.0
        if data.peck_mode == "chip_break":
            left = 0.2 + 0.8 * (1.0 - math.exp(-data.peck_depth_xd / 0.8))
        return left / (1.0 + (data.feed_mm_per_rev / 0.17) ** 3)

    def _hot(self, data: CuttingData) -> float:
        made = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 14), data.feed_mm_per_rev) / 50
        wet = 1.0 + 0.15 * self._nest(data)
        return made**0.4 * (data.speed_m_per_min / 15) ** 0.5 * wet

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.4 * (0.14 / feed) ** 0.7
        bites = 0.07 * (pecks_of(data, self._path_xd) - 1) * (0.12 / feed) ** 1.1
        corners = 0.42 * self._hot(data) ** 5
        return 80.0 / (lips + bites + corners + 0.2 * self._nest(data) + 0.3 * (feed / 0.23) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2450 * data.feed_mm_per_rev**0.79 * 196 / 8000 * (1.0 + 0.35 * self._nest(data))

    def growth(self, data: CuttingData) -> float:
        return 1.26 + 0.1 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.4 * logistic((data.feed_mm_per_rev - 0.27) / 0.015)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.06 * self._nest(data)
