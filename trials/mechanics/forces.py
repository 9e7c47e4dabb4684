"""Torque, thrust, power and spindle load of drilling from solid.

Two ways, each with its source. They differ by a third and more on the same cut, because published
material values do: both are for planning, never a promise. Measured load goes before them.
"""

from __future__ import annotations

import bisect
import math

from trials.errors import InputError, require
from trials.model import Machine

# Chisel-edge factors by the ratio of chisel edge to diameter c/d.
# Source: Machinery's Handbook, 31st ed., pp. 1152-1153.
_CHISEL_RATIO = (0.03, 0.05, 0.08, 0.10, 0.13, 0.15, 0.18, 0.20, 0.25, 0.30, 0.35, 0.40)
_A = (1.000, 1.005, 1.015, 1.020, 1.040, 1.080, 1.085, 1.105, 1.155, 1.235, 1.310, 1.395)
_B = (1.100, 1.140, 1.200, 1.235, 1.270, 1.310, 1.355, 1.380, 1.445, 1.500, 1.575, 1.620)
_J = (0.001, 0.003, 0.006, 0.010, 0.017, 0.022, 0.030, 0.040, 0.065, 0.090, 0.120, 0.160)

STANDARD_POINT = 0.18
SPLIT_POINT = 0.03


def specific_cutting_force_n_per_mm2(
    feed_mm_per_rev: float, kc1_1_n_per_mm2: float, mc: float, point_angle_deg: float = 118.0
) -> float:
    """kc = kc1.1 · h^(−mc) with chip thickness h = f/2 · sin(σ/2) in mm. Source: from memory."""
    thickness_mm = feed_mm_per_rev / 2.0 * math.sin(math.radians(point_angle_deg / 2.0))
    require(thickness_mm > 0, "chip thickness", thickness_mm, "more than 0 mm")
    return kc1_1_n_per_mm2 * math.pow(thickness_mm, -mc)


def torque_n_m(
    diameter_mm: float,
    feed_mm_per_rev: float,
    kc1_1_n_per_mm2: float,
    mc: float,
    point_angle_deg: float = 118.0,
) -> float:
    """Torque of two lips, N·m: M = kc · f · D² / 8000. Source: from memory (specific force)."""
    kc = specific_cutting_force_n_per_mm2(feed_mm_per_rev, kc1_1_n_per_mm2, mc, point_angle_deg)
    return kc * feed_mm_per_rev * diameter_mm**2 / 8000.0


def power_kw(torque: float, spindle_rpm: float) -> float:
    """Power in kW of a torque in N·m at a speed in 1/min: P = 2π·n·M / 60,000."""
    return 2.0 * math.pi * spindle_rpm * torque / 60_000.0


def handbook_torque_n_m(
    diameter_mm: float,
    feed_mm_per_rev: float,
    kd: float,
    *,
    chisel_ratio: float = STANDARD_POINT,
    wear_factor: float = 1.0,
) -> float:
    """Torque in N·m: M = Kd · f^0.8 · D^1.8 · A · W / 40,000.

    Source: Machinery's Handbook, 31st ed., pp. 1152-1153 (Ff = f^0.8 and FM = D^1.8 there are
    tables). ``wear_factor`` is 1 for a sharp drill and about 1.3 for one that is worn.
    """
    a, _, _ = _chisel_factors(chisel_ratio)
    return (
        kd
        * math.pow(feed_mm_per_rev, 0.8)
        * math.pow(diameter_mm, 1.8)
        * a
        * wear_factor
        / 40_000.0
    )


def handbook_thrust_n(
    diameter_mm: float,
    feed_mm_per_rev: float,
    kd: float,
    *,
    chisel_ratio: float = STANDARD_POINT,
    wear_factor: float = 1.0,
) -> float:
    """Thrust in N: T = 0.05 · Kd · f^0.8 · D^0.8 · B · W + 0.007 · Kd · D² · J · W.

    Source: Machinery's Handbook, 31st ed., pp. 1152-1153.
    """
    _, b, j = _chisel_factors(chisel_ratio)
    lips = 0.05 * kd * math.pow(feed_mm_per_rev * diameter_mm, 0.8) * b * wear_factor
    chisel = 0.007 * kd * diameter_mm**2 * j * wear_factor
    return lips + chisel


def _chisel_factors(chisel_ratio: float) -> tuple[float, float, float]:
    """A, B and J at a chisel-edge ratio, straight lines between the table's columns."""
    if not _CHISEL_RATIO[0] <= chisel_ratio <= _CHISEL_RATIO[-1]:
        raise InputError(
            "ratio of chisel edge to diameter",
            got=chisel_ratio,
            allowed=f"{_CHISEL_RATIO[0]:g} to {_CHISEL_RATIO[-1]:g}",
        )
    right = max(1, bisect.bisect_left(_CHISEL_RATIO, chisel_ratio))
    x0, x1 = _CHISEL_RATIO[right - 1], _CHISEL_RATIO[right]
    share = (chisel_ratio - x0) / (x1 - x0)

    def between(table: tuple[float, ...]) -> float:
        return table[right - 1] + share * (table[right] - table[right - 1])

    return between(_A), between(_B), between(_J)


def load_pct(machine: Machine, spindle_rpm: float, torque: float) -> float:
    """Spindle load in % of rating for a torque in N·m.

    Share of rated torque up to the base speed, share of rated power above it; with a power curve,
    share of the power at that speed. Losses of the drive are not in it. Source: common practice,
    no source.
    """
    spindle_rpm = max(spindle_rpm, 1e-9)
    if machine.power_curve:
        return 100.0 * power_kw(torque, spindle_rpm) / machine.available_kw(spindle_rpm)
    available = machine.rated_torque_n_m * min(1.0, machine.base_rpm / spindle_rpm)
    return 100.0 * torque / available
