"""Torque, thrust and power against published values."""

from __future__ import annotations

import math

import pytest

from trials import mechanics

# Machinery's Handbook, 31st ed., pp. 1152-1153: feed and diameter factors as printed there.
FEED_FACTORS = {0.05: 0.091, 0.10: 0.158, 0.15: 0.219, 0.20: 0.276, 0.25: 0.330, 0.30: 0.382,
                0.40: 0.480}  # fmt: skip
DIAMETER_FACTORS = {3.2: (2.54, 8.12), 4: (3.03, 12.12), 6.4: (4.42, 28.26), 8: (5.28, 42.22),
                    9.5: (6.06, 57.53), 11: (6.81, 74.90), 12.5: (7.54, 94.28), 16: (9.19, 147.0),
                    22: (11.86, 260.8)}  # fmt: skip
# Same pages: chisel-edge ratio → A, B, J.
CHISEL_FACTORS = {0.03: (1.000, 1.100, 0.001), 0.05: (1.005, 1.140, 0.003),
                  0.08: (1.015, 1.200, 0.006), 0.10: (1.020, 1.235, 0.010),
                  0.13: (1.040, 1.270, 0.017), 0.15: (1.080, 1.310, 0.022),
                  0.18: (1.085, 1.355, 0.030), 0.20: (1.105, 1.380, 0.040),
                  0.25: (1.155, 1.445, 0.065), 0.30: (1.235, 1.500, 0.090),
                  0.35: (1.310, 1.575, 0.120), 0.40: (1.395, 1.620, 0.160)}  # fmt: skip


@pytest.mark.parametrize("diameter_mm", DIAMETER_FACTORS)
@pytest.mark.parametrize("feed", FEED_FACTORS)
@pytest.mark.parametrize("ratio", CHISEL_FACTORS)
def test_handbook_tables(diameter_mm: float, feed: float, ratio: float) -> None:
    # The handbook's own tables put into its formulas, against the power laws used here; the
    # printed factors carry two to three digits, hence 1 %.
    a, b, j = CHISEL_FACTORS[ratio]
    thrust_factor, torque_factor = DIAMETER_FACTORS[diameter_mm]
    kd, wear = 24_000, 1.3
    torque = kd * FEED_FACTORS[feed] * torque_factor * a * wear / 40_000
    thrust = (
        0.05 * kd * FEED_FACTORS[feed] * thrust_factor * b * wear
        + 0.007 * kd * diameter_mm**2 * j * wear
    )
    assert mechanics.handbook_torque_n_m(
        diameter_mm, feed, kd, chisel_ratio=ratio, wear_factor=wear
    ) == pytest.approx(torque, rel=0.01)
    assert mechanics.handbook_thrust_n(
        diameter_mm, feed, kd, chisel_ratio=ratio, wear_factor=wear
    ) == pytest.approx(thrust, rel=0.01)


def test_handbook_worked_example_in_inch() -> None:
    # Machinery's Handbook, 31st ed., p. 1153: 7/8 in standard drill, 200 BHN steel, 350 rpm.
    # Feed 0.008 in/rev, Kd 24,000 and W 1.30 are from memory; 2313 lb, 559 in·lb and 3.10 hp
    # are computed from the inch formulas.
    diameter_mm, feed = 0.875 * 25.4, 0.008 * 25.4
    thrust_lb = mechanics.handbook_thrust_n(diameter_mm, feed, 24_000, wear_factor=1.3) / 4.44822
    torque = mechanics.handbook_torque_n_m(diameter_mm, feed, 24_000, wear_factor=1.3)
    # The metric and the inch constants of the handbook are rounded apart by about 1 %.
    assert thrust_lb == pytest.approx(2313, rel=0.015)
    assert torque / 0.112985 == pytest.approx(559, rel=0.015)
    assert mechanics.power_kw(torque, 350) / 0.7457 == pytest.approx(3.10, rel=0.015)


def test_handbook_example_in_metric() -> None:
    # The same example with 22 mm and 0.20 mm/rev (computed): 10,090 N, 60.92 N·m, 2.233 kW.
    torque = mechanics.handbook_torque_n_m(22, 0.20, 24_000, wear_factor=1.3)
    thrust = mechanics.handbook_thrust_n(22, 0.20, 24_000, wear_factor=1.3)
    assert thrust == pytest.approx(10_090, rel=0.001)
    assert torque == pytest.approx(60.92, rel=0.001)
    assert torque * 350 / 9550 == pytest.approx(2.233, rel=0.001)
    assert mechanics.power_kw(torque, 350) == pytest.approx(2.233, rel=0.001)


def test_specific_cutting_force() -> None:
    # Computed from kc = kc1.1 · h^−mc, M = kc·f·D²/8000 and P = kc·f·vc·D/240,000 (formulas
    # from memory) at D 10, f 0.2, 118°, kc1.1 2220, mc 0.14, vc 30.
    kc = mechanics.specific_cutting_force_n_per_mm2(0.2, 2220, 0.14, 118)
    torque = mechanics.torque_n_m(10, 0.2, 2220, 0.14, 118)
    spindle = mechanics.rpm(30, 10)
    assert 0.2 / 2 * math.sin(math.radians(59)) == pytest.approx(0.085717, abs=1e-6)
    assert kc == pytest.approx(3131.3, abs=0.1)
    assert torque == pytest.approx(7.828, abs=0.001)
    assert mechanics.power_kw(torque, spindle) == pytest.approx(0.7828, abs=0.0001)
    assert mechanics.power_kw(torque, spindle) == pytest.approx(kc * 0.2 * 30 * 10 / 240_000)


def test_textbook_power_and_torque_from_unit_power() -> None:
    # Stephenson and Agapiou, Metal Cutting Theory and Practice (attribution from memory; inputs
    # read, computed): D 10, f 0.3, vc 200, 0.008 W·min/mm³ → 150,000 mm³/min, 1200 W, 1.80 N·m.
    spindle = mechanics.rpm(200, 10)
    removal = mechanics.removal_rate_mm3_per_min(10, mechanics.feed_rate_mm_per_min(spindle, 0.3))
    torque = removal * 0.008 / (2 * math.pi * spindle / 60)
    assert removal == pytest.approx(150_000, rel=1e-3)
    assert torque == pytest.approx(1.80, abs=0.005)
    assert mechanics.power_kw(torque, spindle) == pytest.approx(1.2, rel=1e-3)
