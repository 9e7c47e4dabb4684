"""Six processes that the optimizer was not worked on with: for the table only.

They were written without a look at how the search works. All figures are invented.
"""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class GateBracket(Process):
    """Plain high-speed steel, 10.2 mm through brackets of mild steel, on a weak column drill.

    At blue heat mild steel is stronger and brittle: its chips are short, but the spindle pulls
    harder. Colder, chips are long ribbons that wind around the drill, rub and now and then twist it
    off. Hotter, corners temper. Drills are cheap and are ground by hand, so no two are alike; what
    is dear is the time, and what is scarce is the power of the motor.
    """

    name = "gate bracket"
    physics = "blue heat breaks chips but loads a weak motor; ribbons wind; corners temper"
    life_scatter = 0.35
    fresh_scatter = 0.04
    worn_scatter = 0.045
    load_curve = 1.3
    base_break = 0.01
    idle_pct = 12.0
    moving_min = 0.08
    machine = Machine(1.1, 800, 2800, max_feed_mm_per_min=400, rapid_mm_per_min=2500)
    problem = Problem(
        speed_m_per_min=(9, 60), feed_mm_per_rev=(0.05, 0.36), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(22, 0.12), load_limit_pct=95,
        diameter_mm=10.2, depth_mm=12, max_test_holes=200, machine=machine, group="P",
        economics=Economics(0.7, 1.5, 6.5, 5, 1.2, 18, 50, 0.3), point_angle_deg=118.0,
        substrate="hss", through=True,
    )  # fmt: skip

    def _celsius(self, data: CuttingData) -> float:
        """Heat of the chip where it is sheared."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 20 + 245 * (speed / 25) ** 0.45 * (feed / 0.16) ** 0.15

    def _ribbons(self, data: CuttingData) -> float:
        """Share of the chips that stay long; thick ones break more easily."""
        thin = 1.0 / (1.0 + (data.feed_mm_per_rev / 0.25) ** 3)
        return thin * logistic((245 - self._celsius(data)) / 18)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        rubs = 0.5 * (0.16 / feed) ** 0.7 * (speed / 25) ** 0.5 * (1.0 + 0.5 * self._ribbons(data))
        tempers = 0.4 * math.exp(min((self._celsius(data) - 300) / 20, 12.0))
        return 340.0 / (rubs + tempers + 0.3 * (feed / 0.26) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        blue = 1.0 + 0.16 * math.exp(-(((self._celsius(data) - 285) / 40) ** 2))
        winds = 1.0 + 0.2 * self._ribbons(data)
        return 1800 * data.feed_mm_per_rev**0.79 * 104 / 8000 * blue * winds

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.08 * self._ribbons(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.05 * self._ribbons(data) * (data.feed_mm_per_rev / 0.2) ** 2


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


class CompactedBlock(Process):
    """Coated carbide, 8.5 mm and 11 x D in compacted graphite iron, on a strong machining centre.

    This iron has no sulphur that could smear a film on the lips, so heat wears them steeply with
    speed, and hard grains of titanium grind them by the way they go. The hole ends in a cast pocket
    with a slanted, sandy wall: one lip comes out first and is hammered, harder the higher the feed;
    there corners chip and, by and by, drills break. Crumbs leave well with coolant through the
    drill; a step back only lets some get under the lips. Drills outlast most tests.
    """

    name = "compacted block"
    physics = "heat without any film; hard grains; a slanted exit hammers the lips; pecks harm"
    life_scatter = 0.16
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.6
    base_break = 0.008
    idle_pct = 4.0
    moving_min = 0.02
    machine = Machine(
        16, 3500, 12_000, max_feed_mm_per_min=20_000, rapid_mm_per_min=45_000, coolant_bar=50
    )
    problem = Problem(
        speed_m_per_min=(30, 200), feed_mm_per_rev=(0.06, 0.50), peck_depth_xd=(1, 6),
        peck_modes=("none", "chip_break"), start=CuttingData(62, 0.17), load_limit_pct=40,
        diameter_mm=8.5, depth_mm=94, max_test_holes=500, machine=machine, group="K",
        economics=Economics(2.3, 3.0, 172, 4, 50, 750, 100, 0.4), substrate="carbide", through=True,
        maker_speed_m_per_min=(60, 110), maker_feed_mm_per_rev=(0.15, 0.30),
    )  # fmt: skip

    _path_xd = 95.5 / 8.5

    def _hammered(self, data: CuttingData) -> float:
        """Blow at the slanted exit, 1 at a feed that a corner bears badly."""
        return (data.feed_mm_per_rev / 0.32) ** 2.2 * (data.speed_m_per_min / 90) ** 0.3

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = 0.45 * (0.2 / feed) ** 0.8 * (0.6 + 0.4 * speed / 90)
        heat = 0.35 * (speed / 90) ** 3.2 * (feed / 0.2) ** 0.2
        entries = 0.035 * (pecks_of(data, self._path_xd) - 1)
        return 620.0 / (ground + heat + entries + 0.5 * self._hammered(data) ** 1.5)

    def torque_n_m(self, data: CuttingData) -> float:
        return 1550 * data.feed_mm_per_rev**0.73 * 72.25 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.32 + 0.05 * min(data.speed_m_per_min / 90, 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.4 * (1.0 - math.exp(-0.12 * self._hammered(data) ** 2))

    def p_chip(self, data: CuttingData) -> float:
        return 0.015 + 0.12 * (1.0 - math.exp(-0.4 * self._hammered(data) ** 2))


class FormedCollar(Process):
    """Smooth carbide pin, 9.2 mm, melts its way through the wall of steel tube on a bench drill.

    It has no lips: it rubs the steel so hot and soft that it flows aside into a collar, to be
    threaded. So it pulls and presses less the hotter the steel, which speed and a slow feed
    make it. Pushed cold, the pin cracks and snaps. Too hot, steel sticks to it and the pin
    burns away, for as long as it is in the heat. Paste helps; a good pin outlasts many tests.
    """

    name = "formed collar"
    physics = "it must rub steel soft: cold it loads the motor and snaps, hot it sticks and burns"
    life_scatter = 0.3
    fresh_scatter = 0.045
    worn_scatter = 0.04
    load_curve = 1.0
    base_break = 0.012
    idle_pct = 9.0
    moving_min = 0.06
    machine = Machine(2.2, 2400, 5600, max_feed_mm_per_min=600, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(24, 140), feed_mm_per_rev=(0.02, 0.20), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(62, 0.055), load_limit_pct=90,
        diameter_mm=9.2, depth_mm=13, max_test_holes=1500, machine=machine,
        economics=Economics(0.8, 3.0, 142, 0, 0, 40, 200, 0.4), substrate="carbide", through=True,
    )  # fmt: skip

    def _soft(self, data: CuttingData) -> float:
        """How hot and soft the steel gets under the pin."""
        return (data.speed_m_per_min / 62) ** 0.7 * (0.07 / data.feed_mm_per_rev) ** 0.3

    def _pressed(self, data: CuttingData) -> float:
        """Thrust on the pin; it snaps around 1.45."""
        return (data.feed_mm_per_rev / 0.07) ** 0.6 / self._soft(data) ** 1.1

    def life(self, data: CuttingData) -> float:
        feed_rate = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 9.2), data.feed_mm_per_rev)
        burns = 0.35 * (150 / feed_rate) ** 0.5 * self._soft(data) ** 8
        return 3800.0 / (0.3 + burns + 0.4 * self._pressed(data) ** 2.5)

    def torque_n_m(self, data: CuttingData) -> float:
        return 4.2 * (data.feed_mm_per_rev / 0.07) ** 0.4 / self._soft(data) ** 0.8

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.22

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._pressed(data) - 1.45) / 0.08)


HELD_OUT: tuple[type[Process], ...] = (
    GateBracket, WingSkin, LayupMould, CupHinge, CompactedBlock, FormedCollar,
)  # fmt: skip
