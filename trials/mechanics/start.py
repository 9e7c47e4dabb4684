"""First cutting data for a drill in a hole on a machine, each step with its reason."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from trials.errors import InputError
from trials.mechanics.catalogue import SOURCE, cutting_force_values, material_defaults
from trials.mechanics.forces import SPLIT_POINT, STANDARD_POINT, handbook_thrust_n, load_pct
from trials.mechanics.forces import torque_n_m as torque_from_specific_force
from trials.mechanics.kinematics import (
    HoleTime,
    feed_rate_mm_per_min,
    hole_time,
    rpm,
    speed_m_per_min,
)
from trials.model import Bounds, CuttingData, Drill, HoleFeature, Machine, PeckMode, Work

# Depth in diameters → share of speed and of feed that is left. Read in a reprint that names no
# primary source; deeper than 6 x D keeps the last step.
_DEPTH_REDUCTION = ((3.0, 0.90, 0.90), (4.0, 0.80, 0.90), (5.0, 0.70, 0.80), (6.0, 0.62, 0.80))
# A worn drill asks for about this much more torque than a sharp one (handbook wear factor).
WORN_TORQUE_FACTOR = 1.3
# Depth in diameters that is drilled without a peck and without coolant through the drill:
# common practice, no source.
_DEPTH_WITHOUT_PECK_XD = {"hss": 3.0, "cobalt": 3.0, "carbide": 5.0}


@dataclass(frozen=True, slots=True)
class Start:
    """First cutting data with what they lead to.

    Args:
        cutting_data: rounded to the safe side.
        bounds: where a search may go from there.
        load_fresh_pct, load_worn_pct: expected peak spindle load of a sharp and of a worn drill.
        thrust_n: expected thrust, worn drill.
        time: where the time of one hole goes.
        reasons: one sentence for each step from catalogue to result.
    """

    cutting_data: CuttingData
    bounds: Bounds
    load_fresh_pct: float
    load_worn_pct: float
    thrust_n: float
    time: HoleTime
    reasons: tuple[str, ...]


def expected_load_pct(
    cutting_data: CuttingData, drill: Drill, work: Work, machine: Machine, *, worn: bool = False
) -> float:
    """Peak spindle load in % of rating that the catalogue expects; idle load is not in it."""
    kc1_1, mc = cutting_force_values(work)
    torque = torque_from_specific_force(
        drill.diameter_mm, cutting_data.feed_mm_per_rev, kc1_1, mc, drill.point_angle_deg
    )
    if worn:
        torque *= WORN_TORQUE_FACTOR
    return load_pct(machine, rpm(cutting_data.speed_m_per_min, drill.diameter_mm), torque)


def expected_thrust_n(cutting_data: CuttingData, drill: Drill, work: Work) -> float:
    """Thrust in N of a worn drill by the handbook formula; carbide is taken as split-pointed."""
    return handbook_thrust_n(
        drill.diameter_mm,
        cutting_data.feed_mm_per_rev,
        material_defaults(work.group).kd,
        chisel_ratio=SPLIT_POINT if drill.substrate == "carbide" else STANDARD_POINT,
        wear_factor=WORN_TORQUE_FACTOR,
    )


def first_cutting_data(
    drill: Drill,
    work: Work,
    hole: HoleFeature,
    machine: Machine,
    *,
    load_limit_pct: float = 80.0,
) -> Start:
    """Speed, feed and pecks to begin with, reduced for depth and capped by the machine.

    Raises:
        InputError: the catalogue advises against this substrate in this material, or no feed
            stays within the machine's limits.
    """
    defaults = material_defaults(work.group)
    if drill.substrate not in defaults.speed_m_per_min:
        raise InputError(
            f"drill {drill.name}: substrate in {work.material}",
            got=drill.substrate,
            allowed=" or ".join(defaults.speed_m_per_min),
            do="Choose such a drill, or write the maker's cutting data into the trial yourself.",
        )
    speed = defaults.speed_m_per_min[drill.substrate]
    feed = defaults.feed_per_diameter[drill.substrate] * drill.diameter_mm
    begin = f"{speed:g} m/min and {feed:.3f} mm/rev for {drill.substrate} in ISO {work.group}"
    reasons = [f"{begin} ({SOURCE}); the drill maker's range goes first"]
    mode, peck_depth = _pecking(drill, hole, defaults.tough, reasons)
    for depth_xd, speed_share, feed_share in reversed(_DEPTH_REDUCTION):
        if hole.depth_xd >= depth_xd and not drill.through_coolant:
            speed, feed = speed * speed_share, feed * feed_share
            reasons.append(
                f"hole {hole.depth_xd:.1f} diameters deep without coolant through the drill: "
                f"speed × {speed_share:g}, feed × {feed_share:g}"
            )
            break
    most = speed_m_per_min(machine.max_rpm, drill.diameter_mm)
    if speed > most:
        speed = most
        reasons.append(f"{machine.name} turns at most {machine.max_rpm:g} /min")
    feed = min(feed, _most_feed(speed, drill, machine))
    data = CuttingData(
        speed_m_per_min=_round_down(speed, 0.5 if speed > 5 else 0.1),
        feed_mm_per_rev=_round_down(feed, 0.005 if feed > 0.02 else 0.0005),
        peck_mode=mode,
        peck_depth_xd=peck_depth,
        breakthrough_feed_factor=0.5 if hole.through else 1.0,
        breakthrough_mm=2.0 if hole.through else 0.0,
    )
    data = _within_load(data, drill, work, machine, load_limit_pct, reasons)
    return Start(
        cutting_data=data,
        bounds=_bounds(data, drill, machine),
        load_fresh_pct=expected_load_pct(data, drill, work, machine),
        load_worn_pct=expected_load_pct(data, drill, work, machine, worn=True),
        thrust_n=expected_thrust_n(data, drill, work),
        time=hole_time(
            data,
            drill.diameter_mm,
            hole.depth_mm,
            point_angle_deg=drill.point_angle_deg,
            through=hole.through,
            rapid_mm_per_min=machine.rapid_mm_per_min,
        ),
        reasons=tuple(reasons),
    )


def _pecking(
    drill: Drill, hole: HoleFeature, tough: bool, reasons: list[str]
) -> tuple[PeckMode, float]:
    """No peck while the depth allows it: most wear comes at entry, so every peck costs life."""
    free_xd = _DEPTH_WITHOUT_PECK_XD[drill.substrate] - (1.0 if tough else 0.0)
    if drill.through_coolant or hole.depth_xd <= free_xd:
        return "none", 1.0
    mode: PeckMode = "full_retract" if hole.depth_xd > 2 * free_xd else "chip_break"
    reasons.append(
        f"deeper than {free_xd:g} diameters without coolant through the drill: peck "
        f"({mode.replace('_', ' ')}), as few as chips allow, because every entry wears the drill"
    )
    return mode, 1.0


def _most_feed(speed: float, drill: Drill, machine: Machine) -> float:
    """The feed in mm/rev at which the machine's feed rate is reached."""
    return machine.max_feed_mm_per_min / rpm(speed, drill.diameter_mm)


def _within_load(
    data: CuttingData,
    drill: Drill,
    work: Work,
    machine: Machine,
    load_limit_pct: float,
    reasons: list[str],
) -> CuttingData:
    """Lower the feed until a worn drill stays below the load and the thrust limit."""
    first_feed = data.feed_mm_per_rev
    for share in (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3):
        feed = _round_down(first_feed * share, 0.005 if first_feed * share > 0.02 else 0.0005)
        lower = replace(data, feed_mm_per_rev=feed)
        load = expected_load_pct(lower, drill, work, machine, worn=True)
        thrust_fits = (
            machine.max_thrust_n is None
            or expected_thrust_n(lower, drill, work) <= machine.max_thrust_n
        )
        if load <= load_limit_pct and thrust_fits:
            if share < 1.0:
                reasons.append(
                    f"feed lowered to {feed:g} mm/rev so that a worn drill stays below "
                    f"{load_limit_pct:g} % load and the machine's thrust"
                )
            return lower
    raise InputError(
        f"a {drill.diameter_mm:g} mm drill in {work.material} on {machine.name}",
        got=f"{load:.0f} % load with a worn drill even at {feed:g} mm/rev",
        allowed=f"at most {load_limit_pct:g} %"
        + ("" if machine.max_thrust_n is None else f" and {machine.max_thrust_n:g} N thrust"),
        do="Use a stronger machine, a lower speed, or drill a smaller hole first and open it up.",
    )


def _bounds(data: CuttingData, drill: Drill, machine: Machine) -> Bounds:
    """Around the start and within the machine: speed × 0.6 to 1.5, feed × 0.5 to 1.6; no source."""
    most_speed = speed_m_per_min(machine.max_rpm, drill.diameter_mm)
    high_speed = min(1.5 * data.speed_m_per_min, most_speed)
    slowest = 0.6 * data.speed_m_per_min
    most_feed = machine.max_feed_mm_per_min / feed_rate_mm_per_min(
        rpm(high_speed, drill.diameter_mm), 1.0
    )
    modes: tuple[PeckMode, ...] = ("none",) if data.peck_mode == "none" else (
        "none", "chip_break", "full_retract",
    )  # fmt: skip
    return Bounds(
        speed_m_per_min=(slowest, high_speed),
        feed_mm_per_rev=(
            0.5 * data.feed_mm_per_rev,
            max(data.feed_mm_per_rev, min(1.6 * data.feed_mm_per_rev, most_feed)),
        ),
        peck_depth_xd=(0.5, 3.0),
        peck_modes=modes,
    )


def _round_down(value: float, step: float) -> float:
    """The next step at or below; the step itself when the value is smaller than one step."""
    return round(max(step, math.floor(value / step + 1e-9) * step), 6)
