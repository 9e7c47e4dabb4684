"""Cutting data: how a drill is driven through the hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from trials.errors import require

PeckMode = Literal["none", "chip_break", "full_retract"]
PECK_MODES: tuple[PeckMode, ...] = get_args(PeckMode)


@dataclass(frozen=True, slots=True)
class CuttingData:
    """Speed, feed and pecking.

    Args:
        speed_m_per_min: cutting speed at the drill's corner, m/min.
        feed_mm_per_rev: feed, mm/rev.
        peck_mode: ``none``, ``chip_break`` (short step back) or ``full_retract`` (out of the hole).
        peck_depth_xd: depth of one peck in drill diameters; without meaning when the mode is
            ``none``.
        breakthrough_feed_factor: share of the feed used for the last stretch of a through hole;
            1 keeps the feed.
        breakthrough_mm: length of that stretch before the point breaks through, mm.

    Raises:
        InputError: a value is outside what any drill can do.
    """

    speed_m_per_min: float
    feed_mm_per_rev: float
    peck_mode: PeckMode = "none"
    peck_depth_xd: float = 1.0
    breakthrough_feed_factor: float = 1.0
    breakthrough_mm: float = 0.0

    def __post_init__(self) -> None:
        require(0 < self.speed_m_per_min <= 2000, "speed", self.speed_m_per_min,
                "more than 0 and at most 2000 m/min")  # fmt: skip
        require(0 < self.feed_mm_per_rev <= 5, "feed", self.feed_mm_per_rev,
                "more than 0 and at most 5 mm/rev")  # fmt: skip
        require(self.peck_mode in PECK_MODES, "peck mode", self.peck_mode,
                "one of " + ", ".join(PECK_MODES))  # fmt: skip
        require(self.peck_mode == "none" or 0 < self.peck_depth_xd <= 100, "peck depth",
                self.peck_depth_xd, "more than 0 and at most 100 drill diameters")  # fmt: skip
        require(0 < self.breakthrough_feed_factor <= 1, "breakthrough feed factor",
                self.breakthrough_feed_factor, "more than 0 and at most 1")  # fmt: skip
        require(self.breakthrough_mm >= 0, "breakthrough stretch", self.breakthrough_mm,
                "0 mm or more")  # fmt: skip


@dataclass(frozen=True, slots=True)
class ExpectedHole:
    """What one hole should look like in time: the cutting data with the hole they are used on.

    ``filter_delay_s``: by how much the drive's filter delays the load.
    """

    cutting_data: CuttingData
    diameter_mm: float
    depth_mm: float
    point_angle_deg: float = 140.0
    filter_delay_s: float = 0.0

    def __post_init__(self) -> None:
        require(self.diameter_mm > 0, "hole diameter", self.diameter_mm, "more than 0 mm")
        require(self.depth_mm > 0, "hole depth", self.depth_mm, "more than 0 mm")
