"""Jobs of plant makers, each with physics of its own. All are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class ThrustCollar(Process):
    """Coated carbide, 8.5 mm through collars of quenched and tempered steel, on a machining centre.

    Emulsion comes from a hose: the quicker the drill turns, the more of it is flung off before it
    gets into the hole, and lips lose a part of their cooling. Heat takes the coating. Below a
    middling speed an edge of steel builds up on the lips and tears pieces of the coating off. At
    the exit a cap is pushed out instead of cut, which the corners feel when the feed is high.
    """

    name = "thrust collar"
    physics = "quick turns fling the coolant off; slow ones build up an edge; a cap at the exit"
    life_scatter = 0.2
    fresh_scatter = 0.025
    worn_scatter = 0.035
    load_curve = 1.6
    base_break = 0.01
    idle_pct = 4.0
    moving_min = 0.04
    machine = Machine(7.5, 1800, 9000, max_feed_mm_per_min=6000, rapid_mm_per_min=24_000)
    problem = Problem(
        speed_m_per_min=(20, 180), feed_mm_per_rev=(0.05, 0.42), peck_depth_xd=(0.4, 3),
        peck_modes=("none", "chip_break"), start=CuttingData(58, 0.13), load_limit_pct=60,
        diameter_mm=8.5, depth_mm=24, max_test_holes=450, machine=machine, group="P",
        economics=Economics(1.25, 2.5, 84, 3, 24, 150, 50, 0.5), substrate="carbide",
        through=True, maker_speed_m_per_min=(60, 100), maker_feed_mm_per_rev=(0.12, 0.24),
    )  # fmt: skip

    _path_xd = 25.6 / 8.5

    def _dry(self, data: CuttingData) -> float:
        """Share of the coolant that is flung off."""
        return 0.7 * logistic((rpm(data.speed_m_per_min, 8.5) - 3700) / 500)

    def _hot(self, data: CuttingData) -> float:
        cut = data.speed_m_per_min / 92 * (data.feed_mm_per_rev / 0.18) ** 0.3
        return cut * (1.0 + 0.28 * self._dry(data))

    def _built_up(self, data: CuttingData) -> float:
        thin = (0.18 / data.feed_mm_per_rev) ** 0.2
        return logistic((52 * thin - data.speed_m_per_min) / 8)

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        way = 0.3 * (0.18 / feed) ** 0.75
        heat = 0.36 * min(self._hot(data), 4.0) ** 3.5
        cap = 0.22 * (feed / 0.25) ** 3.4
        steps = 0.05 * (pecks_of(data, self._path_xd) - 1)
        return 420.0 / (way + heat + cap + steps + 0.3 * self._built_up(data))

    def torque_n_m(self, data: CuttingData) -> float:
        sticks = 1.0 + 0.12 * self._built_up(data) + 0.08 * self._dry(data)
        return 2350 * data.feed_mm_per_rev**0.77 * 72.25 / 8000 * sticks

    def growth(self, data: CuttingData) -> float:
        return 1.28 + 0.08 * min(self._hot(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        capped = 0.12 * logistic((data.feed_mm_per_rev - 0.3) / 0.03)
        return 0.02 + 0.06 * self._built_up(data) + capped


class HoseNipple(Process):
    """Coated high-speed steel, 7 mm and 6 x D in bar of mild steel, on a small lathe.

    Soft steel gives a tough chip that fills the flutes, the more of it the deeper a peck goes and
    the thinner it is; full flutes twist the drill off. A retract empties them. A step back breaks
    the chip, but leaves it in the hole, where crumbs pile up towards the bottom. The drill stands
    still and emulsion reaches little further than three diameters: lips soften with heat.
    """

    name = "hose nipple"
    physics = "tough chips fill the flutes and twist the drill off; crumbs; soft lips in the deep"
    life_scatter = 0.24
    fresh_scatter = 0.035
    worn_scatter = 0.04
    load_curve = 1.5
    base_break = 0.012
    idle_pct = 7.0
    moving_min = 0.06
    machine = Machine(3.0, 1500, 4500, max_feed_mm_per_min=3000, rapid_mm_per_min=10_000)
    problem = Problem(
        speed_m_per_min=(10, 90), feed_mm_per_rev=(0.04, 0.36), peck_depth_xd=(0.4, 5),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(27, 0.14, "full_retract", 1.1), load_limit_pct=60,
        diameter_mm=7, depth_mm=42, max_test_holes=250, machine=machine, group="P",
        economics=Economics(0.8, 2.0, 14, 4, 4, 45, 25, 0.4), point_angle_deg=130.0,
        substrate="hss",
    )  # fmt: skip

    _path_xd = 43.6 / 7

    def _full(self, data: CuttingData) -> float:
        """How full the flutes get in a hole; around 1 they are stuffed."""
        peck_xd = self._path_xd
        if data.peck_mode != "none":
            peck_xd = min(peck_xd, data.peck_depth_xd)
        if data.peck_mode == "chip_break":
            peck_xd = 0.55 * peck_xd + 0.3 * self._path_xd
        return (peck_xd / 4.6) ** 0.8 * (0.15 / data.feed_mm_per_rev) ** 0.35

    def _hot(self, data: CuttingData) -> float:
        dry_xd = self._path_xd - 3.0
        if data.peck_mode == "full_retract":
            dry_xd = min(dry_xd, data.peck_depth_xd)
        kept = 0.85 + 0.09 * dry_xd
        return data.speed_m_per_min / 38 * (data.feed_mm_per_rev / 0.15) ** 0.35 * kept

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        lips = 0.36 * (0.15 / feed) ** 0.7
        softens = 0.38 * min(self._hot(data), 3.5) ** 4.6
        crumbs = 0.25 * min(self._full(data), 2.5) ** 2
        starts = 0.018 * (pecks_of(data, self._path_xd) - 1)
        return 230.0 / (lips + softens + crumbs + starts + 0.3 * (feed / 0.21) ** 3.5)

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.25 * min(self._full(data), 2.0)
        return 1750 * data.feed_mm_per_rev**0.8 * 49 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.24 + 0.1 * min(self._hot(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.45 * logistic((self._full(data) - 1.0) / 0.07)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.04 * min(self._full(data), 2.0) ** 2


class ValveBonnet(Process):
    """Coated carbide, 12 mm and 3 x D in bonnets of cast duplex steel, with coolant through it.

    The steel hardens where it is rubbed: a lip that takes a chip thinner than that layer always
    cuts in what the turn before has hardened, and notches at its depth. Each peck starts on a
    bottom that was rubbed at the step back. Heat goes into the lips. Little islands of hard sand
    come with the casting skin, and cost every hole the same.
    """

    name = "valve bonnet"
    physics = "thin chips cut in what the turn before hardened; rubbed bottoms; heat; a cast skin"
    life_scatter = 0.26
    fresh_scatter = 0.03
    worn_scatter = 0.04
    load_curve = 1.7
    base_break = 0.015
    idle_pct = 4.0
    moving_min = 0.05
    machine = Machine(
        11.0, 1500, 8000, max_feed_mm_per_min=5000, rapid_mm_per_min=24_000, coolant_bar=20
    )
    problem = Problem(
        speed_m_per_min=(14, 130), feed_mm_per_rev=(0.04, 0.34), peck_depth_xd=(0.4, 2.5),
        peck_modes=("none", "chip_break"), start=CuttingData(40, 0.11, "chip_break", 1.0),
        load_limit_pct=65, diameter_mm=12, depth_mm=36, max_test_holes=160, machine=machine,
        group="M", economics=Economics(1.5, 3.0, 118, 3, 32, 260, 20, 0.5), substrate="carbide",
        maker_speed_m_per_min=(40, 70), maker_feed_mm_per_rev=(0.1, 0.2),
    )  # fmt: skip

    _path_xd = 38.2 / 12

    def _layer_mm(self, data: CuttingData) -> float:
        """Depth of what a turn hardens; a quick one leaves it less time."""
        return 0.05 * (58 / data.speed_m_per_min) ** 0.3

    def _in_layer(self, data: CuttingData) -> float:
        """Share of the chip that was hard already."""
        return 1.0 - math.exp(-((self._layer_mm(data) / (0.5 * data.feed_mm_per_rev)) ** 2))

    def _hot(self, data: CuttingData) -> float:
        harder = 1.0 + 0.1 * self._in_layer(data)
        return data.speed_m_per_min / 60 * (data.feed_mm_per_rev / 0.16) ** 0.32 * harder

    def life(self, data: CuttingData) -> float:
        feed = data.feed_mm_per_rev
        flank = 0.24 * (0.16 / feed) ** 0.6
        notches = 0.42 * self._in_layer(data) * (0.16 / feed) ** 0.4
        heat = 0.36 * min(self._hot(data), 4.0) ** 3.6
        bottoms = 0.045 * (pecks_of(data, self._path_xd) - 1)
        crushed = 0.3 * (feed / 0.2) ** 3.6
        return 165.0 / (0.1 + flank + notches + heat + bottoms + crushed)

    def torque_n_m(self, data: CuttingData) -> float:
        harder = 1.0 + 0.2 * self._in_layer(data)
        return 2450 * data.feed_mm_per_rev**0.79 * 144 / 8000 * harder

    def growth(self, data: CuttingData) -> float:
        return 1.3 + 0.14 * self._in_layer(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.08 * self._in_layer(data)


class PressPlaten(Process):
    """Brazed carbide, 24 mm through platens of heat-treatable steel, on an old boring mill.

    The spindle has no more power than this drill takes, and its belt slips a little as it is pulled
    harder, which shows as load. The long quill gives way in twist and chatters in a band of turns;
    a thick chip damps it. Chatter crumbles the lips. Beside that they wear by the minutes that
    they are in the cut, steeply with heat, and a slow lip has steel welded onto its middle.
    """

    name = "press platen"
    physics = "a weak belt; a quill chatters in a band of turns; minutes in the cut; slow welding"
    life_scatter = 0.18
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.4
    base_break = 0.008
    idle_pct = 8.0
    moving_min = 0.15
    machine = Machine(6.5, 550, 1800, max_feed_mm_per_min=600, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(15, 120), feed_mm_per_rev=(0.06, 0.5), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none",), start=CuttingData(40, 0.17), load_limit_pct=90,
        diameter_mm=24, depth_mm=45, max_test_holes=120, machine=machine, group="P",
        economics=Economics(0.9, 4.0, 135, 6, 26, 120, 10, 0.5), substrate="carbide",
        through=True, maker_speed_m_per_min=(45, 75), maker_feed_mm_per_rev=(0.14, 0.3),
    )  # fmt: skip

    _path_mm = 49.4

    def _chatters(self, data: CuttingData) -> float:
        """How loud the quill is, 0 to 1, loudest around 870 turns a minute."""
        off = math.log(rpm(data.speed_m_per_min, 24) / 870) / 0.17
        return math.exp(-0.5 * off**2) * logistic((0.24 - data.feed_mm_per_rev) / 0.035)

    def _welds(self, data: CuttingData) -> float:
        return logistic((34 - data.speed_m_per_min) / 5)

    def _hot(self, data: CuttingData) -> float:
        return data.speed_m_per_min / 60 * (data.feed_mm_per_rev / 0.2) ** 0.3

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        minutes = self._path_mm / feed_rate_mm_per_min(rpm(speed, 24), feed)
        by_minute = 0.6 + 0.7 * min(self._hot(data), 3.0) ** 3.4 + 0.9 * self._chatters(data)
        knocked = 0.09 * (feed / 0.3) ** 3.2
        return 48.0 / (by_minute * minutes + knocked + 0.12 * self._welds(data))

    def torque_n_m(self, data: CuttingData) -> float:
        cut = 1950 * data.feed_mm_per_rev**0.78 * 576 / 8000
        cut *= 1.0 + 0.1 * self._welds(data) + 0.05 * self._chatters(data)
        return cut * (1.0 + 0.05 * (cut / 60) ** 2)

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.07 * min(self._hot(data), 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.15 * self._chatters(data)


class CoolerBlock(Process):
    """Carbide, 4.2 mm and 7 x D in blocks of cast aluminium with silicon, on a milling machine.

    Silicon grinds lips by the way they go, whatever the speed, and a little more when it is hit
    fast. Chips are short but many: what one peck makes must find room in polished flutes, and the
    quicker the spindle the better it throws them out. If they jam, the slender drill snaps. Warm
    metal smears on the lips where pecks are deep and emulsion does not come.
    """

    name = "cooler block"
    physics = "silicon grinds by way; short chips jam unless thrown out; smearing in deep pecks"
    life_scatter = 0.28
    fresh_scatter = 0.04
    worn_scatter = 0.045
    load_curve = 1.4
    base_break = 0.01
    idle_pct = 8.0
    moving_min = 0.025
    machine = Machine(3.7, 3000, 12_000, max_feed_mm_per_min=4000, rapid_mm_per_min=20_000)
    problem = Problem(
        speed_m_per_min=(28, 155), feed_mm_per_rev=(0.035, 0.36), peck_depth_xd=(0.5, 6),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(74, 0.11, "full_retract", 1.5), load_limit_pct=50,
        diameter_mm=4.2, depth_mm=29, max_test_holes=900, machine=machine, group="N",
        economics=Economics(1.1, 2.0, 46, 1, 15, 130, 100, 0.4), substrate="carbide",
        maker_speed_m_per_min=(80, 160), maker_feed_mm_per_rev=(0.1, 0.2),
    )  # fmt: skip

    _path_xd = 29.8 / 4.2

    def _jams(self, data: CuttingData) -> float:
        """Chips beside the room for them; around 1 they jam."""
        peck_xd = self._path_xd
        if data.peck_mode != "none":
            peck_xd = min(peck_xd, data.peck_depth_xd)
        if data.peck_mode == "chip_break":
            peck_xd = 0.3 * peck_xd + 0.7 * self._path_xd
        thrown = (100 / data.speed_m_per_min) ** 0.3
        return (peck_xd / 5.2) ** 0.7 * (data.feed_mm_per_rev / 0.2) ** 0.4 * thrown

    def _smears(self, data: CuttingData) -> float:
        rubbed_xd = self._path_xd
        if data.peck_mode == "full_retract":
            rubbed_xd = min(rubbed_xd, 0.8 + data.peck_depth_xd)
        warm = (data.speed_m_per_min / 110) ** 0.8 * (rubbed_xd / 5) ** 0.4
        return logistic((warm - 1.15) / 0.12)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = 0.5 * (0.15 / feed) ** 0.85 * (0.75 + 0.25 * speed / 100)
        starts = 0.02 * (pecks_of(data, self._path_xd) - 1)
        crowded = 0.18 * min(self._jams(data), 2.5) ** 2
        bent = 0.25 * (feed / 0.2) ** 3.2
        return 800.0 / (ground + starts + crowded + bent + 0.3 * self._smears(data))

    def torque_n_m(self, data: CuttingData) -> float:
        drags = 1.0 + 0.3 * min(self._jams(data), 2.0) ** 2 + 0.15 * self._smears(data)
        return 820 * data.feed_mm_per_rev**0.76 * 17.64 / 8000 * drags

    def growth(self, data: CuttingData) -> float:
        return 1.25 + 0.12 * self._smears(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.5 * logistic((self._jams(data) - 1.05) / 0.06)

    def p_chip(self, data: CuttingData) -> float:
        return 0.02 + 0.05 * self._smears(data)


class PulleyHub(Process):
    """Cobalt drill, 10 mm through hubs of nodular iron, dry with an air jet, on a column drill.

    Nodules of graphite smear and grease the lips, but only as long as those are cool enough; then
    the grease burns off and heat tempers the corners. Ferrite clings to slow lips. Dust stays in
    the hole and laps the margins by the time that the drill turns in it; a retract lets the air jet
    blow it out and cool the lips. The bore is crossed by the keyway, whose edge knocks each lip,
    harder with feed.
    """

    name = "pulley hub"
    physics = "graphite greases cool lips; dust laps by time unless blown out; a keyway knocks"
    life_scatter = 0.25
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.3
    base_break = 0.006
    idle_pct = 9.0
    moving_min = 0.1
    machine = Machine(2.2, 900, 3500, max_feed_mm_per_min=900, rapid_mm_per_min=5000)
    problem = Problem(
        speed_m_per_min=(9, 80), feed_mm_per_rev=(0.05, 0.46), peck_depth_xd=(0.4, 3),
        peck_modes=("none", "full_retract"), start=CuttingData(22, 0.17), load_limit_pct=80,
        diameter_mm=10, depth_mm=28, max_test_holes=300, machine=machine, group="K",
        economics=Economics(0.7, 2.0, 19, 6, 5, 60, 25, 0.4), point_angle_deg=118.0,
        substrate="cobalt", through=True,
    )  # fmt: skip

    _path_xd = 31.0 / 10

    def _hot(self, data: CuttingData) -> float:
        airs = 0.0
        if data.peck_mode == "full_retract":
            airs = 0.3 * max(0.0, 1.0 - data.peck_depth_xd / self._path_xd)
        cut = data.speed_m_per_min / 32 * (data.feed_mm_per_rev / 0.2) ** 0.28
        return cut * (1.0 - airs)

    def _greased(self, data: CuttingData) -> float:
        """Share of the lips' faces that graphite covers."""
        return logistic((1.02 - self._hot(data)) / 0.13)

    def _dust(self, data: CuttingData) -> float:
        """Lapping by dust in a hole, 1 for a quarter of a minute in all of it."""
        minutes = 31.0 / feed_rate_mm_per_min(rpm(data.speed_m_per_min, 10), data.feed_mm_per_rev)
        kept = 1.0
        if data.peck_mode == "full_retract":
            kept = 0.2 + 0.8 * min(data.peck_depth_xd / self._path_xd, 1.0) ** 1.5
        return kept * minutes / 0.25

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        lips = 0.42 * (0.2 / feed) ** 0.75 * (1.0 - 0.35 * self._greased(data))
        tempers = 0.3 * min(self._hot(data), 4.0) ** 4.2
        clings = 0.18 * logistic((17 - speed) / 3)
        knocks = 0.28 * (feed / 0.26) ** 3.3
        starts = 0.03 * (pecks_of(data, self._path_xd) - 1)
        return 260.0 / (lips + tempers + clings + knocks + starts + 0.35 * self._dust(data))

    def torque_n_m(self, data: CuttingData) -> float:
        slides = 1.08 - 0.12 * self._greased(data)
        return 1500 * data.feed_mm_per_rev**0.76 * 100 / 8000 * slides

    def growth(self, data: CuttingData) -> float:
        return 1.4 - 0.08 * self._greased(data)

    def p_chip(self, data: CuttingData) -> float:
        return 0.03 + 0.12 * logistic((data.feed_mm_per_rev - 0.36) / 0.035)
