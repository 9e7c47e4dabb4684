"""Setting card: cutting data as a person sets them at the machine, in its own terms."""

from __future__ import annotations

from dataclasses import dataclass

from trials.mechanics import feed_rate_mm_per_min, rpm
from trials.model import CuttingData, HoleFeature


@dataclass(frozen=True, slots=True)
class SettingCard:
    """What is typed in at the machine.

    Args:
        cutting_data: speed, feed and pecking that the rest follows from.
        rpm: spindle speed, 1/min.
        feed_rate_mm_per_min: feed rate of the drilling axis.
        peck_depth_mm: depth of one peck; None without pecking.
        breakthrough_feed_rate_mm_per_min: feed rate for the last stretch of a through hole; None
            when the feed stays.
        depth_mm: depth of the hole to its full diameter.
    """

    cutting_data: CuttingData
    rpm: float
    feed_rate_mm_per_min: float
    peck_depth_mm: float | None
    breakthrough_feed_rate_mm_per_min: float | None
    depth_mm: float


def setting_card(cutting_data: CuttingData, hole: HoleFeature) -> SettingCard:
    """Work out spindle speed, feed rate and peck depth of cutting data in a hole."""
    spindle = rpm(cutting_data.speed_m_per_min, hole.diameter_mm)
    feed_rate = feed_rate_mm_per_min(spindle, cutting_data.feed_mm_per_rev)
    reduced = hole.through and cutting_data.breakthrough_feed_factor < 1
    return SettingCard(
        cutting_data=cutting_data,
        rpm=spindle,
        feed_rate_mm_per_min=feed_rate,
        peck_depth_mm=(
            None
            if cutting_data.peck_mode == "none"
            else cutting_data.peck_depth_xd * hole.diameter_mm
        ),
        breakthrough_feed_rate_mm_per_min=(
            feed_rate * cutting_data.breakthrough_feed_factor if reduced else None
        ),
        depth_mm=hole.depth_mm,
    )
