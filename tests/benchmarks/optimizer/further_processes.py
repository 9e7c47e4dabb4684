"""Six further processes: held out once, no longer since their tables were seen."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.processes import logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class StarvedDepth(Process):
    """Carbide, 9 x D in heat-treated steel, 6.5 mm, with coolant from outside only.

    Coolant reaches three diameters down; below, the drill soaks up heat for as long as it cuts dry.
    A full retract cools it, but quenches a hot edge: cracks across it come with every retract, more
    the hotter it was, and pieces break out. A chip-break peck lets only a little coolant seep in,
    and quenches nothing. A drill that is too hot seizes at its margins.
    """

    name = "starved depth"
    life_scatter = 0.24
    fresh_scatter = 0.03
    base_break = 0.015
    machine = Machine(3.7, 2500, 8000, rapid_mm_per_min=18_000)
    problem = Problem(
        speed_m_per_min=(18, 110), feed_mm_per_rev=(0.05, 0.26), peck_depth_xd=(0.5, 5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(38, 0.10, "chip_break", 1.0), load_limit_pct=55,
        diameter_mm=6.5, depth_mm=60, max_test_holes=350, machine=machine, group="P",
        economics=Economics(1.3, 2.5, 74, 3, 24, 240, 40, 0.8),
    )  # fmt: skip

    _path_xd = 61.2 / 6.5

    def _retracts(self, data: CuttingData) -> int:
        return pecks_of(data, self._path_xd) - 1 if data.peck_mode == "full_retract" else 0

    def _soaked(self, data: CuttingData) -> float:
        """Share of the heat that a drill takes up at last, at the end of its longest dry cut."""
        dry_xd = self._path_xd - 3.0
        if data.peck_mode == "full_retract":
            dry_xd = min(dry_xd, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            dry_xd *= 1.0 - 0.5 * math.exp(-data.peck_depth_xd / 1.5)
        turns = rpm(data.speed_m_per_min, 6.5)
        dry_s = dry_xd * 6.5 / feed_rate_mm_per_min(turns, data.feed_mm_per_rev) * 60
        return 1.0 - math.exp(-dry_s / 6.0)

    def _celsius(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cut = 430 * (speed / 55) ** 0.42 * (feed / 0.11) ** 0.18
        return 20 + cut * (0.68 + 0.62 * self._soaked(data))

    def _cracks(self, data: CuttingData) -> float:
        """What quenching costs of a life, per hole, as `_rubs` counts it."""
        return 0.07 * self._retracts(data) * (max(0.0, self._celsius(data) - 150) / 300) ** 2.2

    def _rubs(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        hot = math.exp(min((self._celsius(data) - 490) / 42, 12.0))
        return 0.11 / feed * (0.5 + hot) + 0.5 * (feed / 0.2) ** 4

    def life(self, data: CuttingData) -> float:
        return 260.0 / (self._rubs(data) + self._cracks(data))

    def torque_n_m(self, data: CuttingData) -> float:
        binds = 1.0 + 0.22 * self._soaked(data) ** 2
        return 2500 * data.feed_mm_per_rev**0.77 * 42.25 / 8000 * binds

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.15 * self._soaked(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._celsius(data) - 600) / 16)

    def p_chip(self, data: CuttingData) -> float:
        cracks = self._cracks(data)
        return 0.02 + 0.3 * (cracks / (cracks + self._rubs(data))) ** 2


class FibreLaminate(Process):
    """Carbide, 2.4 mm in a carbon-fibre laminate, on a small fast spindle.

    Fibres round the edge with the way it has rubbed. The hole is no longer good when the worn
    drill's thrust splits the last layers, and a high feed starts nearer to that. The drill runs out
    and whips at high spindle speed, so one lip takes more than its half, at low feed all of it.
    Fast and thin cuts melt the resin, which smears. The load rises at once and then slower. Runout
    differs from clamping to clamping, so lives scatter widely.
    """

    name = "fibre laminate"
    life_scatter = 0.38
    fresh_scatter = 0.045
    worn_scatter = 0.05
    load_curve = 0.7
    base_break = 0.01
    idle_pct = 6.0
    machine = Machine(0.45, 15_000, 40_000, max_feed_mm_per_min=3000, rapid_mm_per_min=12_000)
    problem = Problem(
        speed_m_per_min=(60, 300), feed_mm_per_rev=(0.015, 0.14), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(80, 0.025), load_limit_pct=70,
        diameter_mm=2.4, depth_mm=9.6, max_test_holes=1000, machine=machine,
        economics=Economics(1.1, 1.5, 17, 0, 0, 110, 150, 0.5),
    )  # fmt: skip

    def _whip(self, data: CuttingData) -> float:
        return (rpm(data.speed_m_per_min, 2.4) / 27_000) ** 2

    def _uneven(self, data: CuttingData) -> float:
        """How much more than its half one lip takes; 1 when it takes all."""
        out_mm = 0.004 + 0.005 * self._whip(data)
        return math.tanh(2.0 * out_mm / data.feed_mm_per_rev)

    def _smears(self, data: CuttingData) -> float:
        warm = data.speed_m_per_min * (0.04 / data.feed_mm_per_rev) ** 0.3
        if data.peck_mode == "chip_break":
            warm *= 0.9
        return logistic((warm - 205) / 16)

    def _spare_thrust(self, data: CuttingData) -> float:
        """Share by which the thrust may still rise before the last layers split."""
        spare = (0.105 / data.feed_mm_per_rev) ** 0.6 - 1.0
        return 0.08 * math.log1p(math.exp(spare / 0.08))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        hits = 0.0
        if data.peck_mode == "chip_break":
            hits = 0.05 * (pecks_of(data, 4.2) - 1)
        rubs = 0.04 / feed * (1.0 + self._uneven(data)) ** 1.8
        rounds = rubs * (0.7 + 0.3 * (speed / 120) ** 1.5) * (1.0 + 1.8 * self._smears(data) + hits)
        return 1500.0 * self._spare_thrust(data) / rounds

    def torque_n_m(self, data: CuttingData) -> float:
        return 640 * data.feed_mm_per_rev**0.7 * 5.76 / 8000 * (1.0 + 0.3 * self._smears(data))

    def growth(self, data: CuttingData) -> float:
        return 1.15 + 0.4 * min(self._spare_thrust(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        bends = self._whip(data) * 0.7 + data.feed_mm_per_rev / 0.12
        return self.base_break + 0.4 * logistic((bends - 1.45) / 0.1)


class InsertInCasting(Process):
    """Drill with two inserts, 22 mm in nodular iron castings, on an old machine.

    The outer insert wears with speed, the centre one, which hardly moves, is crushed by feed and
    more so when slow. Every entry through the hard skin takes its share however quick the rest of
    the hole is, and sand in it chips edges. Above its base speed the drive gives less and less of
    what its plate says. Inserts are turned, not reground.
    """

    name = "insert in casting"
    life_scatter = 0.27
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 2.2
    base_break = 0.008
    idle_pct = 7.0
    machine = Machine(5.5, 900, 3500, rapid_mm_per_min=10_000)
    problem = Problem(
        speed_m_per_min=(35, 180), feed_mm_per_rev=(0.05, 0.24), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(75, 0.07), load_limit_pct=90,
        diameter_mm=22, depth_mm=45, max_test_holes=180, machine=machine, group="K",
        economics=Economics(1.2, 2.0, 36, 3, 0, 380, 20, 0.7),
    )  # fmt: skip

    def _outer(self, data: CuttingData) -> float:
        """Share of a life that the outer insert loses in one hole, and so on below."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        minutes = 24.0 * (115 / speed) ** 3.4 * (0.1 / feed) ** 0.4
        return (self.cycle_min(data) - self.moving_min) / minutes

    def _centre(self, data: CuttingData) -> float:
        slow = 1.0 + (70 / data.speed_m_per_min) ** 3
        return 0.0035 * (data.feed_mm_per_rev / 0.11) ** 3.2 * slow

    def _skin(self, data: CuttingData) -> float:
        return 0.0045 * (0.5 + 0.5 * data.speed_m_per_min / 110)

    def life(self, data: CuttingData) -> float:
        return 1.0 / (self._outer(data) + self._centre(data) + self._skin(data))

    def torque_n_m(self, data: CuttingData) -> float:
        return 1380 * data.feed_mm_per_rev**0.74 * 484 / 8000

    def fresh_pct(self, data: CuttingData) -> float:
        over = max(0.0, rpm(data.speed_m_per_min, 22) / self.machine.base_rpm - 1.0)
        cut = super().fresh_pct(data) - self.idle_pct
        return self.idle_pct * (1.0 + 0.5 * over) + cut * (1.0 + 0.3 * over**1.3)

    def growth(self, data: CuttingData) -> float:
        return 1.18 + 0.35 * self._outer(data) * self.life(data)

    def p_chip(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev * (90 / data.speed_m_per_min) ** 0.3
        return 0.05 + 0.35 * logistic((feed - 0.165) / 0.015)


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


class SinteredHub(Process):
    """Coated high-speed steel in sintered iron, 11.5 mm, dry: plain, but no two lots are alike.

    Each pore is a small interruption: lips tire by count and force of them, hard grains rub. Oil in
    the pores bleeds out where it is warm and lubricates, until it smokes off. A thin chip irons the
    pores shut and work-hardens the wall. A high feed crumbles the exit, so the hole is bad before
    the drill is. Density differs from lot to lot, so lives scatter very widely and loads widely.
    """

    name = "sintered hub"
    life_scatter = 0.42
    fresh_scatter = 0.06
    worn_scatter = 0.06
    load_curve = 1.0
    base_break = 0.008
    machine = Machine(3.0, 1000, 5000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(12, 80), feed_mm_per_rev=(0.05, 0.40), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(30, 0.15), load_limit_pct=75,
        diameter_mm=11.5, depth_mm=18, max_test_holes=1000, machine=machine,
        economics=Economics(0.9, 1.5, 32, 7, 6, 45, 120, 0.5),
    )  # fmt: skip

    def _oiled(self, data: CuttingData) -> float:
        """How much the oil of the pores helps, 0 to 1: it must be warm, but not smoke off."""
        warm = data.speed_m_per_min * (data.feed_mm_per_rev / 0.18) ** 0.2
        return logistic((warm - 21) / 4) * logistic((48 - warm) / 5)

    def _ironed(self, data: CuttingData) -> float:
        return math.exp(-((data.feed_mm_per_rev / 0.09) ** 1.5))

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = 0.18 / feed
        tired = 0.45 * way * (speed / 35) ** 1.9 * (feed / 0.18) ** 1.2
        rubbed = 0.4 * way * (1.0 + (speed / 45) ** 4) * (1.0 - 0.45 * self._oiled(data))
        crumbled = 0.5 * (feed / 0.23) ** 5
        return 700.0 / ((tired + rubbed) * (1.0 + 0.8 * self._ironed(data)) + crumbled)

    def torque_n_m(self, data: CuttingData) -> float:
        dry = 1.0 + 0.12 * (1.0 - self._oiled(data)) + 0.2 * self._ironed(data)
        spindle = 1.0 + 0.05 * rpm(data.speed_m_per_min, 11.5) / 1000
        return 1450 * data.feed_mm_per_rev**0.74 * 132.25 / 8000 * dry / spindle

    def growth(self, data: CuttingData) -> float:
        return 1.34 - 0.08 * self._oiled(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.04 + 0.15 * logistic((data.feed_mm_per_rev - 0.26) / 0.02)


FURTHER_PROCESSES: tuple[type[Process], ...] = (
    StarvedDepth, FibreLaminate, InsertInCasting, CrossedBore, GrippingBronze, SinteredHub,
)  # fmt: skip
