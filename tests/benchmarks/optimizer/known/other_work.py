"""Drills in work that is no metal: laminates, graphite, plastic, stone. Figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


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


class PumpImpeller(Process):
    """Carbide, 4 mm in glass-filled plastic, dry with an air jet, on an old engraving mill.

    Broken glass sands the edge, harder the faster it is hit. Plastic leads no heat away: above its
    melting point it smears on the margins, sets there and the hole closes in. Pecks let air in.
    The mill costs little and the drill much, so nobody is in a hurry.
    """

    name = "pump impeller"
    physics = "glass sands the edge, steeply with speed; heat melts plastic onto it; air cools"
    life_scatter = 0.32
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 0.9
    base_break = 0.003
    idle_pct = 12.0
    machine = Machine(0.75, 5000, 14_000, max_feed_mm_per_min=1500, rapid_mm_per_min=6000)
    problem = Problem(
        speed_m_per_min=(20, 160), feed_mm_per_rev=(0.02, 0.22), peck_depth_xd=(0.4, 4),
        peck_modes=("none", "chip_break", "full_retract"), start=CuttingData(72, 0.09),
        load_limit_pct=50, diameter_mm=4, depth_mm=18, max_test_holes=900, machine=machine,
        economics=Economics(0.55, 1.5, 44, 1, 18, 30, 60, 0.5), substrate="carbide",
    )  # fmt: skip

    _path_xd = 18.7 / 4

    def _hot(self, data: CuttingData) -> float:
        """Heat at the margins; 1 is where the plastic melts."""
        dwell = self._path_xd
        if data.peck_mode == "full_retract":
            dwell = min(dwell, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            dwell *= 0.8 + 0.2 * (1.0 - math.exp(-data.peck_depth_xd / 1.2))
        rubbed = (data.speed_m_per_min / 85) ** 0.8 * (0.1 / data.feed_mm_per_rev) ** 0.45
        return rubbed * (0.55 + 0.45 * (dwell / self._path_xd) ** 0.5)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        sands = 0.1 / feed * (0.3 + 0.7 * (speed / 70) ** 1.7)
        melts = 1.0 + 1.4 * logistic((self._hot(data) - 1.0) / 0.09)
        each = 0.04 if data.peck_mode == "full_retract" else 0.015
        entries = each * (pecks_of(data, self._path_xd) - 1)
        return 620.0 / (sands * melts + entries + 0.6 * (feed / 0.14) ** 3)

    def torque_n_m(self, data: CuttingData) -> float:
        closes = 1.0 + 0.5 * logistic((self._hot(data) - 1.05) / 0.1)
        return 330 * data.feed_mm_per_rev**0.72 * 16 / 8000 * closes

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.15 * min(self._hot(data), 1.6)


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


class WingSkin(Process):
    """Carbide, 6.35 mm through carbon laminate upon titanium, on a feed unit that shakes the drill.

    The unit shakes by a fixed way at every turn. A chip thinner than that way comes in crumbs; a
    thicker one is a ribbon that scours the laminate on its way out, so the hole is too wide
    before the lips are dull. The thinner the chip, the more of the shaking is knocks into empty air
    and back. Fibres round the lips by the way they go; titanium heats them, and when it
    is hot it welds on. A hole too many in a wing is very dear.
    """

    name = "wing skin"
    physics = "shaken feed crumbles thin chips, ribbons scour the laminate; knocks; hot titanium"
    life_scatter = 0.22
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.1
    base_break = 0.012
    idle_pct = 14.0
    moving_min = 0.25
    machine = Machine(0.9, 800, 2400, max_feed_mm_per_min=250, rapid_mm_per_min=900)
    problem = Problem(
        speed_m_per_min=(5, 42), feed_mm_per_rev=(0.02, 0.18), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(15, 0.045), load_limit_pct=70,
        diameter_mm=6.35, depth_mm=19, max_test_holes=100, machine=machine,
        economics=Economics(1.5, 4.0, 128, 3, 42, 700, 20, 0.5), substrate="carbide", through=True,
        maker_speed_m_per_min=(10, 20), maker_feed_mm_per_rev=(0.04, 0.09),
    )  # fmt: skip

    def _ribbons(self, data: CuttingData) -> float:
        return logistic((data.feed_mm_per_rev - 0.098) / 0.008)

    def _hot(self, data: CuttingData) -> float:
        """Heat of the lips in titanium; titanium welds on around 1.3."""
        ribbons = 1.0 + 0.15 * self._ribbons(data)
        return (data.speed_m_per_min / 18) ** 0.7 * (data.feed_mm_per_rev / 0.07) ** 0.3 * ribbons

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        rounded = 0.45 * (0.07 / feed) ** 0.8
        knocks = 0.2 * (0.05 / feed) ** 1.2
        heat = 0.4 * self._hot(data) ** 4.5
        scoured = 1.0 + 1.3 * self._ribbons(data)
        return 80.0 / ((rounded + knocks + heat) * scoured + 0.2 * (feed / 0.11) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.2 * self._ribbons(data)
        return 1900 * data.feed_mm_per_rev**0.75 * 40.3 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.08 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.35 * logistic((self._hot(data) - 1.3) / 0.13)


class CupHinge(Process):
    """Hinge borer with carbide lips and spurs, 35 mm in coated chipboard, dry, on a boring machine.

    Two spurs score the coating before the lips lift the chips. Dull spurs let it splinter, the
    sooner the higher the feed: that ends an edge, not its lips. Grit in the glue wears spurs by
    the way they go. Thin and fast cuts scorch the wood, and its hot acids eat the binder of the
    carbide. A screw or a stone in the board breaks a corner out, whatever the cutting data are.
    """

    name = "cup hinge"
    physics = "dull spurs splinter the coating, sooner at high feed; grit; hot acids eat carbide"
    life_scatter = 0.27
    fresh_scatter = 0.05
    worn_scatter = 0.05
    load_curve = 0.9
    base_break = 0.003
    idle_pct = 9.0
    moving_min = 0.02
    machine = Machine(1.5, 2800, 6000, max_feed_mm_per_min=5000, rapid_mm_per_min=20_000)
    problem = Problem(
        speed_m_per_min=(90, 620), feed_mm_per_rev=(0.08, 0.90), peck_depth_xd=(0.2, 0.6),
        peck_modes=("none",), start=CuttingData(300, 0.22), load_limit_pct=80,
        diameter_mm=35, depth_mm=12.5, max_test_holes=2500, machine=machine,
        economics=Economics(0.8, 2.0, 46, 5, 9, 12, 250, 0.3), substrate="carbide",
    )  # fmt: skip

    def _scorched(self, data: CuttingData) -> float:
        """How hot the wood gets; it turns brown around 1."""
        return (data.speed_m_per_min / 440) ** 1.1 * (0.30 / data.feed_mm_per_rev) ** 0.5

    def _dull(self, data: CuttingData) -> float:
        """How dull the spurs may get before the coating splinters, 1 for a very low feed."""
        return 1.0 / (1.0 + (data.feed_mm_per_rev / 0.38) ** 2.8)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        grit = 0.6 * (0.3 / feed) ** 0.75 * (0.6 + 0.4 * speed / 350)
        acids = 0.45 * math.exp(min((self._scorched(data) - 1.0) / 0.22, 8.0)) * (0.3 / feed) ** 0.5
        return 3900.0 * self._dull(data) / (grit + acids)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2.4 * data.feed_mm_per_rev**0.68

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.15 * min(self._scorched(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:  # noqa: ARG002
        return 0.07
