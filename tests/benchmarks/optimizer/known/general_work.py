"""Jobs of a general machine shop, each with physics of its own. All are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class CrownWheelBlank(Process):
    """Two tips, 21 mm through forged blanks of case-hardening steel, in the turret of a lathe.

    The outer tip goes at full speed and wears by heat; the inner one hardly moves at its corner,
    where slow steel welds on and a thick chip crushes it. Thin chips are ribbons that wind round
    the body and are cut again. The skin of the forging costs every hole the same. A lathe of
    middling power is soon pulled to what it has.
    """

    name = "crown wheel blank"
    physics = "heat on the outer tip, welding and crushing on the inner; ribbons; middling power"
    life_scatter = 0.22
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.3
    base_break = 0.012
    idle_pct = 5.0
    moving_min = 0.08
    machine = Machine(
        9.0, 900, 4000, max_feed_mm_per_min=3000, rapid_mm_per_min=18_000, coolant_bar=12
    )
    problem = Problem(
        speed_m_per_min=(42, 380), feed_mm_per_rev=(0.025, 0.24), peck_depth_xd=(0.3, 3),
        peck_modes=("none",), start=CuttingData(125, 0.075), load_limit_pct=80,
        diameter_mm=21, depth_mm=46, max_test_holes=220, machine=machine, group="P",
        economics=Economics(1.15, 1.5, 27, 3, 0, 210, 30, 0.4), substrate="carbide",
        through=True, maker_speed_m_per_min=(130, 220), maker_feed_mm_per_rev=(0.06, 0.14),
    )  # fmt: skip

    def _ribbons(self, data: CuttingData) -> float:
        """Share of the chips that come as ribbons; speed makes them a little longer."""
        breaks_at = 0.07 * (data.speed_m_per_min / 160) ** 0.15
        return logistic((breaks_at - data.feed_mm_per_rev) / 0.012)

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 185 * (data.feed_mm_per_rev / 0.1) ** 0.24

    def _welds(self, data: CuttingData) -> float:
        return logistic((105 - data.speed_m_per_min) / 16)

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        way = 0.32 * (0.1 / feed) ** 0.7
        outer = 0.34 * min(self._hot(data), 4.0) ** 3.3
        inner = 0.2 * (feed / 0.15) ** 3.1 + 0.25 * self._welds(data)
        return 230.0 / (0.12 + way + outer + inner + 0.2 * self._ribbons(data))

    def torque_n_m(self, data: CuttingData) -> float:
        wound = 1.0 + 0.1 * self._ribbons(data)
        return 2000 * data.feed_mm_per_rev**0.81 * 441 / 8000 * wound

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.09 * min(self._hot(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.06 * self._welds(data) + 0.05 * self._ribbons(data)


class BoilerHeader(Process):
    """High-speed steel, 26 mm through headers of creep-resisting steel, on a radial drill.

    Thrust bends the arm up; when the point comes out the arm springs back and throws the lips
    forward, the further the thicker the chip. Corners soften by heat, the more the longer they are
    in the hole without the oil from the brush; a retract lets it in. The steel has little hard in
    it, so lips wear slowly by their way. The gearbox has just the torque for the job.
    """

    name = "boiler header"
    physics = "the arm springs at the exit; corners soften away from the oil; a gearbox at its end"
    life_scatter = 0.24
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.6
    base_break = 0.008
    idle_pct = 9.0
    moving_min = 0.3
    machine = Machine(3.0, 190, 1200, max_feed_mm_per_min=500, rapid_mm_per_min=2500)
    problem = Problem(
        speed_m_per_min=(4.5, 42), feed_mm_per_rev=(0.06, 0.55), peck_depth_xd=(0.3, 2),
        peck_modes=("none", "full_retract"), start=CuttingData(13.5, 0.18), load_limit_pct=85,
        diameter_mm=26, depth_mm=38, max_test_holes=90, machine=machine, group="P",
        economics=Economics(0.85, 5.0, 58, 9, 7, 110, 10, 0.6), point_angle_deg=118.0,
        substrate="hss", through=True,
    )  # fmt: skip

    _path_mm = 45.8

    def _hot(self, data: CuttingData) -> float:
        """Heat at the corners, which rises along a peck until oil comes again."""
        peck_mm = self._path_mm
        if data.peck_mode == "full_retract":
            peck_mm = min(peck_mm, 26 * data.peck_depth_xd)
        dry = 0.82 + 0.18 * peck_mm / self._path_mm
        return data.speed_m_per_min / 20 * (data.feed_mm_per_rev / 0.25) ** 0.36 * dry

    def _thrown_mm(self, data: CuttingData) -> float:
        """How far the arm throws the drill."""
        return 0.35 * (data.feed_mm_per_rev / 0.3) ** 0.72

    def life(self, data: CuttingData) -> float:
        way = 0.35 * (0.25 / data.feed_mm_per_rev) ** 0.8
        softens = 0.4 * min(self._hot(data), 3.0) ** 5
        exits = 0.16 * (self._thrown_mm(data) / 0.35) ** 4
        again = 0.04 * (pecks_of(data, self._path_mm / 26) - 1)
        return 75.0 / (way + softens + exits + again)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2250 * data.feed_mm_per_rev**0.8 * 676 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.1 * min(self._hot(data), 2.0) ** 2

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.06 * min(self._thrown_mm(data) / 0.5, 2.0) ** 3


class RetortLid(Process):
    """Coated carbide, 6 mm in lids of cast nickel-chromium alloy, on a milling machine.

    The alloy keeps its heat where it is made. Warm walls close in on the drill and rub its margins,
    more so the deeper it goes in one stroke. Hard carbides of the casting grind the lips by their
    way, and each peck begins on a bottom that the point has rubbed. The web of such a drill twists
    off when it is fed too hard.
    """

    name = "retort lid"
    physics = "warm walls close in on the margins; carbides grind; rubbed bottoms; a web twists off"
    life_scatter = 0.3
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.8
    base_break = 0.02
    idle_pct = 6.0
    moving_min = 0.05
    machine = Machine(5.5, 1200, 8000, max_feed_mm_per_min=4000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(5, 46), feed_mm_per_rev=(0.018, 0.17), peck_depth_xd=(0.3, 2.8),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(15, 0.055, "full_retract", 0.9), load_limit_pct=45,
        diameter_mm=6, depth_mm=17, max_test_holes=55, machine=machine, group="S",
        economics=Economics(1.4, 2.0, 61, 2, 19, 240, 15, 0.5), substrate="carbide",
        maker_speed_m_per_min=(12, 28), maker_feed_mm_per_rev=(0.05, 0.1),
    )  # fmt: skip

    _path_xd = 18.1 / 6

    def _closes(self, data: CuttingData) -> float:
        """Rubbing of warm walls on the margins, 1 for one stroke at 22 m/min."""
        stroke_xd = self._path_xd
        if data.peck_mode == "full_retract":
            stroke_xd = min(stroke_xd, data.peck_depth_xd + 0.5)
        if data.peck_mode == "chip_break":
            stroke_xd = min(stroke_xd, 0.4 * data.peck_depth_xd + 0.6 * stroke_xd)
        return (data.speed_m_per_min / 22) ** 1.4 * (stroke_xd / self._path_xd) ** 0.6

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        turns = 0.38 * (0.08 / feed) ** 0.9
        heat = 0.3 * (speed / 22 * (feed / 0.08) ** 0.4) ** 2.8
        margins = 0.22 * min(self._closes(data), 4.0) ** 1.5
        bottoms = 0.035 * (pecks_of(data, self._path_xd) - 1) * (0.08 / feed) ** 0.3
        return 50.0 / (turns + heat + margins + bottoms + 0.2 * (feed / 0.11) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        rubs = 1.0 + 0.16 * min(self._closes(data), 3.0)
        return 3300 * data.feed_mm_per_rev**0.78 * 36 / 8000 * rubs

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.07 * min(self._closes(data), 3.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.35 * logistic((data.feed_mm_per_rev - 0.13) / 0.009)

    def p_chip(self, data: CuttingData) -> float:
        return 0.04 + 0.05 * min(data.feed_mm_per_rev / 0.1, 2.0) ** 2


class AustemperedBracket(Process):
    """Coated carbide, 14 mm in brackets of austempered iron, on a machining centre.

    Austenite in this iron turns hard under the push of the point, the more the thicker the chip,
    but less where the cut is warm. So a slow drill meets a harder iron than a quick one, until heat
    takes the coating. Lips and chisel edge wear by how hard the iron is that they go through; a
    step back lets the bottom cool and meets it hardened.
    """

    name = "austempered bracket"
    physics = "iron turns hard under the push, less when warm; heat takes the coating; hard bottoms"
    life_scatter = 0.2
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.5
    base_break = 0.01
    idle_pct = 4.0
    moving_min = 0.04
    machine = Machine(18.0, 1100, 9000, max_feed_mm_per_min=8000, rapid_mm_per_min=36_000)
    problem = Problem(
        speed_m_per_min=(15, 140), feed_mm_per_rev=(0.045, 0.42), peck_depth_xd=(0.35, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(46, 0.14), load_limit_pct=70,
        diameter_mm=14, depth_mm=34, max_test_holes=260, machine=machine, group="K",
        economics=Economics(13.5, 3.0, 1280, 4, 310, 2600, 40, 0.5, currency="SEK"),
        substrate="carbide", maker_speed_m_per_min=(50, 85), maker_feed_mm_per_rev=(0.14, 0.26),
    )  # fmt: skip

    _path_xd = 36.5 / 14

    def _warm(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 70 * (data.feed_mm_per_rev / 0.2) ** 0.27

    def _turned_hard(self, data: CuttingData) -> float:
        """Share of the austenite that turned hard before it was cut."""
        push = (data.feed_mm_per_rev / 0.2) ** 0.5
        return logistic((1.1 * push - 1.3 * self._warm(data)) / 0.4)

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        hard = self._turned_hard(data)
        ground = 0.3 * (0.2 / feed) ** 0.8 * (1.0 + 0.8 * hard)
        coating = 0.32 * min(self._warm(data), 4.0) ** 3.8
        chisel = 0.2 * (feed / 0.24) ** 2.6 * (0.7 + 0.6 * hard)
        bottoms = 0.04 * (pecks_of(data, self._path_xd) - 1)
        return 260.0 / (0.05 + ground + coating + chisel + bottoms)

    def torque_n_m(self, data: CuttingData) -> float:
        harder = 1.0 + 0.22 * self._turned_hard(data)
        return 1900 * data.feed_mm_per_rev**0.76 * 196 / 8000 * harder

    def growth(self, data: CuttingData) -> float:
        return 1.26 + 0.12 * self._turned_hard(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.07 * self._turned_hard(data) * min(data.feed_mm_per_rev / 0.25, 1.5)


class RunnerStrip(Process):
    """Bright carbide, 9 mm through strips of polyamide with glass fibre, on a portal router.

    Glass grinds the lips by their way, whatever else is done. Polyamide carries no heat off: a
    quick drill that stays long in the hole melts it, and melt clings to flutes and margins; a
    retract into the air jet lets it set. Blunt lips push the last layer out, so an edge is done
    when exits fray, sooner with a thick chip.
    """

    name = "runner strip"
    physics = "glass grinds by way; melt by speed and time in the hole; exits fray with feed"
    life_scatter = 0.15
    fresh_scatter = 0.05
    worn_scatter = 0.05
    load_curve = 1.2
    base_break = 0.005
    idle_pct = 7.0
    moving_min = 0.03
    machine = Machine(3.6, 9000, 18_000, max_feed_mm_per_min=6000, rapid_mm_per_min=30_000)
    problem = Problem(
        speed_m_per_min=(25, 225), feed_mm_per_rev=(0.035, 0.33), peck_depth_xd=(0.5, 4),
        peck_modes=("none", "full_retract"), start=CuttingData(75, 0.11, "full_retract", 1.4),
        load_limit_pct=60, diameter_mm=9, depth_mm=24, max_test_holes=800, machine=machine,
        economics=Economics(0.95, 2.0, 49, 2, 13, 30, 100, 0.5, currency="USD"),
        substrate="carbide", through=True,
    )  # fmt: skip

    _path_mm = 25.6

    def _melts(self, data: CuttingData) -> float:
        """Melt in a hole, by power of rubbing and seconds in one stroke; 1 is a good film."""
        turns = rpm(data.speed_m_per_min, 9)
        stroke_mm = self._path_mm
        if data.peck_mode == "full_retract":
            stroke_mm = min(stroke_mm, 9 * data.peck_depth_xd)
        seconds = 60 * stroke_mm / feed_rate_mm_per_min(turns, data.feed_mm_per_rev)
        warm = (data.speed_m_per_min / 105) ** 1.6 * (seconds / 1.5) ** 0.5
        return min(warm, 3.0) ** 2.6

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        ground = 0.55 * (0.15 / feed) ** 0.95 * (0.85 + 0.15 * data.speed_m_per_min / 100)
        frays = 0.3 * (feed / 0.18) ** 3.1
        out_and_in = 0.012 * (pecks_of(data, self._path_mm / 9) - 1)
        return 800.0 / (ground + frays + out_and_in + 0.5 * self._melts(data))

    def torque_n_m(self, data: CuttingData) -> float:
        clings = 1.0 + 0.1 * min(self._melts(data), 4.0)
        return 190 * data.feed_mm_per_rev**0.7 * 81 / 8000 * clings

    def growth(self, data: CuttingData) -> float:
        return 1.45 + 0.08 * min(self._melts(data), 4.0)


class Thermowell(Process):
    """Cobalt drill, 3.5 mm and 10 x D in bar of austenitic stainless steel, on a lathe with oil.

    Thin chips are long strings: what one peck makes is pushed up narrow flutes, and where they are
    full the drill twists off. Thick chips curl short, but bend so slender a drill until its corners
    give. Each peck starts on a bottom that was rubbed hard, worst for a small feed. Oil is carried
    in by each retract and keeps the corners from going soft.
    """

    name = "thermowell"
    physics = "strings fill narrow flutes and twist the drill off; rubbed bottoms; oil by retracts"
    life_scatter = 0.27
    fresh_scatter = 0.04
    worn_scatter = 0.045
    load_curve = 1.5
    base_break = 0.025
    idle_pct = 12.0
    moving_min = 0.07
    machine = Machine(1.5, 3000, 6000, max_feed_mm_per_min=2000, rapid_mm_per_min=12_000)
    problem = Problem(
        speed_m_per_min=(4, 36), feed_mm_per_rev=(0.015, 0.14), peck_depth_xd=(0.2, 2),
        peck_modes=("chip_break", "full_retract"),
        start=CuttingData(12, 0.045, "full_retract", 0.6), load_limit_pct=60,
        diameter_mm=3.5, depth_mm=35, max_test_holes=110, machine=machine, group="M",
        economics=Economics(0.8, 1.5, 16, 0, 0, 55, 20, 0.4, currency="GBP"),
        point_angle_deg=130.0, substrate="cobalt",
    )  # fmt: skip

    _path_xd = 35.8 / 3.5

    def _full(self, data: CuttingData) -> float:
        """Chips of one peck beside the room in the flutes; around 1 they are full."""
        held_xd = min(data.peck_depth_xd, self._path_xd)
        if data.peck_mode == "chip_break":
            held_xd = 0.5 * held_xd + 0.16 * self._path_xd
        return (held_xd / 1.5) ** 0.75 * (0.055 / data.feed_mm_per_rev) ** 0.3

    def _soft(self, data: CuttingData) -> float:
        oil = 1.0 if data.peck_mode == "full_retract" else 1.35
        between = 0.85 + 0.15 * data.peck_depth_xd
        return data.speed_m_per_min / 17 * (data.feed_mm_per_rev / 0.055) ** 0.3 * oil * between

    def _rubbed(self, data: CuttingData) -> float:
        """Share of a peck that goes through what the point rubbed before it."""
        return 1.0 - math.exp(-0.02 / data.feed_mm_per_rev / (1.0 + 3.0 * data.peck_depth_xd))

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.34 * (0.055 / feed) ** 0.6 * (1.0 + 2.0 * self._rubbed(data))
        corners = 0.36 * min(self._soft(data), 3.5) ** 4
        bends = 0.22 * (feed / 0.062) ** 3.4
        strings = 0.15 * min(self._full(data), 2.5) ** 1.5
        return 90.0 / (lips + corners + bends + strings)

    def torque_n_m(self, data: CuttingData) -> float:
        pushed = 1.0 + 0.4 * min(self._full(data), 2.0) ** 1.5
        return 2300 * data.feed_mm_per_rev**0.78 * 12.25 / 8000 * pushed

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.15 * self._rubbed(data) + 0.06 * min(self._soft(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._full(data) - 1.0) / 0.06)
