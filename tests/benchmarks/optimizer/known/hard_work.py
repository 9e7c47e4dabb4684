"""Drills in hardened steel, titanium, nickel, tantalum and what hardens as it is cut. Invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class WorkHardening(Process):
    """Carbide in austenitic stainless steel, 6 mm.

    Below a chip load the edge rubs in the layer that the turn before hardened; notches make lives
    scatter by 30 %.
    """

    name = "work hardening"
    life_scatter = 0.3
    machine = Machine(2.2, 3000, 12_000)
    problem = Problem(
        speed_m_per_min=(15, 80), feed_mm_per_rev=(0.02, 0.16), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(26, 0.05), load_limit_pct=65,
        diameter_mm=6, depth_mm=18, max_test_holes=600, machine=machine, group="M",
        economics=Economics(1.2, 2, 40, 2, 12, 90, 60, 0.8),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubbing = 1.0 + (0.045 / feed) ** 2.5
        entry = 1.0 if data.peck_mode == "none" else 1.0 + 0.06 / data.peck_depth_xd
        return 650.0 * (30 / speed) ** 3.6 / (rubbing * entry * (1.0 + (feed / 0.1) ** 5))

    def torque_n_m(self, data: CuttingData) -> float:
        hardened = 1.0 + 0.35 * math.exp(-data.feed_mm_per_rev / 0.04)
        return 2700 * data.feed_mm_per_rev**0.8 * 36 / 8000 * hardened

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.12 * logistic((data.feed_mm_per_rev - 0.125) / 0.008)


class HotTitanium(Process):
    """Carbide in a titanium alloy, 5 mm: heat stays at the corner, life is steep in speed.

    Above a temperature the work welds on and edges chip; without cleared chips it comes sooner.
    """

    name = "hot titanium"
    life_scatter = 0.25
    machine = Machine(1.5, 2500, 12_000)
    problem = Problem(
        speed_m_per_min=(15, 75), feed_mm_per_rev=(0.03, 0.16), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "full_retract"), start=CuttingData(40, 0.045), load_limit_pct=40,
        diameter_mm=5, depth_mm=20, max_test_holes=300, machine=machine, group="S",
        economics=Economics(1.8, 2, 60, 1, 20, 300, 25, 1.0),
    )  # fmt: skip

    def _hot(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cleared = 0.93 if data.peck_mode == "full_retract" and data.peck_depth_xd <= 1.5 else 1.0
        return (speed / 40) * (feed / 0.07) ** 0.45 * cleared

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        pecks = pecks_of(data, 4.0)
        return 230.0 / (0.35 + self._hot(data) ** 5) / pecks**0.25 / (1.0 + (feed / 0.12) ** 5)

    def torque_n_m(self, data: CuttingData) -> float:
        return 1900 * data.feed_mm_per_rev**0.77 * 25 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.25 * min(1.0, self._hot(data) ** 3)

    def p_chip(self, data: CuttingData) -> float:
        return min(0.9, 0.03 + 0.35 * max(0.0, self._hot(data) - 1.15))


class HardenedPlate(Process):
    """Coated carbide in hardened steel, 7 mm: the coating carries the life, then it is through.

    What the coating stands falls with contact pressure (feed) and heat; below it the substrate
    wears ten times as fast. The load hardly moves until then. Corners chip when both are high.
    """

    name = "hardened plate"
    life_scatter = 0.22
    load_curve = 3.0
    machine = Machine(3.0, 2000, 10_000)
    problem = Problem(
        speed_m_per_min=(15, 90), feed_mm_per_rev=(0.03, 0.18), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "full_retract"), start=CuttingData(28, 0.06), load_limit_pct=65,
        diameter_mm=7, depth_mm=14, max_test_holes=400, machine=machine, group="H",
        economics=Economics(1.5, 2.5, 105, 1, 30, 220, 40, 1.0),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        pressed = (feed / 0.075) ** 0.9
        heat = math.exp((speed * (feed / 0.06) ** 0.3 - 38) / 13)
        way_m_per_hole = math.pi * 0.007 * (14 / feed)
        coating_m = 1250.0 / (0.4 + 0.25 * pressed**3.5 + heat)
        bare_m = coating_m * 0.1
        entries = 1.0 if data.peck_mode == "none" else 1.0 + 0.2 * (2.0 / data.peck_depth_xd)
        return (coating_m + bare_m) / way_m_per_hole / entries

    def torque_n_m(self, data: CuttingData) -> float:
        return 3100 * data.feed_mm_per_rev**0.74 * 49 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.5 if data.feed_mm_per_rev > 0.1 else 1.42

    def p_chip(self, data: CuttingData) -> float:
        both = (data.speed_m_per_min / 50) ** 0.7 * (data.feed_mm_per_rev / 0.11)
        return 0.02 + 0.5 * logistic((both - 1.15) / 0.07)


class NickelRing(Process):
    """Carbide, 7.5 mm in rings of an aged nickel alloy.

    The work keeps its strength when hot, so the edge softens by a steep law of speed; slow and thin
    cuts dwell in the layer that the lip before hardened, which notches the margins. The notch
    breaks out the more easily the thicker the chip. A lost ring costs far more than the drill.
    """

    name = "nickel ring"
    physics = "steep wear with heat, notches from a hardened layer, chipping that rises with feed"
    life_scatter = 0.3
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.9
    base_break = 0.012
    machine = Machine(7.5, 1500, 8000, rapid_mm_per_min=24_000, coolant_bar=40)
    problem = Problem(
        speed_m_per_min=(8, 45), feed_mm_per_rev=(0.03, 0.18), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(25, 0.07), load_limit_pct=50,
        diameter_mm=7.5, depth_mm=24, max_test_holes=200, machine=machine, group="S",
        economics=Economics(1.7, 3, 125, 2, 38, 600, 15, 0.6), substrate="carbide",
        maker_speed_m_per_min=(20, 35), maker_feed_mm_per_rev=(0.06, 0.12),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        heat = (speed / 22) ** 4.6 * (feed / 0.08) ** 1.2
        notch = 0.45 * (0.08 / feed) ** 1.2 * (1.0 + (11 / speed) ** 2)
        return 120.0 / (heat + notch + 0.5 * (feed / 0.11) ** 3.5)

    def torque_n_m(self, data: CuttingData) -> float:
        hardened = 1.0 + 0.3 * math.exp(-data.feed_mm_per_rev / 0.05)
        return 3300 * data.feed_mm_per_rev**0.77 * 56.25 / 8000 * hardened

    def growth(self, data: CuttingData) -> float:
        return 1.4 + 0.12 * min(data.speed_m_per_min / 25, 1.6)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.5 * logistic((data.feed_mm_per_rev - 0.118) / 0.011)


class LandingStrut(Process):
    """Coated carbide, 12.5 mm in very strong hardened steel, on a long holder that twists.

    The drill winds up and springs back. Where its beat fits the turning badly, chatter builds up
    the deeper it goes: narrow calm speeds lie between loud ones, wider apart the faster it turns. A
    slow flank damps it, a thick chip feeds it, a step back makes it begin anew but costs an entry.
    Chatter shakes pieces off the edge; in the worst of it the drill breaks. Heat wears the crater.
    """

    name = "landing strut"
    physics = "twisting chatter with calm speeds between loud ones, builds up with depth; crater"
    life_scatter = 0.28
    fresh_scatter = 0.04
    worn_scatter = 0.05
    load_curve = 2.1
    base_break = 0.015
    idle_pct = 4.0
    machine = Machine(11, 1200, 5000, rapid_mm_per_min=18_000, coolant_bar=30)
    problem = Problem(
        speed_m_per_min=(20, 100), feed_mm_per_rev=(0.04, 0.24), peck_depth_xd=(0.4, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(33, 0.085), load_limit_pct=60,
        diameter_mm=12.5, depth_mm=55, max_test_holes=140, machine=machine, group="H",
        economics=Economics(1.9, 3.0, 165, 2, 52, 700, 10, 0.7), substrate="carbide",
        maker_speed_m_per_min=(30, 60), maker_feed_mm_per_rev=(0.07, 0.14),
    )  # fmt: skip

    _path_xd = 57.3 / 12.5

    def _chatter(self, data: CuttingData) -> float:
        """How hard it chatters at last, 0 to about 2."""
        beats = 5400 / rpm(data.speed_m_per_min, 12.5)
        loud = 0.5 - 0.5 * math.cos(2 * math.pi * beats)
        damped = logistic((data.speed_m_per_min - 36) / 5)
        built = self._path_xd
        if data.peck_mode == "chip_break":
            built = min(built, 0.8 + data.peck_depth_xd)
        return loud**1.5 * damped * (data.feed_mm_per_rev / 0.1) ** 0.6 * built / 4.0

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        flank = 0.45 * (0.1 / feed) ** 0.6 * (speed / 45) ** 0.9
        crater = 0.4 * (speed * (feed / 0.1) ** 0.35 / 66) ** 4.5
        pressed = 0.3 * (feed / 0.15) ** 4
        entries = 0.035 * (pecks_of(data, self._path_xd) - 1)
        return 75.0 / ((flank + crater) * (1.0 + 0.9 * self._chatter(data)) + pressed + entries)

    def torque_n_m(self, data: CuttingData) -> float:
        shakes = 1.0 + 0.15 * min(self._chatter(data), 2.0)
        return 3300 * data.feed_mm_per_rev**0.75 * 156.25 / 8000 * shakes

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.1 * min(self._chatter(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.35 * logistic((self._chatter(data) - 0.95) / 0.09)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.15 * min(self._chatter(data), 2.0)


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


class LayupMould(Process):
    """Cobalt drill, 10 mm and 45 mm deep in nickel iron that does not swell, on a gantry mill.

    The work hardly grows with heat, but the drill does: warm, it gets tight in its own hole. Its
    margins then rub and make more heat, which makes it tighter still: little by little at first,
    and then all at once, and it seizes. Emulsion comes from outside; a retract cools the drill
    well, a step back a little. The tough alloy tears at lips that enter anew.
    """

    name = "layup mould"
    physics = "the drill swells and its hole does not: rubbing feeds on itself until it seizes"
    life_scatter = 0.25
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.8
    base_break = 0.015
    idle_pct = 5.0
    moving_min = 0.06
    machine = Machine(7.5, 1500, 8000, max_feed_mm_per_min=6000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(4, 34), feed_mm_per_rev=(0.04, 0.32), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(13, 0.12, "full_retract", 1.0), load_limit_pct=45,
        diameter_mm=10, depth_mm=45, max_test_holes=80, machine=machine,
        economics=Economics(1.6, 2.5, 31, 3, 8, 420, 10, 0.5), substrate="cobalt",
    )  # fmt: skip

    _path_xd = 46.8 / 10

    def _kept(self, data: CuttingData) -> float:
        """Share of the heat of a hole that the drill still has when it is deepest."""
        if data.peck_mode == "full_retract":
            return 0.55 + 0.45 * min(1.0, data.peck_depth_xd / self._path_xd)
        if data.peck_mode == "chip_break":
            return 0.84 + 0.16 * min(1.0, data.peck_depth_xd / self._path_xd)
        return 1.0

    def _tight(self, data: CuttingData) -> float:
        """How tight the drill is; its own rubbing is in it."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cut = (speed / 16) ** 0.75 * (feed / 0.14) ** 0.3 * self._kept(data)
        return cut / max(1.0 - 0.45 * cut, 0.1)

    def life(self, data: CuttingData) -> float:
        feed, tight = data.feed_mm_per_rev, self._tight(data)
        lips = 0.45 * (0.14 / feed) ** 0.6 * (data.speed_m_per_min / 16) ** 1.6
        margins = 0.25 * tight**1.8
        each = 0.05 if data.peck_mode == "full_retract" else 0.03
        entries = each * (pecks_of(data, self._path_xd) - 1)
        return 75.0 / (lips + margins + entries + 0.4 * (feed / 0.16) ** 3.5)

    def torque_n_m(self, data: CuttingData) -> float:
        rubs = 1.0 + 0.16 * min(self._tight(data), 4.0)
        return 2200 * data.feed_mm_per_rev**0.78 * 100 / 8000 * rubs

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.08 * min(self._tight(data), 4.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.75 * logistic((self._tight(data) - 1.9) / 0.11)
