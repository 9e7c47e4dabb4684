"""Six processes of a later time: held out once, no longer since their tables were seen."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.processes import logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class FreeCuttingBar(Process):
    """Cobalt drill with a coating, 6.2 mm in free-cutting steel, on an automatic bar lathe.

    Sulphides smear a film on the rake face once the chip is warm and spare the edge; beyond that
    the corner wears by Taylor's law, steeper the hotter it runs. Chips are short at any feed. The
    drill is cheap, but the whole lathe stands still while it is changed.
    """

    name = "free-cutting bar"
    physics = "a sulphide film spares the edge once warm; above, the corner wears by Taylor's law"
    life_scatter = 0.2
    base_break = 0.006
    idle_pct = 6.0
    machine = Machine(3.0, 1800, 7000, max_feed_mm_per_min=4000, rapid_mm_per_min=24_000)
    problem = Problem(
        speed_m_per_min=(18, 110), feed_mm_per_rev=(0.06, 0.34), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(33, 0.13), load_limit_pct=70,
        diameter_mm=6.2, depth_mm=18, max_test_holes=500, machine=machine, group="P",
        economics=Economics(1.5, 6, 16, 3, 5, 40, 250, 0.5), substrate="cobalt",
    )  # fmt: skip

    def _film(self, data: CuttingData) -> float:
        """Share of the rake face that the film covers."""
        warm = data.speed_m_per_min * (data.feed_mm_per_rev / 0.15) ** 0.25
        return logistic((warm - 30) / 6)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = (0.15 / feed) ** 0.7
        rubs = 0.55 * way * (speed / 40) ** 0.6 * (1.0 - 0.5 * self._film(data))
        heat = 0.6 * way * (speed / 45) ** 4.2 * (feed / 0.15) ** 0.9
        return 1150.0 / (rubs + heat + 0.6 * (feed / 0.21) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        slides = 1.0 - 0.08 * self._film(data)
        return 1750 * data.feed_mm_per_rev**0.79 * 38.44 / 8000 * slides

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.04 * min(data.speed_m_per_min / 50, 2.0)


class GreyIronBlock(Process):
    """Coated carbide, 8.2 mm in grey iron valve blocks, with coolant through the drill.

    Sand and hard phases grind the flank by the way that the lips have gone, so speed matters little
    and a higher feed spares the edge, until the corners crumble under it. Castings come from one
    line and are alike; so are the lives. The drill is dear and is reground.
    """

    name = "grey iron block"
    physics = "abrasion by way travelled, a flat law of life; corners crumble at a high feed"
    life_scatter = 0.13
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.2
    base_break = 0.005
    idle_pct = 4.0
    machine = Machine(7.5, 2000, 10_000, rapid_mm_per_min=30_000, coolant_bar=20)
    problem = Problem(
        speed_m_per_min=(40, 200), feed_mm_per_rev=(0.08, 0.45), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(80, 0.22), load_limit_pct=70,
        diameter_mm=8.2, depth_mm=40, max_test_holes=1600, machine=machine, group="K",
        economics=Economics(1.1, 2, 98, 4, 26, 150, 200, 0.8), substrate="carbide",
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = (0.22 / feed) ** 0.75 * (0.45 + 0.55 * (speed / 95) ** 1.9)
        crumbled = 0.3 * (feed / 0.3) ** 3.5
        return 1450.0 / (ground + crumbled)

    def torque_n_m(self, data: CuttingData) -> float:
        return 1250 * data.feed_mm_per_rev**0.73 * 67.24 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.5

    def p_chip(self, data: CuttingData) -> float:  # noqa: ARG002
        return 0.015


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


class CopperTerminal(Process):
    """Polished high-speed steel, 8 x D in pure copper, 4.2 mm.

    The copper hardly wears the drill, but its chips never break by themselves: they wind up in the
    flutes, rub and smear on the margins until the hole is out of size. A peck cuts them off, a
    retract clears them and lets emulsion in, but takes its time and scrapes the wall. Heat makes
    the copper stick. Torque rises with the chips in the flutes.
    """

    name = "copper terminal"
    physics = "endless chips fill the flutes and smear on the margins; pecks cut or clear them"
    life_scatter = 0.27
    fresh_scatter = 0.04
    worn_scatter = 0.05
    load_curve = 1.0
    idle_pct = 7.0
    machine = Machine(1.5, 3000, 9000, max_feed_mm_per_min=2000, rapid_mm_per_min=15_000)
    problem = Problem(
        speed_m_per_min=(18, 110), feed_mm_per_rev=(0.03, 0.20), peck_depth_xd=(0.5, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(42, 0.085, "full_retract", 1.5), load_limit_pct=60,
        diameter_mm=4.2, depth_mm=33, max_test_holes=900, machine=machine, group="N",
        economics=Economics(0.8, 1.5, 13, 2, 5, 35, 100, 0.4), substrate="hss",
    )  # fmt: skip

    _path_xd = 33.8 / 4.2

    def _entries(self, data: CuttingData) -> int:
        return pecks_of(data, self._path_xd) - 1

    def _wound(self, data: CuttingData) -> float:
        """How full of chips the flutes get, in diameters of hole whose chips are still there."""
        held = self._path_xd
        if data.peck_mode == "full_retract":
            held = min(held, data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            held *= 0.3 + 0.7 * (1.0 - math.exp(-data.peck_depth_xd / 2.5))
        return held * (data.feed_mm_per_rev / 0.09) ** 0.3

    def _sticks(self, data: CuttingData) -> float:
        """How hot the margins get, 1 where the copper begins to stick."""
        cooled = 0.85 if data.peck_mode == "full_retract" else 1.0
        warm = (data.speed_m_per_min / 60) ** 0.8 * (data.feed_mm_per_rev / 0.09) ** 0.2
        return warm * cooled * (1.0 + 0.04 * self._wound(data))

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        smears = 0.3 + self._sticks(data) ** 3.2 * (0.09 / feed) ** 0.5
        packed = 1.0 + 0.035 * self._wound(data) ** 1.6
        each = 0.05 if data.peck_mode == "full_retract" else 0.015
        return 1050.0 / (smears * packed + each * self._entries(data) + 0.45 * (feed / 0.12) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        clogged = 1.0 + 0.09 * self._wound(data)
        return 1300 * data.feed_mm_per_rev**0.76 * 17.64 / 8000 * clogged

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.03 * min(self._wound(data), 8.0)


class SheetStack(Process):
    """Plain high-speed steel, 6.5 mm through stacks of galvanised sheet, on a light column drill.

    The sheets spring apart under the thrust, so the lips hook at each of the exits: burrs between
    the sheets end the drill's life, sooner the higher the feed, and a drill that hooks hard
    breaks. Zinc smears on the lips when they run hot. No two stacks are clamped alike, so
    lives scatter very widely. The drill costs next to nothing; a stack to be taken apart does not.
    """

    name = "sheet stack"
    physics = "burrs and hooking at every exit go with feed; zinc smears when hot; wide scatter"
    life_scatter = 0.4
    fresh_scatter = 0.05
    worn_scatter = 0.05
    base_break = 0.02
    idle_pct = 8.0
    machine = Machine(1.1, 900, 3000, max_feed_mm_per_min=1200, rapid_mm_per_min=6000)
    problem = Problem(
        speed_m_per_min=(10, 55), feed_mm_per_rev=(0.04, 0.22), peck_depth_xd=(0.25, 1.5),
        peck_modes=("none", "chip_break"), start=CuttingData(20, 0.13), load_limit_pct=75,
        diameter_mm=6.5, depth_mm=9, max_test_holes=600, machine=machine, group="P",
        economics=Economics(0.7, 1.2, 3.5, 0, 0, 45, 50, 0.3), point_angle_deg=130.0,
        through=True, substrate="hss",
    )  # fmt: skip

    def _hooks(self, data: CuttingData) -> float:
        """How hard the lips hook at an exit; a chip-break peck now and then meets one."""
        eased = 0.97 if data.peck_mode == "chip_break" else 1.0
        return data.feed_mm_per_rev / 0.12 * eased * (30 / data.speed_m_per_min) ** 0.15

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        entries = pecks_of(data, 10.2 / 6.5) - 1
        worn = 0.5 * (0.12 / feed) ** 0.6 * (0.3 + 0.7 * (speed / 28) ** 2.4)
        zinc = 0.5 * math.exp(min((speed * (feed / 0.12) ** 0.2 - 40) / 5, 8.0))
        return 560.0 / (worn + zinc + 1.6 * self._hooks(data) ** 2.8 + 0.03 * entries)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2050 * data.feed_mm_per_rev**0.78 * 42.25 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.35

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._hooks(data) - 1.42) / 0.11)


class TipDrillPlate(Process):
    """Drill with an exchangeable carbide tip, 32 mm in structural steel, on an old mill.

    The tip would bear more than the spindle gives: torque at low speed, power above. The corner
    wears by a moderate law of speed and feed; at low speed steel welds to the web and tears
    at the coating. The time of a hole is long, so few holes are left for a test.
    """

    name = "tip drill in plate"
    physics = "the spindle's torque and power bind before the tip does; moderate law of life"
    life_scatter = 0.18
    load_curve = 1.6
    base_break = 0.008
    idle_pct = 8.0
    machine = Machine(7.5, 650, 3000, max_feed_mm_per_min=3000, rapid_mm_per_min=8000)
    problem = Problem(
        speed_m_per_min=(30, 130), feed_mm_per_rev=(0.08, 0.36), peck_depth_xd=(0.5, 2),
        peck_modes=("none", "chip_break"), start=CuttingData(58, 0.12), load_limit_pct=95,
        diameter_mm=32, depth_mm=70, max_test_holes=80, machine=machine, group="P",
        economics=Economics(1.2, 2.5, 135, 2, 42, 420, 20, 0.6), substrate="carbide",
    )  # fmt: skip

    def _minutes(self, data: CuttingData) -> float:
        """Life of the corner, minutes in the work."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        return 130.0 * (75 / speed) ** 2.9 * (0.18 / feed) ** 0.6

    def life(self, data: CuttingData) -> float:
        feed_rate = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 32), data.feed_mm_per_rev)
        corner = 75.8 / feed_rate / self._minutes(data)
        welded = 0.003 * (1.0 + (48 / data.speed_m_per_min) ** 4)
        entries = pecks_of(data, 75.8 / 32) - 1
        return 1.0 / (corner + welded + 0.0004 * entries)

    def torque_n_m(self, data: CuttingData) -> float:
        welded = 1.0 + 0.12 * math.exp(-(((data.speed_m_per_min - 35) / 15) ** 2))
        return 1850 * data.feed_mm_per_rev**0.77 * 1024 / 8000 * welded

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.06 * min(data.speed_m_per_min / 75, 2.0)


LATER_PROCESSES: tuple[type[Process], ...] = (
    FreeCuttingBar, GreyIronBlock, NickelRing, CopperTerminal, SheetStack, TipDrillPlate,
)  # fmt: skip
