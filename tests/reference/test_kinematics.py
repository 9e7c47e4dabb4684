"""Speed, feed and machining time against published problems."""

from __future__ import annotations

import math

import pytest

from trials import mechanics
from trials.model import CuttingData


def test_textbook_removal_rate_power_and_torque() -> None:
    # Kalpakjian and Schmid, Manufacturing Engineering and Technology, drilling example:
    # D 10 mm, f 0.2 mm/rev, 800 /min, unit power 0.5 W·s/mm³. Torque computed from the power.
    feed_rate = mechanics.feed_rate_mm_per_min(800, 0.2)
    removal = mechanics.removal_rate_mm3_per_min(10, feed_rate)
    power_w = removal / 60 * 0.5
    assert removal == pytest.approx(12_566, abs=1)
    assert power_w == pytest.approx(104.7, abs=0.1)
    torque = power_w / (2 * math.pi * 800 / 60)
    assert torque == pytest.approx(1.25, abs=0.005)
    assert mechanics.power_kw(torque, 800) * 1000 == pytest.approx(power_w)


def test_drilling_time_of_a_blind_hole() -> None:
    # Groover, Fundamentals of Modern Manufacturing, drilling problem (answer computed):
    # D 12.7 mm, 60 mm blind, 118°, 25 m/min, 0.30 mm/rev; the time counts the point's length.
    spindle = mechanics.rpm(25, 12.7)
    assert spindle == pytest.approx(626.6, abs=0.05)
    assert mechanics.feed_rate_mm_per_min(spindle, 0.30) == pytest.approx(187.98, abs=0.01)
    assert mechanics.point_length_mm(12.7, 118) == pytest.approx(3.815, abs=0.001)
    data = CuttingData(25, 0.30)
    time = mechanics.hole_time(data, 12.7, 60, point_angle_deg=118)
    assert time.cut_s / 60 == pytest.approx(0.3395, abs=0.0001)


def test_the_point_allowance_is_an_explicit_choice() -> None:
    # The same problem; answers that leave the point out (0.3192 min) are seen as well.
    time = mechanics.hole_time(
        CuttingData(25, 0.30), 12.7, 60, point_angle_deg=118, point_allowance=False
    )
    assert time.cut_s / 60 == pytest.approx(0.3192, abs=0.0001)


def test_time_of_a_hundred_holes_with_moves() -> None:
    # Groover, NC drill-press problem (answer computed): 100 holes of 0.75 in through 1.75 in,
    # 100° point, 300 ft/min, 0.015 in/rev, 0.5 in clearance, retract at twice the feed rate,
    # 99 moves of 1.5 in at 15 in/min.
    speed = 300 * 0.3048
    diameter, feed = 0.75 * 25.4, 0.015 * 25.4
    spindle = mechanics.rpm(speed, diameter)
    feed_rate = mechanics.feed_rate_mm_per_min(spindle, feed)
    assert spindle == pytest.approx(1527.9, abs=0.1)
    assert feed_rate / 25.4 == pytest.approx(22.918, abs=0.001)
    assert mechanics.point_length_mm(diameter, 100) / 25.4 == pytest.approx(0.3147, abs=0.0001)
    time = mechanics.hole_time(
        CuttingData(speed, feed),
        diameter,
        1.75 * 25.4,
        point_angle_deg=100,
        clearance_mm=0.5 * 25.4,
        rapid_mm_per_min=2 * feed_rate,
    )
    total_min = 100 * time.cycle_min + 99 * 1.5 / 15
    assert total_min == pytest.approx(26.69, abs=0.01)


@pytest.mark.parametrize(
    ("angle_deg", "length_over_diameter"),
    # Geometry: 1 / (2 · tan(σ/2)).
    [(118, 0.30043), (130, 0.23315), (135, 0.20711), (140, 0.18199)],
)
def test_point_lengths(angle_deg: float, length_over_diameter: float) -> None:
    assert mechanics.point_length_mm(1.0, angle_deg) == pytest.approx(
        length_over_diameter, abs=5e-6
    )
