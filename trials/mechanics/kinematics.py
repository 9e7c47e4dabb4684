"""Speed, feed and time of drilling.

Formulas: n = 1000·vc/(π·D), vf = n·f, Q = π·D²/4·vf, point length A = D/2 / tan(σ/2),
time = travel / vf. Any machining textbook has them, for example Groover, Fundamentals of Modern
Manufacturing, chapter on drilling.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from trials.errors import require
from trials.model import CuttingData, Machine

# Time a machine loses each time the axis turns round; from memory, editable where it is used.
REVERSAL_S = 0.05
# Chip-break pecks step back by this much; full-retract pecks re-enter this far above the bottom.
CHIP_BREAK_STEP_MM = 0.25
RE_ENTRY_GAP_MM = 0.5


def rpm(speed_m_per_min: float, diameter_mm: float) -> float:
    """Spindle speed in 1/min for a cutting speed in m/min at a diameter in mm."""
    require(diameter_mm > 0, "diameter", diameter_mm, "more than 0 mm")
    return 1000.0 * speed_m_per_min / (math.pi * diameter_mm)


def speed_m_per_min(spindle_rpm: float, diameter_mm: float) -> float:
    """Cutting speed in m/min at a spindle speed in 1/min and a diameter in mm."""
    return math.pi * diameter_mm * spindle_rpm / 1000.0


def feed_rate_mm_per_min(spindle_rpm: float, feed_mm_per_rev: float) -> float:
    """Feed rate in mm/min: spindle speed in 1/min times feed in mm/rev."""
    return spindle_rpm * feed_mm_per_rev


def removal_rate_mm3_per_min(diameter_mm: float, feed_rate: float) -> float:
    """Volume cut per minute, mm³/min, from solid: π·D²/4 times the feed rate in mm/min."""
    return math.pi * diameter_mm**2 / 4.0 * feed_rate


def point_length_mm(diameter_mm: float, point_angle_deg: float) -> float:
    """Length of the drill's point along its axis, mm; ``point_angle_deg`` is the full angle."""
    require(0 < point_angle_deg <= 180, "point angle", point_angle_deg, "above 0 to 180 degrees")
    return diameter_mm / 2.0 / math.tan(math.radians(point_angle_deg / 2.0))


@dataclass(frozen=True, slots=True)
class HoleTime:
    """Where the time of one hole goes.

    Args:
        approach_s: at feed rate through the clearance above the hole.
        cut_s: in the work, all pecks together.
        peck_s: between the pecks: stepping back, moving out and in again.
        retract_s: out of the finished hole at rapid.
        peck_cut_s: time in the work of each peck, one value a peck.
    """

    approach_s: float
    cut_s: float
    peck_s: float
    retract_s: float
    peck_cut_s: tuple[float, ...]

    @property
    def pecks(self) -> int:
        """Number of times the drill enters the work; 1 without pecking."""
        return len(self.peck_cut_s)

    @property
    def total_s(self) -> float:
        """Approach to retract, s."""
        return self.approach_s + self.cut_s + self.peck_s + self.retract_s

    @property
    def cycle_min(self) -> float:
        """Approach to retract, min; the move to the next hole is not in it."""
        return self.total_s / 60.0


def hole_time(
    cutting_data: CuttingData,
    diameter_mm: float,
    depth_mm: float,
    *,
    point_angle_deg: float = 140.0,
    point_allowance: bool = True,
    through: bool = False,
    clearance_mm: float = 2.0,
    rapid_mm_per_min: float = 20_000.0,
) -> HoleTime:
    """Time of one hole with its pecks.

    The path in the work is the depth plus, with ``point_allowance``, the length of the point: the
    depth counts to the full diameter. Pecks divide that path into steps of ``peck_depth_xd``
    diameters, the last one shorter. A chip-break peck steps back a little; a full-retract peck
    goes out to the clearance plane and back to just above the bottom, both at rapid. A through
    hole's reduced breakthrough feed begins ``breakthrough_mm`` before the tip comes out and stays
    until the full diameter is through.

    Source: path and time as in Groover (point allowance); peck moves common practice, no source;
    reversal time from memory.
    """
    require(depth_mm > 0, "hole depth", depth_mm, "more than 0 mm")
    require(rapid_mm_per_min > 0, "rapid traverse", rapid_mm_per_min, "more than 0 mm/min")
    feed_rate = feed_rate_mm_per_min(
        rpm(cutting_data.speed_m_per_min, diameter_mm), cutting_data.feed_mm_per_rev
    )
    mm_per_s = feed_rate / 60.0
    point = point_length_mm(diameter_mm, point_angle_deg) if point_allowance else 0.0
    path = depth_mm + point
    slow_from = path
    if through and cutting_data.breakthrough_feed_factor < 1:
        slow_from = max(0.0, depth_mm - cutting_data.breakthrough_mm)

    def cut_s(start: float, end: float) -> float:
        slow = max(0.0, end - max(start, slow_from))
        quick = (end - start) - slow
        return (quick + slow / cutting_data.breakthrough_feed_factor) / mm_per_s

    edges = _peck_edges(cutting_data, diameter_mm, path)
    peck_cut_s = tuple(cut_s(a, b) for a, b in itertools.pairwise(edges))
    rapid_mm_per_s = rapid_mm_per_min / 60.0
    peck_s = 0.0
    for bottom in edges[1:-1]:
        if cutting_data.peck_mode == "chip_break":
            peck_s += CHIP_BREAK_STEP_MM / rapid_mm_per_s + CHIP_BREAK_STEP_MM / mm_per_s
        else:
            out = bottom + clearance_mm
            back = max(0.0, out - RE_ENTRY_GAP_MM)
            peck_s += (out + back) / rapid_mm_per_s + min(RE_ENTRY_GAP_MM, out) / mm_per_s
        peck_s += 2 * REVERSAL_S
    return HoleTime(
        approach_s=clearance_mm / mm_per_s,
        cut_s=sum(peck_cut_s),
        peck_s=peck_s,
        retract_s=(path + clearance_mm) / rapid_mm_per_s,
        peck_cut_s=peck_cut_s,
    )


def _peck_edges(cutting_data: CuttingData, diameter_mm: float, path: float) -> list[float]:
    """Depths at which pecks begin and end, from 0 to the whole path."""
    if cutting_data.peck_mode == "none":
        return [0.0, path]
    step = cutting_data.peck_depth_xd * diameter_mm
    count = max(1, math.ceil(path / step - 1e-9))
    require(count <= 10_000, "number of pecks", count, "at most 10,000",
            "Choose a deeper peck.")  # fmt: skip
    return [min(i * step, path) for i in range(count)] + [path]


def within_machine(cutting_data: CuttingData, diameter_mm: float, machine: Machine) -> list[str]:
    """What of this cutting data the machine cannot do; an empty list when it can do all of it."""
    spindle_rpm = rpm(cutting_data.speed_m_per_min, diameter_mm)
    feed_rate = feed_rate_mm_per_min(spindle_rpm, cutting_data.feed_mm_per_rev)
    problems = []
    if spindle_rpm > machine.max_rpm * (1 + 1e-9):
        most = speed_m_per_min(machine.max_rpm, diameter_mm)
        problems.append(
            f"{cutting_data.speed_m_per_min:g} m/min at {diameter_mm:g} mm needs "
            f"{spindle_rpm:.0f} /min; {machine.name} turns at most {machine.max_rpm:g} /min, "
            f"which is {most:.1f} m/min"
        )
    if feed_rate > machine.max_feed_mm_per_min * (1 + 1e-9):
        problems.append(
            f"{cutting_data.feed_mm_per_rev:g} mm/rev at {spindle_rpm:.0f} /min is "
            f"{feed_rate:.0f} mm/min; {machine.name} feeds at most "
            f"{machine.max_feed_mm_per_min:g} mm/min"
        )
    return problems
