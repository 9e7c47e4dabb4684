"""What is true of an invented process: its forces, how it wears a drill and what breaks one.

The form is on purpose not the one the optimizer fits: beside a power law in speed and feed there
are a built-up edge at low speed, rubbing at low feed, a steep end at high speed, chips packing in
deep holes and wear at every entry. All numbers are invented, in the range of workshop experience
(from memory, no source); they describe no real work material and no real drill.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trials.errors import require
from trials.mechanics import cutting_force_values, material_defaults
from trials.mechanics import torque_n_m as torque_of_a_sharp_drill
from trials.model import CuttingData, Drill, IsoGroup, Substrate, Work

# Wear against share of life: quick at first, then steady, then steep. Shares add up to 1 at the
# limit.
_BREAK_IN_SHARE, _BREAK_IN_LENGTH = 0.25, 0.06
_STEADY_SHARE = 0.45
_STEEP_SHARE, _STEEP_POWER, _STEEP_UNTIL = 0.30, 6.0, 1.6

_MINUTES: dict[Substrate, float] = {"hss": 10.0, "cobalt": 14.0, "carbide": 45.0}
_GROUP_SHARE: dict[IsoGroup, float] = {
    "P": 1.0, "M": 0.5, "K": 1.4, "N": 3.0, "S": 0.35, "H": 0.3,
}  # fmt: skip
_COATING_SHARE = {"bright": 1.0, "black_oxide": 1.2, "TiN": 1.4, "TiCN": 1.6, "TiAlN": 1.9}
_SPEED_EXPONENT: dict[Substrate, float] = {"hss": 5.0, "cobalt": 4.5, "carbide": 3.0}
_BRITTLE: dict[Substrate, float] = {"hss": 0.5, "cobalt": 0.8, "carbide": 1.3}


@dataclass(frozen=True, slots=True)
class ProcessTruth:
    """An invented process.

    Args:
        kc1_1_n_per_mm2, mc, point_angle_deg: specific-force torque of the sharp drill.
        worn_torque_share: torque added when wear reaches ``wear_scale_mm``, as a share.
        wear_scale_mm: largest wear (VB maximum) at which life is counted as used up.
        reference_min: cutting time in minutes to ``wear_scale_mm`` at the reference speed and
            feed, with one entry and free chips.
        reference_speed_m_per_min, reference_feed_mm_per_rev: where ``reference_min`` holds.
        speed_exponent, feed_exponent: of the power law: minutes ~ v^−a · f^−b.
        steep_at_speed_share: share of the reference speed at which heat begins to end drills early.
        built_up_edge_speed_share, built_up_edge: below about that share of the reference speed an
            edge builds up; wear goes up by as much as this share, and noise with it.
        rubbing: share of wear added when the feed goes towards nothing.
        chips_free_xd: chip column in diameters that leaves the flutes by itself.
        chip_packing: torque share added by each further diameter of chip column.
        entry_min: an entry into the work wears as much as this many minutes of cutting.
        life_scatter: standard deviation of log life from drill to drill.
        brittle: factor on the chance of chipping.
        chip_chance, break_chance: chance in one hole at reference load on the edge.
    """

    kc1_1_n_per_mm2: float
    mc: float
    point_angle_deg: float
    reference_min: float
    reference_speed_m_per_min: float
    reference_feed_mm_per_rev: float
    worn_torque_share: float = 0.35
    wear_scale_mm: float = 0.3
    speed_exponent: float = 3.0
    feed_exponent: float = 0.9
    steep_at_speed_share: float = 1.35
    built_up_edge_speed_share: float = 0.55
    built_up_edge: float = 1.2
    rubbing: float = 0.8
    chips_free_xd: float = 3.0
    chip_packing: float = 0.10
    entry_min: float = 0.012
    life_scatter: float = 0.12
    brittle: float = 1.0
    chip_chance: float = 1.5e-4
    break_chance: float = 2.0e-5

    def __post_init__(self) -> None:
        for what, value in (
            ("reference cutting time", self.reference_min),
            ("reference speed", self.reference_speed_m_per_min),
            ("reference feed", self.reference_feed_mm_per_rev),
            ("wear at the end of life", self.wear_scale_mm),
        ):
            require(value > 0, what, value, "more than 0")
        require(self.life_scatter >= 0, "scatter of life", self.life_scatter, "0 or more")

    def torque_n_m(self, diameter_mm: float, feed_mm_per_rev: float, wear_mm: float = 0.0) -> float:
        """Torque at full engagement with free chips, N·m, growing in a straight line with wear."""
        sharp = torque_of_a_sharp_drill(
            diameter_mm, feed_mm_per_rev, self.kc1_1_n_per_mm2, self.mc, self.point_angle_deg
        )
        return sharp * (1.0 + self.worn_torque_share * wear_mm / self.wear_scale_mm)

    def built_up_edge_share(self, speed_m_per_min: float) -> float:
        """How much of an edge builds up, 0 to 1: much at low speed, nothing at reference speed."""
        scale = self.built_up_edge_speed_share * self.reference_speed_m_per_min
        return math.exp(-math.pow(speed_m_per_min / scale, 3))

    def packing(self, chip_column_xd: float) -> float:
        """Factor on torque for a column of chips that has not left the flutes, in diameters."""
        return 1.0 + self.chip_packing * math.pow(
            max(0.0, chip_column_xd - self.chips_free_xd), 1.5
        )

    def minutes_to_wear(self, speed_m_per_min: float, feed_mm_per_rev: float) -> float:
        """Cutting minutes to ``wear_scale_mm`` with free chips, entries not counted."""
        v = speed_m_per_min / self.reference_speed_m_per_min
        f = feed_mm_per_rev / self.reference_feed_mm_per_rev
        knee = self.steep_at_speed_share
        steep = math.exp(math.pow(v / knee, 6) - math.pow(1.0 / knee, 6))
        rate = (
            math.pow(v, self.speed_exponent)
            * math.pow(f, self.feed_exponent)
            * steep
            * (1.0 + self.built_up_edge * self.built_up_edge_share(speed_m_per_min))
            * (1.0 + self.rubbing * math.exp(-math.pow(f / 0.35, 2)))
        )
        return self.reference_min / rate

    def life_share_per_hole(
        self, cutting_data: CuttingData, cut_min: float, entries: int, mean_packing: float
    ) -> float:
        """Share of a median drill's life that one hole uses up; its inverse is life in holes."""
        minutes = self.minutes_to_wear(cutting_data.speed_m_per_min, cutting_data.feed_mm_per_rev)
        return (cut_min * mean_packing**2 + entries * self.entry_min) / minutes

    def wear_mm(self, life_share: float) -> float:
        """Largest wear (VB maximum) after a share of life: three phases, the limit at share 1.

        Far beyond that there is little left to wear, so the steep phase ends.
        """
        return self.wear_scale_mm * (
            _BREAK_IN_SHARE * (1.0 - math.exp(-life_share / _BREAK_IN_LENGTH))
            + _STEADY_SHARE * life_share
            + _STEEP_SHARE * math.pow(min(life_share, _STEEP_UNTIL), _STEEP_POWER)
        )

    def edge_load(self, feed_mm_per_rev: float, torque_factor: float) -> float:
        """Load on the edge against the reference: feed share times growth of torque."""
        return feed_mm_per_rev / self.reference_feed_mm_per_rev * torque_factor

    def chance_of_chipping(self, edge_load: float) -> float:
        """Chance that the corner chips in one hole, rising steeply with the load on the edge."""
        return min(0.5, self.chip_chance * self.brittle * math.exp(4.5 * (edge_load - 1.0)))

    def chance_of_breaking(self, edge_load: float) -> float:
        """Chance that the drill breaks in one hole."""
        return min(0.5, self.break_chance * math.exp(5.5 * (edge_load - 1.0)))


def invented_process(drill: Drill, work: Work, *, wear_scale_mm: float = 0.3) -> ProcessTruth:
    """An invented truth for this kind of drill in this work material.

    It starts at the catalogue's planning values and moves away from them, so that what the
    catalogue proposes is a fair start and not the answer.
    """
    kc1_1, mc = cutting_force_values(work)
    defaults = material_defaults(work.group)
    substrate: Substrate = drill.substrate
    speed = defaults.speed_m_per_min.get(substrate, 0.4 * max(defaults.speed_m_per_min.values()))
    feed_per_diameter = defaults.feed_per_diameter.get(
        substrate, max(defaults.feed_per_diameter.values())
    )
    free = (2.0 if defaults.tough else 3.0) + (5.0 if drill.through_coolant else 0.0)
    return ProcessTruth(
        kc1_1_n_per_mm2=1.06 * kc1_1,
        mc=mc,
        point_angle_deg=drill.point_angle_deg,
        reference_min=_MINUTES[substrate] * _GROUP_SHARE[work.group]
        * _COATING_SHARE[drill.coating],
        reference_speed_m_per_min=0.9 * speed,
        reference_feed_mm_per_rev=1.1 * feed_per_diameter * drill.diameter_mm,
        wear_scale_mm=wear_scale_mm,
        speed_exponent=_SPEED_EXPONENT[substrate],
        chips_free_xd=free,
        chip_packing=0.14 if defaults.tough else 0.09,
        brittle=_BRITTLE[substrate],
    )  # fmt: skip
