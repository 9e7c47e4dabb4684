"""Speed, feed, time, torque, thrust, power and load of drilling; first cutting data."""

from trials.mechanics.catalogue import (
    MaterialDefaults,
    cutting_force_values,
    material_defaults,
)
from trials.mechanics.forces import (
    SPLIT_POINT,
    STANDARD_POINT,
    handbook_thrust_n,
    handbook_torque_n_m,
    load_pct,
    power_kw,
    specific_cutting_force_n_per_mm2,
    torque_n_m,
)
from trials.mechanics.kinematics import (
    CHIP_BREAK_STEP_MM,
    RE_ENTRY_GAP_MM,
    REVERSAL_S,
    HoleTime,
    feed_rate_mm_per_min,
    hole_time,
    point_length_mm,
    removal_rate_mm3_per_min,
    rpm,
    speed_m_per_min,
    within_machine,
)
from trials.mechanics.screening import Screening, Verdict, screen
from trials.mechanics.start import (
    WORN_TORQUE_FACTOR,
    Start,
    expected_load_pct,
    expected_thrust_n,
    first_cutting_data,
)

__all__ = [
    "CHIP_BREAK_STEP_MM",
    "REVERSAL_S",
    "RE_ENTRY_GAP_MM",
    "SPLIT_POINT",
    "STANDARD_POINT",
    "WORN_TORQUE_FACTOR",
    "HoleTime",
    "MaterialDefaults",
    "Screening",
    "Start",
    "Verdict",
    "cutting_force_values",
    "expected_load_pct",
    "expected_thrust_n",
    "feed_rate_mm_per_min",
    "first_cutting_data",
    "handbook_thrust_n",
    "handbook_torque_n_m",
    "hole_time",
    "load_pct",
    "material_defaults",
    "point_length_mm",
    "power_kw",
    "removal_rate_mm3_per_min",
    "rpm",
    "screen",
    "specific_cutting_force_n_per_mm2",
    "speed_m_per_min",
    "torque_n_m",
    "within_machine",
]
