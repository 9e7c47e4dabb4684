"""Where the tip of the drill is through one hole: depth against time, with what it does there."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from trials.mechanics import (
    CHIP_BREAK_STEP_MM,
    RE_ENTRY_GAP_MM,
    REVERSAL_S,
    feed_rate_mm_per_min,
    hole_time,
    point_length_mm,
    rpm,
)
from trials.model import CuttingData, Drill, HoleFeature, Machine

CLEARANCE_MM = 2.0

Doing = Literal["air", "cut", "chips"]
DOINGS: tuple[Doing, ...] = ("air", "cut", "chips")
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Step:
    """A straight piece of the path: seconds, depth at its end in mm, and what the drill does.

    ``air`` turns free, ``cut`` cuts, ``chips`` turns among chips in the hole without cutting.
    """

    seconds: float
    to_mm: float
    doing: Doing
    feed_factor: float = 1.0
    peck: int = 0


@dataclass(frozen=True, slots=True)
class HolePath:
    """One hole from the clearance plane down and back, its times as `hole_time` counts them.

    Args:
        steps: pieces in order; the path begins ``CLEARANCE_MM`` above the work.
        peck_from_mm: depth at which each peck begins, one value a peck.
        cut_s: time in the work, all pecks together.
        first_cut_s, last_cut_s: when the tip first touches the work and when it last cuts,
            seconds from the beginning of the path.
    """

    steps: tuple[Step, ...]
    peck_from_mm: tuple[float, ...]
    cut_s: float
    first_cut_s: float
    last_cut_s: float

    @property
    def pecks(self) -> int:
        """Number of times the drill enters the work."""
        return len(self.peck_from_mm)

    @property
    def total_s(self) -> float:
        """Seconds from approach to the end of the retract."""
        return sum(step.seconds for step in self.steps)

    def at(self, times_s: Floats) -> tuple[Floats, npt.NDArray[np.intp]]:
        """Depth of the tip in mm and the number of the step, at seconds from the beginning."""
        ends = np.cumsum([step.seconds for step in self.steps])
        depths = [-CLEARANCE_MM, *(step.to_mm for step in self.steps)]
        depth = np.interp(times_s, [0.0, *ends], depths)
        number = np.minimum(np.searchsorted(ends, times_s, side="right"), len(self.steps) - 1)
        return depth, number


def hole_path(
    cutting_data: CuttingData, drill: Drill, hole: HoleFeature, machine: Machine
) -> HolePath:
    """The path of one hole; the sum of its times is that of `trials.mechanics.hole_time`."""
    times = hole_time(
        cutting_data,
        drill.diameter_mm,
        hole.depth_mm,
        point_angle_deg=drill.point_angle_deg,
        through=hole.through,
        clearance_mm=CLEARANCE_MM,
        rapid_mm_per_min=machine.rapid_mm_per_min,
    )
    bottom_mm = hole.depth_mm + point_length_mm(drill.diameter_mm, drill.point_angle_deg)
    step_mm = cutting_data.peck_depth_xd * drill.diameter_mm
    edges = [min(i * step_mm, bottom_mm) for i in range(times.pecks)] + [bottom_mm]
    mm_per_s = _mm_per_s(cutting_data, drill)
    rapid_mm_per_s = machine.rapid_mm_per_min / 60.0
    slow_from = (
        max(0.0, hole.depth_mm - cutting_data.breakthrough_mm)
        if hole.through and cutting_data.breakthrough_feed_factor < 1
        else bottom_mm
    )

    steps = [Step(times.approach_s, 0.0, "air")]
    for peck, (start, end) in enumerate(itertools.pairwise(edges)):
        if start < slow_from:
            knee = min(end, slow_from)
            steps.append(Step((knee - start) / mm_per_s, knee, "cut", 1.0, peck))
        if end > slow_from:
            factor = cutting_data.breakthrough_feed_factor
            length = end - max(start, slow_from)
            steps.append(Step(length / mm_per_s / factor, end, "cut", factor, peck))
        if peck < times.pecks - 1:
            steps += _between_pecks(cutting_data, end, mm_per_s, rapid_mm_per_s, peck)
    last_cut_s = sum(step.seconds for step in steps)
    steps.append(Step(times.retract_s, -CLEARANCE_MM, "air"))
    return HolePath(tuple(steps), tuple(edges[:-1]), times.cut_s, times.approach_s, last_cut_s)


def _mm_per_s(cutting_data: CuttingData, drill: Drill) -> float:
    turns = rpm(cutting_data.speed_m_per_min, drill.diameter_mm)
    return feed_rate_mm_per_min(turns, cutting_data.feed_mm_per_rev) / 60.0


def _between_pecks(
    cutting_data: CuttingData, at_mm: float, mm_per_s: float, rapid_mm_per_s: float, peck: int
) -> list[Step]:
    """Back, and down again to where the last peck stopped."""
    if cutting_data.peck_mode == "chip_break":
        up = max(0.0, at_mm - CHIP_BREAK_STEP_MM)
        return [
            Step(CHIP_BREAK_STEP_MM / rapid_mm_per_s + REVERSAL_S, up, "chips", 1.0, peck),
            Step(CHIP_BREAK_STEP_MM / mm_per_s + REVERSAL_S, at_mm, "chips", 1.0, peck),
        ]
    out = at_mm + CLEARANCE_MM
    gap = min(RE_ENTRY_GAP_MM, out)
    return [
        Step(out / rapid_mm_per_s + REVERSAL_S, -CLEARANCE_MM, "air", 1.0, peck),
        Step(max(0.0, out - gap) / rapid_mm_per_s, at_mm - gap, "air", 1.0, peck),
        Step(gap / mm_per_s + REVERSAL_S, at_mm, "air", 1.0, peck),
    ]
