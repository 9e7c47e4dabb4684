"""Deep holes: chips that pack, coolant that does not get there. All figures are invented."""

from __future__ import annotations

import math

from tests.benchmarks.optimizer.process import Process, logistic, pecks_of
from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, Economics, Machine
from trials.optimizer import Problem


class ChipPacking(Process):
    """Carbide, 6 × D in stainless steel with pecks, 8.5 mm.

    Chips pack when the column that is not cleared grows long: torque, wear and breaking rise. Every
    entry costs life, most with a full retract.
    """

    name = "chip packing"
    life_scatter = 0.2
    base_break = 0.015
    machine = Machine(5.5, 3000, 10_000, rapid_mm_per_min=30_000)
    problem = Problem(
        speed_m_per_min=(20, 100), feed_mm_per_rev=(0.04, 0.24), peck_depth_xd=(0.5, 3),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(40, 0.09, "full_retract", 1.0), load_limit_pct=70,
        diameter_mm=8.5, depth_mm=52, max_test_holes=500, machine=machine, group="M",
        economics=Economics(1.3, 3, 80, 3, 22, 250, 50, 1.0),
    )  # fmt: skip

    def _packed(self, data: CuttingData) -> float:
        column = self.problem.depth_mm / self.problem.diameter_mm
        if data.peck_mode == "full_retract":
            column = data.peck_depth_xd
        elif data.peck_mode == "chip_break":
            column = min(column, 1.2 + 1.3 * data.peck_depth_xd)
        thick = (data.feed_mm_per_rev / 0.1) ** 0.4
        return max(0.0, column * thick - 2.2)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        entries = 1.0
        if data.peck_mode != "none":
            pecks = math.ceil(self.problem.depth_mm / self.problem.diameter_mm / data.peck_depth_xd)
            entries = pecks if data.peck_mode == "full_retract" else 1.0 + 0.25 * (pecks - 1)
        wear = (speed / 45) ** 2.6 * (feed / 0.1) ** 0.6 * (0.7 + 0.3 * entries**0.6)
        return 420.0 / (wear * (1.0 + 0.5 * self._packed(data)) * (1.0 + (feed / 0.2) ** 5))

    def torque_n_m(self, data: CuttingData) -> float:
        clean = 2400 * data.feed_mm_per_rev**0.78 * 72.25 / 8000
        return clean * (1.0 + 0.14 * self._packed(data))

    def growth(self, data: CuttingData) -> float:
        return 1.35 + 0.05 * min(self._packed(data), 4.0)

    def p_break(self, data: CuttingData) -> float:
        return min(0.9, self.base_break + 0.08 * max(0.0, self._packed(data) - 1.0))


class CoolantFilm(Process):
    """Carbide, 5 × D in alloyed steel with coolant through the drill; the machine is not known.

    Above a speed the coolant boils off the corner: life drops to a lower branch. Slow and thin
    chips do not break and clog, so very low feed costs life and load too.
    """

    name = "coolant film"
    life_scatter = 0.2
    machine = Machine(4.0, 2200, 9000)
    problem = Problem(
        speed_m_per_min=(35, 160), feed_mm_per_rev=(0.05, 0.30), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(60, 0.11), load_limit_pct=70,
        diameter_mm=9, depth_mm=45, max_test_holes=800,
        economics=Economics(1.4, 2.5, 110, 3, 30, 200, 60, 1.0),
    )  # fmt: skip

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        cooled = 800.0 * (70 / speed) ** 1.8 * (0.15 / feed) ** 0.3
        boils = 1.0 / (1.0 + math.exp((speed * (feed / 0.15) ** 0.25 - 104) / 4))
        clogs = 1.0 / (1.0 + (0.07 / feed) ** 4)
        thick = 1.0 / (1.0 + (feed / 0.26) ** 6)
        return cooled * (0.3 + 0.7 * boils) * clogs * thick

    def torque_n_m(self, data: CuttingData) -> float:
        clogged = 1.0 + 0.3 * math.exp(-data.feed_mm_per_rev / 0.05)
        return 2250 * data.feed_mm_per_rev**0.76 * 81 / 8000 * clogged

    def growth(self, data: CuttingData) -> float:
        return 1.35 + (0.15 if data.speed_m_per_min > 104 else 0.0)


class DeepAluminium(Process):
    """Carbide, 9 × D in a gummy aluminium alloy: the faster, the better chips fly, to a point.

    Slow chips smear in the flutes; with too much feed they are too thick for them and drills break.
    The spindle's top speed comes before the tool's.
    """

    name = "deep aluminium"
    life_scatter = 0.28
    fresh_scatter = 0.04
    base_break = 0.01
    machine = Machine(5.5, 4000, 9000, rapid_mm_per_min=25_000)
    problem = Problem(
        speed_m_per_min=(60, 280), feed_mm_per_rev=(0.06, 0.40), peck_depth_xd=(0.5, 4),
        peck_modes=("none", "chip_break", "full_retract"),
        start=CuttingData(110, 0.12, "chip_break", 1.5), load_limit_pct=60,
        diameter_mm=8, depth_mm=72, max_test_holes=1200, machine=machine, group="N",
        economics=Economics(1.4, 2, 90, 2, 25, 260, 80, 1.0),
    )  # fmt: skip

    def _clogged(self, data: CuttingData) -> float:
        column = 9.0
        if data.peck_mode == "full_retract":
            column = data.peck_depth_xd
        elif data.peck_mode == "chip_break":
            column = 3.0 + 0.8 * data.peck_depth_xd
        smears = 1.0 + (95 / data.speed_m_per_min) ** 2
        thick = (data.feed_mm_per_rev / 0.2) ** 1.2
        return column / 9.0 * (0.35 * smears + 0.65 * thick)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        pecks = 0.0
        if data.peck_mode != "none":
            pecks = math.ceil(9.0 / data.peck_depth_xd) - 1.0
            pecks *= 0.06 if data.peck_mode == "full_retract" else 0.015
        wear = 0.5 + 0.5 * (speed / 160) ** 1.6 + (feed / 0.33) ** 5
        return 1500.0 / (wear * (1.0 + pecks) * (1.0 + 0.6 * self._clogged(data)))

    def torque_n_m(self, data: CuttingData) -> float:
        return 780 * data.feed_mm_per_rev**0.76 * 64 / 8000 * (1.0 + 0.35 * self._clogged(data))

    def growth(self, data: CuttingData) -> float:  # noqa: ARG002
        return 1.25

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.6 * logistic((self._clogged(data) - 1.25) / 0.09)


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


class SpoolBore(Process):
    """Gun drill with a carbide head, 6 mm and 25 x D in heat-treated steel, with oil at pressure.

    Its pads float on oil once they slide fast enough; slower they touch, rub and load the spindle.
    Cutting force presses the film out, heat thins it. A thin chip leaves as a ribbon, longer when
    hot, that jams in the straight flute, and the drill twists off. A spoiled valve body is dear.
    """

    name = "spool bore"
    physics = "pads float on oil or touch; thin chips are ribbons that jam and twist the drill off"
    life_scatter = 0.2
    base_break = 0.012
    idle_pct = 12.0
    moving_min = 0.15
    machine = Machine(2.2, 4500, 9000, rapid_mm_per_min=8000, coolant_bar=90)
    problem = Problem(
        speed_m_per_min=(35, 160), feed_mm_per_rev=(0.008, 0.075), peck_depth_xd=(0.5, 3),
        peck_modes=("none",), start=CuttingData(66, 0.026), load_limit_pct=60,
        diameter_mm=6, depth_mm=150, max_test_holes=70, machine=machine, group="P",
        economics=Economics(1.3, 4.0, 130, 8, 24, 520, 15, 1.0), substrate="carbide",
    )  # fmt: skip

    def _touching(self, data: CuttingData) -> float:
        """Share of the pads' force that oil does not carry."""
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        film = speed / 70 * math.exp(-0.3 * (speed / 100) ** 2) * (0.025 / feed) ** 0.35
        return logistic((0.8 - film) / 0.1)

    def _ribbons(self, data: CuttingData) -> float:
        longest = 0.0155 * (data.speed_m_per_min / 80) ** 0.4
        return logistic((longest - data.feed_mm_per_rev) / 0.0012)

    def life(self, data: CuttingData) -> float:
        speed, feed = data.speed_m_per_min, data.feed_mm_per_rev
        way = (0.025 / feed) ** 0.7
        lip = way * (0.35 + 0.45 * (speed / 85) ** 3)
        pads = 0.6 * way * self._touching(data)
        return 85.0 / (lip + pads + 0.3 * (feed / 0.038) ** 4)

    def torque_n_m(self, data: CuttingData) -> float:
        rubs = 1.0 + 0.45 * self._touching(data) + 0.3 * self._ribbons(data)
        return 2600 * data.feed_mm_per_rev**0.78 * 36 / 8000 * rubs

    def growth(self, data: CuttingData) -> float:
        return 1.2 + 0.2 * self._touching(data)

    def p_break(self, data: CuttingData) -> float:
        return self.base_break + 0.45 * self._ribbons(data)
