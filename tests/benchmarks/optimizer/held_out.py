"""Six processes that the optimizer was not worked on with: for the table only.

They were written without a look at how the search works. All figures are invented.
"""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process
from tests.benchmarks.optimizer.processes import logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class BrassFitting(Process):
    """Carbide, 11 mm in lead-free silicon brass, on a rotary transfer machine.

    Hard silicides polish the flank, a little with speed and with the way it goes. Warm chips take
    copper to the rake, whose slope rises with heat. Keen lips pull themselves into brass: past a
    feed they take up the play of the slide at the exit, and corners chip.
    """

    name = "brass fitting"
    physics = "silicides polish the flank; a warm rake dissolves; keen lips grab at a high feed"
    life_scatter = 0.15
    fresh_scatter = 0.02
    worn_scatter = 0.03
    load_curve = 1.1
    base_break = 0.004
    idle_pct = 5.0
    machine = Machine(7.5, 1800, 8000, max_feed_mm_per_min=3500, rapid_mm_per_min=20_000)
    problem = Problem(
        speed_m_per_min=(40, 230), feed_mm_per_rev=(0.08, 0.50), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(95, 0.22), load_limit_pct=65,
        diameter_mm=11, depth_mm=22, max_test_holes=2000, machine=machine, group="N",
        economics=Economics(2.4, 5.0, 78, 4, 20, 120, 300, 0.6), substrate="carbide",
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        flank = 0.7 * (0.22 / feed) ** 0.6 * (speed / 110) ** 0.7
        rake = 0.3 * math.exp(min((speed * (feed / 0.22) ** 0.3 - 130) / 38, 8.0))
        return 2600.0 / (flank + rake + 0.25 * (feed / 0.34) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        return 900 * data.feed_mm_per_rev**0.8 * 121 / 8000

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.05 * min(data.speed_m_per_min / 110, 2.0)

    def p_chip(self, data: CuttingData) -> float:
        return 0.015 + 0.2 * logistic((data.feed_mm_per_rev - 0.38) / 0.025)


class OrificePlate(Process):
    """High-speed steel, 1.1 mm through nickel-silver plate, on a bench drill for small holes.

    There is no pilot: the point skids before it bites, longer the faster it turns and the lower
    the feed, which dulls its web. The corners wear by a Taylor law. A burr too high to brush off
    ends an edge; it stands up with feed and dullness. Drills cost pennies, time is all.
    """

    name = "orifice plate"
    physics = "the point skids before it bites; corners wear by Taylor's law; burrs end an edge"
    life_scatter = 0.25
    fresh_scatter = 0.04
    worn_scatter = 0.04
    load_curve = 1.4
    base_break = 0.025
    idle_pct = 14.0
    moving_min = 0.05
    machine = Machine(0.25, 4000, 16_000, max_feed_mm_per_min=600, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(8, 52), feed_mm_per_rev=(0.006, 0.060), peck_depth_xd=(0.5, 2),
        peck_modes=("none",), start=CuttingData(17, 0.014), load_limit_pct=60,
        diameter_mm=1.1, depth_mm=1.6, max_test_holes=1500, machine=machine, group="N",
        economics=Economics(0.9, 1.0, 2.8, 0, 0, 6, 200, 0.4), point_angle_deg=118.0,
        through=True, substrate="hss",
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        skids = 0.3 * (speed / 25) ** 1.2 * (0.02 / feed)
        corner = 0.5 * (speed / 25) ** 3 * (0.02 / feed) ** 0.3
        burr = 0.3 * (feed / 0.028) ** 2.5
        return 520.0 / (skids + corner + burr + 0.15)

    def torque_n_m(self, data: CuttingData) -> float:
        return 2000 * (data.feed_mm_per_rev + 0.003) ** 0.78 * 1.21 / 8000

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.3


class ForgedFlange(Process):
    """Spade blade of cobalt steel, 30 mm in forged flanges, on a radial drill with a flat belt.

    Notches in the lips split the chip, but only a chip that is thick enough; wide ribbons wind up,
    rub and load the spindle. The belt creeps the more the harder it pulls, so the load climbs
    quicker than the torque and sets the feed. Scale at the skin takes its share of every hole;
    the blade tempers with heat. Worn notches stop splitting: the load then grows more.
    """

    name = "forged flange"
    physics = "a belt that creeps sets the feed; notches split thick chips only; scale; tempering"
    life_scatter = 0.2
    fresh_scatter = 0.03
    worn_scatter = 0.035
    load_curve = 1.8
    base_break = 0.008
    idle_pct = 9.0
    machine = Machine(4.0, 330, 1200, max_feed_mm_per_min=400, rapid_mm_per_min=4000)
    problem = Problem(
        speed_m_per_min=(10, 55), feed_mm_per_rev=(0.08, 0.45), peck_depth_xd=(0.3, 1.5),
        peck_modes=("none", "chip_break"), start=CuttingData(23, 0.18), load_limit_pct=92,
        diameter_mm=30, depth_mm=45, max_test_holes=160, machine=machine, group="P",
        economics=Economics(1.0, 3.0, 34, 5, 7, 110, 20, 0.8), substrate="cobalt", through=True,
    )  # fmt: skip

    def _ribbons(self, data: CuttingData) -> float:
        """Share of the chips that the notches do not split; a step back tears some of them."""
        wide = logistic((0.15 - data.feed_mm_per_rev) / 0.025)
        if data.peck_mode == "chip_break":
            wide *= 0.4 + 0.6 * (1.0 - math.exp(-data.peck_depth_xd))
        return wide

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        flank = 0.5 * (0.2 / feed) ** 0.5 * (speed / 24)
        tempers = 0.45 * (speed / 30) ** 5 * (feed / 0.2) ** 0.8
        scale = 0.25 + 0.08 * (pecks_of(data, 50.5 / 30) - 1)
        return 105.0 / ((flank + tempers) * (1.0 + 0.5 * self._ribbons(data)) + scale)

    def torque_n_m(self, data: CuttingData) -> float:
        winds = 1.0 + 0.25 * self._ribbons(data)
        return 1900 * data.feed_mm_per_rev**0.8 * 900 / 8000 * winds

    def fresh_pct(self, data: CuttingData) -> float:
        cut = super().fresh_pct(data) - self.idle_pct
        return self.idle_pct + cut * (1.0 + 0.3 * min(cut / 70, 1.7) ** 3)

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.12 * min(data.feed_mm_per_rev / 0.25, 1.6)


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


class OilGallery(Process):
    """Carbide, 12 x D in an aluminium casting rich in silicon, 6 mm, with oil mist through it.

    Silicon grinds the lips by the way they go. The mist carries off so many chips a second and no
    more, and the fewer the longer the way out: past that rate the flutes choke and drills snap.
    A retract throws out what has gathered; a step back lets a gust through. Mist cools badly, so
    aluminium gets sticky with speed. Every entry scratches the rim of the hole and the margins.
    """

    name = "oil gallery"
    physics = "mist carries off so many chips a second; past it drills choke; silicon grinds"
    life_scatter = 0.22
    fresh_scatter = 0.035
    worn_scatter = 0.045
    load_curve = 1.3
    base_break = 0.01
    idle_pct = 6.0
    machine = Machine(4.0, 4000, 15_000, max_feed_mm_per_min=5000, rapid_mm_per_min=36_000)
    problem = Problem(
        speed_m_per_min=(45, 260), feed_mm_per_rev=(0.06, 0.40), peck_depth_xd=(0.5, 6),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(85, 0.16, "full_retract", 1.5), load_limit_pct=50,
        diameter_mm=6, depth_mm=72, max_test_holes=600, machine=machine, group="N",
        economics=Economics(1.7, 3.0, 118, 3, 34, 420, 100, 0.6), substrate="carbide",
    )  # fmt: skip

    _path_xd = 73.1 / 6

    def _choked(self, data: CuttingData) -> float:
        """Chips made over chips that the mist can carry off; 1 is as many."""
        held = self._path_xd
        if data.peck_mode == "full_retract":
            held = min(held, 1.0 + data.peck_depth_xd)
        elif data.peck_mode == "chip_break":
            held *= 0.55 + 0.45 * (1.0 - math.exp(-data.peck_depth_xd / 2.5))
        made = feed_rate_mm_per_min(rpm(data.speed_m_per_min, 6), data.feed_mm_per_rev)
        return made / 1050 * (held / 8.0) ** 0.7

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        ground = (0.16 / feed) ** 0.8 * (0.4 + 0.4 * (speed / 120) ** 1.5)
        sticky = 0.3 * math.exp(min((speed - 150) / 30, 6.0))
        each = 0.045 if data.peck_mode == "full_retract" else 0.012
        rubs = 1.0 + 0.4 * min(self._choked(data), 2.0) ** 2
        entries = each * (pecks_of(data, self._path_xd) - 1)
        return 780.0 / ((ground + sticky) * rubs + entries + 0.4 * (feed / 0.27) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        packed = 1.0 + 0.45 * min(self._choked(data), 2.5) ** 2
        return 820 * data.feed_mm_per_rev**0.77 * 36 / 8000 * packed

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.1 * min(self._choked(data), 2.0)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.7 * logistic((self._choked(data) - 1.2) / 0.07)


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


HELD_OUT: tuple[type[Process], ...] = (
    BrassFitting, OrificePlate, ForgedFlange, PumpImpeller, OilGallery, LandingStrut,
)  # fmt: skip
