"""First cutting data against rules of the trade."""

from __future__ import annotations

import pytest

from trials.mechanics import first_cutting_data, hole_time
from trials.model import CuttingData, Drill, HoleFeature, Machine, Work

MACHINE = Machine(15, 1500, 8000)
STEEL = Work("S355", "P")


@pytest.mark.parametrize(
    ("depth_xd", "speed_share", "feed_share"),
    # Read in a reprint without primary source: 3 × D −10/−10 %, 4 × D −20/−10, 5 × D −30/−20,
    # 6 × D −35…40/−20.
    [(3.0, 0.90, 0.90), (4.0, 0.80, 0.90), (5.0, 0.70, 0.80), (6.0, 0.625, 0.80)],
)
def test_depth_lowers_speed_and_feed(
    depth_xd: float, speed_share: float, feed_share: float
) -> None:
    drill = Drill("plain", 10.0, substrate="hss", point_angle_deg=118)
    shallow = first_cutting_data(drill, STEEL, HoleFeature(10, 10), MACHINE).cutting_data
    deep = first_cutting_data(drill, STEEL, HoleFeature(10, 10 * depth_xd), MACHINE).cutting_data
    # Speed is rounded down to 0.5 m/min and feed to 0.005 mm/rev: one step of each is allowed.
    assert deep.speed_m_per_min == pytest.approx(shallow.speed_m_per_min * speed_share, abs=0.51)
    assert deep.feed_mm_per_rev == pytest.approx(shallow.feed_mm_per_rev * feed_share, abs=0.0051)


@pytest.mark.parametrize(
    ("substrate", "depth_xd", "pecks"),
    # Common practice, no source: high-speed steel goes 2–3 × D before pecking, good carbide up to
    # 5 × D in carbon steel.
    [("hss", 2.0, False), ("hss", 3.5, True), ("carbide", 4.5, False), ("carbide", 6.0, True)],
)
def test_when_to_peck(substrate: str, depth_xd: float, pecks: bool) -> None:
    drill = Drill("d", 8.0, substrate=substrate)  # type: ignore[arg-type]  # parametrized text
    data = first_cutting_data(drill, STEEL, HoleFeature(8, 8 * depth_xd), MACHINE).cutting_data
    assert (data.peck_mode != "none") is pecks


def test_carbide_runs_three_to_five_times_as_fast_as_cobalt() -> None:
    # Common practice, no source; 2.5 leaves room for the rounding and the reduction for depth.
    hole = HoleFeature(8, 16)
    cobalt = first_cutting_data(Drill("c", 8.0, substrate="cobalt"), STEEL, hole, MACHINE)
    carbide = first_cutting_data(Drill("k", 8.0, substrate="carbide"), STEEL, hole, MACHINE)
    ratio = carbide.cutting_data.speed_m_per_min / cobalt.cutting_data.speed_m_per_min
    assert 2.5 <= ratio <= 5


def test_half_feed_at_breakthrough() -> None:
    # Common practice, no source: through holes take half the feed for about the last 2 mm.
    drill, hole = Drill("d", 10.0), HoleFeature(10, 20, through=True)
    data = first_cutting_data(drill, STEEL, hole, MACHINE).cutting_data
    assert data.breakthrough_feed_factor == 0.5
    assert data.breakthrough_mm == 2.0
    full = CuttingData(data.speed_m_per_min, data.feed_mm_per_rev)
    plain = hole_time(full, 10, 20, through=True).cut_s
    slowed = hole_time(data, 10, 20, through=True).cut_s
    feed_mm_per_s = 1000 * data.speed_m_per_min / (3.14159265 * 10) * data.feed_mm_per_rev / 60
    # Half feed doubles the time of the last 2 mm and of the point coming through.
    assert slowed - plain == pytest.approx((2.0 + 1.8199) / feed_mm_per_s, rel=1e-4)
